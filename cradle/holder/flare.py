"""How far the foot must be flared so that holder and thing stand as asked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from cradle.errors import HolderError
from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import TriMesh, centroid_mm, volume_mm3
from cradle.geometry.planar import outer_rings
from cradle.geometry.solid import layer, mesh_of, moved
from cradle.holder.block import block_plan, block_solid, widened_plan
from cradle.holder.standing import Load, standing
from cradle.pocket.cavity import Cavity, joined
from cradle.pocket.pocket import Pocket
from cradle.project.block import BlockSpec
from cradle.project.convert import AUTO

WIDEST_MM = 200.0
"""No flare is wider (our own choice)."""
_STEP_MM = 0.5
"""The flare comes in whole steps of this size."""


def needed_flare_mm(
    cavity: Cavity,
    *,
    block: BlockSpec,
    loads: Sequence[Load],
    density_g_cm3: float,
) -> float | None:
    """The least flare, per side, at which nothing falls before ``block.tip_angle``; None beyond `WIDEST_MM`.

    The block is built for each flare tried, less what the pockets take from
    it; openings are left out.

    Parameters
    ----------
    block : BlockSpec
        Its own flare is not looked at.
    loads : sequence of Load
        The things, from left to right, stand frame.
    density_g_cm3 : float
        Of the printed material, solid.
    """
    tip = _tip_by_flare(cavity, block=block, loads=loads, density_g_cm3=density_g_cm3)
    asked = block.tip_angle_deg
    if tip(0.0) >= asked:
        return 0.0
    low, high = 0, 1
    while tip(high * _STEP_MM) < asked:
        low, high = high, 2 * high
        if high * _STEP_MM > 2 * WIDEST_MM:
            return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if tip(middle * _STEP_MM) >= asked else (middle, high)
    return high * _STEP_MM if high * _STEP_MM <= WIDEST_MM else None


def flared_block(
    pockets: Sequence[Pocket], *, block: BlockSpec, loads: Sequence[Load], density_g_cm3: float
) -> BlockSpec:
    """The block with its flare as a number: chosen here when it is ``"auto"``, else as given.

    Raises
    ------
    HolderError
        If no flare up to `WIDEST_MM` makes it stand as asked.
    """
    if block.flare_mm != AUTO:
        return block
    wider = needed_flare_mm(joined(pockets), block=block, loads=loads, density_g_cm3=density_g_cm3)
    if wider is None:
        raise HolderError(
            f"no flare up to {WIDEST_MM:g} mm keeps holder and thing from falling before"
            f" {block.tip_angle_deg:g}°",
            where="block.flare",
            hint="ask for less with block.tip_angle, or fix the holder down",
        )
    return replace(block, flare_mm=wider)


def _tip_by_flare(
    cavity: Cavity, *, block: BlockSpec, loads: Sequence[Load], density_g_cm3: float
) -> Callable[[float], float]:
    """The tip angle, degrees, as a function of the flare."""
    lift = block.floor_mm - cavity.bottom_mm
    height = cavity.top_mm + lift
    under = np.array([load.centre_mm[:2] for load in loads])
    plan = block_plan(cavity.plan(), block, under=under)
    lifted = [replace(load, centre_mm=load.centre_mm + np.array([0.0, 0.0, lift])) for load in loads]
    hollow = layer(cavity.solid, low_mm=cavity.bottom_mm - 1.0, high_mm=cavity.top_mm)
    taken, taken_moment = _mass(mesh_of(moved(hollow, (0.0, 0.0, lift))))

    def tip(flare_mm: float) -> float:
        spec = replace(block, flare_mm=flare_mm)
        volume, moment = _mass(mesh_of(block_solid(plan, spec, height_mm=height)))
        volume, moment = volume - taken, moment - taken_moment
        foot = widened_plan(plan, flare_mm - block.chamfer_mm)
        return standing(
            np.concatenate(outer_rings(foot)),
            holder_centre_mm=moment / volume,
            holder_g=volume / 1000 * density_g_cm3,
            loads=lifted,
        ).tip_angle_deg

    return tip


def _mass(mesh: TriMesh) -> tuple[float, Floats]:
    """Volume, mm³, and first moment of volume, ``(3,)``, mm⁴."""
    volume = volume_mm3(mesh)
    return volume, volume * centroid_mm(mesh)
