"""Where to measure next: the height whose template would gain most."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from cradle.fit.gain import Gain, Gains
from cradle.fit.interpolation_error import half_way_shape
from cradle.fit.model import FitModel
from cradle.fit.more_points import MorePoints
from cradle.fit.uncertainties import PLAIN_WORDS, Spread
from cradle.geometry.arrays import Floats
from cradle.geometry.knots import interval_of
from cradle.noun import record

_STEP_MM: Final = 0.5
_MOST: Final = 3
"""So many of the widest gaps are tried."""
_NEAR_BOTTOM_MM: Final = 5.0
"""A section no higher is near the bottom: still lower things round off so fast that a template there tells nothing."""
_GAP_POWERS: Final = (0.5, 0.3)
"""How the spread between sections falls with the length of the gap: with two sections, and with more.

The root mean square deviation of level outlines of 44 scanned household things
from the loft through two to five true sections, chosen as a careful person
would, against the length of the gap, each thing by itself: 0.5 and 0.3 with
four side profiles (give or take 0.06), 0.8 and 0.4 with none. A section more
is put where things bend, and what is left bends as much.
"""
_LEFT_BEYOND: Final = 0.5
"""Part of the spread beyond the sections that is left where a section more lies still further out."""


@record
class NextSection:
    """A height worth a template, and what it gains."""

    height_mm: float
    where: str
    gain: Gain

    def __str__(self) -> str:
        return f"measure one more section at {self.height_mm:g} mm, {self.where} ({self.gain})"


def next_section(model: FitModel, gains: Gains) -> NextSection | None:
    """The height whose template would gain most; None where no template would help.

    A template at h parts its gap in two, and brings a tracing error of its
    own; candidates are the middles of the widest gaps, half way below the
    lowest section, and the upper end of the reach.

    Parameters
    ----------
    model : FitModel
    gains : Gains
        Of this model, at a clearance.
    """
    best: NextSection | None = None
    for height in candidates(model):
        gain = gains.of(with_template(model, height_mm=height))
        if gain is not None and (best is None or gain.part > best.gain.part):
            best = NextSection(height_mm=height, where=model.place_name(height), gain=gain)
    return best


def candidates(model: FitModel) -> list[float]:
    """Heights that may be worth a template, rising, mm."""
    low, high = float(model.places.heights_mm[0]), float(model.places.heights_mm[-1])
    knots = model.section_heights_mm
    gaps = np.argsort(-np.diff(knots), kind="stable")[:_MOST]  # a bow grows with the square of its gap
    middles = (knots[gaps] + knots[gaps + 1]) / 2
    tries = [m for m, start in zip(middles, knots[gaps], strict=True) if start < high and m > low]
    if max(low, 0.0) < knots[0] - _STEP_MM and knots[0] > _NEAR_BOTTOM_MM:
        tries.append(max(low, knots[0] / 2))
    if high > knots[-1] + _STEP_MM:
        tries.append(high)
    return sorted({round(float(t) / _STEP_MM) * _STEP_MM for t in tries})


def with_template(model: FitModel, *, height_mm: float) -> FitModel:
    """The model as it would be with one more section at a height.

    The spread half way in a gap falls less than its length (`_GAP_POWERS`),
    and where the two tracings, placings and heights around it were averaged,
    the one of the new section counts in full.
    """
    knots = model.section_heights_mm
    at = model.places.z_mm
    gap = int(interval_of(knots, np.array(height_mm)))
    ends = np.sort([knots[gap], knots[gap + 1], height_mm])
    split = interval_of(ends, at)
    low, high = ends[split], ends[split + 1]
    old = half_way_shape(at, low_mm=knots[gap], high_mm=knots[gap + 1])
    new = half_way_shape(at, low_mm=low, high_mm=high)
    power = _GAP_POWERS[0] if len(knots) == 2 else _GAP_POWERS[1]
    part = ((high - low) / (knots[gap + 1] - knots[gap])) ** power
    within = (at >= knots[0]) & (at <= knots[-1]) & (interval_of(knots, at) == gap)
    factor = np.where(within, np.divide(part * new, old, out=np.ones_like(old), where=old > 1e-9), 1.0)
    for beyond, end in ((at < knots[0], knots[0]), (at > knots[-1], knots[-1])):
        further = (at - height_mm) * np.sign(height_mm - end) > 0
        if (height_mm - end) * (at[beyond] - end).sum() > 0:
            away = np.abs(at - height_mm) / np.maximum(np.abs(at - end), 1e-9)
            factor = np.where(beyond, np.where(further, np.minimum(away, 1.0), _LEFT_BEYOND), factor)
    shrunk = np.minimum(factor, 1.0)
    averaged = _averaged(at, low_mm=knots[gap], high_mm=knots[gap + 1])
    alone = np.where(within, _averaged(at, low_mm=low, high_mm=high) / averaged, 1.0)
    influences = model.influences
    matrix = influences.matrix.scaled(shrunk, rows=influences.of(Spread.BETWEEN))
    averages = [influences.of(s) for s in (Spread.TRACE, Spread.POINTS, Spread.HEIGHTS, Spread.PLACING)]
    matrix = matrix.scaled(alone, rows=np.any(averages, axis=0))
    expected = influences.between_mean_mm
    return replace(
        model,
        influences=replace(
            influences,
            matrix=matrix,
            mean_mm=influences.mean_mm - (1 - shrunk) * expected,
            between_mean_mm=shrunk * expected,
        ),
    )


def _averaged(heights_mm: Floats, *, low_mm: Floats, high_mm: Floats) -> Floats:
    """Standard deviation of the mean of two errors of 1, weighed by how near their sections lie, ``(j,)``."""
    part = np.clip((heights_mm - low_mm) / (high_mm - low_mm), 0.0, 1.0)
    return np.asarray(np.hypot(part, 1 - part))


_REMEDIES: Final = {
    Spread.TRACE: "draw the outlines more exactly: a scanned template instead of one drawn by hand",
    Spread.POINTS: "read about twice as many points of every outline where it is round, or trace it",
    Spread.SCALE: "read width and depth with calipers at every section",
    Spread.CALIPERS: "read width and depth three times at every section, and take the middle value",
    Spread.HEIGHTS: "measure the heights of the sections again, from the plate",
    Spread.PLACING: "give side profiles, or a view from the front and one from the side",
    Spread.BETWEEN: "measure two or three sections more, or give side profiles or views where there are none",
    Spread.INSIDE: "print one test piece and note what its inside reads: that measures the printer",
    Spread.REPEAT: "nothing but a printer that repeats better helps",
}


def measuring_advice(
    found: NextSection | None, *, points: MorePoints | None = None, limited_by: Spread
) -> str:
    """One sentence on what to measure next, what helps most first."""
    helps = sorted((one for one in (points, found) if one is not None), key=lambda one: -one.gain.part)
    if helps:
        return ", or ".join(map(str, helps))
    return (
        f"one more section would hardly help; {PLAIN_WORDS[limited_by]} counts most: {_REMEDIES[limited_by]}"
    )
