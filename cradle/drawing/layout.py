"""Plan and cuts side by side on one sheet: in line with each other, with words and the sign of the projection."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.drawing.dimension_lines import circle
from cradle.drawing.drawn import DrawnView, drawn_view
from cradle.drawing.labels import Label, Point
from cradle.drawing.view import Line, SeenFrom, Stroke, View
from cradle.geometry.arrays import frozen
from cradle.noun import noun

SCALES: Final = (5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02)
"""ISO 5455 (from memory): enlarged, full size, reduced."""
_GAP_MM: Final = 14.0
_USUAL_MM: Final = (30.0, 80.0, 400.0)
"""Longest side of a holder up to which it is drawn 5:1, 2:1 and 1:1 (our own choice)."""
_WORDS_MM: Final = (5.0, 3.5)
"""Height of the name and of the words under it."""
_SIGN_MM: Final = 5.0
"""Height h of the sign of the projection: its circles are h and 2 h wide, its cone 2 h long."""


@noun
class Sheet:
    """The plan, then the cuts, and last what is said of them, on paper at a scale; lower left corner at the origin."""

    views: tuple[DrawnView, ...]
    size_mm: tuple[float, float]
    scale: float

    def at_true_size(self) -> Sheet:
        """The same with a millimetre of the holder as one unit; words shrink or grow with it."""
        back = 1 / self.scale
        return Sheet(
            views=tuple(view.placed(scale=back) for view in self.views),
            size_mm=(back * self.size_mm[0], back * self.size_mm[1]),
            scale=1.0,
        )


def scale_words(scale: float) -> str:
    """A scale as it is written, such as ``1:2``."""
    return f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:g}"


def usual_scale(views: Sequence[View]) -> float:
    """The scale at which figures are neither lost in a holder nor larger than it."""
    x0, y0, x1, y1 = views[0].box_mm()
    longest = max(x1 - x0, y1 - y0)
    return next((s for s, most in zip(SCALES, _USUAL_MM, strict=False) if longest <= most), 0.5)


def lay_out(views: Sequence[View], *, scale: float, words: Sequence[str]) -> Sheet:
    """The views on one sheet in third-angle projection.

    Parameters
    ----------
    views : sequence of View
        The plan, cuts from the front, and cuts from the right after them; more
        cuts from the front lie below the first, more from the right beside it.
    scale : float
        Paper over true size.
    words : sequence of str
        Lines for the free corner, the name first; none for a sheet that is part of a page.
    """
    plan, *cuts = (drawn_view(view, scale=scale) for view in views)
    sides = [view.cut.seen_from for view in views if view.cut is not None]
    fronts = [cut for cut, side in zip(cuts, sides, strict=True) if side is SeenFrom.FRONT]
    rights = [cut for cut, side in zip(cuts, sides, strict=True) if side is SeenFrom.RIGHT]
    left = min(view.box()[0] for view in (plan, *fronts))
    beside = max(view.box()[2] for view in (plan, *fronts)) - left + _GAP_MM
    low = 0.0
    placed: list[DrawnView] = []
    for front in reversed(fronts[1:]):
        placed.insert(0, front.placed(by=(-left, low - front.box()[1])))
        low = placed[0].box()[3] + _GAP_MM
    first = _in_a_row(fronts[0], rights, left=left, beside=beside, low=low)
    low = max(view.box()[3] for view in first) + _GAP_MM
    top = plan.placed(by=(-left, low - plan.box()[1]))
    every = [top, first[0], *placed, *first[1:]]
    if words:
        every.append(_said(words, right_of=top.box()[2] + _GAP_MM, above=low, top=top.box()[3]))
    wide, tall = max(view.box()[2] for view in every), max(view.box()[3] for view in every)
    return Sheet(views=tuple(every), size_mm=(wide, tall), scale=scale)


def _in_a_row(
    front: DrawnView, rights: Sequence[DrawnView], *, left: float, beside: float, low: float
) -> list[DrawnView]:
    """The first cut from the front, its foot at ``low``, with the cuts from the right beside it."""
    up = low - min(view.box()[1] for view in (front, *rights))
    row = [front.placed(by=(-left, up))]
    for right in rights:
        x0, _, x1, _ = right.box()
        row.append(right.placed(by=(beside - x0, up)))
        beside += x1 - x0 + _GAP_MM
    return row


def _said(words: Sequence[str], *, right_of: float, above: float, top: float) -> DrawnView:
    """The words in the corner beside the plan, and the sign of third-angle projection under them."""
    big, small = _WORDS_MM
    tall = big + (len(words) - 1) * 1.8 * small + 3 + 2 * _SIGN_MM + small
    y = max(top, above + tall) - big
    labels = [Label(text=words[0], at=(right_of, y), height_mm=big, anchor=0.0)]
    for line in words[1:]:
        y -= 1.8 * small
        labels.append(Label(text=line, at=(right_of, y), height_mm=small, anchor=0.0))
    return DrawnView(
        title=words[0],
        lines=tuple(_third_angle((right_of + _SIGN_MM, y - small - _SIGN_MM))),
        material=(),
        strokes=(),
        arrows=(),
        labels=tuple(labels),
    )


def _third_angle(middle: Point) -> list[Line]:
    """The sign of third-angle projection: the view from the left, two circles, on the left of a cone that narrows to the left.

    ISO 5456-2 (from memory).
    """
    x, y = middle
    h = _SIGN_MM
    far = x + 2.5 * h
    cone = [(far, y - h / 2), (far + 2 * h, y - h), (far + 2 * h, y + h), (far, y + h / 2)]
    rings = [circle(middle, h / 2), circle(middle, h), np.array(cone)]
    axes = [[(x - 1.3 * h, y), (x + 1.3 * h, y)], [(x, y - 1.3 * h), (x, y + 1.3 * h)]]
    axes.append([(far - 0.3 * h, y), (far + 2.3 * h, y)])
    return [
        *(Line(points_mm=frozen(ring), stroke=Stroke.EDGE, closed=True) for ring in rings),
        *(Line(points_mm=frozen(axis), stroke=Stroke.PLANE, closed=False) for axis in axes),
    ]
