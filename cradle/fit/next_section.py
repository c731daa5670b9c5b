"""Where to measure next: the height whose template would raise the chance of fit most."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from cradle.fit.chance import share_that_fits
from cradle.fit.model import FitModel, asked_mm, drawn
from cradle.fit.uncertainties import PLAIN_WORDS, Spread
from cradle.geometry.arrays import Floats
from cradle.pocket.clearance import ClearanceProfile

_DRAWS: Final = 500
_STEP_MM: Final = 0.5
_MOST: Final = 3
"""So many of the widest gaps are tried."""
_WORTH: Final = 0.02
"""A gain below this is lost in the draws."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NextSection:
    """A height worth a template: chance before, and with it."""

    height_mm: float
    where: str
    before: float
    after: float

    def __str__(self) -> str:
        return (
            f"a template at {self.height_mm:g} mm, {self.where}, would raise the chance of fit "
            f"from {100 * self.before:.0f} % to {100 * self.after:.0f} %"
        )


def next_section(model: FitModel, profile: ClearanceProfile) -> NextSection | None:
    """The height whose template would raise the chance most; None where no template would help.

    A template at h takes the place of the bow over its gap by two shorter
    bows; candidates are the middles of the widest gaps and both ends of the reach.
    """
    xi = drawn(model, draws=_DRAWS)
    asked = asked_mm(model, profile)
    before = share_that_fits(model, xi, asked=asked)
    best: NextSection | None = None
    for height in candidates(model):
        tried = with_template(model, height_mm=height)
        after = share_that_fits(tried, xi, asked=asked)
        if after - before > _WORTH and (best is None or after > best.after):
            best = NextSection(height_mm=height, where=model.place_name(height), before=before, after=after)
    return best


def candidates(model: FitModel) -> list[float]:
    """Heights that may be worth a template, rising, mm."""
    low, high = float(model.places.heights_mm[0]), float(model.places.heights_mm[-1])
    knots = model.section_heights_mm
    gaps = np.argsort(-np.diff(knots), kind="stable")[:_MOST]  # a bow grows with the square of its gap
    middles = (knots[gaps] + knots[gaps + 1]) / 2
    tries = [m for m, start in zip(middles, knots[gaps], strict=True) if start < high and m > low]
    if low < knots[0] - _STEP_MM:
        tries.append(low)
    if high > knots[-1] + _STEP_MM:
        tries.append(high)
    return sorted({round(float(t) / _STEP_MM) * _STEP_MM for t in tries})


def with_template(model: FitModel, *, height_mm: float) -> FitModel:
    """The model as it would be with one more section at a height."""
    knots = model.section_heights_mm
    at = model.places.heights_mm[model.places.levels]
    gap = int(np.clip(np.searchsorted(knots, height_mm) - 1, 0, len(knots) - 2))
    a, b = float(knots[gap]), float(knots[gap + 1])
    old = np.abs((at - a) * (b - at))
    ends = np.sort([a, b, height_mm])
    split = np.clip(np.searchsorted(ends, at, side="right") - 1, 0, 1)
    new = np.abs((at - ends[split]) * (ends[split + 1] - at))
    factor: Floats = np.divide(new, old, out=np.ones_like(old), where=old > 1e-12)
    shrunk = np.where(_gap_of(model) == gap, np.minimum(factor, 1.0), 1.0)
    matrix = model.influences.matrix.scaled(shrunk, rows=model.influences.of(Spread.BETWEEN))
    return replace(model, influences=replace(model.influences, matrix=matrix))


def _gap_of(model: FitModel) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    at = model.places.heights_mm[model.places.levels]
    knots = model.section_heights_mm
    return np.clip(np.searchsorted(knots, at, side="right") - 1, 0, len(knots) - 2)


def said(found: NextSection | None, *, limited_by: Spread) -> str:
    """One sentence on where to measure next."""
    if found is not None:
        return str(found)
    return f"one more template would hardly help: {PLAIN_WORDS[limited_by]} counts most"
