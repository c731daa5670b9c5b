"""A tape measure that lies hollow is told from a camera that leans."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from opencv_views import ACROSS, ALONG, FOCAL_PX, SQUARE, as_scale, opencv_px, picture, rule

from cradle.calibration.picture_view import fit_view, setting_of
from cradle.project.picture import PictureSource
from cradle.scale.hollow_rule import HOLLOW_MM
from cradle.scale.scale_choice import chosen
from cradle.scale.view_uncertainty import scale_uncertainty

DEEP_MM = 8.0


def _marks_slope(**camera):
    """Slope inwards that the marks of a flat rule along `ALONG` show, and its unit vector inwards, px."""
    edge = np.array(ALONG)
    one, other = (opencv_px(edge + [0.0, deep], **camera) for deep in (0.0, DEEP_MM))
    inwards = other.mean(axis=0) - one.mean(axis=0)
    long_, longer = (float(np.hypot(*(ends[1] - ends[0]))) for ends in (one, other))
    away = float(np.hypot(*inwards))
    x, y = (inwards / away).tolist()
    return (longer / long_ - 1) / away * FOCAL_PX, (x, y)


def _scales(own_slope, **camera):
    """Two rules across one another seen by a camera, the first one's marks of a slope of their own besides."""
    slope, inwards = _marks_slope(**camera)
    along = replace(rule(ALONG, **camera), slope=slope + own_slope, inwards=inwards)
    sources = [as_scale(along, "along"), as_scale(rule(ACROSS, **camera), "across")]
    return chosen(PictureSource(file="a.png"), sources, [], picture=picture(by_camera=True))


@pytest.mark.parametrize("lean_deg", [-12.0, 0.0, 12.0])
@pytest.mark.parametrize(("own_slope", "told"), [(-0.35, True), (0.0, False), (0.2, False)])
def test_marks_that_fall_away_from_the_edge_however_the_camera_leans_are_a_tapes(lean_deg, own_slope, told):
    scales = _scales(own_slope, lean_deg=lean_deg, way_deg=0.0)
    hollow = [f for f in scales.findings if f.code == "ruler-hollow"]
    assert len(hollow) == told
    assert all(f.severity == "warn" for f in hollow)


@pytest.mark.parametrize("bend", [-0.15, 0.15])
def test_marks_that_a_wide_lens_spreads_are_no_tapes(bend):
    """At the picture's border such a lens makes them spread by as much as a surface of 10 degrees would."""
    edge = ((-50.0, -78.0), (50.0, -78.0))
    camera = {"lean_deg": 0.0, "way_deg": 0.0, "distance_mm": 260.0}
    one, other = (opencv_px(np.array(edge) + [0.0, deep], bend=bend, **camera) for deep in (0.0, DEEP_MM))
    away = other.mean(axis=0) - one.mean(axis=0)
    long_, longer = (float(np.hypot(*(ends[1] - ends[0]))) for ends in (one, other))
    slope = (longer / long_ - 1) / float(np.hypot(*away)) * FOCAL_PX
    x, y = (away / np.hypot(*away)).tolist()
    flat = fit_view(setting_of(picture(), camera=True), [rule(edge, bend=bend, **camera)])
    bent = np.array(flat.parameters)
    bent[5] = -bend
    view = replace(flat, parameters=bent)
    own = slope - view.slope_along((x, y), at_px=one.mean(axis=0))
    lean = float(view.parameters[2:4] @ np.array([x, y]))
    assert abs(slope) > 0.08
    assert abs(own + lean) < 0.4 * abs(slope)


def test_what_lies_beside_a_hollow_tape_is_less_sure_by_how_high_its_edges_stand():
    """By similar triangles: what stands t above the paper is seen larger by t in the distance, 300 mm here."""
    ring = opencv_px(SQUARE, lean_deg=0.0, way_deg=0.0)
    flat, hollow = (
        np.array(scale_uncertainty(_scales(own, lean_deg=0.0, way_deg=0.0), ring_px=ring).share)
        for own in (0.0, -0.35)
    )
    assert hollow**2 - flat**2 == pytest.approx((HOLLOW_MM**2 - 1.61**2) / 300**2, rel=0.05)
