"""Openings through the floor and the walls: each kind to the function that makes it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from math import ceil

from cradle.errors import HolderError, located
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import Region, bounds
from cradle.geometry.solid import Solid, gap_mm, moved, overlap_mm3
from cradle.holder.face import Face
from cradle.holder.holes import hole
from cradle.holder.near_middle import made_near_middle
from cradle.holder.notches import finger_notches, notch
from cradle.holder.opening import Opening
from cradle.holder.recesses import feet, keyhole, label, magnet
from cradle.holder.screws import screw_hole
from cradle.pocket.cavity import Cavity
from cradle.pocket.pocket import Pocket
from cradle.project.block import BlockSpec
from cradle.project.opening import OpeningKind, OpeningSpec, Through

_MAKE: Mapping[OpeningKind, Callable[..., Opening]] = {
    OpeningKind.DRAIN: hole,
    OpeningKind.ROUND: hole,
    OpeningKind.SLOT: hole,
    OpeningKind.WINDOW: hole,
    OpeningKind.NOTCH: notch,
    OpeningKind.FINGER: finger_notches,
    OpeningKind.SCREW: screw_hole,
    OpeningKind.COUNTERSUNK: screw_hole,
    OpeningKind.KEYHOLE: keyhole,
    OpeningKind.MAGNET: magnet,
    OpeningKind.FEET: feet,
    OpeningKind.LABEL: label,
}
_LEAST_BEHIND_MM = 0.4
"""A recess leaves at least one printed line between itself and the pocket."""
_TO_MM = 0.002
"""So closely is found how thick a wall must be."""
_ROUGH_MM = 0.1
"""So much more is told: the pocket of a rough holder may be narrower than that of the finished one."""


def make_openings(
    openings: Sequence[OpeningSpec],
    *,
    pockets: Sequence[Pocket],
    cavity: Cavity,
    plan: Region,
    block: BlockSpec,
    line_mm: float,
) -> tuple[Opening, ...]:
    """What the openings cut away, stand frame.

    Parameters
    ----------
    pockets : sequence of Pocket
        From left to right.
    cavity : Cavity
        All of them joined.
    plan : Region
        The block's outline above the foot.
    line_mm : float
        Width of a printed line.

    Raises
    ------
    HolderError
        If an opening misses the pocket, leaves its face, or a recess meets the pocket.
    """
    made = []
    for number, spec in enumerate(openings, start=1):
        for k in _numbers(spec, last=len(pockets) - 1):
            key = f"opening[{number}]"
            pocket = "" if k is None or spec.pocket is not None or len(pockets) == 1 else f"pocket {k + 1}"
            face = Face(
                through=spec.through,
                pocket=cavity if k is None else pockets[k],
                plan=plan,
                block=block,
                x_offset_mm=_middle_mm(pockets, plan) if k is None else pockets[k].x_offset_mm,
            )
            with located(key), located(pocket):
                opening = _made(spec, face=face)
                _check_behind(opening, cavity=cavity, face=face, enough_mm=2 * line_mm)
            made.append(replace(opening, number=number, where=f"{key}, {pocket}" if pocket else key))
    return tuple(made)


def _made(spec: OpeningSpec, *, face: Face) -> Opening:
    make = _MAKE[spec.kind]
    if spec.at_mm is not None or spec.of_block:
        return make(spec, face=face)
    return made_near_middle(lambda there: make(spec, face=there), face=face)


def _middle_mm(pockets: Sequence[Pocket], plan: Region) -> float:
    """From which x the places of the block's own parts count: the thing's, in a row the block's middle."""
    x0, _, x1, _ = bounds(plan).tolist()
    return pockets[0].x_offset_mm if len(pockets) == 1 else (x0 + x1) / 2


def _numbers(spec: OpeningSpec, *, last: int) -> list[int | None]:
    """Which of the pockets, from 0, an opening is made at; None stands for the whole block."""
    if spec.pocket is not None:
        return [spec.pocket - 1]
    if spec.of_block:
        return [None]
    ends: Mapping[Through, list[int | None]] = {Through.LEFT: [0], Through.RIGHT: [last]}
    return ends.get(spec.through, list(range(last + 1)))


def _check_behind(opening: Opening, *, cavity: Cavity, face: Face, enough_mm: float) -> None:
    """Raise where a part of a recess leaves too little to the pocket, with the wall that leaves enough behind all its parts."""
    lefts = [_behind_mm(solid, cavity, within_mm=_LEAST_BEHIND_MM) for solid in opening.blind]
    left = min(lefts, default=_LEAST_BEHIND_MM)
    if left >= _LEAST_BEHIND_MM - 1e-6:
        return
    what, now = ("floor", face.block.floor_mm) if face.is_floor else ("wall", face.block.wall_mm)
    found = f"leaves {left:.2f} mm to the pocket" if left else "breaks into the pocket"
    outward = face.matrix[:3, 2]
    enough = max(enough_mm, _LEAST_BEHIND_MM)
    lacking = max(_lacking_mm(solid, cavity, outward=outward, enough_mm=enough) for solid in opening.blind)
    thick = now + lacking + _ROUGH_MM - 2 * _TO_MM  # the search ends that far above: a round figure stays one
    raise HolderError(
        f"the {opening.spec.kind.words} {found}; {_LEAST_BEHIND_MM:g} mm or more of {what} behind it is needed",
        hint=f"make the {what} {ceil(10 * thick) / 10:g} mm thick or the {opening.spec.kind.words} less deep",
    )


def _behind_mm(solid: Solid, cavity: Cavity, *, within_mm: float) -> float:
    """How much is left between a recess and the pocket, as far as it counts; 0 where they meet."""
    if overlap_mm3(solid, cavity.solid) > 1e-6:
        return 0.0
    return gap_mm(solid, cavity.solid, within_mm=within_mm)


def _lacking_mm(solid: Solid, cavity: Cavity, *, outward: Floats, enough_mm: float) -> float:
    """How much further outward a recess leaves enough to the pocket."""

    def enough(by_mm: float) -> bool:
        there = moved(solid, (outward * by_mm).tolist())
        return _behind_mm(there, cavity, within_mm=enough_mm) >= enough_mm - 1e-6

    low, high = 0.0, 1.0
    while not enough(high):
        low, high = high, 2 * high
    while high - low > _TO_MM:
        middle = (low + high) / 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high
