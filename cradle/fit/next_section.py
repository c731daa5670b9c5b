"""Where to measure next: the height whose template would raise the chance of fit most."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from cradle.fit.chance import share_that_fits
from cradle.fit.interpolation_error import half_way_shape
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
            f"measure one more section at {self.height_mm:g} mm, {self.where} (chance of fit from "
            f"{100 * self.before:.0f} % to about {100 * self.after:.0f} %)"
        )


def next_section(model: FitModel, profile: ClearanceProfile, *, chance: float) -> NextSection | None:
    """The height whose template would raise the chance most; None where no template would help.

    A template at h takes the place of the bow over its gap by two shorter
    bows; candidates are the middles of the widest gaps and both ends of the reach.

    Parameters
    ----------
    model : FitModel
    profile : ClearanceProfile
    chance : float
        The chance as it is, of more draws than the gain is read off.
    """
    xi = drawn(model, draws=_DRAWS)
    asked = asked_mm(model, profile)
    before = share_that_fits(model, xi, asked=asked)
    best: NextSection | None = None
    for height in candidates(model):
        tried = with_template(model, height_mm=height)
        gain = share_that_fits(tried, xi, asked=asked) - before
        after = min(chance + gain, 1.0)
        if gain > _WORTH and (best is None or after > best.after):
            best = NextSection(height_mm=height, where=model.place_name(height), before=chance, after=after)
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
    """The model as it would be with one more section at a height.

    The spread half way in a gap falls as its length, for a thing's change from
    section to section and its bow fall with it (`cradle.fit.interpolation_error`).
    """
    knots = model.section_heights_mm
    at = model.places.heights_mm[model.places.levels]
    gap = int(np.clip(np.searchsorted(knots, height_mm) - 1, 0, len(knots) - 2))
    ends = np.sort([knots[gap], knots[gap + 1], height_mm])
    split = np.clip(np.searchsorted(ends, at, side="right") - 1, 0, 1)
    old = half_way_shape(at, low_mm=knots[gap], high_mm=knots[gap + 1])
    new = half_way_shape(at, low_mm=ends[split], high_mm=ends[split + 1])
    part = (ends[split + 1] - ends[split]) / (knots[gap + 1] - knots[gap])
    factor: Floats = np.divide(part * new, old, out=np.ones_like(old), where=old > 1e-9)
    beyond = (at < knots[0]) | (at > knots[-1])
    factor[beyond] = np.where((ends[0] <= at) & (at <= ends[2]), 0.0, 1.0)[beyond]
    shrunk = np.where(_gap_of(model) == gap, np.minimum(factor, 1.0), 1.0)
    matrix = model.influences.matrix.scaled(shrunk, rows=model.influences.of(Spread.BETWEEN))
    expected = model.influences.between_mean_mm
    mean = model.influences.mean_mm - (1 - shrunk) * expected
    return replace(
        model,
        influences=replace(model.influences, matrix=matrix, mean_mm=mean, between_mean_mm=shrunk * expected),
    )


def _gap_of(model: FitModel) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    at = model.places.heights_mm[model.places.levels]
    knots = model.section_heights_mm
    return np.clip(np.searchsorted(knots, at, side="right") - 1, 0, len(knots) - 2)


_REMEDIES: Final = {
    Spread.TRACE: "draw the outlines more exactly: a scanned template instead of one drawn by hand",
    Spread.SCALE: "read width and depth with calipers at every section",
    Spread.CALIPERS: "read width and depth three times at every section, and take the middle value",
    Spread.HEIGHTS: "measure the heights of the sections again, from the plate",
    Spread.PLACING: "give side profiles, or a view from the front and one from the side",
    Spread.BETWEEN: "measure two or three sections more, or give side profiles or views where there are none",
    Spread.INSIDE: "print one test piece and note what its inside reads: that measures the printer",
    Spread.REPEAT: "nothing but a printer that repeats better helps",
}


def measuring_advice(found: NextSection | None, *, limited_by: Spread) -> str:
    """One sentence on what to measure next."""
    if found is not None:
        return str(found)
    return (
        f"one more section would hardly help; {PLAIN_WORDS[limited_by]} counts most: {_REMEDIES[limited_by]}"
    )
