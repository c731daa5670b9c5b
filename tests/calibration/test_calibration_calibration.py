from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from cradle.calibration.calibration import (
    Calibration,
    Lens,
    bent,
    fit_homography,
    from_scale,
    mm_per_px,
    normalising,
    raised_scale_error,
    scale_difference,
    straightened,
    through,
    to_mm,
    to_px,
)
from cradle.errors import CaptureError

H = np.array([[0.9, 0.05, 12.0], [-0.04, 1.1, -7.0], [1e-4, -2e-4, 1.0]])
A4_CORNERS = np.array([[0.0, 0.0], [210.0, 0.0], [210.0, 297.0], [0.0, 297.0]])
LENS = Lens(centre_px=(999.5, 749.5), radius_px=1250.0, k1=0.03, k2=-0.008)


def test_a_homography_maps_as_worked_by_hand():
    # derived: (0.9*100 + 0.05*50 + 12) / 1 = 104.5, (-4 + 55 - 7) / 1 = 44; the second point likewise
    mapped = through(H, [[100, 50], [210, 297]])
    assert mapped == pytest.approx(np.array([[104.5, 44.0], [224.469634, 323.731281]]), abs=1e-6)


def test_a_homography_is_refitted_from_four_corners_as_opencv_does():
    seen = through(H, A4_CORNERS)
    ours = fit_homography(A4_CORNERS, seen)
    theirs = cv2.getPerspectiveTransform(A4_CORNERS.astype(np.float32), seen.astype(np.float32))
    assert ours == pytest.approx(H, abs=1e-9)
    assert ours == pytest.approx(theirs, abs=1e-4)  # OpenCV takes single precision here


def test_normalised_points_have_the_textbooks_centroid_and_distance():
    # Hartley & Zisserman, 2nd ed., section 4.4.4 (as quoted at vitavision.dev/concepts/dlt-normalisation)
    points = np.random.default_rng(1).normal(500, 200, (40, 2))
    moved = through(normalising(points), points)
    assert moved.mean(axis=0) == pytest.approx([0, 0], abs=1e-12)
    assert np.hypot(*moved.T).mean() == pytest.approx(np.sqrt(2), abs=1e-12)


@pytest.mark.parametrize(("raised", "distance", "expected"), [(0.76, 400, 0.00190), (3.0, 400, 0.00756)])
def test_a_reference_above_the_paper_scales_by_the_pinhole_rule(raised, distance, expected):
    # t / (D - t), similar triangles; ISO/IEC 7810 gives the card 0.76 mm
    error = raised_scale_error(raised, distance_mm=distance)
    assert error == pytest.approx(raised / (distance - raised), abs=1e-12)
    assert error == pytest.approx(expected, abs=5e-6)
    assert raised_scale_error(0.76, distance_mm=400) * 85.6 == pytest.approx(0.163, abs=5e-4)


def test_a_reference_as_high_as_the_lens_is_refused():
    with pytest.raises(CaptureError, match="below the lens"):
        raised_scale_error(400, distance_mm=400)


@pytest.mark.parametrize("px", [[[0, 0], [1, 1], [2, 2], [3, 3], [5, 5]], [[0, 0], [1, 1], [2, 2], [3, 3]]])
def test_points_on_a_line_are_refused(px):
    with pytest.raises(CaptureError, match="one line"):
        fit_homography(px, np.array(px) * 2.0)


def test_too_few_and_coinciding_points_are_refused():
    with pytest.raises(CaptureError, match="at least 4"):
        fit_homography(A4_CORNERS[:3], A4_CORNERS[:3])
    with pytest.raises(CaptureError, match="one point"):
        fit_homography(np.ones((5, 2)), np.ones((5, 2)))


def test_a_scan_has_its_origin_at_the_lower_left_corner():
    # A4 at 300 dpi is 2480 × 3508 px (ISO 216, 25.4 mm to the inch); corners are half a pixel outside centres
    scale = 25.4 / 300
    assert scale == pytest.approx(0.0846667, abs=1e-7)
    scan = from_scale(scale, scale, height_px=3508, source="resolution tag 300 dpi")
    assert to_mm(scan, [[-0.5, 3507.5]])[0] == pytest.approx([0, 0], abs=1e-9)
    assert to_mm(scan, [[2479.5, -0.5]])[0] == pytest.approx([209.97, 297.01], abs=0.01)
    assert mm_per_px(scan, at_px=(5, 5)) == pytest.approx((scale, scale))


def test_two_scales_differ_by_their_ratio():
    turn = np.array([[np.sqrt(0.75), -0.5, 0], [0.5, np.sqrt(0.75), 0], [0, 0, 1]])
    straight = from_scale(0.1, 0.1, height_px=100, source="a")
    a = replace(straight, mm_from_px=turn @ straight.mm_from_px)
    b = from_scale(0.1 / 1.006, 0.1, height_px=100, source="b")
    assert scale_difference(a, b, at_px=(40, 60)) == pytest.approx((0.006, 0.0), abs=1e-9)


def test_bending_undoes_straightening():
    px = np.random.default_rng(2).uniform(0, [2000, 1500], (500, 2))
    straight = straightened(LENS, px)
    assert np.abs(straight - px).max() > 10
    assert bent(LENS, straight) == pytest.approx(px, abs=1e-9)
    assert bent(LENS, [LENS.centre_px])[0] == pytest.approx(LENS.centre_px)


def test_to_px_undoes_to_mm_through_lens_and_perspective():
    calibration = Calibration(
        mm_from_px=np.array([[0.1, 0, 3], [0, -0.1, 150], [2e-5, 1e-5, 1]]), source="t", lens=LENS
    )
    px = np.random.default_rng(3).uniform(0, [2000, 1500], (50, 2))
    assert to_px(calibration, to_mm(calibration, px)) == pytest.approx(px, abs=1e-7)


@pytest.mark.parametrize(("name", "scale"), [("zero", 0.0), ("negative", -0.1), ("nan", float("nan"))])
def test_a_scale_that_is_no_length_is_refused(name, scale):
    with pytest.raises(CaptureError, match="positive scale along y"):
        from_scale(0.1, scale, height_px=10, source=name)


def test_a_calibration_is_frozen_and_invertible():
    with pytest.raises(CaptureError, match="invertible"):
        Calibration(mm_from_px=np.zeros((3, 3)), source="nothing")
    with pytest.raises(ValueError, match="read-only"):
        Calibration(mm_from_px=np.eye(3), source="x").mm_from_px[0, 0] = 2
