"""How the thing leans, where nothing measured says it: told with what settles it, and whether the drawings give ground for suspicion."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import atan, degrees, hypot
from typing import Final

import numpy as np

from cradle.finding import About, Finding, Severity, in_mm
from cradle.names import section_words
from cradle.noun import record
from cradle.placing.disagreements import DOUBTED_MM
from cradle.placing.estimate import Estimate
from cradle.sections.laid import Laid
from cradle.sections.posterior import PARAMETERS, Posterior
from cradle.sections.turned import TURNED, may_be_turned
from cradle.sections.zero import middles_in_one_frame_mm

LEAN_NOT_KNOWN: Final = "lean-not-known"
"""The finding on a thing of which nothing tells how it leans."""
_DRIFT_MM: Final = 1.0
"""Middles of outlines that were each drawn about a zero of their own seldom drift further than this along a line (our own choice)."""
_OFF_LINE: Final = 0.02
"""Where more than this part of the middles' scatter, in squares, is off a straight line, the sheets were laid anyhow and tell no lean.

Of stacks of k sheets laid anyhow, this part to the power of k - 2 seem to lean: of
three sheets 2 in 100 (the F distribution of 2 and 2 (k - 2) degrees of freedom, any
table of it).
"""
_TOLD_MM: Final = 0.05
"""A smaller movement is not spoken of."""
_ENOUGH: Final = 3
"""Fewer middles than this always lie on a line."""
_PROFILED: Final = ("left or right side", "front or back")
"""Sides one of whose profiles tells the lean along x, and along y."""
_VIEWED: Final = ("front or back", "left or right")
"""Sides one of whose views tells it."""
_TOWARDS: Final = (("to the left", "to the right"), ("to the front", "to the back"))
"""Words for a movement, by axis: against it and along it."""


@record
class Drift:
    """How far the middles of the outlines, as drawn, move along a line from the lowest to the highest, along x and along y, mm.

    0 along an axis along which something measured tells how the thing leans.
    """

    moved_mm: tuple[float, float]
    height_mm: float
    low: str
    high: str

    def __str__(self) -> str:
        ways = [
            f"{abs(moved):.1f} mm {towards[moved > 0]}"
            for moved, towards in zip(self.moved_mm, _TOWARDS, strict=True)
            if abs(moved) >= _TOLD_MM
        ]
        lean = degrees(atan(hypot(*self.moved_mm) / self.height_mm))
        return (
            f"in the drawings the middle moves by {' and '.join(ways)} from {section_words(self.low)} "
            f"to {section_words(self.high)}, as it does of a thing that leans by {lean:.1f}°"
        )


def drift(laid: Sequence[Laid], *, axes: Sequence[int]) -> Drift | None:
    """The drift along these axes; None where the drawings lie side by side, or their middles lie along no line or hardly move."""
    zeros = {axis: middles_in_one_frame_mm(laid, axis=axis) for axis in (0, 1)}
    told = [axis for axis, middles in zeros.items() if len(middles) >= _ENOUGH]
    if not set(told) & set(axes):
        return None
    drawn = list(zeros[told[0]])
    places = np.column_stack([list(zeros[axis].values()) for axis in told])
    heights = np.array([laid[i].spec.height_mm for i in drawn])
    slope, start = np.polyfit(heights, places, 1)
    off = places - (heights[:, None] * slope + start)
    if (off**2).sum() > _OFF_LINE * ((places - places.mean(axis=0)) ** 2).sum():
        return None
    moved = slope * np.ptp(heights)
    along = {axis: float(mm) for axis, mm in zip(told, moved, strict=True) if axis in axes}
    if max(map(abs, along.values())) < _DRIFT_MM:
        return None
    low, high = laid[drawn[0]].spec, laid[drawn[-1]].spec
    return Drift(
        moved_mm=(along.get(0, 0.0), along.get(1, 0.0)),
        height_mm=high.height_mm - low.height_mm,
        low=low.name,
        high=high.name,
    )


def _beside_all_mm(posterior: Posterior, *, lowest: int | None = None) -> float:
    """The largest spread of a section's place beside the mean of all, or of this many of the lowest, mm.

    It is that along an axis of which nothing tells the lean; the choice of the zero does not count.
    """

    def along_mm(axis: int) -> float:
        own = posterior.covariance[axis::PARAMETERS, axis::PARAMETERS][:lowest, :lowest]
        beside = np.eye(len(own)) - 1.0 / len(own)
        return float(np.sqrt(np.clip((beside @ own @ beside).diagonal(), 0.0, None)).max())

    return max(along_mm(axis) for axis, known in enumerate(posterior.lean_known) if not known)


def lean_not_known(found: Estimate, *, laid: Sequence[Laid]) -> Iterator[Finding]:
    """A finding for how the thing leans where nothing measured says it."""
    known = found.posterior.lean_known
    if all(known) or len(laid) < 2:
        return
    open_axes = [axis for axis in (0, 1) if not known[axis]]
    drawn = drift(laid, axes=open_axes)
    spread = _beside_all_mm(found.posterior)
    ways = " and ".join(("to the left or right", "to the front or back")[axis] for axis in open_axes)
    doubtful = spread > DOUBTED_MM or drawn is not None
    settles = (
        f"measure a profile of the {' and one of the '.join(_PROFILED[axis] for axis in open_axes)}, "
        f"or add a view from the {' and one from the '.join(_VIEWED[axis] for axis in open_axes)}"
    )
    if drawn is not None:
        settles += ', or say align = "drawing" under [loft] if all outlines were drawn from one zero'
    elif may_be_turned([one.spec for one in laid]):
        settles = f"{TURNED}; else {settles}"
    yield Finding(
        code=LEAN_NOT_KNOWN,
        severity=Severity.WARN if doubtful else Severity.NOTE,
        message=f"nothing was measured that tells how the thing leans {ways}: it is taken to stand upright, its "
        f"sections aligned by their shape, give or take {spread:.1f} mm"
        + ("" if doubtful else ", for which the chance of fit allows")
        + ("" if drawn is None else f"; but {drawn}"),
        advice=settles if doubtful else "",
        about=About.MEASURED if drawn is None else About.LEAN,
        **in_mm(spread),
    )


def lean_within(
    finding: Finding, *, posterior: Posterior, heights_mm: Sequence[float], rim_mm: float
) -> Finding:
    """The finding on a lean as a holder of this height feels it: a note where the sections up to the first above its rim lie surely enough.

    ``heights_mm`` are those of all sections, rising. A suspicion that the drawings themselves raise stays a warning.
    """
    if finding.severity is Severity.NOTE or finding.about is About.LEAN:
        return finding
    spread = _beside_all_mm(posterior, lowest=sum(height < rim_mm for height in heights_mm) + 1)
    if spread > DOUBTED_MM:
        return finding
    return replace(
        finding,
        severity=Severity.NOTE,
        message=f"{finding.message}, and {spread:.1f} mm as far up as the holder reaches, for which the chance of fit allows",
        advice="",
        **in_mm(spread),
    )
