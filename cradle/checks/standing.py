"""Whether the holder stands with the thing in it."""

from __future__ import annotations

from collections.abc import Iterator

from cradle.finding import About, Finding, Severity, in_unit, note
from cradle.holder.standing import Standing

_LEAST_TIP_DEG = 10.0
"""IEC 60335-1 clause 20.1 tips appliances by 10 degrees: a yardstick, not a pass."""


def hung_findings() -> Iterator[Finding]:
    """A note that what is fixed to a wall was not judged by how it stands."""
    yield note(
        "fixed-to-wall",
        "the holder is fixed to a wall: whether it would stand by itself is not judged",
        "do not use it standing on a table",
    )


def standing_findings(result: Standing, *, asked_deg: float, wider_mm: float | None) -> Iterator[Finding]:
    """A holder that falls over, or sooner than asked.

    Parameters
    ----------
    asked_deg : float
        What ``block.tip_angle`` asks for.
    wider_mm : float or None
        The flare, per side, that would reach it, where that is known.
    """
    if result.tip_angle_deg >= asked_deg - 1e-6:
        return
    falls = result.tip_angle_deg <= 0
    severity = Severity.WARN if result.tip_angle_deg < _LEAST_TIP_DEG else Severity.NOTE
    advice = "flare the foot, or fix the holder down"
    if wider_mm is not None:
        advice = f"flare the foot to {wider_mm:g} mm per side for {asked_deg:g}°, or fix the holder down"
    yield Finding(
        code="tips",
        about=About.HOLDER,
        severity=Severity.FAIL if falls else severity,
        message=(
            f"holder and thing tip over {result.falls_to} on their own"
            if falls
            else f"holder and thing tip over {result.falls_to} when tilted by {result.tip_angle_deg:.1f}°"
        )
        + _when(result),
        where="block.flare",
        advice=advice,
        **in_unit("deg", result.tip_angle_deg, limit=asked_deg),
    )


def _when(result: Standing) -> str:
    """In which case it falls so soon, in brackets; empty for a solid print with all its things in it."""
    cases = [] if result.infill == 1.0 else ["printed with little infill"]
    if result.without == 1:
        cases.append("one thing taken out")
    elif result.without > 1:
        cases.append(f"{result.without} things taken out")
    return f" ({', '.join(cases)})" if cases else ""
