"""A drawn outline without the texture that a scan or a rough tracing left on it.

Many points that run to and fro are not the thing's form: led through all of
them, a holder takes minutes to make and its wall is rough by what is noise.
Smoothed as the edge in a picture is (`cradle.pictures.smooth`), such a line
needs a few of them. An outline that has many points of its own, teeth or a
pattern, needs about as many smoothed as it does drawn, and stays as it is.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from cradle.capture.outline import Outline
from cradle.finding import in_mm, note
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.planar import crossing, distances_to_boundary, region, simplified_path
from cradle.pictures.smooth import WITHIN_MM, smoothed, smoothed_path

_PLENTY: Final = 400
"""A line that needs no more points than this to be drawn within `WITHIN_MM` is taken as it is."""
_SPARED: Final = 0.25
"""Where smoothing leaves no more than this part of them, the rest were texture."""
_GRAIN_MM: Final = 0.1
"""Half of what a fine nozzle draws: what is smaller is not printed."""
_PASSES: Final = 2
"""A rough line is several times as long as its form: the second pass finds it at its length."""


def without_texture(outline: Outline, *, source: str) -> Outline:
    """The outline smoothed where most of its points are texture, with a note on that; else as it is."""
    drawn = outline.points_mm
    points = len(_fewer(drawn, open_ends=outline.open_ends))
    if points <= _PLENTY:
        return outline
    smooth = drawn
    for _ in range(_PASSES):
        smooth = (smoothed_path if outline.open_ends else smoothed)(smooth, grain_mm=_GRAIN_MM)
    plain = _fewer(smooth, open_ends=outline.open_ends)
    if len(plain) > _SPARED * points or crossing(plain) is not None:
        return outline
    moved_mm = distances_to_boundary(drawn, region(plain))
    told = note(
        "texture-smoothed",
        f"its {len(drawn):,} points run to and fro, finer than is printed; smoothed, {len(plain):,} are enough: "
        f"the line moves by {float(np.median(moved_mm)):.2f} mm in the median, by up to {float(moved_mm.max()):.2f} mm",
        where=source,
        **in_mm(float(moved_mm.max())),
    )
    return replace(outline, points_mm=frozen(plain), form_findings=(*outline.form_findings, told))


def _fewer(points: Floats, *, open_ends: bool) -> Floats:
    path = points if open_ends else np.concatenate([points, points[:1]])
    thin = simplified_path(path, within_mm=WITHIN_MM)
    return thin if open_ends else thin[:-1]
