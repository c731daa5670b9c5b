"""How large a view is, and at which height its lowest edge is seen: by what it says itself, else by the sections."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.pictures.border import Border
from cradle.project.view import FREE, ViewScale
from cradle.sections.adjustment import student_t_cost
from cradle.sections.observations import HEAVY
from cradle.sections.reading_spreads import VIEW_MM
from cradle.views.seen_sections import SeenLevel, SeenSections, overhang_mm
from cradle.views.silhouette import Silhouette

_SIZES: Final = np.geomspace(0.4, 2.5, 600)
"""Sizes that are tried, as multiples of the one at which the greatest widths are equal."""
_HEIGHT_MM: Final = 0.5
"""Spread of a view's heights against the sections': these are noted to 0.3, and its lowest edge is unsure too (common practice, no source)."""
SHARE: Final = 0.004
"""Further spread of a view's width against a section's, as part of that (our own choice)."""
NOT_REACHED: Final = 8.0
"""A section that a view does not reach counts like a width that is missed by this many spreads."""


def enlargement(
    view: Silhouette, up: Floats, across: Floats, *, sides_to: float, sections: SeenSections
) -> tuple[float, float]:
    """By how much a view is to be enlarged, and at which height its lowest edge is seen, mm.

    Parameters
    ----------
    up, across : (m,) float64
        Heights of the silhouette, upright, from its lowest edge on, and its widths there.
    sides_to : float
        Height up to which it shows both sides of the thing.
    """
    spec = view.spec
    top = spec.top_mm
    bottom = None if spec.bottom_mm == FREE else float(spec.bottom_mm)
    free = spec.scale is ViewScale.FREE
    alike = float(sections.widths_mm.max() / across.max()) if free else 1.0  # makes the widest alike
    sizes = alike * _SIZES if free else np.ones(1)
    factor, start = alike, 0.0
    for _ in range(1 if spec.distance_mm is None else 2):  # how far its ends stand out follows from its size
        below, above = _overhangs(view, factor * up, factor * across, levels=sections.levels)
        if top is not None and bottom is not None:
            factor, start = (top + above - bottom + below) / float(up[-1]), bottom - below
        elif not free and bottom is not None:
            factor, start = 1.0, bottom - below
        else:
            rests = None if bottom is None else bottom - below
            told = up <= sides_to
            factor, start = _fitted(
                up[told], across[told], top=float(up[-1]), sections=sections, sizes=sizes, bottom_mm=rests
            )
    return factor, start


def _overhangs(
    view: Silhouette, up: Floats, across: Floats, *, levels: Sequence[SeenLevel]
) -> tuple[float, float]:
    """How far below the foot on which it rests and above its top a thing is seen, mm: their near edges, from near by."""
    distance = view.spec.distance_mm
    if distance is None:
        return 0.0, 0.0
    below = above = 0.0
    if view.spec.bottom_mm == 0.0:
        below = overhang_mm(up, across, level=levels[0], distance_mm=distance)
    if Border.UPPER not in view.cut_off_at:
        above = overhang_mm(up[-1] - up[::-1], across[::-1], level=levels[-1], distance_mm=distance)
    return below, above


def _fitted(
    up: Floats, across: Floats, *, top: float, sections: SeenSections, sizes: Floats, bottom_mm: float | None
) -> tuple[float, float]:
    """The size, of those tried, at which a silhouette is most nearly as wide as the sections, and the height of its lowest edge, mm.

    Both its sides are known at heights ``up``; its highest point is its ``top``.
    """
    starts = (
        np.arange(0.0, float(sections.heights_mm[-1]), 0.5) if bottom_mm is None else np.array([bottom_mm])
    )
    best, found = np.inf, (float(sizes[0]), float(starts[0]))
    for _ in range(3):
        cost = _costs(sizes[:, None, None], starts[:, None], up, across, top=top, sections=sections)
        size, start = divmod(int(cost.argmin()), len(starts))
        if cost[size, start] < best:
            best, found = float(cost[size, start]), (float(sizes[size]), float(starts[start]))
        if len(sizes) == 1:
            break
        step = sizes[1] / sizes[0]
        sizes = found[0] * np.geomspace(1 / step, step, 21)
        starts = np.array([found[1]])
    return found


def _costs(
    factor: Floats, start: Floats, up: Floats, across: Floats, *, top: float, sections: SeenSections
) -> Floats:
    """The cost, a negative logarithm of likelihood, of each size, ``(f, 1, 1)``, and height of the lowest edge, ``(s, 1)``, of a silhouette, ``(f, s)``.

    Above the last height at which both sides are known, up to its ``top``, it is taken to be as wide as there, with a
    further spread as large as the height of a section above that.
    """
    widths = sections.widths_mm
    at = (sections.heights_mm - start) / factor
    inside = (at >= 0) & (at <= top)
    shown = factor * np.interp(at, up, across)
    above, below = (np.interp(at + mm / factor, up, across) for mm in (1.0, -1.0))
    steep = np.where(inside, factor / 2 * np.abs(above - below), 0.0)
    higher_mm = factor * np.maximum(at - up[-1], 0.0)
    sd = np.sqrt(VIEW_MM**2 * 2 + (_HEIGHT_MM * steep) ** 2 + (SHARE * widths) ** 2 + higher_mm**2)
    missed = np.where(inside, (shown - widths) / sd, NOT_REACHED)
    return np.asarray((student_t_cost(missed, freedom=HEAVY) + np.log(sd)).sum(axis=-1))
