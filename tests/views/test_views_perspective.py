"""Pictures of a side from near by, by a pinhole: widths and heights are those of the thing."""

import numpy as np
import pytest
from pinhole import picture_of
from section_shapes import outline, polar, spec
from section_shapes import placed as placed_of

from cradle.geometry.ring import size
from cradle.project.section import DrawingSource
from cradle.project.side import Side
from cradle.project.view import ViewScale, ViewSpec
from cradle.views.seen_sections import seen_level
from cradle.views.silhouette import Silhouette


@pytest.mark.parametrize(("distance", "percent"), [(500, 5.2632), (1000, 2.5641), (2000, 1.2658)])
def test_a_point_nearer_than_the_middle_looks_too_large(distance, percent):
    # pinhole: t / (D - t) for t = 25 mm
    near = np.array([[-30.0, -25.0], [30.0, -25.0], [10.0, 25.0], [-10.0, 25.0]])
    seen = seen_level(near, axis=0, distance_mm=distance, outward=1.0)
    assert (seen.touched_mm, seen.nearest_mm) == (-25.0, -25.0)
    assert 100 * (seen.width_mm / 60 - 1) == pytest.approx(percent, abs=1e-3)


@pytest.mark.parametrize("foot", ["round", "square", "egg"])
@pytest.mark.parametrize("says", [{}, {"top_mm": 90.0}, {"scale": ViewScale.GIVEN}])
def test_from_a_told_distance_heights_are_true_too(foot, says):
    """A thing 90 mm high, seen from 0.6 m: the near edges of its foot and top look up to 95 mm apart.

    A ridge at 30 mm, where no section lies, and a waist at 70 mm are found where they are.
    """
    heights = np.linspace(0.0, 90.0, 181)
    grown = np.interp(heights, [0, 28, 30, 32, 60, 70, 90], [1.0, 1.0, 1.2, 1.0, 1.0, 0.8, 1.0])
    if foot == "egg":
        grown = grown * np.sqrt(1 - np.minimum(1, np.abs(heights - 45) / 45.0) ** 2).clip(0.02)
    square = np.array([[-28.0, -28], [28, -28], [28, 28], [-28, 28]])
    plan = square if foot == "square" else polar(200, lambda t: 30 + 0 * t)
    levels = [plan * g for g in grown]
    points = picture_of(levels, distance=600.0, heights=heights)
    view = Silhouette(
        spec=ViewSpec(
            **{"scale": ViewScale.FREE, **says},
            seen_from=Side.FRONT,
            source=DrawingSource(path="invented.csv"),
            distance_mm=600.0,
        ),
        points_mm=points,
    )
    at = (5.0, 50.0, 85.0)
    rings = [plan * np.interp(h, heights, grown) for h in at]
    specs = [
        spec(f"s{i}", h, width_mm=size(r)[0], depth_mm=size(r)[1])
        for i, (h, r) in enumerate(zip(at, rings, strict=True))
    ]
    right = placed_of([outline(r) for r in rings], specs=specs, views=[view]).profiles.right
    near = np.linspace(20.0, 40.0, 401)
    ridge = near[np.argmax(np.interp(near, *right.T))]
    true = near[np.argmax(np.interp(near, heights, grown))]
    waist = np.array([65.0, 70.0, 75.0])
    missed = np.interp(waist, *right.T) - size(plan)[0] / 2 * np.interp(waist, heights, grown)
    assert np.abs(missed).max() < 0.3
    assert ridge == pytest.approx(true, abs=0.6)
