"""Where an opening lies whose place is not said: in the middle, or beside it where it would miss the pocket there."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Final

import numpy as np

from cradle.errors import HolderError
from cradle.geometry.arrays import Floats
from cradle.holder.face import Face
from cradle.holder.opening import Opening

_STEP_MM: Final = 1.0
"""How far apart places are tried."""
_MOST_STEPS: Final = 100
"""No more places than this are tried along one way, the steps being as much longer."""
_WAYS: Final = 8
"""Ways that are tried under a floor."""


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
    """How many steps one way it can be made first, and all it can be made there without a gap; None where it cannot."""
    first = 0
    made: list[Opening] = []
    apart_mm = max(_STEP_MM, face.reach_along_mm / _MOST_STEPS)
    for step in range(1, int(face.reach_along_mm / apart_mm) + 1):
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
