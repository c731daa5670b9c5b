"""What is doubtful of how large a picture shows things, judged by what else tells their size: calipers, or sections."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from cradle.calibration.picture_view import UNEVEN_PERCENT
from cradle.calibration.scale import FROM_TAG, OBLIQUE
from cradle.finding import Finding, Severity
from cradle.rulers.bent_rule import BOWED
from cradle.scale.unverified_axis import CODE as ONE_WAY

COARSE: Final = "picture-coarse"
"""Told of a picture whose pixels are too wide for the edges that it shows."""
_OF_EDGES_TOO: Final = (OBLIQUE, BOWED, COARSE)
"""Doubts that sizes come out wrong, and edges bent or unsure."""


def judged_by_calipers(
    findings: Sequence[Finding], *, width_mm: float | None, depth_mm: float | None
) -> tuple[Finding, ...]:
    """The findings on the size of a section's picture, judged by the caliper readings that the section has.

    With width and depth, x and y are scaled each to its own reading: no doubt
    of the scale is left. With one of them both take the same factor
    (`cradle.placing.estimate`), which corrects a tag but for the other
    direction. With none nothing corrects it. What the view leaves open is then
    a warning where it is more than fits bear (its limit).
    """
    if width_mm is not None and depth_mm is not None:
        return tuple(map(_corrected, checked(findings)))
    have = "width" if width_mm is not None else "depth" if depth_mm is not None else ""
    return tuple(_half_judged(finding, have) for finding in findings)


def checked(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings on a picture's size where other measurements check it: not those that nothing does."""
    return tuple(f for f in findings if f.code not in (ONE_WAY, FROM_TAG))


def _corrected(finding: Finding) -> Finding:
    """A finding on a picture's size where width and depth correct that."""
    if finding.severity is not Severity.WARN or finding.code in _OF_EDGES_TOO:
        return finding
    message = f"{finding.message}; the section's width and depth correct it"
    return replace(finding, severity=Severity.NOTE, message=message, advice="")


def _half_judged(finding: Finding, have: str) -> Finding:
    """A finding as the one reading that a section has leaves it, or none."""
    if finding.code == ONE_WAY:
        open_mm, bears_mm = finding.measured or 0.0, finding.limit or 0.0
        return replace(
            finding,
            severity=Severity.WARN if open_mm >= bears_mm else finding.severity,
            message=f"{finding.message}; "
            + (f"the {have} alone does not check it" if have else "no caliper reading corrects it"),
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
