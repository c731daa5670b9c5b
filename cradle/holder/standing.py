"""How far the holder can be tipped with the thing in it.

A body on a plane stands while its centre of mass lies above the convex hull of
its foot (McGhee & Frank 1968); tipped about a hull edge it falls once the
centre passes over that edge, at atan(distance to the edge / height).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cradle.geometry.arrays import Floats, following
from cradle.geometry.mesh import TriMesh
from cradle.geometry.planar import hull_ring
from cradle.geometry.vectors import left_of, unit
from cradle.noun import noun, record

_LIGHTEST_INFILL = 0.25
"""A sparsely filled print weighs about this much of a solid one (common practice, no source)."""
_ON_BED_MM = 1e-4
"""A corner no higher than this lies on the bed."""


@noun
class Load:
    """A thing in its place: its centre of mass ``(3,)``, mm, and its mass, g."""

    centre_mm: Floats
    mass_g: float


@record
class Standing:
    """How far holder and thing can be tipped in the worst direction, degrees (negative: they fall).

    ``direction_deg`` is the way they fall, from x.
    ``infill`` is the share of a solid print's mass at which that happens, and
    ``without`` how many things of a row are out.
    """

    tip_angle_deg: float
    direction_deg: float
    infill: float = 1.0
    without: int = 0

    @property
    def falls_to(self) -> str:
        """The side they fall to, in plain words."""
        sides = ("to the right", "backward", "to the left", "forward")
        return sides[round(self.direction_deg / 90) % 4]


def contact_points(mesh: TriMesh) -> Floats:
    """Where a mesh in the print frame touches the table: its corners on z = 0, ``(n, 2)``, mm."""
    return mesh.vertices_mm[np.abs(mesh.vertices_mm[:, 2]) < _ON_BED_MM][:, :2]


def tip_angle(foot: Floats, centre_mm: Floats) -> Standing:
    """The worst tip angle of a centre of mass over a foot.

    Parameters
    ----------
    foot : (n, 2) float64
        Points of contact on z = 0, mm; their convex hull counts.
    centre_mm : (3,) float64
        Centre of mass.
    """
    hull = hull_ring(foot)
    outward = -left_of(unit(following(hull) - hull))
    margin = ((hull - centre_mm[:2]) * outward).sum(axis=1)
    k = int(np.argmin(margin))
    return Standing(
        tip_angle_deg=float(np.degrees(np.arctan2(margin[k], centre_mm[2]))),
        direction_deg=float(np.degrees(np.arctan2(outward[k, 1], outward[k, 0]))),
    )


def standing(foot: Floats, *, holder_centre_mm: Floats, holder_g: float, loads: Sequence[Load]) -> Standing:
    """The worst standing over the whole range of infill, with the things in their places.

    Of several things in a row some may be out: the worst is looked for with
    each alone, with all from either end up to any other, and so with all.

    Parameters
    ----------
    foot : (n, 2) float64
    holder_centre_mm : (3,) float64
    holder_g : float
        Mass of a solid print.
    loads : sequence of Load
        The things, from left to right.
    """
    cases = []
    for there in _there(len(loads)):
        held = [loads[k] for k in there]
        held_g = sum(load.mass_g for load in held)
        moment = sum((load.centre_mm * load.mass_g for load in held), np.zeros(3))
        for filled in (_LIGHTEST_INFILL, 1.0):
            mass = holder_g * filled
            case = tip_angle(foot, (holder_centre_mm * mass + moment) / (mass + held_g))
            cases.append(replace(case, infill=filled, without=len(loads) - len(held)))
    return min(cases, key=lambda case: case.tip_angle_deg)


def _there(count: int) -> list[tuple[int, ...]]:
    """Which things may be in the row when it is tipped: all of them first."""
    every = range(count)
    ends = [tuple(every[:k]) for k in range(1, count)] + [tuple(every[k:]) for k in range(1, count)]
    return list(dict.fromkeys([tuple(every), *ends, *((k,) for k in every)]))
