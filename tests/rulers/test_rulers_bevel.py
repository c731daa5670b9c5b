"""Marks along one edge of a rule tell how a camera leans across it, and where the edge may be bevelled as well its ends do."""

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
from cradle.rulers.marked_picture import MarkedPicture
from cradle.rulers.ruler import find_rulers
from cradle.rulers.ruler_ends import EndsSeen

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


def _seen(slope_deg, spread_deg=0.3, *, by_ends=None):
    """A slope that marks show."""
    slope, spread = np.tan(np.radians([slope_deg, spread_deg]))
    return SlopeSeen(slope=slope, spread=spread, focal_px=2000.0, by_ends=by_ends)


def _ends(slope_deg, *, from_mm=12.0, deep_mm=30.0):
    """Ends that show a slope, surely to half a degree."""
    slope, spread = np.tan(np.radians([slope_deg, 0.5])) / 2000.0
    return EndsSeen(widening=slope, error=spread, from_mm=from_mm, to_mm=deep_mm - 1.5, deep_mm=deep_mm)


@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("unit_mm", "turn_deg", "tilt_deg"),
    [
        (1.0, 0, -4.0),
        (1.0, 180, 4.0),
        (1.0, 180, 1.5),
        (SIXTEENTH_MM, 0, -3.0),
        (SIXTEENTH_MM, 180, 5.0),
        (1.0, 0, 4.0),  # marks spread inwards, as on a bevel: the ends tell
        (1.0, 0, 8.0),
        (1.0, 180, -6.0),
        (SIXTEENTH_MM, 0, 5.0),
    ],
)
def test_marks_along_one_edge_and_ends_tell_how_a_camera_leans_across_the_rule(
    unit_mm, turn_deg, tilt_deg, tmp_path
):
    table, piece = _beside_one_edge(unit_mm=unit_mm, turn_deg=turn_deg)
    _leaning(table, tilt_deg).save(tmp_path / "a.jpg")
    (found,) = trace_picture(tmp_path / "a.jpg", PictureSource(file="a.jpg")).pieces
    larger = np.sqrt(abs(signed_area(found.ring_mm)) / abs(signed_area(piece))) - 1
    assert larger == pytest.approx(0.0, abs=6e-3)
    assert abs(larger) < 2 * max(found.scale_share)


@pytest.mark.first_daily
@pytest.mark.parametrize("tilt_deg", [-9.0, -4.0, 4.0, 9.0])
def test_a_camera_that_leans_across_a_rule_with_one_edge_is_no_scanner(tilt_deg):
    """Also where a round number of its pixels goes to the inch, as one in twenty pictures by a camera has it."""
    table, _ = _beside_one_edge(unit_mm=SIXTEENTH_MM)
    picture = picture_of(_leaning(table, tilt_deg))
    things = find_things(picture)
    (rule,) = find_rulers(MarkedPicture(picture), things).scales
    assert rule.known is not None
    assert abs(np.degrees(np.arctan(rule.known.slope))) == pytest.approx(abs(tilt_deg), abs=1.5)
    assert not ruled_on_glass(picture, [rule], things.ground)


def test_on_a_scanners_glass_marks_stand_square():
    table, _ = _beside_one_edge(unit_mm=SIXTEENTH_MM)
    picture = picture_of(scanned(table, dpi=200))
    things = find_things(picture)
    (rule,) = find_rulers(MarkedPicture(picture), things).scales
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


@pytest.mark.parametrize("slope_deg", [-6.0, 2.0, 5.0, 8.0, 12.0])
def test_of_a_rule_whose_ends_spread_as_its_marks_do_all_is_flat(slope_deg):
    lean = _seen(slope_deg, by_ends=_ends(slope_deg)).lean
    assert lean is not None
    assert np.degrees(np.arctan(lean[0])) == pytest.approx(slope_deg, abs=0.6)
    assert np.degrees(np.arctan(lean[1])) < 1.0


@pytest.mark.parametrize("lean_deg", [-3.0, 0.0, 4.0])
def test_behind_a_bevel_ends_spread_as_the_view_leans(lean_deg):
    lean = _seen(lean_deg + 9.0, by_ends=_ends(lean_deg)).lean
    assert lean is not None
    assert np.degrees(np.arctan(lean[0])) == pytest.approx(lean_deg, abs=0.3)
    assert np.degrees(np.arctan(lean[1])) == pytest.approx(0.5, abs=0.1)


def test_an_edge_is_bevelled_no_further_in_than_half_its_rule_is_wide():
    """Of a rule 13 mm wide ends are seen where one of a wide rule would still rise."""
    narrow, wide = (
        _seen(8.0, by_ends=_ends(8.0, from_mm=5.0, deep_mm=deep_mm)).lean for deep_mm in (13.0, 24.0)
    )
    assert narrow is not None
    assert wide is not None
    assert np.degrees(np.arctan(narrow[0])) == pytest.approx(8.0, abs=0.2)
    assert wide[1] > narrow[1]


@pytest.mark.parametrize("slope_deg", [-3.0, 12.0])
def test_ends_that_are_not_cut_square_are_not_believed(slope_deg):
    assert _seen(slope_deg, by_ends=_ends(slope_deg + 20.0)).lean == _seen(slope_deg).lean


@pytest.mark.first_daily
@pytest.mark.parametrize(("over_mm", "seen"), [(155, True), (85, False), (225, False)])
def test_both_ends_must_be_seen(over_mm, seen):
    """One alone tells nothing: the rule itself may lie turned."""
    table = Table(310, 60, 8, (238, 237, 233), 3)
    rule_on(table, at_mm=(80, 44), length_mm=150, depth_mm=22)
    camera = photographed(table, size_px=(1900, 500), distance_mm=180, tilt_deg=8.0, at_mm=(over_mm, 30))
    picture = picture_of(camera)
    (rule,) = find_rulers(MarkedPicture(picture), find_things(picture)).scales
    assert rule.known is not None
    assert (len(rule.known.rows) == 2) == seen


@pytest.mark.parametrize("by_ends", [None, _ends(3.0)])
def test_marks_too_few_to_show_a_slope_tell_nothing(by_ends):
    assert SlopeSeen(slope=0.0, spread=np.inf, focal_px=2000.0, by_ends=by_ends).lean is None


def test_a_slope_within_noise_is_none():
    assert _seen(0.5, spread_deg=0.3).surely == 0.0
    assert _seen(2.0, spread_deg=0.3).surely == pytest.approx(np.tan(np.radians(2.0)))
