"""A point of a typed list that stands out like a spike: a slip of a figure or a sign, or something small that is there."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.finding import Finding, doubt, in_mm
from cradle.geometry.arrays import Bools, Floats, following, preceding
from cradle.geometry.ring import off_segments
from cradle.geometry.vectors import turn_rad

_FEWEST: Final = 8
_FAR_MM: Final = 3.0
_TURNS: Final = np.radians(80.0)
_TURNS_BACK: Final = np.radians(30.0)
_GOES_ON: Final = np.radians(70.0)
"""A point stands out where it lies at least ``_FAR_MM`` from the line between its neighbours and the outline turns by more than
``_TURNS`` at it, by more than ``_TURNS_BACK`` the other way at both neighbours, and by less than ``_GOES_ON`` at all three
together: at a step that is a right angle.

Of level outlines of scanned things, read at 16 to 80 points to 0.1 or 0.3 mm,
1 in 100 has such a point; where one coordinate of one point is off by 10 mm, it
is told in 4 (16 points), 20 (24) and 34 to 48 (40 and 80) of 100.
"""


def odd_points(points: Floats, *, closed: bool, where: str) -> list[Finding]:
    """A finding for the point that stands out most; none where none does.

    Parameters
    ----------
    points : (n, 2) float64, mm
        As listed.
    closed : bool
        Whether the last is followed by the first.
    """
    if len(points) < _FEWEST:
        return []
    far = np.where(_spikes(points), _from_neighbours_mm(points), 0.0)
    if not closed:
        far[[0, 1, -2, -1]] = 0.0
    worst = int(np.argmax(far))
    if far[worst] < _FAR_MM:
        return []
    x, y = points[worst]
    return [
        doubt(
            "point-odd",
            f"the point ({x:z.2f}, {y:z.2f}), number {worst + 1} of {len(points)}, stands out by {far[worst]:.1f} mm "
            "from its neighbours, like a slip of a figure or a sign",
            "compare it with what was read; all is well if something small stands out or is let in there",
            where=where,
            **in_mm(float(far[worst]), limit=_FAR_MM),
        )
    ]


def _spikes(points: Floats) -> Bools:
    """Where the outline turns sharply one way and at both neighbours the other, ``(n,)``."""
    edges = following(points) - points
    turn = turn_rad(preceding(edges), edges)
    before, after = preceding(turn), following(turn)
    back = -np.sign(turn) * np.array([before, after])
    goes_on = np.abs(before + turn + after) < _GOES_ON
    return np.asarray((np.abs(turn) > _TURNS) & (back > _TURNS_BACK).all(axis=0) & goes_on)


def _from_neighbours_mm(points: Floats) -> Floats:
    """How far each point lies from the line between its neighbours, ``(n,)``, mm."""
    before = preceding(points)
    return off_segments(points - before, following(points) - before)
