"""How far the holder can be tipped with the thing in it, and how wide its foot must be flared to stand as asked.

A body on a plane stands while its centre of mass lies above the convex hull of
its foot (McGhee & Frank 1968); tipped about a hull edge it falls once the
centre passes over that edge, at atan(distance to the edge / height).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from cradle.errors import HolderError
from cradle.geometry.arrays import Floats, following
from cradle.geometry.mesh import TriMesh, centroid_mm, volume_mm3
from cradle.geometry.planar import hull_ring, outer_rings
from cradle.geometry.solid import layer, mesh_of, moved
from cradle.geometry.vectors import left_of, unit
from cradle.holder.block import block_plan, block_solid, widened_plan
from cradle.noun import noun, record
from cradle.pocket.cavity import Cavity, joined_cavities
from cradle.pocket.pocket import Pocket
from cradle.project.block import BlockSpec
from cradle.project.convert import AUTO

_LIGHTEST_INFILL = 0.25
"""A sparsely filled print weighs about this much of a solid one (common practice, no source)."""
_ON_BED_MM = 1e-4
"""A corner no higher than this lies on the bed."""
WIDEST_MM = 200.0
"""No flare is wider (our own choice)."""
_STEP_MM = 0.5
"""The flare comes in whole steps of this size."""


@noun
class Load:
    """A thing in its place: its centre of mass ``(3,)``, mm, and its mass, g."""

    centre_mm: Floats
    mass_g: float


@record
class Standing:
    """How far holder and thing can be tipped in the worst direction, degrees (negative: they fall).

    ``direction_deg`` is the way they fall, from x.
    ``infill`` is the share of a solid print's mass at which that happens, and
    ``without`` how many things of a row are out.
    """

    tip_angle_deg: float
    direction_deg: float
    infill: float = 1.0
    without: int = 0

    @property
    def falls_to(self) -> str:
        """The side they fall to, in plain words."""
        sides = ("to the right", "backward", "to the left", "forward")
        return sides[round(self.direction_deg / 90) % 4]


def contact_points(mesh: TriMesh) -> Floats:
    """Where a mesh in the print frame touches the table: its corners on z = 0, ``(n, 2)``, mm."""
    return mesh.vertices_mm[np.abs(mesh.vertices_mm[:, 2]) < _ON_BED_MM][:, :2]


def tip_angle(foot: Floats, centre_mm: Floats) -> Standing:
    """The worst tip angle of a centre of mass over a foot.

    Parameters
    ----------
    foot : (n, 2) float64
        Points of contact on z = 0, mm; their convex hull counts.
    centre_mm : (3,) float64
        Centre of mass.
    """
    hull = hull_ring(foot)
    outward = -left_of(unit(following(hull) - hull))
    margin = ((hull - centre_mm[:2]) * outward).sum(axis=1)
    k = int(np.argmin(margin))
    return Standing(
        tip_angle_deg=float(np.degrees(np.arctan2(margin[k], centre_mm[2]))),
        direction_deg=float(np.degrees(np.arctan2(outward[k, 1], outward[k, 0]))),
    )


def standing(foot: Floats, *, holder_centre_mm: Floats, holder_g: float, loads: Sequence[Load]) -> Standing:
    """The worst standing over the whole range of infill, with the things in their places.

    Of several things in a row some may be out: the worst is looked for with
    each alone, with all from either end up to any other, and so with all.

    Parameters
    ----------
    foot : (n, 2) float64
    holder_centre_mm : (3,) float64
    holder_g : float
        Mass of a solid print.
    loads : sequence of Load
        The things, from left to right.
    """
    cases = []
    for there in _there(len(loads)):
        held = [loads[k] for k in there]
        held_g = sum(load.mass_g for load in held)
        moment = sum((load.centre_mm * load.mass_g for load in held), np.zeros(3))
        for filled in (_LIGHTEST_INFILL, 1.0):
            mass = holder_g * filled
            case = tip_angle(foot, (holder_centre_mm * mass + moment) / (mass + held_g))
            cases.append(replace(case, infill=filled, without=len(loads) - len(held)))
    return min(cases, key=lambda case: case.tip_angle_deg)


def _there(count: int) -> list[tuple[int, ...]]:
    """Which things may be in the row when it is tipped: all of them first."""
    every = range(count)
    ends = [tuple(every[:k]) for k in range(1, count)] + [tuple(every[k:]) for k in range(1, count)]
    return list(dict.fromkeys([tuple(every), *ends, *((k,) for k in every)]))


def needed_flare_mm(
    cavity: Cavity, *, block: BlockSpec, loads: Sequence[Load], density_g_cm3: float
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
    """The block with its flare as a number: an ``"auto"`` one is chosen here.

    Raises
    ------
    HolderError
        If no flare up to `WIDEST_MM` makes it stand as asked.
    """
    if block.flare_mm != AUTO:
        return block
    wider = needed_flare_mm(joined_cavities(pockets), block=block, loads=loads, density_g_cm3=density_g_cm3)
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
