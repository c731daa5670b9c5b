"""How the walls of a body lean, surveyed once: what decides where it must be cut to be grown."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import TriMesh, area_normals, bounds_mm, corners

_CAP = 0.9999
"""A face whose normal is this upright is a cap: its edge is what grows, not its wall."""
_LEVEL_SLOPE = 0.2
"""An edge that rises less than this counts as level."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
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
    strips_mm : (s, 2) float64
        Least and greatest height of every strip of walls.
    strip_leans_deg : (s, 2) float64
        Least and greatest lean in it.
    bends : tuple of (height, lean, lean)
        Level edges at which the wall bends by more than the step: mm, deg, deg.
    sharp_mm : (k,) float64
        Heights of the ends of edges that bend by more than the step, and of the body's ends.
    """

    low_mm: float
    high_mm: float
    layers_mm: Floats
    middles_mm: Floats
    leans_deg: Floats
    strips_mm: Floats
    strip_leans_deg: Floats
    bends: tuple[tuple[float, float, float], ...]
    sharp_mm: Floats

    def range_near(self, heights_mm: Floats, *, reach_mm: float) -> tuple[Floats, Floats]:
        """Least and greatest lean of the walls within reach of each height, ``(m,)``, rad; 0 where there are none."""
        low, high = self.strips_mm.T
        near = (low - 0.1 <= heights_mm[:, None] + reach_mm) & (high + 0.1 >= heights_mm[:, None] - reach_mm)
        least = np.where(near, self.strip_leans_deg[:, 0], np.inf).min(axis=1, initial=np.inf)
        most = np.where(near, self.strip_leans_deg[:, 1], -np.inf).max(axis=1, initial=-np.inf)
        there = np.isfinite(least)
        return np.radians(np.where(there, least, 0.0)), np.radians(np.where(there, most, 0.0))


def slopes_of(mesh: TriMesh, *, step_deg: float) -> Slopes:
    """The slopes of a closed mesh; bends of up to ``step_deg`` are taken as smooth."""
    low, high = bounds_mm(mesh)[:, 2].tolist()
    normals = area_normals(mesh)
    length = np.linalg.norm(normals, axis=1)
    unit = np.divide(normals, length[:, None], out=np.zeros_like(normals), where=length[:, None] > 0)
    lean = np.degrees(np.arcsin(np.clip(-unit[:, 2], -1, 1)))  # (f,)
    wall = (np.abs(unit[:, 2]) < _CAP) & (length > 0)
    z = corners(mesh)[wall, :, 2]
    foot, head = z.min(axis=1), z.max(axis=1)
    middle = 0.5 * (foot + head)
    order = np.argsort(middle, kind="stable")
    strips, strip_leans = _strips(foot, head, lean[wall])
    bends, sharp = _bends(mesh, unit, lean, step_deg=step_deg)
    ends = np.concatenate([sharp, [low, high]])
    return Slopes(
        low_mm=low,
        high_mm=high,
        layers_mm=np.unique(np.round(mesh.vertices_mm[:, 2], 6)),
        middles_mm=middle[order],
        leans_deg=lean[wall][order],
        strips_mm=strips,
        strip_leans_deg=strip_leans,
        bends=bends,
        sharp_mm=ends[np.unique(np.round(ends, 2), return_index=True)[1]],
    )


def _strips(foot: Floats, head: Floats, lean: Floats) -> tuple[Floats, Floats]:
    strips, which = np.unique(np.round(np.column_stack([foot, head]), 1), axis=0, return_inverse=True)
    leans: Floats = np.tile([np.inf, -np.inf], (len(strips), 1))
    np.minimum.at(leans[:, 0], which.ravel(), lean)
    np.maximum.at(leans[:, 1], which.ravel(), lean)
    return strips.astype(np.float64), leans


def _bends(
    mesh: TriMesh, unit: Floats, lean: Floats, *, step_deg: float
) -> tuple[tuple[tuple[float, float, float], ...], Floats]:
    """Where level edges bend, and the heights of the ends of all that bend sharply.

    Parameters
    ----------
    mesh : TriMesh
    unit, lean : (f, 3) float64, (f,) float64
        Unit normals and leans of its faces.
    step_deg : float
        What counts as a bend.
    """
    edges = np.sort(mesh.faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
    order = np.lexsort((edges[:, 1], edges[:, 0]))
    faces = order.reshape(-1, 2) // 3  # (e, 2) the two faces at every edge
    ends = mesh.vertices_mm[edges[order[::2]]]  # (e, 2, 3)
    cosine = (unit[faces[:, 0]] * unit[faces[:, 1]]).sum(axis=1)
    rise = np.abs(ends[:, 0, 2] - ends[:, 1, 2])
    run = np.hypot(*(ends[:, 0, :2] - ends[:, 1, :2]).T)
    bent = (np.ptp(lean[faces], axis=1) > step_deg) & (rise < _LEVEL_SLOPE * run)
    bend = np.column_stack([ends[bent, :, 2].mean(axis=1), np.sort(lean[faces[bent]], axis=1)])
    alike = np.unique(np.round(bend / [0.01, 5.0, 5.0]), axis=0, return_index=True)[1]
    sharp = (cosine < np.cos(np.radians(step_deg))) & (rise < run)
    return tuple((h, a, b) for h, a, b in bend[alike].tolist()), ends[sharp, :, 2].ravel()
