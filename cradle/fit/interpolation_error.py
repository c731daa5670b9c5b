"""How far the thing may deviate from the loft: between two measured sections, below the lowest, above the highest.

Between two sections three things are unknown:

1. The shape. Two figures tell how unsure it is: the *unlikeness* of the two
   outlines, which is how far they lie apart once both are brought to one width
   and depth, and their *change*, which is how far they lie apart as they are.
2. How far the thing reaches to each side. It follows from the change and from
   the *bow*: by how much the loft through the other sections misses a section
   that is left out. (A straight loft misses a curved skin by
   f″/2 · (z − a)(b − z) between heights a and b: the remainder of linear
   interpolation, any numerical analysis text.)
3. The height at which one form gives way to the other. A thing that changes in
   a step deviates by as much as the two outlines are unlike.

Side profiles, where there are some, tell the second and the third.

The model is a scale mixture. Within one gap between sections the deviation is
normal and smooth. Its size is multiplied by a factor that nobody knows, as some
things are far plainer than others whose sections look the same: log-normal, one
for each gap, partly shared by all gaps of one thing. That makes the tails as
heavy as those of real things. Where nothing is read of the sides the factor is
less known: with the same root mean square most things deviate by less, and a
few by more.

**Measured on** level outlines of 44 scanned household things of 70 to 150 mm,
cut at two to five heights chosen as a careful person would, and on 75 shapes of
other sources (parts of robots, bones, animals, tools), whose sections are far
more unlike. The powers of a `_Law` were fitted to the logarithm of each gap's
root mean square deviation: the loft through the true sections, with four side
profiles and with none, against the true outlines every millimetre. Its factors
and the tail were fitted to something else, because a thing touches where it
stands out most, not where its root mean square is: to the clearance that the
things need when measured with the errors of a careful hand, by the greatest
mean logarithm of the density stated there. Fitted to the 44 alone, the shape
would follow unlikeness and change more steeply (0.48, powers 0.55 and 0.4)
without a turn; of the other shapes, where nothing is read, 80 of 100 would then
need less than is stated for 95, and 84 as it is here, with the 44 stated as well
as before.

There are two sets of laws. Bodies that run straight across the hollows of
outlines (`cradle.sections.spanned_hollows`) deviate less than those that follow
them, and change tells nothing there beside unlikeness. A set has laws for two
sections, for three and for more: with one more section the next of them counts.

How many of 100 things need less than is stated for 50, 80 and 95, as bodies are made now:

=============================  ==============================  ==================================
three sections, two views      44 scanned things: 52, 75, 98   55 of the others: 40, 74, 83
three sections, four profiles  55, 73, 95                      56 more, not fitted to: 73, 86, 95
three sections, two profiles   61, 80, 100
three sections, one view       52, 82, 95
three sections, neither        52, 73, 98                      126 of other sources: 52, 79, 95
five sections, four profiles   52, 77, 98
five sections, two views       52, 82, 95
five sections, neither         61, 73, 93
=============================  ==============================  ==================================

Within a gap the deviation of the shape follows not the height but how far the
form has gone, as profiles tell (`cradle.loft.pace`): above a step the thing is as
well known as at the upper section. For things with steps that halves what is
stated (6.5 in place of 12.7 mm, 4.3 in place of 11.3), and they need less still.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Final

import numpy as np

from cradle.fit.places import Places
from cradle.geometry.arrays import Bools, Floats, Ints, frozen
from cradle.geometry.knots import interval_of, part_between
from cradle.geometry.planar import regions
from cradle.geometry.region_measures import distances_to_boundary
from cradle.matching.ring_stack import RingStack
from cradle.noun import noun, record
from cradle.sections.hollows import hollows_of


@record
class _Law:
    """The median root mean square deviation half way between two sections, mm, from their unlikeness, change and bow.

    It is the root of the sum of the squares of up to four parts, mm:

    - a floor, `_FLOOR_MM`
    - the shape: ``shape`` · (unlikeness + ``alike_mm``)^``unlike_power`` · (change + `_STRAIGHT_MM`)^``change_power``
    - without profiles the extents: ``extents`` · change^``extents_power`` · bow^``bow_power``
    - without profiles the height of the turn: ``turn`` · unlikeness^`_TURN_POWER`

    The mean deviation is outwards, ``bulge`` times all that without profiles, ``read_bulge`` times with them.
    """

    shape: float
    unlike_power: float
    change_power: float
    extents: float
    extents_power: float
    bow_power: float
    turn: float
    bulge: float
    read_bulge: float
    alike_mm: float = 0.05


_TWO_SECTIONS: Final = _Law(
    shape=0.8,
    unlike_power=0.66,
    change_power=0.22,
    extents=0.3,
    extents_power=1.0,
    bow_power=0.0,
    turn=0.0,
    bulge=0.6,
    read_bulge=0.2,
)
_MORE_SECTIONS: Final = _Law(
    shape=0.45,
    unlike_power=0.45,
    change_power=0.42,
    extents=0.06,
    extents_power=0.8,
    bow_power=0.62,
    turn=0.35,
    bulge=-0.05,
    read_bulge=-0.05,
)
_THREE_SECTIONS: Final = replace(_MORE_SECTIONS, shape=0.56)
_WITH_HOLLOWS: Final = (_TWO_SECTIONS, _THREE_SECTIONS, _MORE_SECTIONS)
_WITHOUT_HOLLOWS: Final = tuple(
    replace(law, shape=shape, unlike_power=0.75, change_power=0.0, alike_mm=0.3)
    for law, shape in zip(_WITH_HOLLOWS, (0.65, 0.45, 0.38), strict=True)
)
"""Laws of two sections, of three and of more."""
_TURN_POWER: Final = 1.1
_FLOOR_MM: Final = 0.04
"""The least deviation half way, however alike the sections are."""
_STRAIGHT_MM: Final = 0.1
"""Added to the change, so that the shape is never taken to be known exactly."""
_TAIL: Final = 0.6
"""Standard deviation of a gap's factor in its natural logarithm, where its sides are read."""
_UNREAD_TAIL: Final = 1.0
"""The same where nothing is read of them.

The clearances that things need, measured without profiles and views, are likeliest with 0.9 to 1.15: the sum of the
logarithms of their densities is larger by 18 than with 0.6 (44 scanned household things at three heights and at
five, 126 shapes of other sources at three), and larger in each of the three.
"""
_MEAN: Final = float(np.exp(_TAIL**2 / 2))
_ROOT: Final = float(np.exp(_TAIL**2))
"""Mean and root mean square of that factor, whose median is 1."""
ALIKE_IN_ALL: Final = 0.35
"""Part of its variance that all gaps of one thing share: a thing is as plain or as odd with five sections as with three."""
_LOCAL_POWER: Final = 0.3
"""Around a gap, the shape's deviation at a place follows the change at that place with this power."""
_LOCAL_MM: Final = 0.3
"""Added to both changes there, so that a place where nothing changes is not taken to be known exactly."""
_HALF_WAY_POWER: Final = 0.75
"""From one section to the next it follows (4 t (1 − t)) with this power, t being how far the form has gone, 0 to 1."""
_BELOW_PER_MM: Final = 0.05
"""Deviation for each mm below the lowest section, with profiles or without; the mean is as much inwards, as things round off."""
_SPLAY: Final = 0.3
"""Below the lowest section it also deviates by this part of what the splay (`cradle.fit.splay`) would add if it went on."""
_FOOT_MM: Final = 1.0
"""Over the thing's lowest millimetre the deviation falls to nothing at the table.

A quarter of a millimetre up, 98 of 104 things (44 of them scanned household things) reach out no further than 0.3 mm
past their lowest cut, 2 to 5 mm up; 1.25 mm up, 94 of them.
"""
_ABOVE_PER_MM: Final = 0.12
"""Deviation for each mm above the highest section."""
_ABOVE_CHANGE: Final = 0.3
"""Above the highest section it also deviates by this part of what the last gap's change would add if it went on."""
_NEAREST_BOW_MM: Final = 0.01
"""A bow that leaves the loft by less than this half way counts as this much."""
_STACKS: Final = 8
"""Results are kept for this many stacks: each is asked for several times, and takes long where outlines have many points."""


@noun
class InterpolationError:
    """How far the thing may deviate from the loft at each of j places.

    Attributes
    ----------
    amount_mm : (j,) float64
        Root mean square of the deviation from its mean.
    mean_mm : (j,) float64
        Mean deviation, outwards.
    gap : (j,) int64
        The gap between sections that each place belongs to.
    turned : (j,) float64
        How far up the gap it lies: 1 at the lower section, −1 at the upper one.
    left_by_another : (j,) float64
        The part of ``amount_mm`` that stays when one more section is measured in another gap: a law of more sections
        states less everywhere.
    tails : (k − 1,) float64
        Standard deviation of the natural logarithm of each gap's factor.
    """

    amount_mm: Floats
    mean_mm: Floats
    gap: Ints
    turned: Floats
    left_by_another: Floats
    tails: Floats


def interpolation_error(
    places: Places, *, stack: RingStack, bows_per_mm: Floats, unread: Floats, splay: Floats, trace_mm: float
) -> InterpolationError:
    """How far the thing may deviate from the loft at each place, told by its sections.

    Parameters
    ----------
    stack : RingStack
        At least two sections.
    bows_per_mm : (k − 1,) float64
        See `cradle.fit.bow`.
    unread : (j,) float64
        How much of each place's outward way no profile reads, 0 to 1 (`cradle.fit.side_readings`).
    splay : (j,) float64
        See `cradle.fit.splay`.
    trace_mm : float
        Tracing error of the outlines: a dent that it explains is no hollow.
    """
    knots, at = stack.heights_mm, places.z_mm
    of_one_mm = stated_error(places, stack=stack, half_way_mm=1.0)
    gap, shape = of_one_mm.gap, of_one_mm.amount_mm
    span = np.diff(knots)[gap]
    law, left = _law(stack, trace_mm=trace_mm)
    change = change_at_places_mm(places, stack=stack, gap=gap)
    change = change * span / np.hypot(span, change)  # square to the skin
    of_shape, untold = _medians(stack, bows_per_mm=bows_per_mm, trace_mm=trace_mm)
    local = ((change + _LOCAL_MM) / (changes_mm(stack)[gap] + _LOCAL_MM)) ** _LOCAL_POWER
    square = _FLOOR_MM**2 + (untold[gap] * unread) ** 2
    now, then = (np.sqrt(square + (part * of_shape[gap] * local) ** 2) for part in (1.0, left))
    amount = shape * now
    mean = (law.read_bulge + (law.bulge - law.read_bulge) * unread) * amount
    below, above = np.maximum(knots[0] - at, 0.0), np.maximum(at - knots[-1], 0.0)
    rounded = np.clip(at / _FOOT_MM, 0.0, 1.0)
    beyond = (_BELOW_PER_MM + _SPLAY * splay) * below * rounded
    beyond += (_ABOVE_PER_MM + _ABOVE_CHANGE * change / span) * above
    return replace(
        of_one_mm,
        amount_mm=_ROOT * (amount + beyond),
        mean_mm=_MEAN * (mean - _BELOW_PER_MM * below),
        left_by_another=np.where(below + above > 0, 1.0, then / now),
        tails=_tails(gap, unread=unread, within=below + above == 0, gaps=len(knots) - 1),
    )


def stated_error(places: Places, *, stack: RingStack, half_way_mm: float) -> InterpolationError:
    """How far the thing may deviate where its project states the standard uncertainty half way between any two sections: normal, without a tail."""
    knots = stack.heights_mm
    gap = interval_of(knots, places.z_mm)
    low, high = knots[gap], knots[gap + 1]
    even = places.even_z_mm
    return InterpolationError(
        amount_mm=half_way_mm * half_way_shape(even, low_mm=low, high_mm=high),
        mean_mm=np.zeros(len(gap)),
        gap=gap,
        turned=1 - 2 * part_between(even, low=low, high=high),
        left_by_another=np.ones(len(gap)),
        tails=np.zeros(len(knots) - 1),
    )


def half_way_mm(stack: RingStack, *, bows_per_mm: Floats, trace_mm: float) -> Floats:
    """Standard uncertainty of the skin half way between neighbouring sections without profiles, ``(k − 1,)``, mm."""
    of_shape, untold = _medians(stack, bows_per_mm=bows_per_mm, trace_mm=trace_mm)
    return _ROOT * np.sqrt(_FLOOR_MM**2 + of_shape**2 + untold**2)


def _tails(gap: Ints, *, unread: Floats, within: Bools, gaps: int) -> Floats:
    """The standard deviation of the logarithm of each gap's factor, ``(gaps,)``, by how much is unread of its places between the sections."""
    total, count = (np.bincount(gap[within], weights=w, minlength=gaps) for w in (unread[within], None))
    return np.sqrt(_TAIL**2 + (_UNREAD_TAIL**2 - _TAIL**2) * total / np.maximum(count, 1))


def _law(stack: RingStack, *, trace_mm: float) -> tuple[_Law, float]:
    """The law of a stack, and the part of its shape's deviation that the law of one more section states."""
    two, three, more = _WITH_HOLLOWS if with_hollows(stack, trace_mm=trace_mm) else _WITHOUT_HOLLOWS
    return {2: (two, 1.0), 3: (three, more.shape / three.shape)}.get(len(stack.heights_mm), (more, 1.0))


def _medians(stack: RingStack, *, bows_per_mm: Floats, trace_mm: float) -> tuple[Floats, Floats]:
    """Two medians for each gap, ``(k − 1,)`` each, mm: the shape's deviation half way, and that of what profiles would tell."""
    law, _ = _law(stack, trace_mm=trace_mm)
    bow = np.maximum(bows_per_mm * np.diff(stack.heights_mm) ** 2 / 4, _NEAREST_BOW_MM)
    change = changes_mm(stack)
    unlike = np.array(stack.unlike_mm)
    of_shape = (
        law.shape * (unlike + law.alike_mm) ** law.unlike_power * (change + _STRAIGHT_MM) ** law.change_power
    )
    of_extents = law.extents * change**law.extents_power * bow**law.bow_power
    return of_shape, np.hypot(of_extents, law.turn * unlike**_TURN_POWER)


@lru_cache(maxsize=_STACKS)
def changes_mm(stack: RingStack) -> Floats:
    """The change of each gap (see above), root mean square, square to the skin, ``(k − 1,)``, mm."""
    span = np.diff(stack.heights_mm)
    beside = zip(stack.rings_mm[:-1], regions(stack.rings_mm[1:]), strict=True)
    away = np.array([np.sqrt(np.mean(distances_to_boundary(ring, upper) ** 2)) for ring, upper in beside])
    return frozen(away * span / np.hypot(span, away))


@lru_cache(maxsize=_STACKS)
def with_hollows(stack: RingStack, *, trace_mm: float) -> bool:
    """Whether any section's outline has a hollow."""
    return any(hollows_of(ring, trace_mm=trace_mm) for ring in stack.rings_mm)


def half_way_shape(heights_mm: Floats, *, low_mm: Floats, high_mm: Floats) -> Floats:
    """How unsure the shape is at heights between two sections, ``(n,)``: 0 at both and beyond them, 1 half way."""
    part = part_between(heights_mm, low=low_mm, high=high_mm)
    return np.asarray((4 * part * (1 - part)) ** _HALF_WAY_POWER)


def change_at_places_mm(places: Places, *, stack: RingStack, gap: Ints) -> Floats:
    """The change at each place: how far the outlines below and above its gap lie apart there, ``(j,)``, mm.

    It is the sum of the place's distances to both, seen from above; on a cone that is the difference of their radii.
    """
    outlines = regions(stack.rings_mm)
    out = np.zeros(len(gap))
    for g in range(len(stack.heights_mm) - 1):
        own = np.flatnonzero(gap == g)
        points = places.points_mm[own, :2]
        out[own] = sum(distances_to_boundary(points, outlines[k]) for k in (g, g + 1))
    return out
