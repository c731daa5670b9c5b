"""Whether a wall plate higher than its block leaves the thing's way out free."""

from __future__ import annotations

import numpy as np

from cradle.errors import HolderError, located
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import bounds, empty
from cradle.geometry.solid import Solid, cut_regions, mesh_of
from cradle.holder.wall_plate import WHERE, WallPlate


@located(WHERE)
def check_way_out(plate: WallPlate, thing: Solid, *, direction: Floats, clearance_mm: float) -> None:
    """Raise when a plate higher than the block stands in the pocket's mouth or in the thing's way out.

    A wall so much thicker puts the plate so much further back: what is told
    mends both.

    Raises
    ------
    HolderError
    """
    room = room_on_the_way_mm(plate, thing, direction=direction)
    if room is None:
        return
    beyond = plate.front_mm - plate.mouth_mm
    lacks = max(-beyond, clearance_mm - room)
    if lacks <= 1e-6:
        return
    if -beyond > 1e-6:
        found = (
            f"a plate {plate.spec.thickness_mm:g} mm thick that rises above the block would stand in the pocket's mouth: "
            f"wall minus lead-in is only {plate.back_mm - plate.mouth_mm:.1f} mm there"
        )
    else:
        passes = (
            f"runs {-room:.1f} mm into the plate" if room < 0 else f"comes within {room:.1f} mm of the plate"
        )
        found = f"above the rim the thing {passes}; {clearance_mm:.2f} mm or more is needed"
    raise HolderError(
        found,
        hint=f"make block.wall {np.ceil(10 * lacks - 1e-3) / 10:.1f} mm thicker, the plate no higher than the block, "
        "or lean the thing forward",
    )


def room_on_the_way_mm(plate: WallPlate, thing: Solid, *, direction: Floats) -> float | None:
    """The least distance between the plate above the rim and a thing on its way out, mm; None where none passes.

    Parameters
    ----------
    thing : Solid
        Seated, in the stand frame; below the rim it lies in the pocket.
    direction : (3,) float64
        The way out, upward.

    Notes
    -----
    A point below the plate's top passes it until it leaves at the top; going
    back, its y is largest there, else where it is seated. Below the rim the
    pocket, and so its mouth, stands off already.
    """
    if plate.top_mm <= plate.rim_mm + 1e-9:
        return None
    corners = mesh_of(thing).vertices_mm[:, 1:]
    corners = corners[corners[:, 1] <= plate.top_mm]
    if not len(corners):
        return None
    level = cut_regions(thing, np.array([plate.top_mm]))[0]
    if not empty(level):
        corners = np.concatenate([corners, [[float(bounds(level)[3]), plate.top_mm]]])
    slope = max(float(direction[1] / direction[2]), 0.0)
    return plate.front_mm - float((corners[:, 0] + slope * (plate.top_mm - corners[:, 1])).max())
