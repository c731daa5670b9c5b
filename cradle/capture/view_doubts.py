"""What is doubtful of the outline of a side: of how it runs, and of how large it is only where its size counts."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from cradle.finding import Finding

_HOW_IT_RUNS: Final = frozenset(
    {
        "edge-faint",
        "edge-glare",
        "edge-soft",
        "edge-unsure",
        "line-open",
        "lines-like-piece",
        "picture-blurred",
        "piece-cut-off",
        "piece-in-parts",
        "piece-left-out",
        "piece-on-rule",
        "spots-left-out",
    }
)
"""Findings that say the same whatever the picture's scale."""
_LENGTH: Final = re.compile(r"(\d+(?:\.\d+)?) mm\b")


def without_size(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings on how an outline runs, for one whose size does not count."""
    return tuple(finding for finding in findings if finding.code in _HOW_IT_RUNS)


def in_pixels(findings: Iterable[Finding], *, mm_per_px: float) -> tuple[Finding, ...]:
    """The findings on a picture of which nothing tells the scale, with their lengths in px.

    Parameters
    ----------
    mm_per_px : float
        Size of a pixel that stood in for the one that is not known.

    Examples
    --------
    >>> from cradle.finding import Severity
    >>> soft = Finding(
    ...     code="edge-soft", severity=Severity.WARN, message="61 mm of the edge are soft", measured=61.0, unit="mm"
    ... )
    >>> for finding in in_pixels([soft], mm_per_px=0.1):
    ...     print(finding, finding.measured, finding.unit)
    610 px of the edge are soft 610.0 px
    """
    return tuple(_in_pixels(finding, mm_per_px) for finding in findings)


def _in_pixels(finding: Finding, mm_per_px: float) -> Finding:
    message = _LENGTH.sub(lambda found: f"{float(found[1]) / mm_per_px:.0f} px", finding.message)
    if finding.unit != "mm":
        return replace(finding, message=message)
    measured, limit = (None if v is None else v / mm_per_px for v in (finding.measured, finding.limit))
    return replace(finding, message=message, measured=measured, limit=limit, unit="px")
