"""Stacks of ellipses, their silhouettes from the front, and sections placed by one."""

import numpy as np
from section_shapes import outline, polar, spec
from section_shapes import placed as placed_of

from cradle.geometry.arrays import frozen
from cradle.geometry.ring import size, turned
from cradle.project.section import DrawingSource
from cradle.project.side import Side
from cradle.project.view import ViewScale, ViewSpec
from cradle.sections.profiles import Profiles
from cradle.views.silhouette import Silhouette


def stack_of(width_at, *, top=50.0, step=1.0):
    """Ellipses two thirds as deep as wide, at heights, whose width is a function of the height."""
    ring = polar(200, lambda t: 1 + 0 * t) * [0.5, 1 / 3]
    return [(z, ring * width_at(z)) for z in np.arange(0.0, top + step / 2, step)]


def silhouette_of(levels, *, tilted_deg=0.0, scale=3.7):
    """The silhouette from the front of outlines at heights, tilted as a hand holds a camera."""
    ends = [(z, ring[:, 0].min(), ring[:, 0].max()) for z, ring in levels]
    points = np.array([(low, z) for z, low, _ in ends] + [(high, z) for z, _, high in reversed(ends)])
    return frozen(turned(points, angle_deg=tilted_deg) * scale)


NO_PROFILES = Profiles()


def placed_by_front(silhouette, *, heights, rings, profiles=NO_PROFILES, **more):
    """Sections placed by a view of them without a scale."""
    view = Silhouette(
        spec=ViewSpec(
            seen_from=Side.FRONT, source=DrawingSource(path="invented.csv"), scale=ViewScale.FREE, **more
        ),
        points_mm=silhouette,
    )
    specs = [
        spec(f"s{i}", h, width_mm=size(r)[0], depth_mm=size(r)[1])
        for i, (h, r) in enumerate(zip(heights, rings, strict=True))
    ]
    return placed_of([outline(r) for r in rings], specs=specs, views=[view], profiles=profiles)
