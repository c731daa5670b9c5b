"""What the way out opens, on stacks whose sweep is known."""

import numpy as np
import pytest
from stacked import UP, circle, rectangle

from cradle.geometry import planar, region_measures
from cradle.pocket.budget import FINEST
from cradle.pocket.sweep import Sweep
from cradle.pocket.undercut import undercut
from cradle.pocket.way_out import easiest_direction


def levels_of(rings):
    return np.array([planar.region(ring) for ring in rings], dtype=object)


def test_a_square_moved_aside_sweeps_the_hexagon_between():
    """The Minkowski sum of a square and the way it went: area a² + a (|dx| + |dy|)."""
    heights = np.arange(0.0, 10.5, 0.5)
    below = [rectangle(10, 10)] + [rectangle(0.2, 0.2)] * (len(heights) - 1)
    direction = np.array([0.3, 0.2, 1.0]) / np.linalg.norm([0.3, 0.2, 1.0])
    opened = Sweep.along(direction).opened(levels_of(below), heights_mm=heights)
    middle = region_measures.bounds(opened[-1])
    assert middle == pytest.approx([-5 + 3.0, -5 + 2.0, 5 + 3.0, 5 + 2.0], abs=0.01)
    # the square itself, moved: nothing under it
    assert region_measures.area_mm2(opened[-1]) == pytest.approx(100, abs=0.1)
    assert region_measures.area_mm2(
        planar.without(planar.region(rectangle(0.19, 0.19)), opened[-1])
    ) == pytest.approx(0)


def test_what_is_below_is_carried_aside_by_as_much_as_it_rises():
    slope = np.array([0.3, -0.2])
    below, above = levels_of([rectangle(10, 10)] * 2), levels_of([rectangle(0.2, 0.2)] * 2)
    rises = np.array([0.5, 4.0])
    opened = Sweep.along(np.append(slope, 1.0) / np.linalg.norm([*slope, 1.0])).with_what_is_below(
        above, below, rises_mm=rises
    )
    for area, rise in zip(opened, rises, strict=True):
        x, y = slope * rise
        assert region_measures.bounds(area) == pytest.approx([x - 5, y - 5, x + 5, y + 5], abs=0.01)


def test_holes_are_filled_and_what_is_wider_below_stays_open_above():
    ring = planar.without(planar.region(circle(10)), planar.region(circle(4)))
    levels = np.array([ring, planar.region(circle(6))], dtype=object)
    opened = Sweep.along(UP).opened(levels, heights_mm=np.array([0.0, 1.0]))
    for area in opened:
        assert not planar.holes(area)
        assert region_measures.area_mm2(area) == pytest.approx(
            region_measures.area_mm2(planar.region(circle(10))), rel=1e-3
        )


def test_the_undercut_of_a_mushroom_is_the_step_under_its_hat():
    """A foot of radius 12 under a neck of 9, 10 mm high: 3 mm deep, π (12² − 9²) · 10 filled."""
    heights = np.array([0.0, 5.0, 5.001, 15.0])
    grown = levels_of([circle(12), circle(12), circle(9), circle(9)])
    opened = Sweep.along(UP).opened(grown, heights_mm=heights)
    found = undercut(grown, opened, heights_mm=heights)
    assert found.depth_mm == pytest.approx(3.0, abs=0.01)
    extra = region_measures.area_mm2(opened) - region_measures.area_mm2(grown)
    assert np.trapezoid(extra, heights) == pytest.approx(np.pi * (144 - 81) * 10, rel=2e-3)
    assert found.place_mm[2] > 5
    assert np.hypot(*found.place_mm[:2]) == pytest.approx(12, abs=0.01)


def round_box(width, depth):
    return planar.hull_ring((rectangle(width, depth)[:, None] + circle(3)[None]).reshape(-1, 2))


@pytest.mark.parametrize("count", [25, 75])
def test_the_scallops_that_levels_leave_are_filled_and_nothing_else(count):
    """A box with round edges that is broad below and deep above: its round edges sweep straight diagonals."""
    parts = np.linspace(0.0, 1.0, count)
    grown = levels_of([round_box(60 - 40 * part, 20 + 40 * part) for part in parts.tolist()])
    opened = Sweep.along(UP).opened(grown, heights_mm=60 * parts)
    exact = planar.union(grown)
    added = region_measures.area_mm2(planar.without(opened[-1], exact))
    lacking = region_measures.area_mm2(planar.without(exact, opened[-1]))
    length = float(region_measures.perimeter_mm(opened[-1:])[0])
    assert added < FINEST.valley_mm * length
    assert lacking < FINEST.swept_mm * length
    corners = len(planar.outer_rings(opened[-1])[0])
    # round edges of 3 mm leave scallops of s²/(8 · 3 mm), s apart: 0.006 mm of 75 levels, 0.05 mm of 25
    own = len(planar.outer_rings(grown[-1])[0])
    assert (corners < 0.3 * own) == (count == 75)


@pytest.mark.first_daily
@pytest.mark.parametrize("count", [3, 12, 200])
@pytest.mark.parametrize("slope", [(0.4, 0.0), (-0.2, 0.3)])
def test_an_upright_prism_drawn_out_aslant_sweeps_its_sum_with_the_way_however_many_levels(count, slope):
    """The Minkowski sum of a convex outline and a segment is the hull of both ends: between levels nothing juts into the way."""
    heights = np.linspace(0.0, 40.0, count)
    outline = round_box(20, 14)
    direction = np.array([*slope, 1.0]) / np.linalg.norm([*slope, 1.0])
    opened = Sweep.along(direction).opened(levels_of([outline] * count), heights_mm=heights)
    for height, area in zip(heights.tolist(), opened, strict=True):
        exact = planar.region(planar.hull_ring(np.concatenate([outline, outline + np.array(slope) * height])))
        assert region_measures.nearly_covers(area, exact, within_mm=2 * FINEST.swept_mm)
        assert region_measures.nearly_covers(exact, area, within_mm=FINEST.valley_mm)


def test_a_cone_that_widens_upwards_has_none():
    heights = np.linspace(0, 20, 9)
    grown = levels_of([circle(10 + h / 4) for h in heights])
    found = undercut(grown, Sweep.along(UP).opened(grown, heights_mm=heights), heights_mm=heights)
    assert (found.depth_mm, found.place_mm) == (0.0, None)


@pytest.mark.parametrize("slope", [(0.0, 0.0), (0.12, 0.0), (-0.08, 0.15)])
def test_a_leaning_prism_is_drawn_out_along_itself(slope):
    heights = np.linspace(0, 30, 16)
    levels = levels_of([rectangle(20, 14) + np.array(slope) * h for h in heights])
    found = easiest_direction(levels, heights_mm=heights)
    assert np.linalg.norm(found) == pytest.approx(1)
    assert np.degrees(np.arctan(np.abs(found[:2] / found[2] - slope))) == pytest.approx([0, 0], abs=0.4)


def test_the_deepest_undercut_is_found_where_others_are_nearly_as_deep():
    """A thorn of one point in a foot's outline, under seven necks 3 mm narrower and one that is narrower still."""
    foot = circle(12)
    foot[333] *= 12.8 / 12
    grown = levels_of([foot] + [circle(9)] * 7 + [circle(8.9)])
    opened = levels_of([foot] * 8 + [circle(12)])
    found = undercut(grown, opened, heights_mm=np.arange(9.0))
    assert found.depth_mm == pytest.approx(3.8, abs=0.01)
    assert found.place_mm[:2] == pytest.approx(foot[333])
    assert [depth for _, depth in found.by_height_mm[1:8]] == pytest.approx([3.8] * 7, abs=0.01)
