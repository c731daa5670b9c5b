"""How far the thing may leave the loft between two measured sections, below them and above.

Three things are not known there. One is the shape: how far the two sections'
outlines still lie apart once both are brought to one width and depth (their
*unlikeness*), and how far they lie apart as they are (their *change*). The
second is how far the thing reaches to each side; it follows from the change
and from by how much the loft misses a section that is left out (the *bow*; a
straight loft misses a curved skin by f″/2 · (z − a)(b − z) between heights a
and b, the remainder of linear interpolation, any numerical analysis text).
The third is at which height one form gives way to the other: a thing that
turns in a step stands out by as much as the two are unlike. Where side
profiles read it, the second and third are known.

Things of the same form differ in how far they leave a loft: some are far plainer.
So each gap between sections has a factor, unknown to the program, log-normal
and partly the same for all gaps of one thing, and within the gap the deviation
is smooth and normal: a scale mixture, whose tails are as heavy as those of
real things.

**Measured on** level outlines of 44 scanned household things of 70 to 150 mm,
cut at two to five heights chosen as a careful person would, and 75 shapes of
other sources (parts of robots, bones, animals, tools), whose sections are far
more unlike. Powers: the loft through the true sections, with four side profiles
and with none, was held against the true outlines every millimetre, and the root
mean square of each gap fitted in its logarithm. Shares and tail: a thing touches
where it stands out most, not in the root mean square, so they are those at which
the clearance that the things need, measured with the errors of a careful hand,
was likeliest under what is stated (the mean logarithm of the stated density
there). By the 44 alone the shape would follow unlikeness and change more steeply
(0.48, powers 0.55 and 0.4) without a turn; the others then need less than was
stated for 95 of 100 in 80 where nothing is read, and in 84 as it is here, with
the 44 as well stated as before.

Bodies that run straight across the hollows of outlines
(`cradle.sections.spanned_hollows`) leave things less than those that follow
them, and there change tells nothing beside unlikeness: hence two sets of laws.
What is left of a law by one more section is that of the next of a set.

So many of 100 need less than is stated for 50, 80 and 95, as bodies are made now:

=============================  ==============================  ==============================
three sections, two views      44 scanned things: 52, 75, 98   55 of the others: 40, 74, 83
three sections, four profiles  55, 75, 95
three sections, neither        66, 75, 98
five sections, four profiles   52, 77, 98
five sections, two views       52, 82, 95
=============================  ==============================  ==============================

Between two heights the shape's deviation follows how far the form has gone, as
profiles tell (`cradle.loft.pace`): a thing that turns from one section's form
to the other's in a step is as well known above it as at the upper section. For
things that turn in steps half as much is stated as by height alone (6.5 for
12.7 mm, 4.3 for 11.3), and they need less still.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Final

import numpy as np

from cradle.fit.places import Places
from cradle.geometry.arrays import Floats, Ints, frozen
from cradle.geometry.knots import interval_of, part_between
from cradle.geometry.planar import distances_to_boundary, regions
from cradle.matching.ring_stack import RingStack
from cradle.noun import noun, record
from cradle.sections.hollows import hollows_of


@record
class _Law:
    """Median root mean square deviation half way, mm: floor, shape and extents added as squares.

    Shape is ``shape`` · (unlikeness + ``alike_mm``)^``unlike_power`` · (change + `_STRAIGHT_MM`)^``change_power``.
    Where no profile was read, extents are ``extents`` · change^``extents_power`` · bow^``bow_power`` and the height of the
    turn ``turn`` · unlikeness^`_TURN_POWER`. ``bulge`` is the mean deviation outwards, in parts of the whole,
    where no profile was read, ``read_bulge`` where one was.
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
"""Added to the change for the same reason."""
_TAIL: Final = 0.6
"""Standard deviation of a gap's factor in its natural logarithm."""
ALIKE_IN_ALL: Final = 0.35
"""Part of its variance that all gaps of one thing share: with five sections a thing is as plain or odd as with three."""
_LOCAL_POWER: Final = 0.3
"""Power with which the shape's deviation follows the change at a place, around a gap."""
_LOCAL_MM: Final = 0.3
"""Smaller changes count as about this much."""
_HALF_WAY_POWER: Final = 0.75
"""Between two heights it follows (4 t (1 − t)) with this power, t being how far the form has gone: profiles tell where it changes."""
_BELOW_PER_MM: Final = 0.05
"""Deviation for each mm below the lowest section, read by profiles or not; the mean is as much inwards, as things round off."""
_SPLAY: Final = 0.3
"""Below the lowest section it also deviates by this part of what the splay there, going on, would make."""
_FOOT_MM: Final = 1.0
"""Over the thing's lowest millimetre the deviation falls to nothing at the table.

A quarter of a millimetre up, 98 of 104 things (44 of them scanned household things) reach out no further than 0.3 mm
past their lowest cut, 2 to 5 mm up; 1.25 mm up, 94 of them.
"""
_ABOVE_PER_MM: Final = 0.12
"""Deviation for each mm above the highest section."""
_ABOVE_CHANGE: Final = 0.3
"""There it also deviates by this part of what the last gap's change, going on, would make."""
_NEAREST_BOW_MM: Final = 0.01
"""A bow that makes less than this half way counts as so much."""
_STACKS: Final = 8
"""Of so many stacks what was found is kept: it is asked for several times, and takes long where outlines have many points."""


@noun
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
    left_by_another : (j,) float64
        Part of it that one section more leaves in every gap, beside what it does to its own.
    tail : float
        Standard deviation of each gap's factor in its natural logarithm.
    """

    amount_mm: Floats
    mean_mm: Floats
    gap: Ints
    turned: Floats
    left_by_another: Floats
    tail: float


def interpolation_error(
    places: Places,
    *,
    stack: RingStack,
    bows_per_mm: Floats,
    unread: Floats,
    splay: Floats,
    trace_mm: float,
) -> InterpolationError:
    """How far the thing may leave the loft at each place, by what is seen of its sections.

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
        Tracing error of the outlines: what it explains is no hollow.
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
        amount_mm=amount + beyond,
        mean_mm=mean - _BELOW_PER_MM * below,
        left_by_another=np.where(below + above > 0, 1.0, then / now),
        tail=_TAIL,
    )


def stated_error(places: Places, *, stack: RingStack, half_way_mm: float) -> InterpolationError:
    """How far it may where the standard uncertainty half way between any two sections is stated; normal."""
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
        tail=0.0,
    )


def half_way_mm(stack: RingStack, *, bows_per_mm: Floats, trace_mm: float) -> Floats:
    """Standard uncertainty of the skin half way between neighbouring sections without profiles, ``(k − 1,)``, mm."""
    of_shape, untold = _medians(stack, bows_per_mm=bows_per_mm, trace_mm=trace_mm)
    return np.sqrt(_FLOOR_MM**2 + of_shape**2 + untold**2) * float(np.exp(_TAIL**2))


def _law(stack: RingStack, *, trace_mm: float) -> tuple[_Law, float]:
    """The law of a stack, and the part of the shape's spread that the law of one section more has."""
    two, three, more = _WITH_HOLLOWS if with_hollows(stack, trace_mm=trace_mm) else _WITHOUT_HOLLOWS
    return {2: (two, 1.0), 3: (three, more.shape / three.shape)}.get(len(stack.heights_mm), (more, 1.0))


def _medians(stack: RingStack, *, bows_per_mm: Floats, trace_mm: float) -> tuple[Floats, Floats]:
    """Median root mean square deviation half way in each gap, of shape, and of what profiles would tell, ``(k − 1,)`` each, mm."""
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
    """Root mean square change of each gap, square to the skin, ``(k − 1,)``, mm."""
    span = np.diff(stack.heights_mm)
    beside = zip(stack.rings_mm[:-1], regions(stack.rings_mm[1:]), strict=True)
    away = np.array([np.sqrt(np.mean(distances_to_boundary(ring, upper) ** 2)) for ring, upper in beside])
    return frozen(away * span / np.hypot(span, away))


@lru_cache(maxsize=_STACKS)
def with_hollows(stack: RingStack, *, trace_mm: float) -> bool:
    """Whether outlines of sections have hollows."""
    return any(hollows_of(ring, trace_mm=trace_mm) for ring in stack.rings_mm)


def half_way_shape(heights_mm: Floats, *, low_mm: Floats, high_mm: Floats) -> Floats:
    """How unsure heights between two sections are, ``(n,)``: 0 at both and beyond them, 1 half way."""
    part = part_between(heights_mm, low=low_mm, high=high_mm)
    return np.asarray((4 * part * (1 - part)) ** _HALF_WAY_POWER)


def change_at_places_mm(places: Places, *, stack: RingStack, gap: Ints) -> Floats:
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
