"""Whether the holder stands with the thing in it.

A body on a plane stands while its centre of mass lies above the convex hull of
its foot (McGhee & Frank 1968); tipped about a hull edge it falls once the
centre passes over that edge, at atan(distance to the edge / height).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cradle.finding import Finding, Severity
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import hull_ring

LEAST_TIP_DEG = 10.0
"""IEC 60335-1 clause 20.1 tips appliances by 10 degrees: a yardstick, not a pass."""
LIGHTEST_INFILL = 0.25
"""A sparsely filled print weighs about this much of a solid one (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How far holder and thing can be tipped in the worst direction, degrees (negative: they fall).

    ``margin_mm`` is the distance from the projected centre of mass to the
    nearest edge of the foot; ``direction_deg`` is the way they fall, from x.
    """

    tip_angle_deg: float
    margin_mm: float
    direction_deg: float
    centre_mm: tuple[float, float, float]


def tip_angle(foot: Floats, centre_mm: Floats) -> Standing:
    """The worst tip angle of a centre of mass over a foot.

    Parameters
    ----------
    foot : (n, 2) float64
        Points of contact on z = 0, mm; their convex hull counts.
    centre_mm : (3,) float64
        Centre of mass.
    """
    hull = hull_ring(foot)
    edge = np.roll(hull, -1, axis=0) - hull
    outward = np.column_stack([edge[:, 1], -edge[:, 0]]) / np.hypot(edge[:, 0], edge[:, 1])[:, None]
    margin = ((hull - centre_mm[:2]) * outward).sum(axis=1)
    k = int(np.argmin(margin))
    return Standing(
        tip_angle_deg=float(np.degrees(np.arctan2(margin[k], centre_mm[2]))),
        margin_mm=float(margin[k]),
        direction_deg=float(np.degrees(np.arctan2(outward[k, 1], outward[k, 0]))),
        centre_mm=(float(centre_mm[0]), float(centre_mm[1]), float(centre_mm[2])),
    )


def standing(
    foot: Floats, *, holder_centre_mm: Floats, holder_g: float, thing_centre_mm: Floats, thing_g: float
) -> Standing:
    """The worst standing over the whole range of infill, the thing in its place."""
    cases = []
    for filled in (LIGHTEST_INFILL, 1.0):
        mass = holder_g * filled
        centre = (holder_centre_mm * mass + thing_centre_mm * thing_g) / (mass + thing_g)
        cases.append(tip_angle(foot, centre))
    return min(cases, key=lambda case: case.tip_angle_deg)


def standing_findings(result: Standing) -> tuple[Finding, ...]:
    """A holder that falls over, or nearly."""
    if result.tip_angle_deg >= LEAST_TIP_DEG:
        return ()
    falls = result.tip_angle_deg <= 0
    return (
        Finding(
            code="tips",
            severity=Severity.FAIL if falls else Severity.WARN,
            message=(
                "holder and thing fall over by themselves"
                if falls
                else f"holder and thing tip over at {result.tip_angle_deg:.1f} degrees"
            ),
            where="block.flare",
            measured=result.tip_angle_deg,
            limit=LEAST_TIP_DEG,
            unit="deg",
            advice="flare the foot, or fix the holder down",
        ),
    )
