"""Marks along one edge of a rule tell how a camera leans across it, but where the edge may be bevelled as well."""

import numpy as np
import pytest
from painted import KRAFT, Table, photographed, scanned
from things_painted import egg, placed, rule_on
from traced_grid import picture_of

from cradle.calibration.on_glass import ruled_on_glass
from cradle.capture.tracing import trace_picture
from cradle.geometry.ring import signed_area
from cradle.pictures.regions import find_things
from cradle.project.picture import PictureSource
from cradle.rulers.bevel import SlopeSeen
from cradle.rulers.ruler import find_rulers

SIXTEENTH_MM = 25.4 / 16


def _beside_one_edge(*, unit_mm=1.0, turn_deg=0):
    """A table with a piece and a rule above it, marked along one edge; the piece."""
    table = Table(190, 150, 10, (238, 237, 233), 3)
    at_mm = (18, 144) if turn_deg == 0 else (170, 124)
    rule_on(table, at_mm=at_mm, turn_deg=turn_deg, length_mm=150, depth_mm=18, unit_mm=unit_mm)
    piece = placed(egg(80, 55), at_mm=(100, 55), turn_deg=20)
    table.paint(piece, colour=KRAFT)
    return table, piece


def _leaning(table, tilt_deg):
    """From so near that a lean of a degree makes the far side of the piece half a percent smaller."""
    return photographed(table, size_px=(2200, 1650), distance_mm=200, tilt_deg=tilt_deg)


def _seen(slope_deg, spread_deg=0.3):
    """A slope that marks show."""
    slope, spread = np.tan(np.radians([slope_deg, spread_deg]))
    return SlopeSeen(slope=slope, spread=spread, focal_px=2000.0)


@pytest.mark.parametrize(
    ("unit_mm", "turn_deg", "tilt_deg"),
    [(1.0, 0, -4.0), (1.0, 180, 4.0), (1.0, 180, 1.5), (SIXTEENTH_MM, 0, -3.0), (SIXTEENTH_MM, 180, 5.0)],
)
def test_marks_along_one_edge_tell_how_a_camera_leans_across_the_rule(unit_mm, turn_deg, tilt_deg, tmp_path):
    table, piece = _beside_one_edge(unit_mm=unit_mm, turn_deg=turn_deg)
    _leaning(table, tilt_deg).save(tmp_path / "a.jpg")  # so that marks spread outwards, as on no bevel
    (found,) = trace_picture(tmp_path / "a.jpg", PictureSource(file="a.jpg")).pieces
    larger = np.sqrt(abs(signed_area(found.ring_mm)) / abs(signed_area(piece))) - 1
    assert larger == pytest.approx(0.0, abs=6e-3)
    assert abs(larger) < 2 * max(found.scale_share)


@pytest.mark.parametrize("tilt_deg", [-9.0, -4.0, 4.0, 9.0])
def test_a_camera_that_leans_across_a_rule_with_one_edge_is_no_scanner(tilt_deg):
    """Also where a round number of its pixels goes to the inch, as one in twenty pictures by a camera has it."""
    table, _ = _beside_one_edge(unit_mm=SIXTEENTH_MM)
    picture = picture_of(_leaning(table, tilt_deg))
    things = find_things(picture)
    (rule,) = find_rulers(picture, things).scales
    assert rule.known is not None
    assert abs(np.degrees(np.arctan(rule.known.slope))) == pytest.approx(abs(tilt_deg), abs=1.5)
    assert not ruled_on_glass(picture, [rule], things.ground)


def test_on_a_scanners_glass_marks_stand_square():
    table, _ = _beside_one_edge(unit_mm=SIXTEENTH_MM)
    picture = picture_of(scanned(table, dpi=200))
    things = find_things(picture)
    (rule,) = find_rulers(picture, things).scales
    assert rule.known is not None
    assert rule.known.slope == 0.0
    assert ruled_on_glass(picture, [rule], things.ground)


@pytest.mark.parametrize("slope_deg", [-7.0, -3.0, -1.0, 0.0])
def test_marks_that_spread_outwards_are_a_view_that_leans(slope_deg):
    """No edge falls inwards by a few degrees, and of cameras few lean by as much as undoes a bevel."""
    seen = _seen(slope_deg)
    assert seen.lean == (seen.slope, seen.spread)


def test_marks_that_spread_inwards_a_little_tell_less_surely_how_a_view_leans():
    """An edge that rises by 8 degrees may lean back by 6."""
    lean = _seen(2.0).lean
    assert lean is not None
    assert 1.0 < np.degrees(np.arctan(lean[0])) < 1.5
    assert np.degrees(np.arctan(lean[1])) > 2.0


@pytest.mark.parametrize("slope_deg", [5.0, 8.0, 12.0, 20.0, -15.0, -25.0])
def test_a_bevelled_edge_or_a_hollow_tape_is_as_likely_as_a_view_that_leans_so_much(slope_deg):
    assert _seen(slope_deg).lean is None


def test_a_slope_within_noise_is_none():
    assert _seen(0.5, spread_deg=0.3).surely == 0.0
    assert _seen(2.0, spread_deg=0.3).surely == pytest.approx(np.tan(np.radians(2.0)))
