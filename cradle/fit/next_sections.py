"""Where to measure next: the heights whose templates would gain most."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.fit.gain import Gain, Gains
from cradle.fit.model import FitModel
from cradle.fit.more_sections import Parts, parts_of, with_more_sections
from cradle.geometry.arrays import Floats
from cradle.names import listed
from cradle.noun import record

_STEP_MM: Final = 0.5
"""Heights are advised in multiples of this."""
_WIDEST: Final = 3
"""Widest gaps that are tried."""
_NEAR_BOTTOM_MM: Final = 5.0
"""A section no higher is near the bottom: still lower things round off so fast that a template there tells nothing."""
_MOST: Final = 4
"""No more sections are asked for at once: an evening's work."""
_FEW_DRAWS: Final = 500
"""So many draws choose the further ones of several."""


@record
class NextSections:
    """Heights worth a template, mm, what gains most first, and what they gain together; ``where`` is the first's place."""

    heights_mm: tuple[float, ...]
    where: str
    gain: Gain

    @property
    def first_mm(self) -> float:
        """The height that gains most."""
        return self.heights_mm[0]

    def __str__(self) -> str:
        if len(self.heights_mm) == 1:
            return f"measure one more section at {self.first_mm:g} mm, {self.where} ({self.gain})"
        heights = listed([f"{height:g}" for height in self.heights_mm])
        return f"measure {len(self.heights_mm)} more sections, the most telling first, at {heights} mm ({self.gain})"


def next_sections(model: FitModel, gains: Gains, *, goal: float | None = None) -> NextSections | None:
    """The height whose template would gain most; None where no template would help.

    A template at h parts its gap in two, and brings a tracing error of its
    own; candidates are the middles of the widest gaps, half way below the
    lowest section, and the upper end of the reach.

    Parameters
    ----------
    gains : Gains
        Of this model, at a clearance.
    goal : float, optional
        A chance of fit: where one section more does not reach it, so many as do are
        asked for, `_MOST` at most.
    """
    parts = parts_of(model, gains.xi)

    def gain_of(heights: tuple[float, ...]) -> Gain:
        return gains.of(with_more_sections(model, parts, heights_mm=heights))

    alone = {height: gain_of((height,)) for height in candidates(model, model.section_heights_mm)}
    if not alone:
        return None
    best = max(alone, key=lambda height: alone[height].part)
    if goal is not None and alone[best].after < goal:
        heights = _together(model, parts.of_first(_FEW_DRAWS), gains, goal=goal)
        for count in range(len(heights), 1, -1):
            gain = gain_of(heights[:count])
            if gain.worth(count):
                return NextSections(heights_mm=heights[:count], where=model.place_name(heights[0]), gain=gain)
    if not alone[best].worth():
        return None
    return NextSections(heights_mm=(best,), where=model.place_name(best), gain=alone[best])


def _together(model: FitModel, parts: Parts, gains: Gains, *, goal: float) -> tuple[float, ...]:
    """Heights, one after the other, each what takes most off the draws' mean excess beside those before, until a chance is reached."""
    heights: tuple[float, ...] = ()
    while len(heights) < _MOST:
        known = np.sort(np.concatenate([model.section_heights_mm, heights]))
        tried = []
        for height in candidates(model, known):
            more = (*heights, height)
            tight = gains.tightness_with(with_more_sections(model, parts, heights_mm=more))
            tried.append((float(np.maximum(tight, 0.0).mean()), more, float((tight <= 0).mean())))
        if not tried:
            break
        _, heights, chance = min(tried)
        if chance >= goal:
            break
    return heights


def candidates(model: FitModel, sections_mm: Floats) -> list[float]:
    """Heights that may be worth a template beside sections at ``(k,)`` heights, rising, mm."""
    low, high = float(model.places.heights_mm[0]), float(model.places.heights_mm[-1])
    # a bow grows with the square of its gap
    gaps = np.argsort(-np.diff(sections_mm), kind="stable")[:_WIDEST]
    middles = (sections_mm[gaps] + sections_mm[gaps + 1]) / 2
    tries = [m for m, start in zip(middles, sections_mm[gaps], strict=True) if start < high and m > low]
    if max(low, 0.0) < sections_mm[0] - _STEP_MM and sections_mm[0] > _NEAR_BOTTOM_MM:
        tries.append(max(low, sections_mm[0] / 2))
    if high > sections_mm[-1] + _STEP_MM:
        tries.append(high)
    heights = {round(float(t) / _STEP_MM) * _STEP_MM for t in tries}
    return sorted(t for t in heights if np.abs(sections_mm - t).min() >= _STEP_MM / 2)
