"""Rings with common points: every vertex kept, counts moderate, nothing lost on the way up."""

import numpy as np
import pytest
import shapely
from bodies import bracket, ellipse, gear, keyhole, pebble, rectangle, section

from cradle.geometry import planar, region_measures
from cradle.geometry.ring import signed_area
from cradle.matching.rings import match_sections
from cradle.tolerances import TOLERANCES


def farthest_from_points(points, ring):
    return np.sqrt(((points[:, None] - ring[None]) ** 2).sum(axis=2).min(axis=1)).max()


STACKS = {
    "rectangles": [rectangle(20, 10), rectangle(10, 20), rectangle(30, 30)],
    "square to circle": [rectangle(20, 20), ellipse(12, 12, points=97)],
    "brackets": [bracket(10), bracket(11) + [1, 2], bracket(9)],
    "gears": [gear(20), gear(24, turn=0.1), gear(22, turn=0.05)],
    "keyhole to oval": [keyhole(10, 8, 12), ellipse(14, 12, points=120)],
    "pebbles": [pebble(i, points=140 + i, turn=0.01 * i) for i in range(6)],
}


@pytest.mark.parametrize("name", STACKS)
def test_every_vertex_is_a_point_of_its_ring_and_rings_keep_to_their_sections(name):
    outlines = STACKS[name]
    stack = match_sections([section(10 * i, p) for i, p in enumerate(outlines)])
    assert stack.rings_mm.shape[0] == len(outlines)
    for outline, ring in zip(outlines, stack.rings_mm, strict=True):
        assert farthest_from_points(outline, ring) < 1e-12
        assert region_measures.distances_to_boundary(ring, planar.region(outline)).max() < 1e-9
        assert signed_area(ring) == pytest.approx(signed_area(outline), rel=1e-12)
        assert np.hypot(*(np.roll(ring, -1, axis=0) - ring).T).min() > 0
    assert region_measures.are_simple(stack.rings_mm).all()


@pytest.mark.parametrize("count", [2, 10, 40])
def test_columns_follow_the_densest_section_not_the_number_of_sections(count):
    outlines = [pebble(3, points=150, size=30 + 0.1 * i, turn=0.377 * i) for i in range(count)]
    stack = match_sections([section(i, p) for i, p in enumerate(outlines)])
    assert 150 <= stack.rings_mm.shape[1] <= 240


def test_plenty_of_points_are_thinned_within_a_quarter_of_the_chord_tolerance():
    fine = ellipse(40, 30, points=2000)
    stack = match_sections([section(0, fine), section(10, fine * 1.1)])
    ring = stack.rings_mm[0]
    assert 200 < len(ring) < 700
    miss = region_measures.distances_to_boundary(fine, planar.region(ring)).max()
    assert 0 < miss <= TOLERANCES.chord_mm / 4 * (1 + 1e-9)


def test_columns_of_many_points_neither_multiply_nor_waver_and_pass_within_the_section_tolerance():
    # each section is the same form, its vertices elsewhere
    outlines = [ellipse(40 + 0.2 * i, 30, points=500 + 37 * i) for i in range(16)]
    stack = match_sections([section(i, p) for i, p in enumerate(outlines)])
    rings = stack.rings_mm
    assert rings.shape[1] <= 1.2 * match_sections([section(0, outlines[-1])]).rings_mm.shape[1]
    assert np.abs(np.diff(rings, n=2, axis=0)).max() < 0.05
    for outline, ring in zip(outlines, rings, strict=True):
        assert (
            region_measures.distances_to_boundary(outline, planar.region(ring)).max() <= TOLERANCES.section_mm
        )
        assert (
            region_measures.distances_to_boundary(ring, planar.region(outline)).max() <= TOLERANCES.section_mm
        )


def test_corners_among_many_points_stay_corners():
    square = rectangle(20, 20)
    fine = np.concatenate(
        [
            np.linspace(a, b, 150, endpoint=False)
            for a, b in zip(square, np.roll(square, -1, axis=0), strict=True)
        ]
    )
    outlines = [ellipse(12, 12, points=600), fine] * 10
    stack = match_sections([section(i, p) for i, p in enumerate(outlines)])
    for ring in stack.rings_mm[1::2]:
        assert (
            region_measures.distances_to_boundary(square, planar.region(ring)).max() <= TOLERANCES.section_mm
        )


def test_clockwise_and_counter_clockwise_sections_give_the_same_rings():
    one = match_sections([section(0, pebble(1)), section(5, pebble(2))])
    other = match_sections([section(0, pebble(1)[::-1]), section(5, np.roll(pebble(2), 40, axis=0))])
    assert one.rings_mm.shape[1] >= 150
    assert np.abs(one.rings_mm - other.rings_mm).max() < 1e-9


def test_names_heights_and_outlines_come_along():
    stack = match_sections(
        [section(1, rectangle(2, 2), name="low"), section(5, rectangle(3, 3), name="high")]
    )
    assert stack.names == ("low", "high")
    assert list(stack.heights_mm) == [1, 5]
    assert [len(p) for p in stack.outlines_mm] == [4, 4]
    assert not stack.rings_mm.flags.writeable


def test_one_section_is_its_own_ring():
    stack = match_sections([section(3, bracket(10))])
    assert stack.rings_mm.shape == (1, 6, 2)


def test_rings_of_many_rough_outlines_pass_within_the_section_tolerance():
    """Vertices are spared where the line between columns passes them; a column that another gets turns that line."""
    outlines = []
    for i in range(21):
        angle = (np.arange(500) + 0.37 * i) * 2 * np.pi / 500
        reach = 40 + 3 * np.cos(3 * angle + 0.05 * i) + np.random.default_rng(i).uniform(-0.03, 0.03, 500)
        outlines.append(np.column_stack([reach * np.cos(angle), 0.7 * reach * np.sin(angle)]))
    stack = match_sections([section(5 * i, outline) for i, outline in enumerate(outlines)])
    assert stack.rings_mm.shape[1] < 1000
    for outline, ring in zip(outlines, stack.rings_mm, strict=True):
        away = shapely.distance(shapely.linearrings(ring), shapely.points(outline))  # shapely
        assert away.max() <= TOLERANCES.section_mm
