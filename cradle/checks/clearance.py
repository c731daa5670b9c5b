"""The least gap between thing and holder, and whether it is what was asked for."""

from __future__ import annotations

from collections.abc import Iterator

from cradle.finding import About, Finding, Severity, in_mm
from cradle.geometry.solid import Solid, gap_mm, with_short_edges
from cradle.holder.holder import Holder
from cradle.pocket.clearance import ClearanceProfile
from cradle.result.measurements import Gap

_BEYOND = 1.02
"""The gap is searched up to this many times the greatest clearance asked for: a larger one tells nothing more."""
_NEAR = 1.1
"""It is first searched up to this many times the least clearance: usually it lies there, and a short search is quick."""
_SHORT_MM = 50.0
"""Edges of the body are no longer than this where the gap is measured: that of a plain thing 2 m wide beside a fine wall is
measured in 0.5 s instead of 1.4, that of one whose walls are nearly flat in 2.8 s instead of 3.8 with edges of 100 mm.
Dividing those of a small thing takes longer than it spares."""


def least_gap(holder: Holder, body: Solid, *, clearance: ClearanceProfile) -> Gap:
    """The least distance between the holder and the body in its place.

    Parameters
    ----------
    body : Solid
        In the print frame.
    clearance : ClearanceProfile
        What was asked for. Where nothing is about as near as its least, the search goes on to a little past its greatest.
    """
    furthest = max(clearance.greatest_mm * _BEYOND, 0.01)
    near = max(clearance.least_mm * _NEAR, 0.01)
    body = with_short_edges(body, most_mm=_SHORT_MM)
    for limit in dict.fromkeys((min(near, furthest), furthest)):
        gap = gap_mm(holder.solid, body, within_mm=limit)
        if gap < limit:
            return Gap(least_mm=gap, at_least=False)
    return Gap(least_mm=gap, at_least=True)


def clearance_findings(gap: Gap, *, asked_mm: float, tolerance_mm: float) -> Iterator[Finding]:
    """A failure when the least gap falls short."""
    if gap.least_mm >= asked_mm - tolerance_mm:
        return
    yield Finding(
        code="clearance-short",
        severity=Severity.FAIL,
        message=f"the least gap is {gap.least_mm:.3f} mm per side, {asked_mm:.3f} mm was asked for",
        advice="please report this: the pocket should have been made wide enough",
        about=About.FIT,
        **in_mm(gap.least_mm, limit=asked_mm),
    )
