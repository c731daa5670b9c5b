"""How the walls of a body lean, measured once: what decides where it must be cut to be grown."""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import bounds_mm, corners, next_in_face
from cradle.geometry.vectors import lengths
from cradle.noun import noun
from cradle.pocket.shape import Shape

_CAP = 0.9999
"""A face whose normal is at least this upright is a cap: it asks for levels by its edge, not by how it leans."""
_STRIP_MM = 0.1
"""Faces whose least and greatest heights are the same to this are one strip."""
_BEND_DEG = 10.0
"""Edges that bend by less than this are taken as smooth."""
_ALIKE = (0.01, 0.01, 5.0, 5.0, 0.1)
"""Edges whose two heights, mm, two leans, degrees, and rises are the same to this are one."""


@noun
class Slopes:
    """Leans and bends of a body.

    The *lean* of a face is its angle from upright, positive where the body
    widens upward. Faces with nearly the same least and greatest height are one
    *strip*.

    Attributes
    ----------
    low_mm, high_mm : float
        Least and greatest height of the body.
    layers_mm : (l,) float64
        Heights at which it has vertices, rising.
    middles_mm, leans_deg : (w,) float64
        Middle height and lean of every wall face, rising in height.
    strips_mm, strip_leans_deg : (s, 2) float64
        Least and greatest height of every strip of walls, and least and greatest lean in it.
    edges_mm, edge_leans_deg : (e, 2) float64
        The same of outward edges that bend by more than 10°; at an edge the
        lean may be any between those of its two faces.
    edge_rises : (e,) float64
        Sine of each such edge's angle from level.
    """

    low_mm: float
    high_mm: float
    layers_mm: Floats
    middles_mm: Floats
    leans_deg: Floats
    strips_mm: Floats
    strip_leans_deg: Floats
    edges_mm: Floats
    edge_leans_deg: Floats
    edge_rises: Floats


def slopes_of(shape: Shape) -> Slopes:
    """The slopes of a closed mesh."""
    mesh = shape.mesh
    leans = np.degrees(np.arcsin(np.clip(-shape.normals[:, 2], -1, 1)))  # (f,)
    wall = np.abs(shape.normals[:, 2]) < _CAP
    z = corners(mesh)[wall, :, 2]
    foot, head = z.min(axis=1), z.max(axis=1)
    middle = 0.5 * (foot + head)
    order = np.argsort(middle, kind="stable")
    strips, strip_leans = _strips(foot, head, leans[wall])
    edges, edge_leans, rises = _edges(shape, leans)
    low, high = bounds_mm(mesh)[:, 2].tolist()
    return Slopes(
        low_mm=low,
        high_mm=high,
        layers_mm=np.unique(np.round(mesh.vertices_mm[:, 2], 6)),
        middles_mm=middle[order],
        leans_deg=leans[wall][order],
        strips_mm=strips,
        strip_leans_deg=strip_leans,
        edges_mm=edges,
        edge_leans_deg=edge_leans,
        edge_rises=rises,
    )


def _strips(foot: Floats, head: Floats, lean: Floats) -> tuple[Floats, Floats]:
    low, high = (np.rint(height / _STRIP_MM).astype(np.int64) for height in (foot, head))
    # one number for both: numbers are sorted ten times as fast as rows
    both = low * (int(np.ptp(high)) + 1) + high if len(high) else low
    which = np.unique(both, return_inverse=True)[1].ravel()
    strips: Floats = np.tile([np.inf, -np.inf], (which.max(initial=-1) + 1, 1))
    leans = strips.copy()
    for bounds, least, greatest in ((strips, foot, head), (leans, lean, lean)):
        np.minimum.at(bounds[:, 0], which, least)
        np.maximum.at(bounds[:, 1], which, greatest)
    return strips, leans


def _edges(shape: Shape, leans_deg: Floats) -> tuple[Floats, Floats, Floats]:
    """Least and greatest height and lean of the outward edges that bend by more than `_BEND_DEG`, and their rise."""
    bent = shape.outward & (shape.bends > np.radians(_BEND_DEG))
    own, faces = shape.half_edges[bent, 0], shape.half_edges[bent] // 3
    # (e, 2, 3)
    ends = shape.mesh.vertices_mm[shape.mesh.faces.ravel()[np.column_stack([own, next_in_face(own)])]]
    between = shape.normals[faces].sum(axis=1)
    middle = np.degrees(np.arctan2(-between[:, 2], lengths(between[:, :2])))
    leans = np.column_stack([leans_deg[faces], middle])
    heights = np.sort(ends[:, :, 2], axis=1)
    length = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    rise = np.divide(np.ptp(heights, axis=1), length, out=np.zeros_like(length), where=length > 0)
    rows = np.column_stack([heights, leans.min(axis=1), leans.max(axis=1), rise])
    alike = np.unique(np.round(rows / _ALIKE), axis=0, return_index=True)[1]
    rows = rows[alike]
    return rows[:, :2], rows[:, 2:4], rows[:, 4]
