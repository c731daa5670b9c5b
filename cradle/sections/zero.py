"""Where the zero lies from left to right and from front to back, where readings tie it and where it is a choice."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

import numpy as np

from cradle.finding import Finding, doubt
from cradle.geometry.arrays import Floats
from cradle.project.section import Align, DrawingSource
from cradle.sections.laid import Laid
from cradle.sections.profiles import Profile, Profiles

_BESIDE: Final = 0.5
"""A zero that lies within what is drawn from left to right may lie before or behind it by this part of its depth, and still be its own."""


def _said_middles_mm(laid: Sequence[Laid], *, align: Align, axis: int) -> dict[int, float]:
    """Where sections' middles are said to lie along an axis, mm: by a given shift, or all by drawings that share one frame."""
    return {
        i: said_middle_mm(one, axis=axis)
        for i, one in enumerate(laid)
        if align.keeps_turns or one.spec.shift_mm is not None
    }


def said_middle_mm(laid: Laid, *, axis: int) -> float:
    """Where a section's middle lies along an axis by its given shift, else by its drawing, mm."""
    return float(laid.middle_mm[axis] if laid.spec.shift_mm is None else laid.spec.shift_mm[axis])


def shift_alone(laid: Sequence[Laid], *, align: Align, profiles: Profiles) -> Iterator[Finding]:
    """A warning where only one section has its shift given, and nothing tells which zero that counts from."""
    given = [one for one in laid if one.spec.shift_mm is not None]
    read = {profile.side.axis for profile in profiles.known}
    if len(given) != 1 or len(laid) == 1 or align.keeps_turns or read == {0, 1}:
        return
    yield doubt(
        "shift-alone",
        "the shift of this section alone moves the whole thing with it: it says nothing of how the sections lie "
        "to each other",
        "give that of another section too, from the same zero",
        where=given[0].where,
    )


def drawn_middles_mm(laid: Sequence[Laid], *, axis: int) -> dict[int, float]:
    """Where drawings have their sections' middles along an axis, mm; empty where their zero says nothing.

    The zero of a thing drawn about its own axis lies within what is drawn, and
    that of a thing drawn from the wall it will hang on lies behind it. But the
    zero of a page lies in its corner, and that of sheets drawn side by side, or
    partly about their own middles and partly on a page, lies anywhere.
    """
    middles = middles_in_one_frame_mm(laid, axis=axis)
    own = [laid[i] for i in middles]
    from_wall = axis == 1 and not any(one.spec.half for one in laid) and _zero_within(own, axis=0)
    return middles if _zero_within(own, axis=axis, beyond=_BESIDE if from_wall else 0.0) else {}


def middles_in_one_frame_mm(laid: Sequence[Laid], *, axis: int) -> dict[int, float]:
    """Where drawings that may have been drawn from one zero, wherever that lies, have their sections' middles along an axis, mm.

    Empty where they lie side by side. Pictures and measured forms have no zero of
    their own, and that of a half is its straight edge.
    """
    if axis == 0 and any(one.spec.half for one in laid):
        return {}
    drawn = {i: one for i, one in enumerate(laid) if isinstance(one.spec.source, DrawingSource)}
    if _side_by_side([*drawn.values()]):
        return {}
    return {i: float(one.middle_mm[axis]) for i, one in drawn.items()}


def _side_by_side(drawn: Sequence[Laid]) -> bool:
    """Whether the middle of a drawing lies outside of its neighbour: they are sheets of their own, not sections in one frame."""
    for one, other in pairwise(drawn):
        apart = np.abs(one.middle_mm - other.middle_mm)
        if (2 * apart > np.minimum(np.ptp(one.ring, axis=0), np.ptp(other.ring, axis=0))).any():
            return True
    return False


def _zero_within(drawn: Sequence[Laid], *, axis: int, beyond: float = 0.0) -> bool:
    """Whether the zero lies within the extent of all drawings along an axis, or outside it by no more than ``beyond`` times that extent."""
    if not drawn:
        return False
    ends = np.concatenate([one.ring[:, axis] + one.middle_mm[axis] for one in drawn])
    margin = beyond * float(np.ptp(ends))
    return bool(ends.min() - margin < 0.0 < ends.max() + margin)


def beside_sections_mm(middles_mm: Floats, *, laid: Sequence[Laid], align: Align, axis: int) -> float:
    """How far a view is to be moved, mm, for its middles to lie where the sections' are said to, else where they are drawn; 0 where neither tells.

    Parameters
    ----------
    middles_mm : (m, 2) float64
        Heights and the middles there along the axis.
    """
    places = _said_middles_mm(laid, align=align, axis=axis) or drawn_middles_mm(laid, axis=axis)
    heights, middles = middles_mm.T
    at = {i: laid[i].spec.height_mm for i in places}
    off = [
        places[i] - float(np.interp(height, heights, middles))
        for i, height in at.items()
        if heights[0] <= height <= heights[-1]
    ]
    return float(np.mean(off)) if off else 0.0


def beside_profile_mm(own: Profile, *, read: Profile) -> float:
    """How far a view is to be moved, mm, for one of its edges to lie on a profile that was read, at the heights that both reach."""
    heights, reach = read.points_mm[own.reaches(read.points_mm[:, 0])].T
    return float(np.median(reach - own.at(heights))) if len(heights) else 0.0
