"""Holder: the block with the pocket and the openings cut out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NewType

import numpy as np

from cradle.errors import HolderError
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.mesh import TriMesh, bounds_mm, surface_area_mm2
from cradle.geometry.planar import Region, offset
from cradle.geometry.solid import (
    Solid,
    difference,
    lightened,
    mesh_of,
    moved,
    pieces,
    union,
    volume_mm3,
)
from cradle.holder.block import block_plan, block_solid
from cradle.holder.opening import Opening
from cradle.holder.openings import make_openings
from cradle.holder.wall_plate import WallPlate, check_openings, squared_behind, wall_plate
from cradle.noun import noun
from cradle.pocket.cavity import Cavity, joined_cavities
from cradle.pocket.pocket import Pocket
from cradle.project.block import BlockSpec, PlateSpec
from cradle.project.opening import FeetSpec, OpeningSpec, Through
from cradle.project.printer import PrinterSpec
from cradle.tolerances import TOLERANCES

PrintFromStand = NewType("PrintFromStand", np.ndarray[Any, np.dtype[np.float64]])
"""A ``(4, 4)`` matrix, mm, from the stand frame to the print frame."""
PrintFromThing = NewType("PrintFromThing", np.ndarray[Any, np.dtype[np.float64]])
"""A ``(4, 4)`` matrix, mm, from the thing's frame to the print frame."""

_CRUMB_LINES = 0.25
"""A loose part that is thinner on average than this part of a printed line is a crumb that no printer lays, and is dropped."""


@noun
class Holder:
    """The printable part, in the print frame (z = 0 on the bed).

    Attributes
    ----------
    solid : Solid
        The same as the mesh, for the kernel.
    block : Solid
        What the pockets and the openings were cut from.
    cavity : Cavity
        The pockets, joined; in the stand frame.
    plan, foot : Region
        The block's outline above the foot, and its widest outline.
    height_mm : float
        Of the rim.
    lift_mm : float
        How far the stand frame was moved up: print z = stand z + lift.
    openings : tuple of Opening
        In the stand frame.
    plate : WallPlate or None
        In the stand frame.
    """

    mesh: TriMesh
    solid: Solid
    block: Solid
    cavity: Cavity
    plan: Region
    foot: Region
    height_mm: float
    lift_mm: float
    openings: tuple[Opening, ...]
    plate: WallPlate | None

    @property
    def fixed_to_wall(self) -> bool:
        """Whether a plate or an opening is there to fix it to a wall."""
        return bool(self.wall_sides)

    @property
    def wall_sides(self) -> tuple[Through, ...]:
        """The sides that a plate or an opening is there to fix to a wall."""
        sides = {opening.spec.through for opening in self.openings if opening.fixes_to_wall}
        return tuple(
            side for side in Through if side in sides or (self.plate is not None and side is Through.BACK)
        )

    @property
    def feet_mm(self) -> Floats | None:
        """Where rubber feet touch the table, ``(n, 2)``; None without feet."""
        cuts = [
            cut for opening in self.openings if isinstance(opening.spec, FeetSpec) for cut in opening.cuts
        ]
        return np.concatenate([mesh_of(cut).vertices_mm[:, :2] for cut in cuts]) if cuts else None

    @property
    def tall_mm(self) -> float:
        """Height over all, mm: a wall plate may reach above the rim."""
        return float(bounds_mm(self.mesh)[1][2])

    @property
    def print_from_stand(self) -> PrintFromStand:
        """The matrix from the stand frame to the print frame."""
        matrix = np.eye(4)
        matrix[2, 3] = self.lift_mm
        return PrintFromStand(matrix)

    def print_from_thing(self, pocket: Pocket) -> PrintFromThing:
        """The matrix from the frame of the thing in a pocket to the print frame."""
        return PrintFromThing(frozen(self.print_from_stand @ pocket.stand_from_thing))


def make_holder(
    pockets: Sequence[Pocket],
    *,
    block: BlockSpec,
    openings: Sequence[OpeningSpec],
    under: Floats,
    plate: PlateSpec | None = None,
    line_mm: float = PrinterSpec().line_mm,
) -> Holder:
    """The block around a pocket or a row of them, less the pockets and the openings.

    Parameters
    ----------
    pockets : sequence of Pocket
        From left to right, clear of each other.
    under : (n, 2) float64
        The points under the things' centres of mass, stand frame, mm.
    line_mm : float
        Width of a printed line: where a recess comes too near to the pocket, a wall is advised that leaves two.

    Raises
    ------
    HolderError
        If an opening misses the pocket, the rim vanishes, the plate has no room
        for its holes, or the holder falls into several parts.
    """
    cavity = joined_cavities(pockets)
    lift = block.floor_mm - cavity.bottom_mm
    height = cavity.top_mm + lift
    plan = block_plan(cavity.plan(), block, under=under)
    if plate is not None:
        plan = squared_behind(plan, plate, corner_mm=block.corner_mm)
    foot = offset(plan, block.wider_mm) if block.wider_mm > 0 else plan
    whole = block_solid(plan, block, height_mm=height)
    behind = None if plate is None else wall_plate(plate, pocket=cavity, plan=plan, block=block)
    made = make_openings(openings, pockets=pockets, cavity=cavity, plan=plan, block=block, line_mm=line_mm)
    if behind is not None:
        whole = union([whole, moved(behind.solid, (0, 0, lift))], where="plate")
        check_openings(behind, made, plan=plan, foot_mm=-lift)
    mouth = [] if cavity.mouth is None else [cavity.mouth]
    cuts = [cavity.solid, *mouth, *(cut for opening in made for cut in opening.cuts)]
    rest = difference(whole, [moved(cut, (0, 0, lift)) for cut in cuts], where="holder")
    clean = lightened(rest, within_mm=TOLERANCES.duplicate_mm)  # cuts leave slivers where they cross edges
    solid = _in_one_part(clean, openings=made, line_mm=line_mm)
    return Holder(
        mesh=mesh_of(solid),
        solid=solid,
        block=whole,
        cavity=cavity,
        plan=plan,
        foot=foot,
        height_mm=height,
        lift_mm=lift,
        openings=made,
        plate=behind,
    )


def _in_one_part(rest: Solid, *, openings: Sequence[Opening], line_mm: float) -> Solid:
    """What is left of the block, without crumbs and without voids where slits closed.

    Raises
    ------
    HolderError
        If it is several parts.
    """
    largest, *others = pieces(rest)
    parts = [largest, *(part for part in others if _thickness_mm(part) > _CRUMB_LINES * line_mm)]
    if len(parts) == 1:
        return parts[0]
    if openings:
        raise HolderError(
            f"the openings cut the holder into {len(parts)} parts; it must stay one",
            where="opening",
            hint="make them smaller or move them apart",
        )
    raise HolderError(
        f"the pocket cuts the block into {len(parts)} parts; it must stay one",
        where="block",
        hint="make its walls and its floor thicker",
    )


def _thickness_mm(part: Solid) -> float:
    """How thick a plate of the part's volume and surface is, mm."""
    return 2 * volume_mm3(part) / surface_area_mm2(mesh_of(part))
