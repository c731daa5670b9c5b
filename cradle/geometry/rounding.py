"""Meshes in single precision, as files hold them, and still closed.

Rounding can make two vertices one. Where an edge joins them the edge is
collapsed: its two faces vanish and their neighbours meet. Where no edge joins
them, or the collapse would pinch the surface, two sheets would touch, and a
reader that joins equal points would find an edge with four faces; such
vertices move inwards by the least step single precision has (4e-6 mm at
50 mm), so that the sheets stay apart. Slivers are taken out.
"""

from __future__ import annotations

from typing import Final
from weakref import WeakKeyDictionary

import numpy as np

from cradle.errors import SolidError
from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.mesh import TriMesh, area_normals, connected, edge_statistics, edges_of
from cradle.geometry.slivers import without_slivers
from cradle.tolerances import TOLERANCES

_INWARD_ROUNDS = 2
"""How many steps inwards are tried to part vertices at one place; then each is moved its own way."""
_ROUNDS = 24
"""How many steps are tried in all; one is enough unless normals are alike or a step leads onto another vertex."""
_ROUNDED: Final[WeakKeyDictionary[TriMesh, TriMesh]] = WeakKeyDictionary()
"""Every file of a run asks for the same meshes: a rounded one is kept as long as the mesh it was made from, no longer."""


def single_precision(mesh: TriMesh) -> TriMesh:
    """The mesh with every coordinate exactly a float32, no two vertices alike or nearly so, closed if it was.

    All coordinates are whole multiples of the step that float32 has at the
    greatest one, so that two vertices are that far apart at least.

    Parameters
    ----------
    mesh : TriMesh
        Vertices ``(v, 3)`` in mm. Vertices that no face uses are left out.

    Returns
    -------
    TriMesh
        Applying the function again changes nothing.

    Raises
    ------
    SolidError
        If a coordinate is not finite in single precision.
    """
    known = _ROUNDED.get(mesh)
    if known is None:
        known = _ROUNDED[mesh] = _rounded(mesh)
    return known


def _rounded(mesh: TriMesh) -> TriMesh:
    """The mesh of `single_precision`, made anew."""
    points = _on_grid(mesh.vertices_mm)
    faces = mesh.faces
    place = places(points)
    if len(points) and place.max() + 1 < len(points):
        fewer = _without_opposites(_collapsed(faces, place))
        if edge_statistics(TriMesh(points, fewer)).closed or not edge_statistics(mesh).closed:
            faces = fewer
    if edge_statistics(TriMesh(points, faces)).closed:
        faces = without_slivers(points, faces, thin_mm=TOLERANCES.duplicate_mm)
    used = np.zeros(len(points), dtype=bool)
    used[faces] = True
    points, faces = points[used], (np.cumsum(used) - 1)[faces]
    return TriMesh.of(_parted(points, faces), faces)


def _on_grid(given: Floats) -> Floats:
    """The points rounded to the float32 step of the greatest coordinate: near 0 float32 is finer than the distance within which readers join points."""
    with np.errstate(over="ignore"):
        points = _single(given)
    bad = np.flatnonzero(~np.isfinite(points).all(axis=1))
    if bad.size:
        raise SolidError(
            f"vertex {int(bad[0])} is {given[bad[0]].tolist()}; up to {np.finfo(np.float32).max:.3g} mm is allowed, "
            "what a file can hold",
            hint="check the outlines, heights and sizes: one is far too large",
        )
    if not len(points):
        return points
    step = _step(points)
    return np.round(points / step) * step + 0.0


def _single(points: Floats) -> Floats:
    """The points with every coordinate a float32, none of them -0.0."""
    return points.astype(np.float32).astype(np.float64) + 0.0


def places(points: Floats) -> Ints:
    """A number for each of ``(n, 3)`` points, ``(n,)`` int64, the same where all coordinates are equal."""
    order = np.lexsort(points.T)
    rows = points[order]
    new = np.ones(len(rows), dtype=bool)
    new[1:] = (rows[1:] != rows[:-1]).any(axis=1)
    place = np.zeros(len(rows), dtype=np.int64)
    place[order] = np.cumsum(new) - 1
    return place


def _step(points: Floats) -> float:
    """The distance of neighbouring float32 numbers at the greatest coordinate, mm."""
    return float(np.spacing(np.float32(np.abs(points).max())))


def _collapsed(faces: Ints, place: Ints) -> Ints:
    """The faces once every edge whose ends have the same place, ``(v,)``, is collapsed."""
    edges = edges_of(faces)
    short = edges[place[edges[:, 0]] == place[edges[:, 1]]]
    faces = connected(short, count=len(place))[faces]
    return faces[(faces != faces[:, [1, 2, 0]]).all(axis=1)]


def _without_opposites(faces: Ints) -> Ints:
    """The faces without pairs that lie back to back on the same three vertices."""
    ranks = np.sort(faces, axis=1)
    first = faces.argmin(axis=1)
    rows = np.arange(len(faces))
    sign = np.where(faces[rows, (first + 1) % 3] < faces[rows, (first + 2) % 3], 1, -1)
    group = places(ranks.astype(np.float64))
    order = np.lexsort((-sign, group))
    balance = np.bincount(group, weights=sign, minlength=len(faces))[group]
    keep = np.zeros(len(faces), dtype=bool)
    starts = np.flatnonzero(np.r_[True, group[order][1:] != group[order][:-1]]) if len(faces) else rows
    rank = np.arange(len(faces)) - np.repeat(starts, np.diff(np.r_[starts, len(faces)]))
    size = np.bincount(group, minlength=len(faces))[group]
    # in each group the positive faces come first: keep the surplus of either sign
    surplus = np.where(balance[order] > 0, rank < balance[order], rank >= size[order] + balance[order])
    keep[order] = surplus & (balance[order] != 0)
    return faces[keep]


def _parted(points: Floats, faces: Ints) -> Floats:
    """The points, with those at one place moved apart in steps of single precision."""
    place = places(points)
    if not len(points) or place.max() + 1 == len(points):
        return points
    points = points.copy()
    step, inward = _step(points), _inward(points, faces)
    for attempt in range(_ROUNDS):
        twins = np.flatnonzero(np.bincount(place)[place] > 1)
        if not len(twins):
            break
        if attempt < _INWARD_ROUNDS:
            away = inward[twins]
        else:  # alike in everything but their number: the first stays, the others go, each a step further
            order = twins[np.argsort(place[twins], kind="stable")]
            first = np.searchsorted(place[order], place[order], side="left")
            away = np.zeros((len(order), 3))
            away[:, attempt % 3] = np.arange(len(order)) - first
            twins = order
        points[twins] = _single(points[twins] + step * away)
        place = places(points)
    return points


def _inward(points: Floats, faces: Ints) -> Floats:
    """The way inwards from each point as -1, 0 or 1 along each axis, ``(v, 3)``."""
    normals = area_normals(TriMesh(points, faces))
    inward = np.zeros_like(points)
    for corner in range(3):
        np.add.at(inward, faces[:, corner], -normals)
    largest = np.abs(inward).max(axis=1, keepdims=True)
    return np.sign(inward) * (np.abs(inward) > 0.3 * largest)
