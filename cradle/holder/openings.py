"""Openings through the floor and the walls, each made by the function for its kind."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from cradle.errors import HolderError, located
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import Region
from cradle.geometry.region_measures import bounds
from cradle.geometry.solid import Solid, gap_mm, moved, overlap_mm3
from cradle.holder.face import Face
from cradle.holder.holes import finger_notches, hole, notch
from cradle.holder.opening import Opening
from cradle.holder.recesses import feet, keyhole, label, magnet
from cradle.holder.screws import screw_hole
from cradle.pocket.cavity import Cavity
from cradle.pocket.pocket import Pocket
from cradle.project.block import BlockSpec
from cradle.project.opening import OpeningKind, OpeningSpec, Through
from cradle.units import tenths_up

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
_STEP_MM: Final = 1.0
"""How far apart places are tried."""
_MOST_STEPS: Final = 100
"""No more places than this are tried along one way, the steps being as much longer."""
_WAYS: Final = 8
"""Ways that are tried under a floor."""


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
    words = opening.spec.kind.words
    found = (
        f"{left:.2f} mm would be left between the {words} and the pocket"
        if left
        else f"the {words} would break into the pocket"
    )
    outward = face.matrix[:3, 2]
    enough = max(enough_mm, _LEAST_BEHIND_MM)
    lacking = max(_lacking_mm(solid, cavity, outward=outward, enough_mm=enough) for solid in opening.blind)
    thick = now + lacking + _ROUGH_MM - 2 * _TO_MM  # the search ends that far above: a round figure stays one
    raise HolderError(
        f"{found}; {_LEAST_BEHIND_MM:g} mm or more of {what} behind it is needed",
        hint=f"make the {what} {tenths_up(thick)} mm thick or the {words} less deep",
    )


def _behind_mm(solid: Solid, cavity: Cavity, *, within_mm: float) -> float:
    """How much is left between a recess and the pocket, mm, ``within_mm`` at most; 0 where they meet."""
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


def made_near_middle(make: Callable[[Face], Opening], *, face: Face) -> Opening:
    """The opening in the middle of its face, or beside it: along a wall, under a floor whichever way is nearest.

    Beside it, it lies in the middle of where it can be along that way.

    Raises
    ------
    HolderError
        If it can lie nowhere there: what is wrong with it in the middle.
    """
    try:
        return make(face)
    except HolderError:
        runs = [run for way in _ways(face) if (run := _first_run(make, face=face, way=way))]
        if not runs:
            raise
    _, made = min(runs, key=lambda run: run[0])
    return made[len(made) // 2]


def _ways(face: Face) -> Iterator[Floats]:
    """Unit vectors from the middle, ``(2,)``, as a project counts places."""
    for turn in np.arange(_WAYS) * 2 * np.pi / _WAYS if face.is_floor else (0.0, np.pi):
        yield np.round([np.cos(turn), np.sin(turn)], 9)


def _first_run(
    make: Callable[[Face], Opening], *, face: Face, way: Floats
) -> tuple[int, list[Opening]] | None:
    """The openings that can be made at the first places along one way, without a gap, and how many steps off the first lies; None where none can."""
    first = 0
    made: list[Opening] = []
    reach_mm = face.reach_along_mm
    apart_mm = max(_STEP_MM, reach_mm / _MOST_STEPS)
    for step in range(1, int(reach_mm / apart_mm) + 1):
        there = replace(face, off_middle_mm=tuple((step * apart_mm * way).tolist()))
        try:
            opening = make(there)
        except HolderError:
            if made:
                break
            continue
        first = first or step
        made.append(replace(opening, put_mm=there.as_given(there.place(None))))
    return (first, made) if made else None
