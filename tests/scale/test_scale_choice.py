"""Sources of scale that others contradict are left out and named."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from opencv_views import ACROSS, ALONG, FOCAL_PX, SQUARE, as_scale, opencv_px, picture, rule, sides

from cradle.calibration.picture_view import length_shares, setting_of
from cradle.project.picture import PictureSource
from cradle.scale.scale_choice import _contradicted, _together, chosen
from cradle.scale.scale_sources import tag_scale


def test_the_rule_that_all_others_speak_against_is_left_out_and_named():
    camera = {"lean_deg": 8.0, "way_deg": 20.0}
    second = ((-50.0, 50.0), (50.0, 50.0))
    rules = [
        as_scale(rule(ends, np.random.default_rng(k), stretch=stretch, **camera), name)
        for k, (ends, stretch, name) in enumerate(
            [(ALONG, 1.02, "wrong"), (ACROSS, 1.0, "across"), (second, 1.0, "beyond")]
        )
    ]
    scales = chosen(PictureSource(file="a.png"), rules, [], picture=picture())
    assert [s.told for s in scales.members] == ["across", "beyond"]
    (finding,) = [f for f in scales.findings if f.code == "scales-disagree"]
    assert finding.measured == pytest.approx(2.0, abs=0.2)
    assert "wrong" in finding.message
    assert "all others contradict the other one" in finding.message
    agreeing = chosen(PictureSource(file="a.png"), rules[1:], [], picture=picture())
    assert not [f for f in agreeing.findings if f.severity == "warn"]
    assert agreeing.used.told == "across, with beyond"
    alike = chosen(
        PictureSource(file="a.png"), [replace(r, told="a ruler") for r in rules[1:]], [], picture=picture()
    )
    assert alike.used.told == "2 × a ruler"


def test_the_pixels_of_a_picture_that_leans_as_no_scan_does_are_square():
    camera = {"lean_deg": 22.0, "way_deg": 40.0, "focal_px": 1.2 * FOCAL_PX}
    rules = [
        as_scale(rule(ends, np.random.default_rng(k), spread_px=0.3, **camera), "a rule")
        for k, ends in enumerate((ALONG, ACROSS))
    ]
    scales = chosen(PictureSource(file="a.png"), rules, [], picture=picture(by_camera=False))
    assert scales.view.height_by_width == 1.0
    assert scales.view.lean_deg == pytest.approx(22.0, abs=3.0)
    assert sides(scales.view, **camera) == pytest.approx(40.0, rel=2e-3)
    assert not [f for f in scales.findings if f.severity == "warn"]


@pytest.mark.parametrize(("lean", "stretch"), [(0.0, 1.0), (0.0, 0.99), (8.0, 1.0), (8.0, 1.02), (8.0, 1.04)])
def test_rules_before_a_camera_that_no_view_reconciles_are_told_and_make_all_less_sure(lean, stretch):
    camera = {"lean_deg": lean, "way_deg": 20.0}
    rules = [
        as_scale(rule(ends, np.random.default_rng(k), stretch=stretch**k, **camera), "a rule")
        for k, ends in enumerate((ALONG, ACROSS))
    ]
    scales = chosen(PictureSource(file="a.png"), rules, [], picture=picture())
    told = [f for f in scales.findings if f.code == "rulers-disagree"]
    assert len(told) == (stretch != 1.0)
    off = np.abs(sides(scales.view, **camera) / 40.0 - 1).max()
    share = max(length_shares(scales.view, opencv_px(SQUARE, **camera)))
    assert off < 3 * share
    if told:
        assert told[0].measured == pytest.approx(100 * abs(stretch - 1), rel=0.4)
        assert "no lean of the camera" in told[0].message
    else:
        assert share < 0.003


@pytest.mark.parametrize(("stretch", "contradicted"), [(0.5, True), (1.0, False), (1.8, False), (2.2, True)])
def test_a_length_that_is_hardly_foretold_may_be_as_many_times_as_long_as_short(stretch, contradicted):
    """A short rule with coarse marks foretells one across the picture to 18 %: three times that is a factor of 1.7."""
    camera = {"lean_deg": 3.0, "way_deg": 20.0}
    rng = np.random.default_rng(1)
    short = as_scale(rule(((-75.0, -20.0), (-75.0, -35.0)), rng, count=36, spread_px=2.0, **camera), "short")
    long = as_scale(rule(((-70.0, 55.0), (90.0, 55.0)), rng, count=142, stretch=stretch, **camera), "long")
    setting = setting_of(picture(), camera=True)
    setting = replace(setting, spreads=setting.spreads._replace(lean_x=0.4, lean_y=0.4))
    assert _contradicted(*_together([short], setting), long) is contradicted


@pytest.mark.parametrize(
    ("size_px", "severity"),
    [
        ((2550, 3300), "note"),
        ((3510, 2550), "note"),
        ((2480, 3508), "note"),
        ((1240, 1754), "warn"),
        ((3024, 4032), "warn"),
    ],
)
def test_a_tag_by_which_the_picture_is_a_whole_scan_is_believed(size_px, severity):
    """At 300 dpi: Letter, a glass of 8.5 x 11.7 in, A4; A4 made half as large, whose tag was left, and a telephone's picture."""
    grey = np.zeros(size_px[::-1], dtype=np.uint8)
    seen = replace(picture(by_camera=False, dpi=(300.0, 300.0)), grey=grey)
    scales = chosen(PictureSource(file="a.png"), [tag_scale(seen)], [], picture=seen)
    (told,) = [f for f in scales.findings if f.code == "scale-from-tag"]
    assert told.severity == severity
