import numpy as np
import pytest
from section_shapes import outline, polar, spec

from cradle.geometry.arrays import frozen
from cradle.geometry.ring import size, turned
from cradle.project.fit import SpreadSpec
from cradle.project.section import DrawingSource
from cradle.project.view import SeenFrom, ViewScale, ViewSpec
from cradle.sections.place import place_sections
from cradle.sections.views import View, seen_size_mm


@pytest.mark.parametrize(("distance", "percent"), [(500, 5.2632), (1000, 2.5641), (2000, 1.2658)])
def test_a_point_nearer_than_the_middle_looks_too_large(distance, percent):
    # pinhole: t / (D - t) for t = 25 mm
    near = np.array([[-30.0, -25.0], [30.0, -25.0], [10.0, 25.0], [-10.0, 25.0]])
    seen = seen_size_mm(near, axis=0, distance_mm=distance, outward=1.0)
    assert 100 * (seen / 60 - 1) == pytest.approx(percent, abs=1e-3)


def test_the_extents_of_a_turned_rectangle():
    # by hand: a cos + b sin, a sin + b cos; 130 x 40 at 2 degrees
    box = np.array([[-65.0, -20], [65, -20], [65, 20], [-65, 20]])
    assert size(turned(box, angle_deg=2)) == pytest.approx((131.317, 44.513), abs=1e-3)


def test_a_circles_turn_is_known_by_its_drawing_alone():
    circle = polar(400, lambda t: 25 + 0 * t)
    result = place_sections(
        [outline(circle)], specs=[spec(width_mm=50.0, depth_mm=50.0)], spread=SpreadSpec()
    )
    assert np.degrees(result.posterior.spreads()[0, 2]) == pytest.approx(2.5, rel=0.3)


HEIGHTS, FACTORS = (5.0, 25.0, 45.0), (0.8, 1.1, 0.9)
LEVELS = np.linspace(0.0, 50.0, 101)
EGG = polar(400, lambda t: 22 + 3 * np.cos(2 * t) + 2 * np.sin(t))


def leaning_eggs():
    """Outlines of an egg at `LEVELS`, leaning 0.1 to the right."""
    grown = np.interp(LEVELS, HEIGHTS, FACTORS)
    return [EGG * g + [0.1 * h, 0.0] for g, h in zip(grown, LEVELS, strict=True)]


def seen_from(distance, *, told, rings, levels):
    """Sections placed by a view rendered from a distance: the silhouette's ends by the rays past all points."""
    across = [r[:, 0] * distance / (distance + r[:, 1]) for r in levels]
    low, high = [a.min() for a in across], [a.max() for a in across]
    ends = np.column_stack([low, LEVELS]), np.column_stack([high, LEVELS])[::-1]
    view = View(
        spec=ViewSpec(
            seen_from=SeenFrom.FRONT,
            source=DrawingSource(path="invented.csv"),
            scale=ViewScale.FREE,
            distance_mm=distance if told else None,
        ),
        points_mm=frozen(np.concatenate(ends) * 3.7),
    )
    specs = [
        spec(f"s{i}", h, width_mm=size(r)[0], depth_mm=size(r)[1])
        for i, (h, r) in enumerate(zip(HEIGHTS, rings, strict=True))
    ]
    return place_sections([outline(r) for r in rings], specs=specs, views=[view])


@pytest.mark.parametrize("told", [True, False])
@pytest.mark.parametrize("distance", [500.0, 1000.0, 2000.0])
def test_a_view_of_a_leaning_egg_gives_its_lean(distance, told):
    result = seen_from(distance, told=told, rings=[EGG * f for f in FACTORS], levels=leaning_eggs())
    assert np.polyfit(HEIGHTS, result.posterior.estimate[:, 0], 1)[0] == pytest.approx(0.1, abs=0.02)
    assert result.posterior.lean_known == (True, False)
    assert result.profiles.left is not None


@pytest.mark.parametrize("distance", [500.0, 1000.0, 2000.0])
def test_a_near_edge_looks_too_wide_unless_the_distance_is_told(distance):
    """A box 50 mm wide all the way up, 20, 60 and 30 mm deep: its near face looks wider by t / (D - t)."""
    corners = np.array([[-25.0, -0.5], [25.0, -0.5], [25.0, 0.5], [-25.0, 0.5]])
    depths = (20.0, 60.0, 30.0)
    rings = [corners * [1.0, d] for d in depths]
    deep = np.interp(LEVELS, HEIGHTS, depths)
    levels = [corners * [1.0, d] for d in deep]
    off = {}
    for told in (True, False):
        profiles = seen_from(distance, told=told, rings=rings, levels=levels).profiles
        heights = np.arange(7.0, 44.0, 2.0)
        width = np.interp(heights, *profiles.right.T) - np.interp(heights, *profiles.left.T)
        off[told] = np.ptp(width)
    nearest = 50 * (
        30 / (distance - 30) - 10 / (distance - 10)
    )  # of the deepest against the flattest, pinhole
    assert off[True] < 0.01
    assert 0.7 * nearest < off[False] < 1.05 * nearest  # some of it goes into the view's own size
