"""A body prepared: its solid and its slopes, made once for all pockets around it."""

from __future__ import annotations

from dataclasses import dataclass

from cradle.geometry.mesh import TriMesh
from cradle.geometry.solid import Solid, solid
from cradle.pocket.grow import STEP_DEG
from cradle.pocket.slopes import Slopes, slopes_of


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PreparedBody:
    """A body in its own frame, with what every pocket for it asks of its shape."""

    mesh: TriMesh
    solid: Solid
    slopes: Slopes


def prepared(mesh: TriMesh) -> PreparedBody:
    """A closed mesh prepared.

    Raises
    ------
    SolidError
        If it does not enclose a solid.
    """
    return PreparedBody(mesh=mesh, solid=solid(mesh, where="body"), slopes=slopes_of(mesh, step_deg=STEP_DEG))
