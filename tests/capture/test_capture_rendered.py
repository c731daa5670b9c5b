"""The test pictures themselves: their truth is checked before anything is measured by them."""

from __future__ import annotations

import numpy as np
import pytest
from picture_scene import (
    Shape,
    capture_sheet,
    ellipse,
    id_card,
    moved,
    notch_ring,
    pencil_line,
    rectangle,
    ruler_inch,
    ruler_mm,
    sheet_of_colour,
)
from render_pictures import render_photo, render_scan, save

from cradle.calibration.calibration import raised_scale_error
from cradle.capture_sheet.sheet import SHEETS
from cradle.pictures.light import light_of

SHARP = {"blur_px": 0.0, "noise": 0.0}
DISC = (Shape(rings_mm=(ellipse(40, 40, centre=(50, 60)),), colour=(0, 0, 0)),)


def _dark(image):
    """The part of each pixel that black covers: what the light of white lacks."""
    return 1 - light_of(image[..., 0].astype(np.float64))


@pytest.mark.parametrize("dpi", [75, 150, 300])
def test_a_scan_covers_pixels_by_exact_area(dpi):
    scan = render_scan(DISC, dpi=dpi, page_mm=(100, 120), background=(255, 255, 255), turn_deg=7, **SHARP)
    area = _dark(scan.image).sum() * (25.4 / dpi) ** 2
    polygon = 0.5 * 720 * np.sin(2 * np.pi / 720) * 20**2
    assert area == pytest.approx(polygon, rel=2e-4)
    assert scan.image.shape[:2] == (round(120 * dpi / 25.4), round(100 * dpi / 25.4))


def test_an_edge_lies_where_the_truth_says_on_a_scan():
    square = (Shape(rings_mm=(rectangle(20.013, 30.007, 60.021, 80.033),), colour=(0, 0, 0)),)
    scan = render_scan(
        square, dpi=254, page_mm=(100, 100), background=(255, 255, 255), stretch=(1.01, 0.99), **SHARP
    )
    row, column = _dark(scan.image)[500], _dark(scan.image)[:, 400]
    (left, low), (right, high) = scan.px_from_mm([[20.013, 30.007], [60.021, 80.033]])
    assert row.sum() == pytest.approx(right - left, abs=0.01)
    assert column.sum() == pytest.approx(low - high, abs=0.01)
    # centre of darkness along the row, in px: the middle between the two edges
    assert (np.arange(len(row)) * row).sum() / row.sum() == pytest.approx((left + right) / 2, abs=0.01)
    assert (np.arange(len(column)) * column).sum() / column.sum() == pytest.approx((low + high) / 2, abs=0.01)


def test_a_photo_puts_the_disc_where_the_truth_says():
    photo = render_photo(
        DISC, look_at_mm=(55, 70), distance_mm=250, tilt_deg=30, roll_deg=10, lens=(-0.05, 0.01),
        size_px=(900, 1200), focal_px=900, background=(255, 255, 255), light=0.0, **SHARP,
    )  # fmt: skip
    ring = photo.px_from_mm(ellipse(40, 40, centre=(50, 60), count=20000))
    x, y = ring.T
    cross = x * np.roll(y, -1) - y * np.roll(x, -1)
    area = abs(cross.sum()) / 2
    middle = ((x + np.roll(x, -1)) * cross).sum() / (3 * cross.sum())
    dark = _dark(photo.image)
    assert dark.sum() == pytest.approx(area, rel=5e-4)
    assert (dark.sum(axis=0) * np.arange(900)).sum() / dark.sum() == pytest.approx(middle, abs=0.02)


def test_a_straight_view_magnifies_by_focal_length_over_distance():
    photo = render_photo(
        DISC, distance_mm=400, size_px=(600, 800), focal_px=600, look_at_mm=(50, 60), **SHARP
    )
    a, b = photo.px_from_mm([[40, 60], [60, 60]])
    assert np.hypot(*(b - a)) == pytest.approx(20 * 600 / 400)
    assert photo.px_from_mm([[50, 60]])[0] == pytest.approx([299.5, 399.5])
    up, right = photo.px_from_mm([[50, 70], [60, 60]])
    assert up[1] < 399.5
    assert right[0] > 299.5


def test_a_raised_card_looks_larger_by_the_pinhole_rule():
    photo = render_photo(id_card(), distance_mm=400, look_at_mm=(42.8, 27), size_px=(600, 800), focal_px=600)
    ends = [[0, 27], [85.6, 27]]
    flat, raised = (np.hypot(*np.diff(photo.project(ends, z), axis=0)[0]) for z in (0.0, 0.76))
    assert raised / flat - 1 == pytest.approx(raised_scale_error(0.76, distance_mm=400), rel=1e-9)


def test_the_same_seed_gives_the_same_picture_and_another_does_not():
    a, b, c = (render_scan(DISC, dpi=75, page_mm=(100, 120), seed=s).image for s in (3, 3, 4))
    assert (a == b).all()
    assert (a != c).any()


def test_blur_moves_no_edge_and_shadow_darkens_only_the_rim():
    plain = render_scan(DISC, dpi=150, page_mm=(100, 120), background=(255, 255, 255), **SHARP)
    soft = render_scan(DISC, dpi=150, page_mm=(100, 120), background=(255, 255, 255), blur_px=2.0, noise=0.0)
    dim = render_scan(DISC, dpi=150, page_mm=(100, 120), background=(255, 255, 255), edge_shadow=0.4, **SHARP)
    assert _dark(soft.image).sum() == pytest.approx(_dark(plain.image).sum(), rel=1e-3)
    assert dim.image[300, 1, 0] < 170
    assert dim.image[100, 300, 0] > 245


def test_a_pencil_line_has_its_width_and_middle():
    line = pencil_line(ellipse(60, 60, centre=(50, 50)), width_mm=0.6, colour=(0, 0, 0), alpha=1.0)
    scan = render_scan(line, dpi=300, page_mm=(100, 100), background=(255, 255, 255), **SHARP)
    row = _dark(scan.image[590:592]).mean(axis=0)
    right = row[700:]
    assert right.sum() * 25.4 / 300 == pytest.approx(0.6, abs=0.01)
    middle = (right * np.arange(700, 700 + len(right))).sum() / right.sum()
    assert middle == pytest.approx(scan.px_from_mm([[80, 50]])[0, 0], abs=0.05)


@pytest.mark.slow
def test_rulers_have_a_tick_at_every_mark():
    for scene, pitch, marks in (
        (ruler_mm(length_mm=150), 1.0, 151),
        (ruler_inch(length_in=6), 25.4 / 16, 97),
    ):
        scan = render_scan(
            moved(scene, by_mm=(20, 50)), dpi=600, page_mm=(200, 60), background=(0, 0, 0), **SHARP
        )
        y = round(float(scan.px_from_mm([[0, 49.0]])[0, 1]))
        dark = scan.image[y, :, 0] < 110
        body = slice(
            *(round(v) for v in scan.px_from_mm([[16, 49], [20 + pitch * (marks - 1) + 4, 49]])[:, 0])
        )
        starts = np.flatnonzero(np.diff(dark[body].astype(int)) == 1)
        assert len(starts) == marks
        assert np.diff(starts).mean() * 25.4 / 600 == pytest.approx(pitch, rel=1e-3)


def test_a_notch_is_cut_from_the_top_edge():
    t = np.linspace(np.pi, 2 * np.pi, 100)
    ring = notch_ring(np.column_stack([15 * np.cos(t), 20 * np.sin(t)]), side_mm=10, depth_mm=12)
    x, y = ring.T
    area = 0.5 * float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum())
    assert area == pytest.approx(50 * 32 - np.pi * 15 * 20 / 2, rel=1e-3)


def test_a_saved_picture_carries_its_resolution(tmp_path):
    from PIL import Image

    scan = render_scan((*sheet_of_colour(rectangle(10, 10, 40, 30)),), dpi=150, page_mm=(50, 40))
    for name in ("a.png", "a.jpg"):
        save(scan, tmp_path / name)
        with Image.open(tmp_path / name) as picture:
            assert picture.size == (295, 236)
            assert picture.info["dpi"] == pytest.approx((150, 150), abs=0.02)


def test_the_sheet_is_painted_as_designed():
    scan = render_scan(capture_sheet(SHEETS["A4"]), dpi=100, **SHARP)
    black, white = scan.px_from_mm([[17, 35.5], [105, 150]]).round().astype(int)
    assert scan.image[black[1], black[0], 0] < 40
    assert scan.image[white[1], white[0], 0] > 230
