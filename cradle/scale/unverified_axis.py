"""Along which directions of a picture the scale has been checked, and what to say of the others.

One rule fixes the scale along itself. Across it the pixels are taken to be as
long, which no scanner promises: glass and carriage are two mechanisms, and
often differ by 0.1 to 0.5 % (common practice, no source). A camera's pixels
are square, but a view that leans by 6 degrees shortens one direction by 0.5 %
(its cosine).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.picture_view import UNEVEN_PERCENT
from cradle.calibration.scale import Scale, ScaleKind
from cradle.finding import Finding, in_unit, note
from cradle.geometry.vectors import cross, left_of, unit

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cradle.geometry.arrays import Floats

CODE: Final = "scale-one-way"
_ALONG_ONE_LINE: Final = (ScaleKind.RULER, ScaleKind.POINTS)
_LEAST_ACROSS: Final = 0.7
"""Sine of the least angle between two known lengths that check each other's direction."""
_NEAR_AXIS_DEG: Final = 20.0


def _unchecked_way(used: Scale, found: Sequence[Scale]) -> Floats | None:
    """The unit vector, px, of the direction in which nothing known checks the scale used, or None.

    A length along one line is known of a rule and of two points. Any other
    known length across it, on a second rule, a card or the sheet, checks it:
    where the two disagree it is told elsewhere. A resolution tag checks
    nothing, as nobody has measured it.

    Parameters
    ----------
    found : sequence of Scale
        All scales of the picture, ``used`` among them.
    """
    if used.kind not in _ALONG_ONE_LINE or not len(used.known_mm):
        return None
    along = _directions(used)[0]
    every = np.concatenate([_directions(scale) for scale in found])
    if (np.abs(cross(every, along)) >= _LEAST_ACROSS).any():
        return None
    return left_of(along)


def one_way_note(used: Scale, found: Sequence[Scale], *, where: str) -> Iterator[Finding]:
    """A note on the direction that nothing checks; nothing when all is checked."""
    across = _unchecked_way(used, found)
    if across is None:
        return
    name = "the two points give" if used.kind is ScaleKind.POINTS else "the ruler gives"
    yield note(
        CODE,
        f"{name} the scale in one direction only; {_told(across)} the same scale is assumed, which may be"
        f" {UNEVEN_PERCENT:g} % wrong",
        "lay a second ruler across the first, use the capture sheet, or measure both ways with calipers",
        where=where,
        **in_unit("%", UNEVEN_PERCENT),
    )


def _directions(scale: Scale) -> Floats:
    """Unit vectors of the known lengths of a scale, ``(k, 2)``, px."""
    ends = scale.ends_px.reshape(-1, 2, 2)
    return unit(ends[:, 1] - ends[:, 0])


def _told(across: Floats) -> str:
    """The direction in words."""
    turn = float(np.degrees(np.arctan2(-across[1], across[0]))) % 180.0  # pixels count downwards
    if abs(turn - 90.0) <= _NEAR_AXIS_DEG:
        return "up and down the picture (y)"
    if min(turn, 180.0 - turn) <= _NEAR_AXIS_DEG:
        return "from left to right (x)"
    return f"at a right angle to it ({turn:.0f}° from the picture's x)"
