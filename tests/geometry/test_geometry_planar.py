import numpy as np
import pytest
import shapely
from stacked import circle, rectangle, slotted

from cradle.geometry import planar, region_measures
from cradle.geometry.ring import signed_area

ELL = np.array([[0, 0], [60, 0], [60, 30], [30, 30], [30, 60], [0, 60]], dtype=float)


def test_offset_rectangle_round_and_mitred():
    # A + P r + pi r² and the mitred rectangle (Steiner's formula in the plane); confirmed with GEOS
    area = planar.region(rectangle(60, 40))
    assert region_measures.area_mm2(planar.offset(area, 2.0, arc_deg=0.1)) == pytest.approx(
        2812.5664, rel=1e-6
    )
    assert region_measures.area_mm2(planar.widened(area, 2.0)) == pytest.approx(2816.0, rel=1e-9)


def test_offset_with_a_reflex_corner():
    # L of 60 x 60 less 30 x 30, r 2: five convex corners, one reflex; confirmed with GEOS
    assert region_measures.area_mm2(planar.offset(planar.region(ELL), 2.0, arc_deg=0.1)) == pytest.approx(
        3191.7080, rel=1e-6
    )


@pytest.mark.parametrize("arc_deg", [5.0, 11.25, 30.0])
def test_a_coarse_offset_is_never_too_small(arc_deg):
    ring = circle(10, points=7)
    grown = planar.offset(planar.region(ring), 2.0, arc_deg=arc_deg)
    away = region_measures.distances_to_boundary(ring, grown)
    assert away.min() >= 2.0 * (1 - 1e-4)
    assert away.max() < 2.0 / np.cos(np.radians(arc_deg))


def test_a_slot_closes_when_the_offset_reaches_half_its_width():
    # reach of a slot of width w is w / 2: Federer, Curvature measures, Trans. AMS 93 (1959)
    slot = 4.0
    c_shape = slotted(slot)
    region = planar.region(c_shape)
    mouth = np.array([[25.0, 10 + slot / 2]])
    assert not region_measures.inside(mouth, planar.offset(region, slot / 2 - 0.01, arc_deg=1))[0]
    assert region_measures.inside(mouth, planar.offset(region, slot / 2 + 0.01, arc_deg=1))[0]


@pytest.mark.parametrize("ring", [ELL, circle(5, points=30), rectangle(3, 4)])
def test_triangulation_fills_the_ring_with_its_own_points(ring):
    faces = planar.triangulate(ring)
    assert faces.shape == (len(ring) - 2, 3)
    a, b, c = ring[faces].transpose(1, 0, 2)
    areas = 0.5 * ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0])
    assert (areas > 0).all()
    assert areas.sum() == pytest.approx(signed_area(ring))


@pytest.mark.parametrize("thin_mm", [1e-16, 1e-13, 1e-8])
def test_triangles_of_a_flat_ring_run_the_same_way_round_and_join(thin_mm):
    rng, tried = np.random.default_rng(3), 0
    for _ in range(60):
        low, high = (np.sort(rng.uniform(0, 1, 9)) for _ in range(2))
        sides = [
            np.column_stack([low, -thin_mm * rng.random(9)]),
            np.column_stack([high, thin_mm * rng.random(9)]),
        ]
        ring = np.concatenate([sides[0], sides[1][::-1]]) @ [[0.6, 0.8], [-0.8, 0.6]]
        if not region_measures.are_simple([ring])[0]:
            continue
        faces = planar.triangulate(ring)
        sides = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]).tolist()
        border = [(k, (k + 1) % len(ring)) for k in range(len(ring))]
        inner = {tuple(side) for side in sides} - set(border)
        assert len(sides) == len(border) + len(inner)  # no side is used twice the same way
        assert {side[::-1] for side in inner} == inner
        tried += 1
    assert tried > 10


def test_holes_are_told_and_left_out_of_outer_rings():
    plate = planar.without(planar.region(rectangle(10, 10)), planar.region(rectangle(4, 4)))
    assert [signed_area(r) for r in planar.outer_rings(plate)] == [100]
    assert [signed_area(r) for r in planar.holes(plate)] == [16]


def test_filling_holes_keeps_the_outside():
    area = planar.region_even_odd([rectangle(20, 10), rectangle(4, 4)])
    assert region_measures.area_mm2(planar.filled(area)) == pytest.approx(200.0)
    assert region_measures.area_mm2(planar.filled(planar.region(rectangle(3, 3)))) == pytest.approx(9.0)


def test_a_ring_that_crosses_itself_encloses_what_it_goes_around():
    # a bow tie of two triangles of 1 mm² each, and a square of 1 mm² that shares 0.75 mm² with one of them, by hand
    tie = np.array([[0.0, 0.0], [2.0, 2.0], [2.0, 0.0], [0.0, 2.0]])
    square = np.array([[1.0, 0.5], [2.0, 0.5], [2.0, 1.5], [1.0, 1.5]])
    assert region_measures.area_mm2(planar.region_even_odd([tie])) == pytest.approx(2)
    assert region_measures.area_mm2(planar.region_even_odd([tie, square])) == pytest.approx(2 + 1 - 2 * 0.75)


def test_where_rings_that_cross_themselves_cannot_be_cut_each_stands_for_all_that_it_goes_around():
    rng = np.random.default_rng(5)
    failed = 0
    for _ in range(40):
        a, b = (planar.region(rng.normal(size=(12, 2)).cumsum(axis=0)) for _ in "ab")
        try:
            shapely.difference(a, b)
        except shapely.errors.GEOSException:
            failed += 1
            left, cut = planar.without(a, b), planar.common(planar.made_sound(a), planar.made_sound(b))
            assert region_measures.area_mm2(left) + region_measures.area_mm2(cut) == pytest.approx(
                region_measures.area_mm2(planar.made_sound(a))
            )
    assert failed > 5
