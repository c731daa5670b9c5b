from dataclasses import replace

import numpy as np
import pytest
from section_shapes import outline

from cradle.errors import SectionError
from cradle.geometry.ring import perimeter, signed_area, size, turned
from cradle.sections.half import mirror_half, mirror_half_as_drawn

ARC = np.radians(np.linspace(-90, 90, 91))
HALF_DISC = np.column_stack([20 * np.cos(ARC), 20 * np.sin(ARC)])  # right of x = 0, open


def same_ring(a, b, tol=1e-9):
    return len(a) == len(b) and all(np.hypot(*(b - p).T).min() < tol for p in a)


def test_an_open_half_disc_becomes_a_disc():
    half = mirror_half(outline(HALF_DISC, open_ends=True))
    assert len(half.points_mm) == 180
    assert np.hypot(*half.points_mm.T) == pytest.approx(20)
    assert signed_area(half.points_mm) == pytest.approx(2 * signed_area(HALF_DISC))
    assert half.angle_deg == 90
    assert half.findings == ()


@pytest.mark.parametrize("points", [HALF_DISC, HALF_DISC[::-1]])
@pytest.mark.parametrize("roll", [0, 1, 40])
def test_a_closed_half_gives_the_same_as_an_open_one(points, roll):
    # points on the edge
    edge = np.column_stack([np.zeros(9), np.linspace(points[-1, 1], points[0, 1], 11)[1:-1]])
    closed = np.roll(np.concatenate([points, edge]), roll, axis=0)
    half = mirror_half(outline(closed))
    assert same_ring(half.points_mm, mirror_half(outline(HALF_DISC, open_ends=True)).points_mm)


def test_both_sides_mirror_exactly():
    points = np.array([[3.0, -10], [14, -9], [17, 2], [9, 12], [3, 15]])
    ring = mirror_half(outline(points, open_ends=True)).points_mm
    image = np.column_stack([6 - ring[:, 0], ring[:, 1]])
    assert same_ring(ring, image, tol=1e-12)
    assert len(ring) == 8
    assert ring[:, 0].min() == pytest.approx(-11)


def test_a_half_above_a_level_line():
    points = turned(HALF_DISC, angle_deg=90) * np.array([1.5, 1.0]) + [5, 7]
    half = mirror_half(outline(points, open_ends=True))
    assert half.angle_deg == 0
    assert half.line_mm == pytest.approx([5, 7])
    assert size(half.points_mm) == pytest.approx((60, 40))


@pytest.mark.parametrize("lean", [-7.0, 2.5, 9.9])
def test_scan_skew_is_squared_up_and_told(lean):
    points = turned(HALF_DISC * [1.0, 1.3], angle_deg=lean)
    half = mirror_half(outline(points, open_ends=True))
    straight = mirror_half(outline(HALF_DISC * [1.0, 1.3], open_ends=True))
    assert same_ring(half.points_mm, straight.points_mm, tol=1e-9)
    assert [f.code for f in half.findings] == ["half-squared-up"]
    assert half.findings[0].measured == pytest.approx(abs(lean))
    image = half.points_mm * [-1.0, 1.0] + [2 * half.line_mm[0], 0]
    assert same_ring(half.points_mm, image, tol=1e-12)


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize("off_mm", [-0.2, 0.1, 0.2])
def test_a_troughs_half_is_not_turned_by_a_tenth_of_a_millimetre_at_one_end(off_mm, side):
    """Its ends are 3 mm apart, where 0.1 mm is two degrees, and 0.8 mm at its edge."""
    around = np.radians(np.linspace(-90, -20, 71))
    arc = np.column_stack([np.cos(around), np.sin(around)])
    drawn = np.concatenate([24 * arc, 21 * arc[::-1]]) * [side, 1]
    askew = drawn.copy()
    askew[-1, 0] += off_mm
    half = mirror_half(outline(askew, open_ends=True))
    true = mirror_half(outline(drawn, open_ends=True))
    assert size(half.points_mm) == pytest.approx(size(true.points_mm), abs=0.25)
    assert np.abs(half.points_mm - true.points_mm).max() < 0.25
    elsewhere = mirror_half(outline(askew + [30.0, -12.0], open_ends=True))
    assert elsewhere.points_mm == pytest.approx(half.points_mm + [30.0, -12.0], abs=1e-9)


def test_more_skew_is_refused_but_kept_as_drawn():
    leaning = outline(turned(HALF_DISC, angle_deg=25), open_ends=True)
    with pytest.raises(SectionError, match=r"leans 25\.0°, up to 10° allowed"):
        mirror_half(leaning, where='section "low"')
    whole = mirror_half_as_drawn(leaning, where="half outline")
    assert whole.angle_deg == pytest.approx(115)
    assert np.hypot(*whole.points_mm.T) == pytest.approx(20)  # the disc again, about its own middle
    assert signed_area(whole.points_mm) == pytest.approx(2 * signed_area(HALF_DISC))


def test_one_straight_edge_is_mirrored_about_without_a_word():
    assert mirror_half(outline(HALF_DISC)).findings == ()


def test_a_crossing_half_is_refused_with_the_place():
    points = np.array([[0.0, -20], [15, -10], [-3, 0], [15, 10], [0, 20]])
    with pytest.raises(
        SectionError, match=r"section \"mid\": .*crosses its mirror line.*\(-3\.00, 0\.00\) lies 3\.000"
    ):
        mirror_half(outline(points, open_ends=True), where='section "mid"')


def test_a_half_that_was_cut_and_traced_has_an_edge_as_straight_as_hands_cut():
    """To 0.2 mm: it was refused, as it crossed or touched its mirror line between its ends."""
    along = np.linspace(20, -20, 80)[1:-1]
    cut = np.concatenate([HALF_DISC, np.column_stack([0.2 * np.sin(along), along])])
    traced = replace(outline(cut), edge_mm=0.05)
    assert size(mirror_half(traced).points_mm) == pytest.approx((40, 40), abs=0.3)
    with pytest.raises(SectionError, match="mirror line"):
        mirror_half(outline(cut))  # as drawn it is none


def test_a_touching_half_is_refused_with_the_place():
    points = np.array([[0.0, -20], [15, -10], [0, 1], [15, 10], [0, 20]])
    with pytest.raises(SectionError, match=r"touches its mirror line between its ends, at \(0\.00, 1\.00\)"):
        mirror_half(outline(points, open_ends=True))


def test_a_straight_line_is_no_half():
    with pytest.raises(SectionError):
        mirror_half(outline(np.array([[0.0, 0], [0, 5], [0, 10]]), open_ends=True))


def test_the_edge_on_an_axis_is_preferred_to_a_longer_one():
    half_box = np.array([[0.0, -15], [40, -15], [40, 15], [0, 15]])
    half = mirror_half(outline(half_box))
    assert size(half.points_mm) == pytest.approx((80, 30))
    assert "half-edge-doubtful" in {f.code for f in half.findings}


def test_without_an_axis_the_longest_edge_counts_and_a_tie_is_told():
    half = mirror_half(outline(np.array([[5.0, 3], [15, 3], [15, 33], [5, 33]])))
    assert size(half.points_mm) == pytest.approx((20, 30))
    assert [str(f.severity) for f in half.findings] == ["warn"]
    assert perimeter(half.points_mm) == pytest.approx(100)


@pytest.mark.parametrize(("left_out", "told"), [((0, -1), "3.0 mm"), ((0,), "0.0 and 3.0 mm"), ((), None)])
@pytest.mark.parametrize("quarter", [0, 90])
def test_a_half_whose_points_on_the_middle_line_were_left_out_is_told(left_out, told, quarter):
    arc = np.radians(np.linspace(-90, 90, 22))
    points = np.delete(np.column_stack([20 * np.cos(arc), 20 * np.sin(arc)]), left_out, axis=0)
    found = mirror_half(outline(turned(points, angle_deg=quarter), open_ends=True)).findings
    words = [f.message for f in found if f.code == "half-ends-beside-zero"]
    assert len(words) == (told is not None)
    if told:
        line = "y" if quarter else "x"
        assert f"the half ends {told} beside {line} = 0" in words[0]


@pytest.mark.parametrize("away", [-40.0, 15.0, 60.0])
def test_a_half_drawn_somewhere_on_the_page_is_not_held_against_zero(away):
    found = mirror_half(outline(HALF_DISC + [away, 0.0], open_ends=True)).findings
    assert "half-ends-beside-zero" not in {f.code for f in found}
