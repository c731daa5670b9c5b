"""Rings that all tests share, and closed meshes from rings of equal counts: bodies without the loft."""

import numpy as np

from cradle.geometry.mesh import TriMesh
from cradle.geometry.planar import triangulate
from cradle.loft.body import Body

UP = np.array([0.0, 0.0, 1.0])


def unit(x, y, z):
    return np.array([x, y, z]) / np.linalg.norm([x, y, z])


def polar(count, radius, *, start=0.0):
    """Points at equal angles, at a radius that is a function of the angle."""
    angle = start + np.arange(count) * 2 * np.pi / count
    reach = radius(angle)
    return np.column_stack([reach * np.cos(angle), reach * np.sin(angle)])


def ellipse(a, b, *, points=360, start=0.0):
    angle = start + np.arange(points) * 2 * np.pi / points
    return np.column_stack([a * np.cos(angle), b * np.sin(angle)])


def circle(radius, *, points=720, squash=1.0):
    return ellipse(radius, squash * radius, points=points)


def rectangle(width, depth):
    return np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]) * [width / 2, depth / 2]


def slotted(slot):
    """Two arms of 30 by 10 and by 14 mm, a slot of so many mm between them, closed to the left."""
    return np.array(
        [
            [0, 0],
            [30, 0],
            [30, 10],
            [10, 10],
            [10, 10 + slot],
            [30, 10 + slot],
            [30, 24 + slot],
            [0, 24 + slot],
        ]
    )


def stacked(heights, rings):
    n = len(rings[0])
    i = np.arange(n)
    j = (i + 1) % n
    vertices = np.concatenate(
        [np.column_stack([r, np.full(n, z)]) for z, r in zip(heights, rings, strict=True)]
    )
    faces = [
        triangulate(np.asarray(rings[0]))[:, ::-1],
        triangulate(np.asarray(rings[-1])) + (len(rings) - 1) * n,
    ]
    for k in range(len(rings) - 1):
        a, b = k * n + i, k * n + j
        faces += [np.column_stack([a, b, b + n]), np.column_stack([a, b + n, a + n])]
    return TriMesh.of(vertices, np.concatenate(faces))


def body_of(mesh):
    """The stacked mesh as a body whose layers are its rings."""
    heights = np.unique(mesh.vertices_mm[:, 2])
    return Body(
        mesh=mesh,
        heights_mm=heights,
        rings_mm=mesh.vertices_mm[:, :2].reshape(len(heights), -1, 2),
        section_error_mm=0.0,
        extended_mm=(0.0, 0.0),
    )


def egg(*, lean=0.1, points=160, layers=41, height=50.0):
    """An invented lopsided, leaning body without undercut up to about 40 mm."""
    z = np.linspace(0, height, layers)
    angle = np.arange(points) * 2 * np.pi / points
    around = 20 + 2 * np.cos(3 * angle) + 1.5 * np.cos(2 * angle + 0.4)
    rings = [
        np.column_stack(
            [
                (1 + 0.3 * np.sin(h / 35)) * around * np.cos(angle) * 1.2,
                (1 + 0.3 * np.sin(h / 35)) * around * np.sin(angle) + lean * h,
            ]
        )
        for h in z
    ]
    return stacked(z, rings)


CUBE = stacked([0, 10], [rectangle(10, 10)] * 2)
TWISTED = stacked([0, 10, 30], [rectangle(40, 30), rectangle(20, 34), rectangle(42, 42)])
