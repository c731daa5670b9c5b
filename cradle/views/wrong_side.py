"""Views of another side than they are said to be from: two exchanged, or one alone. The sections' widths and depths tell.

A view from the front or the back is as wide as the sections, one from the left
or the right as wide as they are deep. A thing that is as wide as it is deep,
or without a scale runs alike both ways, tells nothing of that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import hypot
from typing import Final

import numpy as np

from cradle.finding import About, Finding, doubt, in_mm
from cradle.geometry.arrays import Floats
from cradle.names import listed
from cradle.noun import noun, record
from cradle.project.picture import PictureSource
from cradle.project.side import PAIRS
from cradle.project.view import ViewScale
from cradle.sections.axis_words import SIZES
from cradle.sections.laid import Laid
from cradle.sections.reading_spreads import UNCHECKED_SCALE, VIEW_MM
from cradle.sections.readings import readings_of
from cradle.views.seen_sections import seen_sections
from cradle.views.shown_levels import levels_at, sized_across
from cradle.views.silhouette import Silhouette
from cradle.views.view_size import NOT_REACHED, SHARE

_MISSED: Final = 3.0
"""A view whose widths miss the sections' by fewer spreads than this, as a root mean square, is not doubted."""
_NEARER: Final = 3.0
"""As a view of the other sides it must miss them by this many times less (our own choice) ..."""
_FITS: Final = 2.0
"""... and by no more spreads than this: else it shows something else, or stands on its head."""
_TWO: Final = 2
"""Of this many sections a view without a scale tells only one ratio of widths, which another shape may have too."""
_TOLD_MM: Final = 1.0
"""Where a view's widths are off by less than this, only its upper end tells that it is of another side."""


@record
class _Missed:
    """By how much a view's widths miss the sections', as a root mean square: in spreads; and in mm, of the sections that it reaches."""

    spreads: float
    mm: float


@noun
class WrongSide:
    """A view of another side than it is said to be from.

    Attributes
    ----------
    view : Silhouette
    other : Silhouette or None
        The one that it is exchanged with.
    off_mm : float
        How far the widths in it are from the sections', as a root mean square; 0 where it ends below all but one that fits.
    """

    view: Silhouette
    other: Silhouette | None
    off_mm: float

    @property
    def message(self) -> str:
        """What is doubtful."""
        axis = _axis(self.view)
        seems = (
            f"seems to be taken from the {_either(1 - axis)}"
            if self.other is None
            else f"and the {self.other.where} seem to be exchanged"
        )
        return f"it shows the {SIZES[1 - axis]} of the sections, and not their {SIZES[axis]}, {self._misses}: it {seems}"

    @property
    def _misses(self) -> str:
        if self.off_mm < _TOLD_MM:
            return "by which it would end below the highest of them"
        return f"from which it is off by {self.off_mm:.1f} mm"

    @property
    def advice(self) -> str:
        """What helps."""
        own = _either(_axis(self.view))
        mended = (
            f"say from which side it was taken (from), or give one from the {own}"
            if self.other is None
            else "give each the other's file"
        )
        return f"{mended}; where the views are right, width and depth of all sections are exchanged"

    def finding(self) -> Finding:
        """A warning, where it might be used all the same."""
        return doubt(
            "view-wrong-side",
            self.message,
            self.advice,
            where=self.view.where,
            about=About.READING,
            **in_mm(self.off_mm),
        )


def wrong_sides(views: Sequence[Silhouette], *, laid: Sequence[Laid]) -> tuple[WrongSide, ...]:
    """The first two views of neighbouring sides where they are exchanged, else each view that shows the other sides."""
    axes = [_axis(view) for view in views]
    own = [_missed(view, axis=axis, laid=laid) for view, axis in zip(views, axes, strict=True)]
    if all(missed.spreads < _MISSED for missed in own):
        return ()
    other = [_missed(view, axis=1 - axis, laid=laid) for view, axis in zip(views, axes, strict=True)]
    pair = [axes.index(axis) for axis in (0, 1) if axis in axes]
    if len(pair) == 2 and _other_way([own[i] for i in pair], [other[i] for i in pair]):
        first, second = sorted(pair, key=lambda i: -own[i].spreads)
        return (WrongSide(view=views[first], other=views[second], off_mm=own[first].mm),)
    return tuple(
        WrongSide(view=view, other=None, off_mm=said.mm)
        for view, said, shown in zip(views, own, other, strict=True)
        if _other_way([said], [shown]) and (view.spec.scale is ViewScale.GIVEN or len(laid) > _TWO)
    )


def _other_way(said: Sequence[_Missed], shown: Sequence[_Missed]) -> bool:
    """Whether views are of another side than they are said to be.

    ``said`` is how far they miss the sections as stated, ``shown`` how far if they are of the other sides.
    """
    as_said, as_shown = (hypot(*(missed.spreads for missed in views)) for views in (said, shown))
    fits = all(missed.spreads <= _FITS for missed in shown)
    return fits and as_said >= max(_MISSED, _NEARER * as_shown)


def _axis(view: Silhouette) -> int:
    """Along which axis a view is wide: 0 from the front or the back, 1 from the left or the right."""
    return 1 - view.spec.seen_from.axis


def _either(axis: int) -> str:
    """The two sides from which a view is wide along an axis."""
    return listed(PAIRS[1 - axis], "or")


def _missed(view: Silhouette, *, axis: int, laid: Sequence[Laid]) -> _Missed:
    """By how much a view misses the sections if it was taken from a side that shows them along an axis."""
    seen_from = PAIRS[1 - axis][view.spec.seen_from.outward > 0]
    view = replace(view, spec=replace(view.spec, seen_from=seen_from))
    sections = seen_sections(laid, axis=axis, spec=view.spec)
    heights = sections.heights_mm
    seen = levels_at(view, sections)
    reached = (heights >= seen.z[0]) & (heights <= seen.z[-1])
    whole = isinstance(view.spec.source, PictureSource) and not view.cut_off_at
    beyond = np.full(np.count_nonzero(~reached) if whole else 0, NOT_REACHED)
    if not reached.any():
        return _Missed(spreads=NOT_REACHED, mm=0.0)
    _, off = sized_across(seen, view, sections, reached)
    read = np.array([readings_of(one)[axis] is not None or one.exact for one in laid])
    share = np.where(read, SHARE, UNCHECKED_SCALE)[reached]
    spreads = off / np.hypot(np.sqrt(2) * VIEW_MM, share * sections.widths_mm[reached])
    return _Missed(spreads=_rms(np.append(spreads, beyond)), mm=_rms(off))


def _rms(values: Floats) -> float:
    return float(np.sqrt(np.mean(values**2)))
