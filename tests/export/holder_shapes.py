"""Closed meshes that stand for a holder and a body, for tests of writers and readers."""

import numpy as np
from stacked import circle, rectangle, stacked

from cradle.export.named_ring import NamedRing
from cradle.geometry.mesh import TriMesh
from cradle.geometry.solid import difference, mesh_of, solid

EGG = stacked(
    [-2.5, 13.1, 40.7],
    [circle(14.3, points=60), circle(21.7, points=60, squash=0.8), circle(17.9, points=60)],
)


def made_holder() -> TriMesh:
    """A block with a pocket and a drain, as the solid kernel hands it over."""
    block = solid(stacked([0, 35.3], [rectangle(61.7, 53.3)] * 2), where="block")
    pocket = solid(TriMesh.of(EGG.vertices_mm + [0.1, 0.2, 6.6], EGG.faces), where="pocket")
    drain = solid(stacked([-1, 20], [circle(3.0, points=48)] * 2), where="drain")
    return mesh_of(difference(block, [pocket, drain], where="holder"))


HOLDER = made_holder()
RINGS = [
    NamedRing(name="low", height_mm=4.0, points_mm=circle(14.3, points=60)),
    NamedRing(name="belly / widest", height_mm=13.1, points_mm=circle(21.7, points=60, squash=0.8)),
    NamedRing(name="Größe <µ>", height_mm=40.75, points_mm=circle(17.9, points=60) + np.array([3.0, -1.5])),
]
