import numpy as np
import pytest
from stacked import circle, rectangle

from cradle.geometry import planar, region_measures
from cradle.geometry.outer_regions import outer_regions
from cradle.geometry.ring import signed_area


def test_outer_regions_leave_out_holes_and_specks_and_join_what_overlaps():
    hole, speck = circle(2.0)[::-1], circle(0.001, points=5) + 90
    lists = [[circle(10.0, points=90), hole], [], [rectangle(4, 4), rectangle(4, 4) + 2.0, speck]]
    whole = outer_regions(lists, within_mm=1e-3)
    assert region_measures.area_mm2(whole[0]) == pytest.approx(signed_area(lists[0][0]), rel=1e-3)
    assert region_measures.empty(whole[1])
    assert region_measures.area_mm2(whole[2]) == pytest.approx(28.0, rel=1e-6)


def test_a_ring_that_touches_itself_becomes_a_sound_region():
    bow = np.array([[0, 0], [4, 4], [4, 0], [0, 4]], dtype=float)  # winds round one half each way
    lobe = np.array([[0, 0], [8, 0], [8, 8], [4, 1e-7], [0, 8]], dtype=float)
    whole = outer_regions([[np.vstack([bow, [[-9.0, 2.0]]])], [lobe]], within_mm=1e-3)
    for own, area_mm2 in zip(
        whole, (22.0 + 4.0, 64.0 - 32.0), strict=True
    ):  # a kite and a triangle; a square less one
        assert region_measures.area_mm2(own) == pytest.approx(area_mm2)
        assert region_measures.area_mm2(planar.union([own, own])) == pytest.approx(area_mm2)


def test_flat_walls_stay_flat_and_round_ones_lose_points():
    # a rectangle with finely rounded corners: its long edges touch the arcs, and end where they did
    block = planar.offset(planar.region(rectangle(40, 24)), 0.5, arc_deg=0.5)
    ring = planar.outer_rings(block)[0]
    thin = planar.outer_rings(outer_regions([[ring]], within_mm=0.005)[0])[0]
    assert len(thin) < len(ring) / 4
    assert np.abs(thin[:, 1]).max() == pytest.approx(12.5, abs=1e-4)
    long = np.hypot(*(np.roll(thin, -1, axis=0) - thin).T)
    assert np.sort(long)[-4:] == pytest.approx([24, 24, 40, 40], abs=1e-5)
    away = region_measures.distances_to_boundary(ring, planar.region(thin))
    assert away.max() <= 0.005 + 1e-6


@pytest.mark.parametrize(("width", "stays"), [(0.004, False), (0.02, True)])
def test_a_slit_narrower_than_the_boundary_may_move_is_filled_and_nothing_is_taken_away(width, stays):
    # a plate of 9 by 5 mm with a slit 3 mm deep that bends half way down, and a spike that keeps its tip
    half = width / 2
    ring = [[0, 0], [9, 0], [9, 5], [7.1, 5], [7, 9], [6.9, 5]]
    slit = [[4 + half, 5], [4.2 + half, 3.5], [4 + half, 2], [4 - half, 2], [4.2 - half, 3.5], [4 - half, 5]]
    given = np.array([*ring, *slit, [0, 5]], dtype=float)
    (made,) = outer_regions([[given]], within_mm=0.005)
    own = planar.region(given)
    assert region_measures.area_mm2(planar.without(own, made)) < 1e-3
    more = region_measures.area_mm2(planar.without(made, own))
    assert (more < 1e-3) if stays else (more == pytest.approx(3 * width, rel=0.1))
