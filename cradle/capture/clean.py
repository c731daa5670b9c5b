"""Points into an outline: what is harmless is repaired and told, what is not is refused with its place."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from cradle.capture.outline import Outline
from cradle.errors import OutlineError
from cradle.finding import note
from cradle.geometry.arrays import Bools, Floats, as_points_2d, following, frozen, preceding
from cradle.geometry.planar import made_sound, outer_rings, regions
from cradle.geometry.region_measures import crosses_seldom, crossing
from cradle.geometry.ring import counter_clockwise, off_neighbours, perimeter, signed_area
from cradle.geometry.vectors import cross
from cradle.names import counted, point_words
from cradle.project.convert import LARGEST_MM
from cradle.tolerances import TOLERANCES

SMALLEST_MM: Final = 1.0
"""Nothing smaller can be traced; it is a slip of units."""
_MOST_WAY: Final = 100.0
"""Way round by the larger side: a saw of fifty teeth as long as itself; hatching and noise run on and on (our own choice)."""
_MOST_KNOTS: Final = 100
"""A hand crosses its own line no more often; a ring that does may cross itself millions of times."""
_KNOTS: Final = 0.0005
"""Loops of an unsteady hand that are together a smaller part of the area than this are cut off (our own choice)."""
_FEWEST: Final = 8
"""Of fewer points many a one unties the outline by being left out."""
_DOUBTED: Final = 6
"""So many points are tried; one far out takes its neighbours off the line too."""


def clean_outline(points: ArrayLike, *, source: str, open_ends: bool = False) -> Outline:
    """An outline through the points, counter-clockwise and simple.

    Parameters
    ----------
    points : (n, 2)
        mm, in order round the outline either way; the first may be repeated at the end.
    source : str
        What they were read from, for messages.
    open_ends : bool
        The points are an open curve; see `Outline`.

    Returns
    -------
    Outline
        Its findings list the repairs: repeated points, spikes of no width and small
        loops left out. Points in the middle of straight edges are left out too and the
        direction is turned round; neither changes the line, and neither is told.

    Raises
    ------
    OutlineError
        For fewer than three points, a coordinate that is not finite, points on
        one line, a crossing, a size outside 1 to 2000 mm, or a line that runs to and fro.

    Examples
    --------
    >>> clean_outline([[0, 0], [0, 40], [0, 40], [60, 40], [60, 0]], source="by hand").findings[0].code
    'repeated-points'
    """
    ring = as_points_2d(points, where=source)
    if not open_ends and len(ring) > 1 and (ring[0] == ring[-1]).all():
        ring = ring[:-1]  # a way of writing "closed"
    _check_size(ring, source=source)
    ring, repeats = _leave_out_repeats(ring, source=source, open_ends=open_ends)
    ring, spikes = _cut_spikes(ring, source=source)
    ring = _thin_straight_edges(ring, open_ends=open_ends)
    ring, knots = _untie(ring, source=source, open_ends=open_ends)
    ring = _counter_clockwise(ring, source=source, open_ends=open_ends)
    _check_way(ring, source=source)
    repairs = {"repeated-points": repeats, "spikes-cut": spikes, "knots-cut": knots}
    findings = tuple(note(code, done, where=source) for code, done in repairs.items() if done)
    return Outline(points_mm=frozen(ring), open_ends=open_ends, form_findings=findings)


def _leave_out_repeats(ring: Floats, *, source: str, open_ends: bool) -> tuple[Floats, str]:
    """The ring without repeated points, and that they were left out; "" where there were none."""
    touch_mm = TOLERANCES.duplicate_mm
    kept = _apart(ring, touch_mm=touch_mm, open_ends=open_ends)
    left = ring[kept]
    _check_spread(left, touch_mm=touch_mm, source=source)
    if kept.all():
        return left, ""
    count, first = counted(int((~kept).sum()), "repeated point"), ring[np.argmin(kept)]
    return left, f"left out {count}, the first at {point_words(first)}"


def _cut_spikes(ring: Floats, *, source: str) -> tuple[Floats, str]:
    """The ring without spikes of no width, and that they were cut off; "" where there were none."""
    left, tips = _without_spikes(ring, width_mm=TOLERANCES.duplicate_mm)
    if len(left) < 3:
        raise OutlineError(
            "the outline encloses no area: it runs out and back on itself",
            where=source,
            hint="trace round the thing once",
        )
    if not len(tips):
        return left, ""
    count = counted(len(tips), "spike")
    return left, f"cut off {count} of no width, the first with its tip at {point_words(tips[0])}"


def _thin_straight_edges(ring: Floats, *, open_ends: bool) -> Floats:
    """The ring without points amid straight edges."""
    within_mm = TOLERANCES.rounding * float(np.ptp(ring, axis=0).max())
    needed = ~_on_straight_edges(ring, within_mm=within_mm)
    if open_ends:
        needed[[0, -1]] = True
    return ring if needed.sum() < 3 else ring[needed]


def _untie(ring: Floats, *, source: str, open_ends: bool) -> tuple[Floats, str]:
    """The ring without the small loops of an unsteady hand, and where they were; "" where it crosses itself nowhere."""
    place = crossing(ring)
    if place is None:
        return ring, ""
    untied = None if open_ends else _without_knots(ring)
    if untied is None:
        raise OutlineError(
            f"the outline crosses or touches itself at {point_words(place)}",
            where=source,
            hint=f"draw it as one simple loop{_but_for_one_point(ring)}",
        )
    return untied, f"the outline crosses itself at {point_words(place)}; the small loops there were cut off"


def _but_for_one_point(ring: Floats) -> str:
    """Which point, far from the line between its neighbours, is all that makes the ring cross itself; "" where none is."""
    if len(ring) < _FEWEST:
        return ""
    area, length = off_neighbours(ring)
    farthest = np.argsort(-area / np.maximum(length, TOLERANCES.duplicate_mm), kind="stable")[:_DOUBTED]
    slip = next((n for n in farthest if crossing(np.delete(ring, n, axis=0)) is None), None)
    if slip is None:
        return ""
    return f"; without the point {point_words(ring[slip])} it would be one: perhaps that was misread, or stands in the wrong place"


def _counter_clockwise(ring: Floats, *, source: str, open_ends: bool) -> Floats:
    """The ring turned round where it runs clockwise; an open one keeps its ends."""
    area = signed_area(ring)
    if abs(area) <= TOLERANCES.duplicate_mm * float(np.ptp(ring, axis=0).max()):
        raise OutlineError(f"the outline encloses {abs(area):.3g} mm², no area to speak of", where=source)
    if area > 0:
        return ring
    return ring[::-1] if open_ends else counter_clockwise(ring)


def _without_knots(ring: Floats) -> Floats | None:
    """The ring without the loops in which it crosses itself; None unless they are few and a tiny part of it."""
    if not crosses_seldom(ring, most=_MOST_KNOTS):
        return None
    pieces = outer_rings(made_sound(regions([ring]))[0])
    areas = np.abs([signed_area(piece) for piece in pieces])
    if not pieces or areas[1:].sum() > _KNOTS * areas[0]:
        return None
    twice = abs(areas.sum() - abs(signed_area(ring)))  # what the ring goes round twice, or the other way
    if twice > 2 * _KNOTS * areas[0] or crossing(pieces[0]) is not None:
        return None
    return pieces[0] if signed_area(ring) > 0 else pieces[0][::-1]


def _check_size(ring: Floats, *, source: str) -> None:
    if len(ring) < 3:
        raise OutlineError(
            f"found {counted(len(ring), 'point')}, at least 3 are needed",
            where=source,
            hint="trace the whole outline",
        )
    width, depth = np.ptp(ring, axis=0)
    if max(width, depth) > LARGEST_MM:
        raise OutlineError(
            f"the outline is {width:.5g} x {depth:.5g} mm, up to {LARGEST_MM:g} mm allowed",
            where=source,
            hint="check the unit: perhaps it is drawn in pixels or in hundredths of a mm",
        )
    if max(width, depth) < SMALLEST_MM:
        raise OutlineError(
            f"the outline is {width:.3g} x {depth:.3g} mm, at least {SMALLEST_MM:g} mm needed",
            where=source,
            hint="check the unit: perhaps it is drawn in cm, in m or in inches",
        )


def _check_way(ring: Floats, *, source: str) -> None:
    """Refuse a line that runs to and fro, which would take a command minutes."""
    width, depth = np.ptp(ring, axis=0)
    way, most = perimeter(ring) / 1000, _MOST_WAY * max(width, depth) / 1000
    if way > most:
        raise OutlineError(
            f"the line runs {way:.4g} m to and fro in {width:.5g} x {depth:.5g} mm, up to {most:.4g} m allowed",
            where=source,
            hint="trace the edge once, without hatching or texture",
        )


def _check_spread(ring: Floats, *, touch_mm: float, source: str) -> None:
    """Refuse points that all lie on one line."""
    if len(ring) < 3:
        raise OutlineError(
            f"found {counted(len(ring), 'different point')}, at least 3 are needed",
            where=source,
            hint="trace the whole outline",
        )
    away = ring - ring[0]
    far = away[np.argmax((away * away).sum(axis=1))]
    off = np.abs(cross(away, far)) / float(np.hypot(*far))
    if off.max() <= touch_mm:
        raise OutlineError(
            f"all {len(ring)} points lie on one line through {point_words(ring[0])} and {point_words(ring[0] + far)}",
            where=source,
            hint="trace round the thing; three points on one line enclose nothing",
        )


def _apart(ring: Floats, *, touch_mm: float, open_ends: bool) -> Bools:
    """Which points to keep so that neighbours are further apart than ``touch_mm``, ``(n,)`` bool."""
    kept = np.ones(len(ring), dtype=bool)
    step = np.hypot(*np.diff(ring, axis=0).T)
    if (step <= touch_mm).any():
        last = 0
        for i in range(1, len(ring)):
            if step[i - 1] <= touch_mm or not kept[i - 1]:
                kept[i] = np.hypot(*(ring[i] - ring[last])) > touch_mm
            if kept[i]:
                last = i
    if not open_ends:
        for i in range(len(ring) - 1, 0, -1):
            if not kept[i]:
                continue
            if np.hypot(*(ring[i] - ring[0])) > touch_mm:
                break
            kept[i] = False
    return kept


def _without_spikes(ring: Floats, *, width_mm: float) -> tuple[Floats, list[Floats]]:
    """The ring without tips where it turns back on itself, and where these were.

    A tip is a point whose edges run the same way back within ``width_mm``; once
    it is gone its neighbour may be one. An open curve that runs along its own
    chord loses that run: the chord stays on the same line.
    """
    doubtful = _turns_back(preceding(ring), ring, following(ring), width_mm=width_mm)
    if not doubtful.any():
        return ring, []
    points = ring.tolist()
    before = [len(points) - 1, *range(len(points) - 1)]
    after = [*range(1, len(points)), 0]
    tips, left = [], len(points)
    at, unchanged = 0, 0
    while left > 2 and unchanged <= left:
        last, ahead = before[at], after[at]
        same = math.dist(points[last], points[ahead]) <= width_mm
        if not same and not _is_tip(points[last], points[at], points[ahead], width_mm=width_mm):
            at, unchanged = ahead, unchanged + 1
            continue
        tips.append(np.array(points[at]))
        left -= 1
        if same:  # out and back to the same point: one of the two goes with the tip
            ahead, left = after[ahead], left - 1
        after[last], before[ahead] = ahead, last
        at, unchanged = before[last], 0
    kept = [at]
    while after[kept[-1]] != at and len(kept) < left:
        kept.append(after[kept[-1]])
    first = kept.index(min(kept))
    return ring[kept[first:] + kept[:first]], tips


def _is_tip(before: list[float], here: list[float], after: list[float], *, width_mm: float) -> bool:
    """`_turns_back` for one point, without arrays."""
    ax, ay, bx, by = before[0] - here[0], before[1] - here[1], after[0] - here[0], after[1] - here[1]
    la, lb = math.hypot(ax, ay), math.hypot(bx, by)
    off = abs(ax * by - ay * bx) / max(la, lb, 1e-300)
    return ax * bx + ay * by > 0 and off <= width_mm and min(la, lb) > 10 * off


def _turns_back(before: Floats, here: Floats, after: Floats, *, width_mm: float) -> Bools:
    """Whether the shorter of two edges runs back on the longer one, within ``width_mm``."""
    a, b = before - here, after - here
    la, lb = np.hypot(a[:, 0], a[:, 1]), np.hypot(b[:, 0], b[:, 1])
    off = np.abs(cross(a, b)) / np.maximum(np.maximum(la, lb), 1e-300)
    return ((a * b).sum(axis=1) > 0) & (off <= width_mm) & (np.minimum(la, lb) > 10 * off)


def _on_straight_edges(ring: Floats, *, within_mm: float) -> Bools:
    """Which points lie on the straight line between kept neighbours, ``(n,)`` bool.

    A run of such points goes only when all of it lies on the chord of its ends.
    """
    area, length = off_neighbours(ring)
    flat = area <= within_mm * length
    if not flat.any() or flat.all():
        return np.zeros(len(ring), dtype=bool)
    first = int(np.argmin(flat))
    flat, turned = np.roll(flat, -first), np.roll(ring, -first, axis=0)
    turned = np.concatenate([turned, turned[:1]])
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flat, [False]]).astype(np.int8)))
    for low, high in edges.reshape(-1, 2):
        a, b = turned[low - 1], turned[high]
        d, run = b - a, turned[low:high] - a
        away = np.abs(cross(d, run))
        along = np.concatenate([[0.0], run @ d, [d @ d]])
        if (away > within_mm * float(np.hypot(*d))).any() or (np.diff(along) < 0).any():
            flat[low:high] = False
    return np.roll(flat, first)
