"""A drawn outline without the texture that a scan or a rough tracing left on it.

Many points that run to and fro are not the thing's form: led through all of
them, a holder takes minutes to make and its wall is rough by what is noise.
Smoothed as the edge in a picture is (`cradle.pictures.smooth`), such a line
needs a few of them. An outline that has many points of its own, teeth or a
pattern, needs about as many smoothed as it does drawn, and stays as it is.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final, Protocol

import numpy as np

from cradle.capture.outline import Outline
from cradle.finding import in_mm, note
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.planar import region, simplified_path
from cradle.geometry.region_measures import crossing, distances_to_boundary
from cradle.pictures.smooth import WITHIN_MM, smoothed, smoothed_path

_PLENTY: Final = 150
"""A line that needs no more points than this to be drawn within `WITHIN_MM` is taken as it is."""
_SPARED: Final = 1 / 3
"""If a smoothed line needs at most this part of the points that the drawn one needs, the rest were texture."""
_GRAIN_MM: Final = 0.1
"""Half of what a fine nozzle draws: what is smaller is not printed."""
_PASSES: Final = 4
"""A rough line is several times as long as its form: only the second pass finds it at its length."""
_SETTLED: Final = 0.8
"""A pass that leaves more than this part of the points was the last."""


def without_texture(outline: Outline, *, source: str) -> Outline:
    """The outline smoothed where most of its points are texture, with a note on that; else as it is."""
    drawn = outline.points_mm
    smooth, fewer = (smoothed_path, few_along) if outline.open_ends else (smoothed, _few_around)
    plain = _form_of(drawn, smooth=smooth, fewer=fewer)
    if plain is None or crossing(plain) is not None:
        return outline
    moved_mm = distances_to_boundary(drawn, region(plain))
    most_mm = float(moved_mm.max())
    told = note(
        "texture-smoothed",
        f"its {len(drawn):,} points run to and fro, finer than is printed; smoothed, {len(plain):,} are enough: "
        f"the line moves by {float(np.median(moved_mm)):.2f} mm in the median, by up to {most_mm:.2f} mm",
        where=source,
        **in_mm(most_mm),
    )
    return replace(outline, points_mm=frozen(plain), form_findings=(*outline.form_findings, told))


class _Smooth(Protocol):
    """A line smoothed once, `cradle.pictures.smooth`."""

    def __call__(self, points: Floats, /, *, grain_mm: float) -> Floats:
        """The line, ``(m, 2)`` mm, of points ``(n, 2)``."""


def _form_of(points: Floats, *, smooth: _Smooth, fewer: Callable[[Floats], Floats]) -> Floats | None:
    """The form that a rough line of points ``(n, 2)`` mm follows, ``(m, 2)``; None where it is not rough.

    Parameters
    ----------
    fewer : callable
        The points that a line needs.
    """
    needed = len(fewer(points))
    if needed <= _PLENTY:
        return None
    form = points
    for number in range(_PASSES):
        points = smooth(points, grain_mm=_GRAIN_MM)
        before, form = len(form), fewer(points)
        if number > 0 and len(form) > _SETTLED * before:
            break
    return form if len(form) <= _SPARED * needed else None


def few_along(path: Floats) -> Floats:
    """The points that an open line needs, its ends among them."""
    return simplified_path(path, within_mm=WITHIN_MM)


def _few_around(ring: Floats) -> Floats:
    return few_along(np.concatenate([ring, ring[:1]]))[:-1]
