"""How far the thing may leave the loft between two measured sections, below them and above.

Two things are not known there. One is the shape: how far the two sections'
outlines still lie apart once both are brought to one width and depth (their
*unlikeness*), and how far they lie apart as they are (their *change*). The
other is how far the thing reaches to each side; it follows from the change
and from by how much the loft misses a section that is left out (the *bow*; a
straight loft misses a curved skin by f″/2 · (z − a)(b − z) between heights a
and b, the remainder of linear interpolation, any numerical analysis text),
and where side profiles read it, it is known. How far a thing really goes is
known once its class is: some are far plainer than others of the same form.
So each gap between sections has a factor, unknown to the program, log-normal
and partly the same for all gaps of one thing, and within the gap the deviation
is smooth and normal: a scale mixture, whose tails are as heavy as those of
real things.

The powers are those of level outlines of 44 scanned household things of 70
to 150 mm, cut at two to five heights chosen as a careful person would: the
loft through the true sections, with four side profiles and with none, was
held against the true outlines every millimetre, and the root mean square of
each gap fitted in its logarithm. A thing touches where it stands out most,
not in the root mean square: shares and tail are therefore those at which the
clearance that those things need, measured with the errors of a careful hand
at three and at five heights, was likeliest under what is stated (the mean
logarithm of the stated density there), and half of the things, four in five
and 19 in 20 needed less than was stated for so many, within a few points.
With two sections 32, 61 and 89 of 100 of them did at a shape of 0.6 without a
bulge where profiles were read, 52, 80 and 98 at those below: between two cuts
things stand out, also where no profile reads them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from cradle.fit.contact_points import Places
from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.planar import distances_to_boundary, regions
from cradle.loft.interpolate import cubic_at, monotone_slopes, straight_at
from cradle.project.section import Between
from cradle.sections.section import RingStack

ASSUMED_CURVES: Final = 3.0
"""With two sections the skin's radius of curvature, upright, is taken as this many mean widths (no source)."""
SMOOTH_LEAVES: Final = 1 / 3
"""Part of the bow that a smooth loft through three sections leaves.

A ball of radius 40 cut every 10 mm: monotone cubics miss it by 0.128 mm at most where straight lines miss
it by 0.679, a fifth; a third allows for less regular things.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Law:
    """Median root mean square deviation half way, mm: floor, shape and extents added as squares.

    Shape is ``shape`` · (unlikeness + `_ALIKE_MM`)^``unlike_power`` · (change + `_STRAIGHT_MM`)^``change_power``,
    extents ``extents`` · change^``extents_power`` · bow^``bow_power``; ``bulge``
    is the mean deviation outwards, in parts of the whole, where no profile was read,
    ``read_bulge`` where one was.
    """

    shape: float
    unlike_power: float
    change_power: float
    extents: float
    extents_power: float
    bow_power: float
    bulge: float
    read_bulge: float


_TWO_SECTIONS: Final = _Law(
    shape=0.8,
    unlike_power=0.66,
    change_power=0.22,
    extents=0.3,
    extents_power=1.0,
    bow_power=0.0,
    bulge=0.6,
    read_bulge=0.2,
)
_MORE_SECTIONS: Final = _Law(
    shape=0.48,
    unlike_power=0.55,
    change_power=0.4,
    extents=0.06,
    extents_power=0.8,
    bow_power=0.62,
    bulge=0.2,
    read_bulge=-0.05,
)
_FLOOR_MM: Final = 0.04
_ALIKE_MM: Final = 0.05
_STRAIGHT_MM: Final = 0.1
_TAIL: Final = 0.58
"""Standard deviation of a gap's factor in its natural logarithm."""
ALIKE_IN_ALL: Final = 0.35
"""Part of its variance that all gaps of one thing share: with five sections a thing is as plain or odd as with three."""
_TRACED_TWICE: Final = 2.0
"""Two tracings of one outline lie apart, squared, by so many squares of one's tracing error."""
_LOCAL_POWER: Final = 0.3
"""Around a gap the deviation of the shape follows the change at the place with this power ..."""
_LOCAL_MM: Final = 0.3
"""... smaller changes counting as about this much."""
_HALF_WAY_POWER: Final = 0.75
"""Between two heights it follows (4 t (1 − t)) with this power."""
_BELOW_PER_MM: Final = 0.1
"""Below the lowest section the thing deviates by so much for each mm, and is smaller by as much: things round off ..."""
_READ_BELOW_PER_MM: Final = 0.04
"""... and by so much where profiles were read."""
_ABOVE_PER_MM: Final = 0.3
"""Above the highest it deviates by this part of what the last gap's change, going on, would make."""
_NEAREST_BOW_MM: Final = 0.01


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class InterpolationError:
    """How far the thing may leave the loft at each place.

    Attributes
    ----------
    amount_mm : (j,) float64
        Median root mean square deviation.
    mean_mm : (j,) float64
        What is expected where the gap's factor is 1, outwards.
    gap : (j,) int64
        The gap between sections that the place belongs to.
    turned : (j,) float64
        From 1 above a gap's lower section to −1 below its upper one.
    tail : float
        Standard deviation of each gap's factor in its natural logarithm.
    """

    amount_mm: Floats
    mean_mm: Floats
    gap: Ints
    turned: Floats
    tail: float


def interpolation_error(
    places: Places,
    *,
    stack: RingStack,
    bows_per_mm: Floats,
    trace_mm: float = 0.0,
    unread: Floats | None = None,
    half_way_mm: float | None = None,
) -> InterpolationError:
    """How far the thing may leave the loft at each place.

    Parameters
    ----------
    places : Places
    stack : RingStack
        At least two sections.
    bows_per_mm : (k − 1,) float64
        See `bows`.
    trace_mm : float
        Tracing error of the outlines, which makes like sections look unlike.
    unread : (j,) float64, optional
        How much of each place's outward way no profile reads, 0 to 1 (`cradle.fit.side_readings`); default all.
    half_way_mm : float or None
        If given, the standard uncertainty half way between any two sections; normal then.
    """
    knots = stack.heights_mm
    at = places.heights_mm[places.levels]
    gap = np.clip(np.searchsorted(knots, at, side="right") - 1, 0, len(knots) - 2)
    low, high = knots[gap], knots[gap + 1]
    span = high - low
    part = np.clip((at - low) / span, 0.0, 1.0)
    shape = half_way_shape(at, low_mm=low, high_mm=high)
    if half_way_mm is not None:
        amount = half_way_mm * shape
        return InterpolationError(
            amount_mm=amount, mean_mm=np.zeros_like(amount), gap=gap, turned=1 - 2 * part, tail=0.0
        )
    law = _law(stack)
    unknown = np.ones(len(at)) if unread is None else unread
    change = change_mm(places, stack=stack, gap=gap)
    change = change * span / np.hypot(span, change)  # square to the skin
    of_shape, of_extents = _medians(stack, bows_per_mm=bows_per_mm, trace_mm=trace_mm)
    local = ((change + _LOCAL_MM) / (_changes(stack)[gap] + _LOCAL_MM)) ** _LOCAL_POWER
    amount = shape * np.sqrt(_FLOOR_MM**2 + (of_shape[gap] * local) ** 2 + (of_extents[gap] * unknown) ** 2)
    mean = (law.read_bulge + (law.bulge - law.read_bulge) * unknown) * amount
    below, above = np.maximum(knots[0] - at, 0.0), np.maximum(at - knots[-1], 0.0)
    off = _READ_BELOW_PER_MM + (_BELOW_PER_MM - _READ_BELOW_PER_MM) * unknown
    beyond = off * below + (off + _ABOVE_PER_MM * change / span) * above
    return InterpolationError(
        amount_mm=amount + beyond,
        mean_mm=mean - off * below,
        gap=gap,
        turned=1 - 2 * part,
        tail=_TAIL,
    )


def half_way_mm(stack: RingStack, *, bows_per_mm: Floats, trace_mm: float = 0.0) -> Floats:
    """Standard uncertainty of the skin half way between neighbouring sections without profiles, ``(k − 1,)``, mm."""
    of_shape, of_extents = _medians(stack, bows_per_mm=bows_per_mm, trace_mm=trace_mm)
    return np.sqrt(_FLOOR_MM**2 + of_shape**2 + of_extents**2) * float(np.exp(_TAIL**2))


def _law(stack: RingStack) -> _Law:
    return _TWO_SECTIONS if len(stack.heights_mm) == 2 else _MORE_SECTIONS


def _changes(stack: RingStack) -> Floats:
    """Root mean square change of each gap, square to the skin, ``(k − 1,)``, mm."""
    span = np.diff(stack.heights_mm)
    away = _apart_mm(stack.rings_mm[:-1], stack.rings_mm[1:])
    return np.asarray(away * span / np.hypot(span, away))


def unlikeness_mm(stack: RingStack, *, trace_mm: float = 0.0) -> Floats:
    """How far neighbouring outlines lie apart once both have one width and depth, ``(k − 1,)``, mm.

    Root mean square, less what tracing the two makes of it.

    Examples
    --------
    A circle and an ellipse are alike, a circle and a square are not.

    >>> t = np.arange(200) * 2 * np.pi / 200
    >>> circle = 20 * np.column_stack([np.cos(t), np.sin(t)])
    >>> square = np.clip(1.5 * circle, -20, 20)
    >>> rings = np.array([circle, circle * [1.5, 1.2], square])
    >>> stack = RingStack(heights_mm=np.array([0.0, 9.0, 20.0]), rings_mm=rings, names=("a", "b", "c"))
    >>> unlikeness_mm(stack).round(1).tolist()
    [0.0, 2.7]
    """
    low, high = stack.rings_mm.min(axis=1), stack.rings_mm.max(axis=1)
    size = (high - low)[:, None]
    form = (stack.rings_mm - low[:, None]) / size
    lower, upper = form[:-1] * size[1:], form[1:] * size[1:]
    away = _apart_mm(lower, upper)
    return np.sqrt(np.maximum(away**2 - _TRACED_TWICE * trace_mm**2, 0.0))


def _apart_mm(lower: Floats, upper: Floats) -> Floats:
    """Root mean square distance of each of ``(g, n, 2)`` rings from its partner's outline, ``(g,)``, mm."""
    outlines = regions(upper)
    away = [distances_to_boundary(ring, area) for ring, area in zip(lower, outlines, strict=True)]
    return np.array([np.sqrt(np.mean(d**2)) for d in away])


def _medians(stack: RingStack, *, bows_per_mm: Floats, trace_mm: float) -> tuple[Floats, Floats]:
    """Median root mean square deviation half way in each gap, of shape and of extents, ``(k − 1,)`` each, mm."""
    law = _law(stack)
    bow = np.maximum(bows_per_mm * np.diff(stack.heights_mm) ** 2 / 4, _NEAREST_BOW_MM)
    change = _changes(stack)
    unlike = unlikeness_mm(stack, trace_mm=trace_mm)
    of_shape = (
        law.shape * (unlike + _ALIKE_MM) ** law.unlike_power * (change + _STRAIGHT_MM) ** law.change_power
    )
    return of_shape, law.extents * change**law.extents_power * bow**law.bow_power


def half_way_shape(heights_mm: Floats, *, low_mm: Floats, high_mm: Floats) -> Floats:
    """How unsure heights between two sections are, ``(n,)``: 0 at both and beyond them, 1 half way."""
    part = np.clip((heights_mm - low_mm) / (high_mm - low_mm), 0.0, 1.0)
    return np.asarray((4 * part * (1 - part)) ** _HALF_WAY_POWER)


def change_mm(places: Places, *, stack: RingStack, gap: Ints) -> Floats:
    """How far the outlines of the two sections around each place's gap lie apart there, ``(j,)``, mm.

    The sum of the place's distances, seen from above, to both: on a cone just the difference of their radii.
    """
    outlines = regions(stack.rings_mm)
    out = np.zeros(len(gap))
    for g in range(len(stack.heights_mm) - 1):
        own = np.flatnonzero(gap == g)
        points = places.points_mm[own, :2]
        out[own] = sum(distances_to_boundary(points, outlines[k]) for k in (g, g + 1))
    return out


def bows(stack: RingStack, *, between: Between = Between.AUTO) -> Floats:
    """Bow of each gap between neighbouring sections, ``(k − 1,)``, 1/mm, as a standard uncertainty.

    For three or more sections the root mean square of what leaving out the
    gap's own two sections shows, either or both. Of three only two are left,
    which a straight loft joins; a smooth loft through all three leaves
    `SMOOTH_LEAVES` of that.
    """
    heights, rings = stack.heights_mm, stack.rings_mm
    k = len(heights)
    if k < 2:
        return np.zeros(0)
    if k == 2:
        width = float(np.ptp(rings, axis=1).mean())
        return np.array([1 / (2 * ASSUMED_CURVES * width)])
    found = np.full(k, np.nan)
    for i in range(1, k - 1):
        product = (heights[i] - heights[i - 1]) * (heights[i + 1] - heights[i])
        found[i] = _missed_mm(stack, i, between=between) / product
    if k == 3 and between is not Between.STRAIGHT:
        found *= SMOOTH_LEAVES
    pairs = np.column_stack([found[:-1], found[1:]])
    return np.sqrt(np.nanmean(np.square(pairs), axis=1))


def _missed_mm(stack: RingStack, i: int, *, between: Between) -> float:
    """Root mean square distance, square to the skin, of section i from the loft through the others, mm."""
    heights, rings = stack.heights_mm, stack.rings_mm
    kept = np.delete(np.arange(len(heights)), i)
    at = heights[i : i + 1]
    if between is not Between.STRAIGHT and len(kept) > 2:
        slopes = monotone_slopes(heights[kept], rings[kept])
        there = cubic_at(heights[kept], rings[kept], slopes, at)[0]
    else:
        there = straight_at(heights[kept], rings[kept], at)[0]
    ring = rings[i]
    along = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)
    length = np.maximum(np.linalg.norm(along, axis=1), 1e-12)
    missed = there - ring
    out = (missed[:, 0] * along[:, 1] - missed[:, 1] * along[:, 0]) / length
    weight = np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1)
    weight = (weight + np.roll(weight, 1)) / weight.sum() / 2
    return float(np.sqrt((weight * out**2).sum()))
