"""Curves that meet end to end joined into one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final

import numpy as np

from cradle.drawings.curves import Curve, Ends
from cradle.errors import OutlineError
from cradle.finding import Finding, in_mm, note
from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.vectors import lengths
from cradle.names import counted, first_of, point_words
from cradle.tolerances import TOLERANCES

_NEIGHBOURS: Final = 40
"""On average at most this many ends may lie near an end; in an outline it is one."""
_FEW: Final = 400
"""Up to this many ends are compared each with each, which is done before a search tree would be loaded."""


def joined_curves(curves: Sequence[Curve], *, where: str) -> tuple[tuple[Curve, ...], tuple[Finding, ...]]:
    """The curves with open ones joined end to end, and what was repaired.

    Ends that touch no other are joined, and reported, up to the gap tolerance.

    Raises
    ------
    OutlineError
        If three ends meet in a point, or very many nearly do.
    """
    kept, findings = _unique(curves, where=where)
    done = [_closed_once(curve) for curve in kept if curve.ends is not Ends.OPEN]
    chains = [curve for curve in kept if curve.ends is Ends.OPEN]
    chains = _chained(chains, _touching_ends(chains, where=where))
    if sum(curve.ends is Ends.OPEN for curve in chains) > 1 and (pairs := _near_ends(chains, where=where)):
        findings += (_gaps_joined(chains, pairs, where=where),)
        chains = _chained(chains, pairs)
    return (*done, *chains), findings


def _gaps_joined(curves: Sequence[Curve], pairs: Sequence[tuple[int, int]], *, where: str) -> Finding:
    """The note that ends were joined across gaps, and where the widest is."""
    ends = np.array([[_end(curves, a), _end(curves, b)] for a, b in pairs])
    gaps = lengths(ends[:, 0] - ends[:, 1])
    worst = int(gaps.argmax())
    return note(
        "gap-joined",
        f"{counted(len(gaps), 'gap')} between the ends of curves closed, "
        f"the widest {gaps[worst]:.3g} mm at {point_words((ends[worst, 0] + ends[worst, 1]) / 2)}",
        where=where,
        **in_mm(float(gaps[worst]), limit=TOLERANCES.gap_mm),
    )


def _unique(curves: Sequence[Curve], *, where: str) -> tuple[list[Curve], tuple[Finding, ...]]:
    """The curves without those of no length and those drawn twice, and a note of the latter."""
    kept: list[Curve] = []
    seen: set[bytes] = set()
    twice = 0
    for curve in curves:
        if curve.ends is Ends.OPEN and np.ptp(curve.points_mm, axis=0).max() <= TOLERANCES.duplicate_mm:
            continue
        cells = np.round(curve.points_mm / TOLERANCES.duplicate_mm).astype(np.int64) + 0
        key = min(cells.tobytes(), cells[::-1].tobytes())
        if key in seen:
            twice += 1
            continue
        seen.add(key)
        kept.append(curve)
    if not twice:
        return kept, ()
    return kept, (
        note(
            "drawn-twice",
            f"{twice} curve{'s lie' if twice > 1 else ' lies'} exactly on another and {'are' if twice > 1 else 'is'} left out",
            where=where,
        ),
    )


def _closed_once(curve: Curve) -> Curve:
    """A closed curve without its first point at the end."""
    points = curve.points_mm
    if curve.ends is not Ends.CLOSED or len(points) < 4 or not _touch(points[-1], points[0]):
        return curve
    return replace(curve, points_mm=points[:-1])


def _touch(one: Floats, other: Floats) -> bool:
    """Whether two points are one."""
    return bool(np.hypot(*(one - other)) <= TOLERANCES.duplicate_mm)


def _end(curves: Sequence[Curve], end: int) -> Floats:
    """The point of an end: end 2i is the first point of curve i, end 2i + 1 its last."""
    return np.asarray(curves[end // 2].points_mm[-1 if end % 2 else 0])


def _touching_ends(curves: Sequence[Curve], *, where: str) -> list[tuple[int, int]]:
    """Pairs of ends that are one point."""
    points = np.array([_end(curves, end) for end in range(2 * len(curves))]).reshape(-1, 2)
    pairs = _within(TOLERANCES.duplicate_mm, points, where=where)
    met = np.bincount(pairs.ravel(), minlength=len(points))
    if len(pairs) and met.max() > 1:
        most = int(met.argmax())
        there = np.unique(pairs[(pairs == most).any(axis=1)]).tolist()
        names = first_of(list(dict.fromkeys(curves[end // 2].name for end in there)))
        raise OutlineError(
            f"more than two ends meet at {point_words(points[most])}: {names}",
            where=where,
            hint="leave a single loop, or name its layer",
        )
    return [(a, b) for a, b in pairs.tolist()]


def _near_ends(curves: Sequence[Curve], *, where: str) -> list[tuple[int, int]]:
    """Pairs of free ends within the gap, the nearest first; an end is used once."""
    free = [end for end in range(2 * len(curves)) if curves[end // 2].ends is Ends.OPEN]
    points = np.array([_end(curves, end) for end in free])
    rows = _within(TOLERANCES.gap_mm, points, where=where)
    gaps = lengths(points[rows[:, 0]] - points[rows[:, 1]])
    near = [(float(gap), free[i], free[j]) for gap, (i, j) in zip(gaps, rows.tolist(), strict=True)]
    pairs, used = [], set[int]()
    for _, a, b in sorted(near):
        if a not in used and b not in used:
            pairs.append((a, b))
            used.update((a, b))
    return pairs


def _within(distance_mm: float, ends_mm: Floats, *, where: str) -> Ints:
    """The pairs of rows of ``ends_mm`` that lie no farther apart, ``(n, 2)``, the lower row first.

    Raises
    ------
    OutlineError
        If so many do that their list would fill the memory.
    """
    if len(ends_mm) <= _FEW:
        rows = np.stack(np.triu_indices(len(ends_mm), 1), axis=1)
        gaps = lengths(ends_mm[rows[:, 0]] - ends_mm[rows[:, 1]])
        return np.asarray(rows[gaps <= distance_mm])
    from scipy.spatial import cKDTree

    tree = cKDTree(ends_mm)
    near_by = tree.count_neighbors(tree, distance_mm) - len(ends_mm)  # each end counts itself
    if near_by > _NEIGHBOURS * len(ends_mm):
        raise OutlineError(
            f"the ends of {len(ends_mm)} pieces of curve lie within {distance_mm:g} mm of each other, many at a time",
            where=where,
            hint="leave a single loop, or name its layer",
        )
    return np.sort(tree.query_pairs(distance_mm, output_type="ndarray"), axis=1)


def _chained(curves: Sequence[Curve], pairs: Sequence[tuple[int, int]]) -> list[Curve]:
    """The curves with the paired ends joined, in the order of their first members."""
    partner = {**dict(pairs), **{b: a for a, b in pairs}}
    used: set[int] = set()
    chains: list[Curve] = []
    for first in range(len(curves)):
        if first in used:
            continue
        if curves[first].ends is not Ends.OPEN:
            chains.append(curves[first])
            continue
        begin, seen = 2 * first, {first}
        while begin in partner and partner[begin] // 2 not in seen:  # back to the chain's beginning
            begin = partner[begin] ^ 1
            seen.add(begin // 2)
        members, end = [begin], begin ^ 1
        used.add(begin // 2)
        while end in partner and partner[end] // 2 not in used:
            members.append(partner[end])
            used.add(partner[end] // 2)
            end = partner[end] ^ 1
        ends = Ends.CLOSED if partner.get(end) == begin else Ends.OPEN
        chains.append(_chain(curves, members, ends=ends))
    return chains


def _chain(curves: Sequence[Curve], members: list[int], *, ends: Ends) -> Curve:
    """One curve from members that are entered at the given ends."""
    parts = [curves[end // 2].points_mm[:: -1 if end % 2 else 1] for end in members]
    pieces = [parts[0]]
    for before, part in pairwise(parts):
        pieces.append(part[1:] if _touch(part[0], before[-1]) else part)
    points = np.concatenate(pieces)
    if ends is Ends.CLOSED and len(points) > 1 and _touch(points[0], points[-1]):
        points = points[:-1]
    first = curves[members[0] // 2]
    shared = tuple(g for g in first.groups if all(g in curves[end // 2].groups for end in members))
    name = first.name if len(members) == 1 else f"{first.name} and {len(members) - 1} joined to it"
    return Curve(points_mm=points, ends=ends, name=name, groups=shared)
