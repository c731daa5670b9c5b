import numpy as np
import pytest
import shapely
from stacked import circle, rectangle

from cradle.geometry import planar, region_measures


def test_crossings_are_found_with_their_place():
    bow_tie = np.array([[0, 0], [10, 10], [10, 0], [0, 10]], dtype=float)
    assert region_measures.crossing(bow_tie) == (5.0, 5.0)
    ell = np.array([[0, 0], [60, 0], [60, 30], [30, 30], [30, 60], [0, 60]], dtype=float)
    assert region_measures.crossing(ell) is None
    assert region_measures.are_simple([bow_tie, ell]).tolist() == [False, True]


@pytest.mark.parametrize(("out_mm", "covered"), [(0.004, True), (0.006, False)])
def test_nearly_covers_forgives_what_stands_out_by_little(out_mm, covered):
    own = planar.region(rectangle(20, 10))
    tab = planar.region(rectangle(2, 10 + 2 * out_mm))  # its corners stand out ...
    notched = planar.without(own, planar.region(rectangle(2, 10) + [0, 10 - out_mm]))
    assert region_measures.nearly_covers(own, tab, within_mm=0.005) == covered
    # ... or only those of a notch show it
    assert region_measures.nearly_covers(notched, own, within_mm=0.005) == covered


def test_distances_to_a_boundary_of_many_edges_are_those_to_each_of_its_rings():
    hole = circle(5, points=500)
    ground = planar.without(planar.region(circle(20, points=700)), planar.region(hole))
    points = np.random.default_rng(1).uniform(-25, 25, (300, 2))
    away = region_measures.distances_to_boundary(points, ground)
    rings = [shapely.LinearRing(ring) for ring in (circle(20, points=700), hole)]
    assert away == pytest.approx(np.min([shapely.distance(shapely.points(points), r) for r in rings], axis=0))


def test_the_farthest_distance_between_two_rings_is_that_of_either_to_the_other():
    outline = circle(20, points=40)
    assert region_measures.farthest_apart_mm(outline, outline) < 1e-12
    assert region_measures.farthest_apart_mm(outline, outline + [0.3, 0]) == pytest.approx(0.3, rel=0.01)
    grown = np.roll(outline, 13, axis=0) * 1.001
    assert region_measures.farthest_apart_mm(outline, grown) == pytest.approx(0.02, rel=0.02)
    coarse = circle(20, points=20)
    sagitta = 20 * (1 - np.cos(np.pi / 20))  # of the circle's chord, from the points that it leaves out
    assert region_measures.farthest_apart_mm(coarse, outline) == pytest.approx(sagitta, rel=1e-6)
