"""Columns and their segments: against SciPy, plane geometry and shapely."""

from itertools import pairwise

import numpy as np
import pytest
import shapely
from bodies import ellipse, rectangle
from scipy.interpolate import PchipInterpolator

from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.ring import vertices
from cradle.loft.columns import Columns, extents_of, segments_of
from cradle.loft.interpolate import monotone_slopes
from cradle.loft.pieces import Piece, common_rings_of
from cradle.loft.unlike import levels_between
from cradle.matching.ring_stack import RingStack

HEIGHTS = np.array([0.0, 10.0, 25.0, 32.0])
RINGS = np.array([ellipse(a, b, points=60) for a, b in ((20, 14), (24, 15), (16, 18), (17, 12))])


def stack_of(heights, rings):
    return RingStack(
        heights_mm=frozen(heights), rings_mm=frozen(rings), names=tuple(f"at {h:g}" for h in heights)
    )


def test_straight_columns_of_a_cone_have_the_radius_of_similar_triangles():
    cone = Columns(
        heights_mm=HEIGHTS[:2], rings_mm=np.array([ellipse(10, 10), ellipse(20, 20)]), smooth=False
    )
    wanted = np.array([-5.0, 0.0, 2.5, 5.0, 10.0, 99.0])
    reach = np.hypot(*np.moveaxis(cone.at(wanted), 2, 0))
    assert reach == pytest.approx(np.clip(10 + wanted, 10, 20)[:, None] + np.zeros(360), abs=1e-12)


def test_smooth_columns_are_those_of_a_reference_library():
    smooth = Columns(heights_mm=HEIGHTS, rings_mm=RINGS, smooth=True)
    reference = PchipInterpolator(HEIGHTS, RINGS, axis=0)  # SciPy
    fine = np.linspace(0, 32, 500)
    assert smooth.at(fine) == pytest.approx(reference(fine), abs=1e-9)


def test_a_stack_is_one_segment_but_for_the_gaps_that_levels_lead():
    stack = stack_of(HEIGHTS, RINGS)
    (whole,) = segments_of(stack, smooth=True, levels={})
    assert whole.smooth
    assert whole.heights_mm.tolist() == HEIGHTS.tolist()
    levels = levels_between(
        RINGS[1],
        RINGS[2],
        low_mm=10.0,
        high_mm=25.0,
        rings_at=lambda z: whole.at(np.array([z]))[0],
        extents_at=lambda z: np.array([RINGS[1].min(axis=0), RINGS[1].max(axis=0)]),
    )
    parts = segments_of(stack, smooth=True, levels={1: levels})
    assert [part.smooth for part in parts] == [True, *[False] * (len(levels.heights_mm) + 1), True]
    ends = [0, 10, *levels.heights_mm, 25, 32]
    assert [part.heights_mm[[0, -1]].tolist() for part in parts] == [list(pair) for pair in pairwise(ends)]
    for below, above in pairwise(parts):  # the same outline ends one and begins the other
        low, high = (shapely.polygons(ring) for ring in (below.rings_mm[-1], above.rings_mm[0]))
        assert shapely.area(shapely.symmetric_difference(low, high)) < 1e-6


def test_plain_sections_get_none_of_the_columns_that_a_dense_one_beyond_levels_asks_for():
    plain = [np.concatenate([np.linspace(a, b, 50, endpoint=False) for a, b in pairwise([*ring, ring[0]])])
             for ring in (rectangle(60, 1), rectangle(40, 30))]  # fmt: skip
    stack = stack_of(HEIGHTS[:3], np.array([*plain, ellipse(20, 14, points=200)]))
    whole = segments_of(stack, smooth=False, levels={})[0]
    assert whole.rings_mm.shape == (3, 200, 2)  # every vertex of any section has its column
    levels = levels_between(
        rectangle(40, 30),
        stack.rings_mm[2],
        low_mm=10.0,
        high_mm=25.0,
        rings_at=lambda z: whole.at(np.array([z]))[0],
        extents_at=lambda z: np.array([[-20.0, -15.0], [20.0, 15.0]]),
    )
    below = segments_of(stack, smooth=False, levels={1: levels})[0]
    assert below.heights_mm.tolist() == [0.0, 10.0]
    assert below.rings_mm == pytest.approx(np.array([rectangle(60, 1), rectangle(40, 30)]), abs=1e-9)


def test_extents_are_those_of_the_rings_at_their_heights():
    parts = [
        Columns(heights_mm=HEIGHTS[:2], rings_mm=RINGS[:2], smooth=False),
        Columns(heights_mm=HEIGHTS[1:], rings_mm=RINGS[1:], smooth=False),
    ]
    found = extents_of(parts)(np.array([5.0, 17.5, 32.0]))
    # half axes half way between the sections' own, by hand
    for (least, greatest), (a, b) in zip(found, ((22, 14.5), (20, 16.5), (17, 12)), strict=True):
        assert greatest == pytest.approx([a, b], abs=0.02)
        assert least == pytest.approx([-a, -b], abs=0.02)


def test_vertices_are_what_a_reference_library_leaves_of_a_ring():
    corners = rectangle(30, 20)
    dense = np.concatenate(
        [np.linspace(a, b, 7)[:-1] for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)]
    )
    kept = vertices(dense)
    simple = shapely.get_coordinates(shapely.simplify(shapely.polygons(dense), 1e-9))[:-1]
    assert (
        {tuple(p) for p in kept.tolist()}
        == {tuple(p) for p in simple.tolist()}
        == {tuple(p) for p in corners.tolist()}
    )
    assert vertices(RINGS[0]) is not None
    assert len(vertices(RINGS[0])) == 60


def test_columns_through_all_pieces_stay_near_every_ring():
    pieces = [
        Piece(HEIGHTS[:2], RINGS[:2]),
        Piece(HEIGHTS[1:3], np.array([ellipse(24, 15, points=90), ellipse(16, 18, points=90)])),
    ]
    heights, rings = common_rings_of(pieces)
    assert heights.tolist() == [0.0, 10.0, 25.0]
    for ring, given in zip(rings, (RINGS[0], RINGS[1], pieces[1].rings_mm[1]), strict=True):
        away = shapely.hausdorff_distance(shapely.linearrings(ring), shapely.linearrings(given), densify=0.1)
        assert away < 0.15  # 0.1 mm as promised, and what shapely's own sampling of 10 % of an edge adds


def test_a_ring_is_told_from_the_nodes_beside_it_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Else each of the rings that are asked for between many sections costs as much as all of these."""
    rng = np.random.default_rng(4)
    nodes = np.cumsum(rng.uniform(1.0, 5.0, 100))
    columns = Columns(heights_mm=nodes, rings_mm=rng.uniform(-20, 20, (100, 30, 2)), smooth=True)
    at = np.array([nodes[0], nodes[0] + 0.3, nodes[40] + 0.7, nodes[57], nodes[-1] - 0.2, nodes[-1]])
    whole = columns.at(at)
    looked_at = []

    def counted(heights: Floats, values: Floats) -> Floats:
        looked_at.append(len(heights))
        return monotone_slopes(heights, values)

    monkeypatch.setattr("cradle.loft.columns.monotone_slopes", counted)
    assert (np.concatenate([columns.at(at[k : k + 1]) for k in range(len(at))]) == whole).all()
    assert len(looked_at) == len(at)
    assert max(looked_at) <= 4
