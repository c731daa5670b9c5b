"""One view from all known lengths: true to OpenCV's camera, and as uncertain as it says."""

from __future__ import annotations

import numpy as np
import pytest
from opencv_views import ACROSS, ALONG, FOCAL_PX, SIZE, SQUARE, opencv_px, picture, rule, sides

from cradle.calibration.calibration import to_mm
from cradle.calibration.picture_view import (
    Known,
    MarkRow,
    calibration_of,
    fit_view,
    length_shares,
    setting_of,
)
from cradle.geometry.arrays import frozen


@pytest.mark.parametrize(
    ("lean", "way", "focal", "bend"), [(0, 0, 1, 0), (12, 30, 1.1, 0), (25, 75, 0.9, 0), (14, -50, 1, -0.03)]
)
def test_two_rules_across_one_another_give_the_view_that_opencv_saw(lean, way, focal, bend):
    camera = {"lean_deg": lean, "way_deg": way, "focal_px": focal * FOCAL_PX, "bend": bend}
    rows = [rule(ends, spread_px=0.002, **camera) for ends in (ALONG, ACROSS)]
    view = fit_view(setting_of(picture(), camera=True), rows)
    assert sides(view, **camera) == pytest.approx(40.0, rel=1e-3 if bend else 3e-4)
    assert view.lean_deg == pytest.approx(lean, abs=2.5 if bend else 0.6)


def test_the_origin_is_the_picture_s_lower_left_corner():
    camera = {"lean_deg": 0.0, "way_deg": 0.0}
    view = fit_view(setting_of(picture(), camera=True), [rule(ends, **camera) for ends in (ALONG, ACROSS)])
    corner = to_mm(calibration_of(view, source="test"), np.array([[0.0, SIZE[1]]]))
    assert np.abs(corner).max() < 1.0


@pytest.mark.parametrize("focal", [0.8, 1.25])
def test_a_stated_distance_tells_the_focal_length_where_nothing_leans(focal):
    camera = {"lean_deg": 0.0, "way_deg": 0.0, "focal_px": focal * FOCAL_PX}
    rows = [rule(ends, spread_px=0.002, **camera) for ends in (ALONG, ACROSS)]
    view = fit_view(setting_of(picture(), camera=True, distance_mm=300.0), rows)
    assert view.distance_mm == pytest.approx(300.0, rel=0.03)
    assert sides(view, **camera) == pytest.approx(40.0, rel=3e-4)


@pytest.mark.slow
def test_lengths_are_as_uncertain_as_it_says():
    """Views drawn from what is usual, rules wrong by their own spread: errors by their uncertainties have variance one."""
    rng = np.random.default_rng(4)
    for ends, least in (((ALONG,), 0.004), ((ALONG, ACROSS), 0.0002)):
        by_own = []
        for _ in range(24):
            lean = np.degrees(np.arctan(np.tan(np.radians(3.0)) * rng.standard_normal(2)))
            camera = {
                "lean_deg": float(np.hypot(*lean)),
                "way_deg": float(np.degrees(np.arctan2(*lean))),
                "focal_px": FOCAL_PX * float(np.exp(0.25 * rng.standard_normal())),
            }
            rows = [
                rule(each, rng, stretch=float(np.exp(6e-4 * rng.standard_normal())), **camera)
                for each in ends
            ]
            view = fit_view(setting_of(picture(), camera=True), rows)
            x, y = length_shares(view, opencv_px(SQUARE, **camera))
            assert x > least
            seen = sides(view, **camera)
            by_own += [(seen[[0, 2]].mean() / 40 - 1) / x, (seen[[1, 3]].mean() / 40 - 1) / y]
        assert 0.6 < float(np.sqrt(np.mean(np.square(by_own)))) < 1.3


def test_a_scanner_s_directions_are_known_each_by_its_own_rule():
    setting = setting_of(picture(by_camera=False, dpi=(300.0, 300.0)), camera=False)
    x, y = 25.4 / 300 * 1.004, 25.4 / 300 * 0.997
    at = np.column_stack([np.linspace(100, 1300, 101), np.full(101, 400.0)])
    along = Known(
        rows=(MarkRow(at_px=frozen(at), along_mm=frozen(at[:, 0] * x), spread_px=0.05),), share=6e-4
    )
    up = Known(
        rows=(MarkRow(at_px=frozen(at[:, ::-1]), along_mm=frozen(at[:, 0] * y), spread_px=0.05),), share=6e-4
    )
    both = calibration_of(fit_view(setting, [along, up]), source="test")
    assert both.mm_from_px[0, 0] == pytest.approx(x, rel=2e-4)
    assert -both.mm_from_px[1, 1] == pytest.approx(y, rel=2e-4)
    one = fit_view(setting, [along])
    share_x, share_y = length_shares(one, np.array([[500.0, 500], [700, 700]]))
    assert share_x == pytest.approx(6e-4, rel=0.05)
    # half a percent, evenly spread
    assert share_y == pytest.approx(np.hypot(6e-4, 0.005 / np.sqrt(3)), rel=0.02)
    assert calibration_of(one, source="test").lens is None
