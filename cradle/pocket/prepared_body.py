"""A body prepared: its solid, its shape and its slopes, made once for all pockets around it."""

from __future__ import annotations

from cradle.geometry.mesh import TriMesh
from cradle.geometry.solid import Solid, solid
from cradle.noun import noun
from cradle.pocket.shape import Shape, shape_of
from cradle.pocket.slopes import Slopes, slopes_of


@noun
class PreparedBody:
    """A body in its own frame, with what every pocket for it asks of its shape."""

    mesh: TriMesh
    solid: Solid
    shape: Shape
    slopes: Slopes


def prepared(mesh: TriMesh) -> PreparedBody:
    """A closed mesh prepared.

    Raises
    ------
    SolidError
        If it does not enclose a solid.
    """
    enclosed = solid(mesh, where="body")
    shape = shape_of(mesh)
    return PreparedBody(mesh=mesh, solid=enclosed, shape=shape, slopes=slopes_of(shape))
