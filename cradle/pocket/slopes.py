"""How the walls of a body lean, measured once: what decides where it must be cut to be grown."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cradle.geometry.arrays import Bools, Floats
from cradle.geometry.mesh import TriMesh, area_normals, bounds_mm, corners

_CAP = 0.9999
"""A face whose normal is this upright is a cap: its edge is what grows, not its wall."""


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
    strips_mm, strip_leans_deg : (s, 2) float64
        Least and greatest height of every strip of walls, and least and greatest lean in it.
    edges_mm, edge_leans_deg : (e, 2) float64
        The same of outward edges that bend by more than the step; in the
        middle of an edge a normal may be any between those of its two faces.
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

    def facing(self, heights_mm: Floats, *, reach_mm: Floats, angles: Floats, within: float) -> Bools:
        """Whether a ball about each height, ``(m,)``, may touch the body at about each angle, ``(m, g)``.

        A ball of radius ``reach_mm``, ``(m,)``, touches at an angle, rad, from
        level only what leans by that angle at that place of the ball; both are
        looked at to ``within`` an angle.
        """
        low, high = np.concatenate([self.strips_mm, self.edges_mm]).T
        least, most = np.radians(np.concatenate([self.strip_leans_deg, self.edge_leans_deg])).T
        found = np.zeros((len(heights_mm), len(angles)), dtype=bool)
        for k, angle in enumerate(angles.tolist()):
            lower, upper = np.sin(np.clip([angle - within, angle + within], -np.pi / 2, np.pi / 2))
            alike = (least < angle + within) & (most > angle - within)
            reached = low[alike] <= (heights_mm + reach_mm * upper)[:, None]
            reached &= high[alike] >= (heights_mm + reach_mm * lower)[:, None]
            found[:, k] = reached.any(axis=1)
        return found


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
    edges, edge_leans, rises = _edges(mesh, unit, lean, step_deg=step_deg)
    return Slopes(
        low_mm=low,
        high_mm=high,
        layers_mm=np.unique(np.round(mesh.vertices_mm[:, 2], 6)),
        middles_mm=middle[order],
        leans_deg=lean[wall][order],
        strips_mm=strips,
        strip_leans_deg=strip_leans,
        edges_mm=edges,
        edge_leans_deg=edge_leans,
        edge_rises=rises,
    )


def _strips(foot: Floats, head: Floats, lean: Floats) -> tuple[Floats, Floats]:
    which = np.unique(np.round(np.column_stack([foot, head]), 1), axis=0, return_inverse=True)[1].ravel()
    strips: Floats = np.tile([np.inf, -np.inf], (which.max(initial=-1) + 1, 1))
    leans = strips.copy()
    for bounds, least, greatest in ((strips, foot, head), (leans, lean, lean)):
        np.minimum.at(bounds[:, 0], which, least)
        np.maximum.at(bounds[:, 1], which, greatest)
    return strips, leans


def _edges(mesh: TriMesh, unit: Floats, lean: Floats, *, step_deg: float) -> tuple[Floats, Floats, Floats]:
    """Least and greatest height and lean of the outward edges that bend by more than ``step_deg``, and their rise.

    Parameters
    ----------
    mesh : TriMesh
    unit, lean : (f, 3) float64, (f,) float64
        Unit normals and leans of its faces.
    step_deg : float
        What counts as a bend.
    """
    edges = np.sort(mesh.faces[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
    order = np.argsort(edges[:, 0] * len(mesh.vertices_mm) + edges[:, 1], kind="stable")
    faces = order.reshape(-1, 2) // 3  # (e, 2) the two faces at every edge
    edges = edges[order[::2]]
    bent = (unit[faces[:, 0]] * unit[faces[:, 1]]).sum(axis=1) < np.cos(np.radians(step_deg))
    faces, edges = faces[bent], edges[bent]
    ends = mesh.vertices_mm[edges]  # (e, 2, 3)
    beyond = mesh.vertices_mm[mesh.faces[faces[:, 1]].sum(axis=1) - edges.sum(axis=1)]
    outward = ((beyond - ends[:, 0]) * unit[faces[:, 0]]).sum(axis=1) < 0
    faces, ends = faces[outward], ends[outward]
    between = unit[faces].sum(axis=1)
    middle = np.degrees(np.arctan2(-between[:, 2], np.hypot(between[:, 0], between[:, 1])))
    leans = np.column_stack([lean[faces], middle])
    heights = np.sort(ends[:, :, 2], axis=1)
    length = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    rise = np.divide(np.ptp(heights, axis=1), length, out=np.zeros_like(length), where=length > 0)
    rows = np.column_stack([heights, leans.min(axis=1), leans.max(axis=1), rise])
    alike = np.unique(np.round(rows / [0.01, 0.01, 5.0, 5.0, 0.1]), axis=0, return_index=True)[1]
    rows = rows[alike]
    return rows[:, :2], rows[:, 2:4], rows[:, 4]
