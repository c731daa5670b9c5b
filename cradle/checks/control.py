"""Control dimensions: what calipers should read on the printed holder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cradle.geometry.mesh import bounds_mm
from cradle.geometry.planar import bounds
from cradle.geometry.solid import cut_regions
from cradle.holder.holder import Holder
from cradle.pocket.pocket import Pocket
from cradle.project.spec import BlockSpec


@dataclass(frozen=True, slots=True, kw_only=True)
class ControlDimension:
    """One reading: what is measured, how high above the holder's foot, and how much it should be, mm."""

    name: str
    height_mm: float | None
    length_mm: float


def control_dimensions(
    holder: Holder, pocket: Pocket, *, heights_mm: Sequence[tuple[str, float]], block: BlockSpec
) -> tuple[ControlDimension, ...]:
    """Pocket width and depth at each named stand-frame height within the block, then the block itself."""
    within = [(name, z) for name, z in heights_mm if pocket.bottom_mm < z < pocket.top_mm - block.lead_in_mm]
    cuts = cut_regions(pocket.solid, np.array([z for _, z in within]))
    found = []
    for (name, z), cut in zip(within, cuts, strict=True):
        x0, y0, x1, y1 = bounds(cut).tolist()
        height = z + holder.lift_mm
        found.append(ControlDimension(name=f"pocket width at {name}", height_mm=height, length_mm=x1 - x0))
        found.append(ControlDimension(name=f"pocket depth at {name}", height_mm=height, length_mm=y1 - y0))
    size = np.ptp(bounds_mm(holder.mesh), axis=0).tolist()
    found += [
        ControlDimension(
            name="pocket depth below the rim", height_mm=None, length_mm=pocket.top_mm - pocket.bottom_mm
        ),
        ControlDimension(name="floor", height_mm=None, length_mm=block.floor_mm),
        ControlDimension(name="outside width", height_mm=None, length_mm=size[0]),
        ControlDimension(name="outside depth", height_mm=None, length_mm=size[1]),
        ControlDimension(name="outside height", height_mm=None, length_mm=size[2]),
    ]
    return tuple(found)
