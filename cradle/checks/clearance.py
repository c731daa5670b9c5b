"""The clearance everywhere, and what the way out costs."""

from __future__ import annotations

from math import floor

from cradle.finding import Finding, Severity
from cradle.geometry.solid import Solid, gap_mm
from cradle.holder.holder import Holder
from cradle.pocket.clearance import ClearanceProfile
from cradle.pocket.pocket import Pocket
from cradle.project.convert import AUTO, Auto, Triple
from cradle.result.measurements import Gap

_BEYOND = 1.02
"""The gap is searched this much past the greatest clearance asked for: further says nothing more."""

_HELD_MM = 1.0
"""A block that reaches less than this above the lowest section holds nothing by it."""


def least_gap(holder: Holder, body: Solid, *, clearance: ClearanceProfile) -> Gap:
    """The least distance between the holder and the body in its place.

    Parameters
    ----------
    holder : Holder
    body : Solid
        In the print frame.
    clearance : ClearanceProfile
        What was asked for. Where nothing is as near as its least, which may
        lie out of the holder's reach, the search goes on to a little past its greatest.
    """
    for asked_mm in dict.fromkeys((clearance.least_mm, clearance.greatest_mm)):
        limit = max(asked_mm * _BEYOND, 0.01)
        gap = gap_mm(holder.solid, body, within_mm=limit)
        if gap < limit:
            return Gap(least_mm=gap, at_least=False)
    return Gap(least_mm=gap, at_least=True)


def clearance_findings(gap: Gap, *, asked_mm: float, tolerance_mm: float) -> tuple[Finding, ...]:
    """A failure when the least gap falls short."""
    if gap.least_mm >= asked_mm - tolerance_mm:
        return ()
    return (
        Finding(
            code="clearance-short",
            severity=Severity.FAIL,
            message=f"the least gap is {gap.least_mm:.3f} mm per side, {asked_mm:.3f} mm was asked for",
            measured=gap.least_mm,
            limit=asked_mm,
            unit="mm",
            advice="please report this: the pocket should have been made wide enough",
        ),
    )


def undercut_findings(
    pocket: Pocket, *, insertion: Triple | Auto, lowest_section_mm: float
) -> tuple[Finding, ...]:
    """How much room the way out costs where the thing is wider below than above.

    Parameters
    ----------
    pocket : Pocket
    insertion : (3,) or "auto"
        As asked for in the project.
    lowest_section_mm : float
        Height of the lowest section: a holder reaches above it.
    """
    cut = pocket.undercut
    if cut.place_mm is None:
        return ()
    x, y, z = cut.place_mm
    ways = [] if insertion == AUTO else ['lift_out = "auto"']
    if cut.place_mm[2] > lowest_section_mm + _HELD_MM:
        ways.append(f"a block that ends below {floor(cut.place_mm[2])} mm")
    return (
        Finding(
            code="undercut",
            severity=Severity.NOTE if cut.depth_mm < 2 * pocket.clearance.greatest_mm else Severity.WARN,
            message=(
                f"the thing is wider below than above: the pocket is {cut.depth_mm:.2f} mm wider than the clearance"
                f" near x {x:z.0f}, y {y:z.0f}, height {z:z.0f} mm, so that the thing can be lifted out"
            ),
            measured=cut.depth_mm,
            unit="mm",
            place_mm=cut.place_mm,
            advice=f"try {', or '.join(ways)}" if ways else "",
        ),
    )
