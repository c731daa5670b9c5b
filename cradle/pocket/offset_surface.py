"""The raw offset of a body: its faces moved outward by the clearance and joined up again.

Where the body bends outward, neighbouring faces part: the gap along an edge is
a strip of a cylinder, at a corner a piece of a sphere. Where it bends inward
they cross. So the raw offset is closed, but crosses itself; whatever it winds
round is the body grown by a ball (in the plane: Chen & McMains, "Polygon
offsetting by computing winding numbers", ASME IDETC 2005, from memory).

Terms: a *sector* is the fan of faces round a vertex that lean nearly alike;
they keep one common point, a mitre. A *joint* is an edge whose two faces lie in
different sectors at one end or both. A *patch* closes the gap at a vertex where
three or more sectors meet.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cradle.geometry.arrays import Bools, Floats, Ints
from cradle.geometry.mesh import TriMesh, connected, next_in_face
from cradle.geometry.vectors import unit
from cradle.pocket.budget import FINEST, ErrorBudget
from cradle.pocket.clearance import ClearanceProfile
from cradle.pocket.offset_points import OffsetPoints, angles_rad, directions
from cradle.pocket.patches import patches
from cradle.pocket.shape import Shape

_WIDE = 1.3
"""A sector's normals may lie this many times as far from its middle as those of two joined faces."""
_POINTED = 0.5
"""Edges that share an arc point in a common direction if the sum of their own ones, unit vectors, is longer than this."""
_MIDDLE_STEPS = 6
"""Steps towards the middle of the narrowest cone around a sector's normals."""
_KNIFE = np.radians(90.0)
"""An edge that bends by more than this is rounded by way of the direction it points in: its sectors' normals are nearly opposite,
and the shortest way between them may lead anywhere."""
_SHARP = np.radians(10.0)
"""Edges that bend by less than this take no steps worth counting."""
_MANY_STEPS = 20_000
"""A body whose sharp edges take more steps than this is grown with coarser arcs, and by as much more as they may take away."""


def raw_offset(
    shape: Shape, clearance: ClearanceProfile, *, round_to_mm: float = np.inf, budget: ErrorBudget = FINEST
) -> TriMesh:
    """The raw offset: closed, but it may cross itself.

    It reaches ``budget.outline_mm`` further than asked: as much as its outlines may lose later.

    Parameters
    ----------
    clearance : ClearanceProfile
        Against the height of the part of the body that it surrounds.
    round_to_mm : float
        What lies wholly above this height is closed by chords instead of arcs.
    """
    mesh = shape.mesh
    greatest = max(clearance.greatest_mm, 1e-9)
    blunt = float(np.arccos(1 / (1 + budget.mitre_mm / greatest)))
    steps = float(shape.bends[shape.bends > _SHARP].sum()) / _step(budget.arc_mm, greatest)
    arc = budget.arc_mm * max(1.0, steps / _MANY_STEPS)
    clearance = clearance.wider_by(budget.outline_mm + 4 * (arc - budget.arc_mm))
    step = _step(arc, greatest)
    sector, way, least = _sectors(shape, blunt=blunt)
    vertex = np.zeros(len(way), dtype=np.int64)
    vertex[sector] = mesh.faces.ravel()
    base = mesh.vertices_mm[vertex]
    points = OffsetPoints(base=base, way=way, reach=clearance.at(base[:, 2]) / np.maximum(least, 0.5))
    arcs_to_mm = round_to_mm + float(points.reach.max())
    points, joints, rims = _joints(shape, sector, points, clearance, step=step, arcs_to_mm=arcs_to_mm)
    points, closing = patches(rims, points, clearance, step=step, round_to_mm=arcs_to_mm)
    return TriMesh(points.places(), np.concatenate([sector.reshape(-1, 3), joints, closing]))


def _step(arc_mm: float, radius_mm: float) -> float:
    """The angle between neighbouring points of an arc whose chords lie ``arc_mm`` within it, rad."""
    return 2 * float(np.arccos(1 - min(arc_mm / radius_mm, 0.5)))


def _sectors(shape: Shape, *, blunt: float) -> tuple[Ints, Floats, Floats]:
    """The number of each face corner's sector, ``(3 f,)``; the middle of each sector's normals, and its cosine with the farthest.

    An edge whose faces lean nearly alike puts their corners at both its ends into one sector; of a sector that came
    out too wide, every corner becomes one by itself.
    """
    edges = shape.half_edges
    own, other = edges.T
    ends = np.stack([[own, next_in_face(other)], [next_in_face(own), other]]).transpose(2, 0, 1)  # (e, 2, 2)
    alike = shape.bends <= 2 * blunt
    together = np.repeat(alike[:, None], 2, axis=1)
    normals = np.repeat(shape.normals, 3, axis=0)
    sector = _numbered(ends[together], count=len(normals))
    way, least = _middles(sector, normals)
    wide = least[sector] < np.cos(_WIDE * blunt)  # (3 f,)
    if not wide.any():
        return sector, way, least
    parted = _numbered(ends[together & ~wide[ends[:, :, 0]]], count=len(normals))
    ways, leasts = np.empty((int(parted.max()) + 1, 3)), np.ones(int(parted.max()) + 1)
    ways[parted] = np.where(wide[:, None], normals, way[sector])
    leasts[parted[~wide]] = least[sector[~wide]]
    return parted, ways, leasts


def _numbered(pairs: Ints, *, count: int) -> Ints:
    """Consecutive numbers from 0 for what pairs join, ``(count,)``: the same for all that are joined."""
    label = connected(pairs, count=count)
    first = label == np.arange(count)  # a label is the number of one that has it
    return np.asarray((np.cumsum(first) - 1)[label])


def _middles(sector: Ints, normals: Floats) -> tuple[Floats, Floats]:
    """The middle of the narrowest cone around each sector's normals, and the least cosine in it.

    The middle is found by walking towards the farthest normal in ever smaller
    steps (Badoiu & Clarkson, SODA 2003, from memory).
    """
    order = np.argsort(sector, kind="stable")
    which, fans = sector[order], normals[order]
    starts = np.flatnonzero(np.diff(which, prepend=-1))
    way = unit(np.add.reduceat(fans, starts))
    many = (np.diff(np.append(starts, len(order))) > 1)[:, None]
    for step in range(2, 2 + _MIDDLE_STEPS):
        cosine, least = _cosines(way, which, fans, starts)
        farthest = np.flatnonzero(cosine == least[which])
        first = farthest[np.flatnonzero(np.diff(which[farthest], prepend=-1))]
        way = unit(np.where(many, way + (fans[first] - way) / (step + 1), way))
    return way, _cosines(way, which, fans, starts)[1]


def _cosines(way: Floats, which: Ints, fans: Floats, starts: Ints) -> tuple[Floats, Floats]:
    """The cosine between every normal and its sector's way, ``(3 f,)``, and the least of these in every sector."""
    x, y, z = way.T
    cosine = x[which] * fans[:, 0] + y[which] * fans[:, 1] + z[which] * fans[:, 2]
    return cosine, np.minimum.reduceat(cosine, starts)


def _joints(
    shape: Shape,
    sector: Ints,
    points: OffsetPoints,
    clearance: ClearanceProfile,
    *,
    step: float,
    arcs_to_mm: float,
) -> tuple[OffsetPoints, Ints, Ints]:
    """The strips along edges whose faces parted.

    Returns
    -------
    points : OffsetPoints
        With those of the arcs.
    faces : (s, 3) int64
    rims : (r, 2) int64
        Directed sides of the gaps that are left at the vertices.
    """
    own, other = shape.half_edges.T
    # of each edge (e, 4): at its beginning and at its end, the point of the own face's sector and of the other's
    ends = np.stack(
        [sector[own], sector[next_in_face(other)], sector[next_in_face(own)], sector[other]], axis=1
    )
    apart = (ends[:, 0] != ends[:, 1]) | (ends[:, 2] != ends[:, 3])
    ends = ends[apart]
    half = shape.bends[apart, None] / 2
    ahead = np.cos(half) * shape.normals[own[apart] // 3] + np.sin(half) * shape.away[apart]
    knives = shape.outward[apart] & (shape.bends[apart] > _KNIFE)
    points, arcs = _arcs(
        points,
        ends.reshape(-1, 2),
        clearance,
        step=step,
        away=np.repeat(shape.away[apart], 2, axis=0),
        ahead=np.repeat(np.where(knives[:, None], ahead, 0.0), 2, axis=0),
        rounded=np.repeat(points.base[ends, 2].min(axis=1) <= arcs_to_mm, 2),
    )
    faces, rims = _strips(arcs.every_other(0), arcs.every_other(1))
    return points, faces, rims


def _strips(one: _Arcs, other: _Arcs) -> tuple[Ints, Ints]:
    """Faces ``(s, 3)`` that fill the strips between two arcs each, and the sides of these along the arcs, ``(r, 2)``.

    Each step of an arc is the side of a triangle, whose tip is that point of the other arc which is as far along it
    as the step's middle, rounded to a whole step. A half is rounded down for steps of the first arc and up for those
    of the second, so that the triangles of both join up.
    """
    arc, step = _counted(one.parts)
    tip = -((one.parts[arc] - (2 * step + 1) * other.parts[arc]) // (2 * one.parts[arc]))
    on_one = np.stack([other.at(arc, tip), one.at(arc, step), one.at(arc, step + 1)], axis=1)
    arc, step = _counted(other.parts)
    tip = ((2 * step + 1) * one.parts[arc] - other.parts[arc]) // (2 * other.parts[arc]) + 1
    on_other = np.stack([other.at(arc, step), one.at(arc, tip), other.at(arc, step + 1)], axis=1)
    return np.concatenate([on_one, on_other]), np.concatenate([on_one[:, [2, 1]], on_other[:, [0, 2]]])


@dataclass(frozen=True, slots=True, eq=False)
class _Arcs:
    """Arcs from one point to another about the same base.

    ``parts (n,)`` says in how many steps each goes, 0 where both ends are one
    point; the points of arc k are ``numbers[first[k] + way[k] * i]``, i up to its parts.
    """

    parts: Ints
    first: Ints
    way: Ints
    numbers: Ints

    def every_other(self, start: int) -> _Arcs:
        return _Arcs(self.parts[start::2], self.first[start::2], self.way[start::2], self.numbers)

    def at(self, arc: Ints, place: Ints) -> Ints:
        return np.asarray(self.numbers[self.first[arc] + self.way[arc] * place])


def _counted(counts: Ints) -> tuple[Ints, Ints]:
    """For counts such as 2, 3, two arrays: which count each counted item belongs to, 0 0 1 1 1, and its number within that, 0 1 0 1 2."""
    which = np.repeat(np.arange(len(counts)), counts)
    return which, np.arange(len(which)) - np.repeat(np.cumsum(counts) - counts, counts)


def _arcs(
    points: OffsetPoints,
    ends: Ints,
    clearance: ClearanceProfile,
    *,
    step: float,
    away: Floats,
    ahead: Floats,
    rounded: Bools,
) -> tuple[OffsetPoints, _Arcs]:
    """The arcs between the two points of each of ``(n, 2)`` ends, in steps of at most ``step``; the same two share one.

    Where the points lie on opposite sides the arc goes by the way ``away``, ``(n, 3)``; that about a knife edge goes by
    the way ``ahead``, ``(n, 3)``, which is 0 at others. An arc that is nowhere to be rounded, ``(n,)`` bool, is a single chord.
    """
    pairs, told, which = np.unique(np.sort(ends, axis=1), axis=0, return_index=True, return_inverse=True)
    which = which.ravel()
    turns = _turns(
        points.way,
        pairs,
        tips=_tips(ahead, which, count=len(pairs)),
        step=step,
        rounded=np.bincount(which, weights=rounded) > 0,
    )
    parts = np.where(pairs[:, 0] == pairs[:, 1], 0, turns.steps)
    arc, place = _counted(parts + 1)
    numbers = np.where(place == 0, pairs[arc, 0], pairs[arc, 1])
    inner = (place > 0) & (place < parts[arc])
    numbers[inner] = len(points.base) + np.arange(inner.sum())
    arc, share = arc[inner], place[inner] / parts[arc[inner]]
    way = turns.at(arc, share, otherwise=away[told[arc]])
    more = points.with_round(
        points.base[pairs[arc, 0]], way, clearance=clearance, chord_rad=turns.step_rad[arc]
    )
    begins = (np.cumsum(parts + 1) - parts - 1)[which]
    backward = ends[:, 0] > ends[:, 1]
    parts = parts[which]
    return more, _Arcs(parts, np.where(backward, begins + parts, begins), np.where(backward, -1, 1), numbers)


@dataclass(frozen=True, slots=True, eq=False)
class _Turns:
    """How arcs turn from one direction to another, ``(k, 2, 3)``: the shortest way, at a knife edge by way of its tip ``(k, 3)``.

    ``angle (k, 3)`` is the whole of the shortest way and those from both ends to the tip, rad; ``steps (k,)`` says in how
    many each turns, half of them on either side of a tip.
    """

    ends: Floats
    tips: Floats
    knives: Bools
    angle: Floats
    steps: Ints

    @property
    def step_rad(self) -> Floats:
        """The widest step of each, ``(k,)``."""
        whole, *halves = self.angle.T
        return np.where(self.knives, np.maximum(*halves) * 2, whole) / self.steps

    def at(self, arc: Ints, share: Floats, *, otherwise: Floats) -> Floats:
        """The directions at shares of arcs, ``(n, 3)``; where an arc's ends are opposite, by the way ``otherwise``, ``(n, 3)``."""
        leg = np.where(self.knives[arc], np.where(share <= 0.5, 1, 2), 0)  # the whole, or one side of the tip
        start, end = self.ends[arc].transpose(1, 0, 2)
        start = np.where((leg == 2)[:, None], self.tips[arc], start)
        end = np.where((leg == 1)[:, None], self.tips[arc], end)
        along = np.choose(leg, [share, 2 * share, 2 * share - 1])
        return _turned(start, end, by=(along * self.angle[arc, leg])[:, None], otherwise=otherwise)


def _turns(ways: Floats, pairs: Ints, *, tips: tuple[Floats, Bools], step: float, rounded: Bools) -> _Turns:
    """How arcs between pairs of ways turn in steps of at most ``step``, rad; what is not rounded, ``(k,)``, in one; `_tips` has the tips."""
    tip, pointed = tips
    knives = rounded & pointed
    ends, whole = ways[pairs], angles_rad(ways, pairs)
    halves = np.arccos(np.clip(np.einsum("kij,kj->ki", ends, tip), -1, 1))  # (k, 2)
    steps = np.where(rounded, np.maximum(1, np.ceil(whole / step)), 1)
    steps[knives] = 2 * np.maximum(1, np.ceil(halves[knives].max(axis=1) / step))
    angle = np.column_stack([whole, halves])
    return _Turns(ends=ends, tips=tip, knives=knives, angle=angle, steps=steps.astype(np.int64))


def _tips(ahead: Floats, which: Ints, *, count: int) -> tuple[Floats, Bools]:
    """The direction in which each arc's edges together point, ``(count, 3)``, and whether they agree on one, ``(count,)``."""
    tips: Floats = np.zeros((count, 3))
    np.add.at(tips, which, ahead)
    return unit(tips), np.linalg.norm(tips, axis=1) > _POINTED


def _turned(start: Floats, end: Floats, *, by: Floats, otherwise: Floats) -> Floats:
    """Unit vectors ``(n, 3)`` turned towards others by an angle, ``(n, 1)``, rad; where these are opposite, that way ``otherwise``."""
    cosine = np.clip(np.einsum("ij,ij->i", start, end), -1, 1)[:, None]
    across = directions(end - cosine * start, otherwise=otherwise)
    return np.asarray(np.cos(by) * start + np.sin(by) * across)
