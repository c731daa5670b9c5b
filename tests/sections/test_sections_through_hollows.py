"""Large hollows that run through all sections are a thing's own form: the area of an L is its legs', of a string around it its hull's (plane geometry)."""

import numpy as np
import pytest
import shapely
from section_shapes import polar

from cradle.geometry.planar import hull_ring
from cradle.sections.section import Section
from cradle.sections.spanned_hollows import spanned

TRACE_MM = 0.25


def outline(*corners, step_mm=2.0):
    """A polygon read every few millimetres."""
    ring = shapely.segmentize(shapely.Polygon(corners).exterior, step_mm)
    return shapely.get_coordinates(ring)[:-1]


def ell(*, leg=22.0, moved=(0.0, 0.0), size=1.0):
    corners = [(0, 0), (70, 0), (70, leg), (leg, leg), (leg, 60), (0, 60)]
    return outline(*corners) * size + moved


def groove_in(ring, *, at_mm):
    """An outline with a groove 3 mm wide and 4 deep from below."""
    cut = shapely.box(at_mm, -1, at_mm + 3, 4)
    left = shapely.Polygon(ring).difference(cut)
    return shapely.get_coordinates(shapely.segmentize(left.exterior, 2.0))[::-1][1:]


def stacked(*rings):
    return [
        Section(
            name=f"s{k}", height_mm=20.0 * k, points_mm=ring, traced_mm=tuple(np.ptp(ring, axis=0).tolist())
        )
        for k, ring in enumerate(rings)
    ]


def areas_of(sections, *, through=False):
    across = spanned(sections, trace_mm=TRACE_MM, through=through)
    return [shapely.Polygon(one.points_mm).area for one in across.sections]


def hulls_of(sections):
    return [shapely.Polygon(hull_ring(one.points_mm)).area for one in sections]


def test_the_inner_corner_of_an_l_is_followed_and_spanned_where_that_is_asked_for():
    sections = stacked(ell(size=0.96), ell(), ell())
    legs = 70 * 22 + 38 * 22
    assert areas_of(sections) == pytest.approx([legs * 0.96**2, legs, legs])
    assert areas_of(sections, through=True) == pytest.approx(hulls_of(sections))
    assert spanned(sections, trace_mm=TRACE_MM, through=False).hollows == ((), (), ())


def test_a_leaning_l_is_followed_though_its_lowest_and_highest_corner_share_nothing():
    rings = [ell(moved=(5.0 * k, 5.0 * k)) for k in range(11)]
    lowest, highest = (
        shapely.Polygon(hull_ring(ring)).difference(shapely.Polygon(ring)) for ring in rings[::10]
    )
    assert lowest.intersection(highest).area == 0.0
    sections = stacked(*rings)
    assert areas_of(sections) == pytest.approx([70 * 22 + 38 * 22] * 11)


@pytest.mark.parametrize("plain", [0, 1, 2])
def test_a_corner_that_one_section_lacks_is_spanned_in_all(plain):
    rings = [ell(), ell(), ell()]
    rings[plain] = polar(200, lambda t: 30 + 0 * t) + [30, 30]
    sections = stacked(*rings)
    assert areas_of(sections) == pytest.approx(hulls_of(sections))


def test_a_corner_that_lies_elsewhere_in_each_section_is_spanned():
    turned = [ell() - [30, 25]]
    turned += [turned[0] @ np.array([[0.0, 1.0], [-1.0, 0.0]]), -turned[0]]
    sections = stacked(*turned)
    assert areas_of(sections) == pytest.approx(hulls_of(sections))


def test_a_groove_beside_the_corner_of_an_l_is_spanned_though_every_section_has_it():
    sections = stacked(*(groove_in(ell(), at_mm=40.0) for _ in range(3)))
    legs = 70 * 22 + 38 * 22
    assert [shapely.Polygon(one.points_mm).area for one in sections] == pytest.approx([legs - 12] * 3)
    assert areas_of(sections) == pytest.approx([legs] * 3)
    assert all(len(own) == 1 for own in spanned(sections, trace_mm=TRACE_MM, through=False).hollows)


def test_of_a_cross_all_four_corners_are_followed():
    a, b, c = 20, 40, 60
    cross = outline(
        (a, 0), (b, 0), (b, a), (c, a), (c, b), (b, b), (b, c), (a, c), (a, b), (0, b), (0, a), (a, a)
    )
    assert areas_of(stacked(cross, cross)) == pytest.approx([5 * 400] * 2)
