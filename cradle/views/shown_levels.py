"""What a view shows of the thing at heights, set upright and as large as it says itself or the sections do."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from cradle.geometry.arrays import Bools, Floats, following
from cradle.noun import noun
from cradle.project.view import ViewScale
from cradle.sections.sizes import HEIGHTS_OFF_MM
from cradle.views.seen_sections import SeenSections, upright_mm
from cradle.views.silhouette import FITS, Silhouette
from cradle.views.view_size import enlargement
from cradle.views.view_upright import Upright, upright

_LEVELS: Final = 240
_INSIDE: Final = 1e-6
"""A silhouette is cut this part of its height above its lowest edge and below its highest, which may be flat."""
_LOOKS: Final = 13
"""Heights at and around a section's at which a view's width is looked at."""
_STRETCHED: Final = 1.25
"""A view whose heights are given is at most so many times as large across as up, or the other way round (our own choice): a
picture is as large both ways, but for how well its heights are known. Beyond, it shows something else, or other heights."""


@noun
class ShownLevels:
    """Least and greatest coordinate of a view at rising heights ``z``, ``(m,)`` each, mm; its enlargement, and its silhouette set upright."""

    z: Floats
    low: Floats
    high: Floats
    factor: float
    standing: Upright


def levels_at(view: Silhouette, sections: SeenSections) -> ShownLevels:
    """The widths that a view shows at heights, once it is set upright and brought to the size that the sections tell.

    Heights above those at which it shows both sides are left out, unless no section lies below them.
    """
    spec, heights = view.spec, sections.heights_mm
    widest = sections.widths_mm.max()
    mm = float(np.ptp(view.points_mm[:, 0]) / widest) if spec.scale is ViewScale.FREE else 1.0
    standing = upright(view, mm=mm)
    up, low, high = _levels(standing.points)
    factor, start = enlargement(view, up, high - low, sides_to=standing.sides_to, sections=sections)
    z = start + factor * up
    if spec.distance_mm is not None:
        z = upright_mm(z, levels=sections.levels, heights_mm=heights, distance_mm=spec.distance_mm)
    sides = up <= standing.sides_to
    if not (heights <= z[sides].max()).any():  # then those above are better than nothing
        sides[:] = True
    z, low, high = z[sides], factor * low[sides], factor * high[sides]
    return ShownLevels(z=z, low=low, high=high, factor=factor, standing=standing)


def sized_across(
    seen: ShownLevels, view: Silhouette, sections: SeenSections, reached: Bools
) -> tuple[ShownLevels, Floats]:
    """The levels, brought to the sections' widths where the scale is free but the heights are given; and how far the widths of sections reached are missed, mm.

    What heights a little off explain is not counted as missed.
    """
    widths = sections.widths_mm
    unsure = HEIGHTS_OFF_MM + seen.standing.spread_rad * float(widths.max())  # at its far end
    shown, narrowest, widest = _widths(seen.z, seen.high - seen.low, at=sections.heights_mm, within_mm=unsure)
    again = 1.0
    if view.spec.scale is ViewScale.FREE and view.spec.top_mm is not None:
        steady = reached & (widest - narrowest <= FITS * shown)
        asked = float(np.median((widths / shown)[steady if steady.any() else reached]))
        again = min(max(asked, 1 / _STRETCHED), _STRETCHED)
    off = (np.clip(widths, again * narrowest, again * widest) - widths)[reached]
    return replace(seen, low=again * seen.low, high=again * seen.high), off


def _widths(z: Floats, across: Floats, *, at: Floats, within_mm: float) -> tuple[Floats, Floats, Floats]:
    """The widths at heights, and the least and greatest that heights off by up to ``within_mm`` may show, ``(k,)`` each."""
    near = np.interp(at + np.linspace(-within_mm, within_mm, _LOOKS)[:, None], z, across)
    return np.interp(at, z, across), near.min(axis=0), near.max(axis=0)


def _levels(points: Floats) -> tuple[Floats, Floats, Floats]:
    """Heights from the lowest edge, and the outermost points there, each ``(m,)``."""
    top = float(points[:, 1].max())
    up = np.linspace(0.0, top, _LEVELS)
    cut = np.clip(up, _INSIDE * top, (1 - _INSIDE) * top)
    a, b = points, following(points)
    rises = b[:, 1] - a[:, 1]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (cut[:, None] - a[:, 1]) / rises
    crosses = (share >= 0) & (share <= 1) & (rises != 0)
    across = a[:, 0] + np.where(crosses, share, 0.0) * (b[:, 0] - a[:, 0])
    low = np.where(crosses, across, np.inf).min(axis=1)
    high = np.where(crosses, across, -np.inf).max(axis=1)
    return up, low, high
