"""The sections as a view sees them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.ring import size
from cradle.noun import noun
from cradle.project.side import Side
from cradle.project.view import ViewSpec
from cradle.sections.laid import Laid
from cradle.sections.readings import size_along
from cradle.views.perspective import SeenLevel, seen_level


@noun
class SeenSections:
    """Sections from the lowest up, ``(k,)`` each: their heights, true widths across the view's axis, and widths seen.

    ``levels`` says more of what is seen of each.
    """

    heights_mm: Floats
    true_mm: Floats
    widths_mm: Floats
    levels: tuple[SeenLevel, ...]


def seen_sections(laid: Sequence[Laid], *, axis: int, spec: ViewSpec) -> SeenSections:
    """The sections, scaled to their calipers, as a view sees them across an axis."""
    outward = 1.0 if spec.seen_from in (Side.FRONT, Side.LEFT) else -1.0
    true = [size_along(one, axis=axis) for one in laid]
    levels = [
        seen_level(
            width / size(one.ring)[axis] * one.ring, axis=axis, distance_mm=spec.distance_mm, outward=outward
        )
        for one, width in zip(laid, true, strict=True)
    ]
    return SeenSections(
        heights_mm=np.array([one.spec.height_mm for one in laid]),
        true_mm=np.array(true),
        widths_mm=np.array([level.width_mm for level in levels]),
        levels=tuple(levels),
    )
