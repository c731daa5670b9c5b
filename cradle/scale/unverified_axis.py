"""Along which directions of a picture the scale has been checked, and what to say of the others.

One rule fixes the scale along itself. Across it the pixels are taken to be as
long, which no scanner promises: glass and carriage are two mechanisms, and
often differ by 0.1 to 0.5 % (common practice, no source). A camera's pixels
are square, but a view that leans by 6 degrees shortens one direction by 0.5 %
(its cosine).
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.picture_view import UNEVEN_PERCENT
from cradle.calibration.scale import FROM_TAG, Scale, ScaleKind
from cradle.finding import Finding, Severity, in_unit, note
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


def judged_by_calipers(
    findings: Sequence[Finding], *, width_mm: float | None, depth_mm: float | None
) -> tuple[Finding, ...]:
    """The findings of a section's picture, judged by the caliper readings that the section has.

    With width and depth, x and y are scaled each to its own reading: neither
    the note that one direction is unchecked counts, nor the warning that all
    rests on the file's tag. With one of them both take the same factor
    (`cradle.placing.estimate`), which corrects a tag but for the other
    direction. With none nothing corrects it. The note becomes a warning where
    what it leaves open is more than fits bear (its limit).
    """
    if width_mm is not None and depth_mm is not None:
        return tuple(f for f in findings if f.code not in (CODE, FROM_TAG))
    have = "width" if width_mm is not None else "depth" if depth_mm is not None else ""
    return tuple(_half_judged(finding, have) for finding in findings)


def _half_judged(finding: Finding, have: str) -> Finding:
    """A finding as the one reading that a section has leaves it, or none."""
    if finding.code == CODE:
        open_mm, bears_mm = finding.measured or 0.0, finding.limit or 0.0
        return replace(
            finding,
            severity=Severity.WARN if open_mm >= bears_mm else finding.severity,
            message=f"{finding.message}; "
            + (f"the {have} alone does not check it" if have else "no caliper reading corrects it"),
            advice="give the section's width and depth with calipers, lay a second ruler across the first,"
            " or use the capture sheet",
        )
    if finding.code == FROM_TAG and have:
        return replace(
            finding,
            severity=Severity.NOTE,
            message=f"{finding.message}; the {have} corrects it, but for the other direction, which may be"
            f" {UNEVEN_PERCENT:g} % wrong",
            advice="give both width and depth, or lay rulers along two sides of the piece",
        )
    return finding


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
