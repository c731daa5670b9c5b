import numpy as np
import pytest
from sampling import euler_characteristic
from stacked import circle, rectangle

from cradle.geometry import planar
from cradle.geometry.mesh import edge_statistics, volume_mm3
from cradle.geometry.solid import cut_regions, solid
from cradle.geometry.widening import widening_mesh


def areas(*regions):
    return np.array(regions, dtype=object)


def test_a_frustum_has_the_volume_of_euclid():
    # h/3 (A + sqrt(A B) + B) (Euclid, Elements XII, Heron); regular polygons of 360 corners
    low, high = planar.region(circle(10, points=360)), planar.region(circle(20, points=360))
    a, b = planar.area_mm2(low), planar.area_mm2(high)
    mesh = widening_mesh(np.array([0.0, 5.0]), areas(low, high))
    assert edge_statistics(mesh).closed
    assert euler_characteristic(mesh) == 2
    assert volume_mm3(mesh) == pytest.approx(5 / 3 * (a + np.sqrt(a * b) + b), rel=1e-4)


def test_levels_that_are_alike_make_an_upright_prism():
    area = planar.region(rectangle(10, 6))
    mesh = widening_mesh(np.array([0.0, 1.0, 4.0]), areas(area, area, area))
    assert edge_statistics(mesh).closed
    assert volume_mm3(mesh) == pytest.approx(240)


@pytest.mark.parametrize("shift", [(0, 0), (3, 0), (2, 1.5)])
def test_a_level_may_keep_part_of_the_outline_below_and_leave_the_rest(shift):
    # the upper level shares edges, or touches at a corner, or crosses edges of the lower one half way along
    low = planar.region(rectangle(10, 6))
    high = planar.union([low, planar.region(rectangle(10, 6) + shift)])
    mesh = widening_mesh(np.array([0.0, 2.0]), areas(low, high))
    assert edge_statistics(mesh).closed
    assert 2 * planar.area_mm2(low) <= volume_mm3(mesh) + 1e-9 <= 2 * planar.area_mm2(high) + 2e-9
    (half,) = cut_regions(solid(mesh, where="widening"), np.array([1.0]))
    assert planar.area_mm2(planar.without(low, half)) == pytest.approx(0, abs=1e-6)
    assert planar.area_mm2(planar.without(half, high)) == pytest.approx(0, abs=1e-6)


def test_pieces_may_begin_on_any_level_and_grow_together():
    # in the middle a second piece stands on its own floor; at the top one region covers both
    left, right = rectangle(4, 4) - [5, 0], rectangle(4, 4) + [5, 0]
    levels = areas(
        planar.region(left),
        planar.union([planar.region(left), planar.region(right)]),
        planar.region(rectangle(16, 6)),
    )
    mesh = widening_mesh(np.array([0.0, 2.0, 3.0]), levels)
    assert edge_statistics(mesh).closed
    body = solid(mesh, where="widening")
    below, above = cut_regions(body, np.array([2.0 - 1e-6, 2.0 + 1e-6]))
    assert planar.area_mm2(below) == pytest.approx(16)
    assert planar.area_mm2(planar.without(levels[1], above)) == pytest.approx(
        0, abs=1e-3
    )  # cuts leave out specks


def test_corners_are_joined_to_corners_that_look_the_same_way():
    # a square inside another one turned by nothing: the wall has four flat sides, each a trapezium
    low, high = planar.region(rectangle(10, 10)), planar.region(rectangle(14, 14))
    mesh = widening_mesh(np.array([0.0, 2.0]), areas(low, high))
    assert volume_mm3(mesh) == pytest.approx(2 / 3 * (100 + 140 + 196))
