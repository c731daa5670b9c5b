"""Triangles thinner than the distance within which points count as one, taken out of a closed mesh.

Cutting solids leaves such *slivers*: their normals are rounding, and readers
complain of them. A *needle* has a side shorter than the limit: that side is
collapsed. A *cap* has none; its middle corner lies on its longest side, which
is turned to lead from that corner to the one across (after Botsch & Kobbelt,
"A robust procedure to eliminate degenerate faces from triangle meshes", VMV
2001, from memory). Where that one leads there already the surface is folded
flat at a corner of three faces, which are made one. No point moves further than
a collapsed side is long.
"""

from __future__ import annotations

import math
from collections import defaultdict

import numpy as np

from cradle.geometry.arrays import Floats, Ints

_ROUNDS = 20
"""At most this many rounds are made; each changes the surroundings of a sliver at most once."""
STUB = 10
"""A side shorter than this many times the limit is collapsed as well where nothing else helps."""
_Face = tuple[int, int, int]
_Place = tuple[float, float, float]


def thicknesses(points: Floats, faces: Ints) -> Floats:
    """The least height of every triangle, ``(f,)``, mm; 0 where it has no area.

    Examples
    --------
    >>> thicknesses(np.array([[0.0, 0.0, 0.0], [4.0, 0.0, 0.0], [4.0, 3.0, 0.0]]), np.array([[0, 1, 2]]))
    array([2.4])
    """
    a, b, c = points[faces].transpose(1, 0, 2)
    longest = np.sqrt(np.maximum.reduce([((q - p) ** 2).sum(axis=1) for p, q in ((a, b), (b, c), (c, a))]))
    doubled = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    return np.divide(doubled, longest, out=np.zeros(len(faces)), where=longest > 0)


def without_slivers(points: Floats, faces: Ints, *, thin_mm: float) -> Ints:
    """The faces, ``(f, 3)``, of a closed mesh without those thinner than ``thin_mm``.

    Points stay where they are; some are used no more. A sliver stays where the
    surface would be pinched or folded without it.
    """
    thick = thicknesses(points, faces)
    for _ in range(_ROUNDS):
        thin = np.flatnonzero(thick < thin_mm)
        if not len(thin):
            break
        near = np.zeros(len(points), dtype=bool)
        near[faces[thin]] = True
        around = np.flatnonzero(near[faces].any(axis=1))
        mended = _Surroundings(points, faces[around], thin_mm=thin_mm)
        if not mended.mend(np.searchsorted(around, thin).tolist()):
            break
        rest = np.ones(len(faces), dtype=bool)
        rest[around] = False
        fresh = mended.faces()
        faces = np.concatenate([faces[rest], fresh])
        thick = np.concatenate([thick[rest], thicknesses(points, fresh)])
    return faces


class _Surroundings:
    """Slivers and all faces that touch them; each corner of a sliver knows all its faces."""

    def __init__(self, points: Floats, faces: Ints, *, thin_mm: float) -> None:
        self._thin_mm = thin_mm
        used = np.unique(faces)
        self._places: dict[int, _Place] = dict(
            zip(used.tolist(), map(tuple, points[used].tolist()), strict=True)
        )
        self._faces: dict[int, _Face] = dict(enumerate(map(tuple, faces.tolist())))
        self._of: defaultdict[int, set[int]] = defaultdict(set)
        for number, face in self._faces.items():
            for corner in face:
                self._of[corner].add(number)
        self._touched: set[int] = set()

    def faces(self) -> Ints:
        """What is left, ``(f, 3)``."""
        return np.array([self._faces[number] for number in sorted(self._faces)], dtype=np.int64).reshape(
            -1, 3
        )

    def mend(self, slivers: list[int]) -> int:
        """Collapse, turn or take out each sliver none of whose corners was changed before, and count the changes."""
        changes = 0
        for number in slivers:
            face = self._faces.get(number)
            if face is None or self._touched.intersection(face):
                continue
            apart = [self._apart(face[k], face[(k + 1) % 3]) for k in range(3)]
            short, long = int(np.argmin(apart)), int(np.argmax(apart))
            u, v = face[short], face[(short + 1) % 3]
            needle = apart[short] < self._thin_mm
            stub = apart[short] < STUB * self._thin_mm
            changes += (
                (needle and (self._collapse(u, v) or self._collapse(v, u)))
                or self._turn(number, face, long)
                or (stub and (self._collapse(u, v) or self._collapse(v, u)))
                or any(self._unfold(corner) for corner in face)
            )
        return changes

    def _apart(self, a: int, b: int) -> float:
        return math.dist(self._places[a], self._places[b])

    def _normal(self, face: _Face) -> _Place:
        """The normal of a face, as long as twice its area."""
        (ax, ay, az), (bx, by, bz), (cx, cy, cz) = (self._places[corner] for corner in face)
        ux, uy, uz, vx, vy, vz = bx - ax, by - ay, bz - az, cx - ax, cy - ay, cz - az
        return uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx

    def _thickness(self, face: _Face) -> float:
        longest = max(self._apart(face[k], face[k - 1]) for k in range(3))
        return math.hypot(*self._normal(face)) / longest if longest > 0 else 0.0

    def _beside(self, corner: int) -> set[int]:
        return {other for number in self._of[corner] for other in self._faces[number]} - {corner}

    def _collapse(self, kept: int, lost: int) -> bool:
        """Whether one end of a short side could be made the other without pinching or folding the surface."""
        gone = self._of[kept] & self._of[lost]
        ends = {corner for number in gone for corner in self._faces[number]} - {kept, lost}
        if len(gone) != 2 or self._beside(kept) & self._beside(lost) != ends or len(ends) != 2:
            return False
        moved = sorted(self._of[lost] - gone)
        before = [self._faces[number] for number in moved]
        after = [_replaced(face, lost, by=kept) for face in before]
        if any(self._folds(*pair) for pair in zip(before, after, strict=True)):
            return False
        self._touched |= self._beside(lost) | {lost}
        for number in gone:
            self._take_out(number)
        for number, face in zip(moved, after, strict=True):
            self._put(number, face)
        del self._of[lost]
        return True

    def _folds(self, before: _Face, after: _Face) -> bool:
        """Whether a face that is no sliver would turn by 60° or more, or become a sliver."""
        if self._thickness(before) < self._thin_mm:
            return False
        one, two = self._normal(before), self._normal(after)
        apart = sum(p * q for p, q in zip(one, two, strict=True))
        return apart <= 0.5 * math.hypot(*one) * math.hypot(*two) or self._thickness(after) < self._thin_mm

    def _turn(self, number: int, face: _Face, long: int) -> bool:
        """Whether the longest side could be turned, so that the two faces at it are both thicker than the sliver."""
        a, b, c = face[long], face[(long + 1) % 3], face[(long + 2) % 3]
        across = (self._of[a] & self._of[b]) - {number}
        if len(across) != 1:
            return False
        other = across.pop()
        (d,) = set(self._faces[other]) - {a, b}
        if d == c or self._of[c] & self._of[d]:
            return False
        new: list[_Face] = [(a, d, c), (d, b, c)]
        before = min(self._thickness(face), self._thickness(self._faces[other]))
        if min(map(self._thickness, new)) <= before or self._turned_over(other, new):
            return False
        self._touched |= {a, b, c, d}
        for place, own in zip((number, other), new, strict=True):
            self._take_out(place)
            self._put(place, own)
        return True

    def _unfold(self, corner: int) -> bool:
        """Whether three faces that meet in a corner, flat, could be made one without it."""
        own = sorted(self._of[corner])
        after = dict(_from(self._faces[number], corner)[1:] for number in own)
        if len(own) != 3 or len(after) != 3:
            return False
        p = min(after)
        q, r = after[p], after[after[p]]
        new = p, q, r
        normal = self._normal(new)
        to_corner = (at - start for at, start in zip(self._places[corner], self._places[p], strict=True))
        volume = abs(sum(along * across for along, across in zip(to_corner, normal, strict=True)))
        flat = volume < self._thin_mm * math.hypot(*normal)
        if not flat or self._thickness(new) < self._thin_mm or self._of[p] & self._of[q] & self._of[r]:
            return False
        self._touched |= {corner, *new}
        for number in own:
            self._take_out(number)
        self._put(own[0], new)
        return True

    def _take_out(self, number: int) -> None:
        for corner in self._faces.pop(number):
            self._of[corner].discard(number)

    def _put(self, number: int, face: _Face) -> None:
        self._faces[number] = face
        for corner in face:
            self._of[corner].add(number)

    def _turned_over(self, other: int, new: list[_Face]) -> bool:
        """Whether the other face at the side, unless a sliver itself, would be turned over with it."""
        if self._thickness(self._faces[other]) < self._thin_mm:
            return False
        up = self._normal(self._faces[other])
        return any(
            self._thickness(face) >= self._thin_mm
            and sum(p * q for p, q in zip(self._normal(face), up, strict=True)) <= 0
            for face in new
        )


def _replaced(face: _Face, corner: int, *, by: int) -> _Face:
    a, b, c = (by if own == corner else own for own in face)
    return a, b, c


def _from(face: _Face, corner: int) -> _Face:
    """The face beginning at one of its corners."""
    k = face.index(corner)
    return face[k], face[(k + 1) % 3], face[(k + 2) % 3]
