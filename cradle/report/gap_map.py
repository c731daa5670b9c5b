"""The gap between body and pocket over height and around, measured from their geometry, and told at every shown point."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.mesh import moved_points
from cradle.geometry.region_measures import depths
from cradle.geometry.ring import at_heights, off_segments
from cradle.loft.body import Body
from cradle.noun import noun
from cradle.pocket.pocket import Pocket
from cradle.report.shown_mesh import ShownMesh, beside, packed
from cradle.result.made_holder import MadeHolder

_AROUND: Final = 40
_UP: Final = 22
_WITHIN_MM: Final = 1.5
"""Pocket levels this far above and below a point are looked at, at least."""
_NO_GAP: Final = 255
"""Stands for a place of the thing that is not in the pocket."""
_GAP_STEPS: Final = 250.0
"""Gaps are told in so many steps of the largest."""
_LEAST_MM: Final = 0.02
"""A gap asked for that is less counts as this much."""


@noun
class GapMap:
    """Gaps ``gaps_mm (h, a)``; NaN where the body is not inside the pocket.

    ``heights_mm (h,)`` are in the thing's frame; ``angles_deg (a,)`` run from the
    front (0) to the right (90), the back and the left.
    """

    heights_mm: Floats
    angles_deg: Floats
    gaps_mm: Floats


def gap_maps(made: MadeHolder) -> tuple[GapMap, ...]:
    """The gap around each thing of a holder, below its mouth."""
    lead_in = made.project.block.lead_in_mm
    return tuple(gap_map(thing.model.body, thing.pocket, lead_in_mm=lead_in) for thing in made.things)


def gap_map(body: Body, pocket: Pocket, *, lead_in_mm: float) -> GapMap:
    """The distance from points of the body to the pocket's wall and floor, but for its mouth, ``lead_in_mm`` deep.

    The pocket is known by plane sections. For a point, the signed level distance
    to the wall at neighbouring sections makes a polyline over height; the gap is
    the distance from the point to that polyline.
    """
    matrix = pocket.stand_from_thing
    last = min(
        float(body.heights_mm[-1]), (pocket.top_mm - lead_in_mm - float(matrix[2, 3])) / float(matrix[2, 2])
    )
    heights = (np.arange(_UP) + 0.5) / _UP * last
    angles = (np.arange(_AROUND) + 0.5) * 360 / _AROUND
    points = _points(body, heights, angles).reshape(-1, 3)
    placed = moved_points(points, matrix)
    z = placed[:, 2]
    used = (z > pocket.bottom_mm) & (z < pocket.top_mm - lead_in_mm)
    gaps = np.full(len(z), np.nan)
    if used.any():
        gaps[used] = _gaps(placed[used], pocket)
    return GapMap(
        heights_mm=frozen(heights), angles_deg=frozen(angles), gaps_mm=frozen(gaps.reshape(_UP, _AROUND))
    )


def _points(body: Body, heights: Floats, angles: Floats) -> Floats:
    """The body's points nearest to each direction from the front, at each height, ``(h, a, 3)``."""
    rings = body.rings_at(heights)  # (h, n, 2)
    out = rings - (rings.min(axis=1) + rings.max(axis=1))[:, None] / 2
    apart = np.abs((_headings_deg(out)[:, :, None] - angles + 180) % 360 - 180)  # (h, n, a)
    nearest = apart.argmin(axis=1)
    plane = np.take_along_axis(rings, nearest[:, :, None], axis=1)  # (h, a, 2)
    return at_heights(plane, heights)


def _headings_deg(out: Floats) -> Floats:
    """Which way vectors ``(..., 2)`` point, as in `GapMap`, ``(...)``: 0 to the front, 90 to the right."""
    return np.asarray(np.degrees(np.arctan2(out[..., 0], -out[..., 1])) % 360)


def _gaps(points: Floats, pocket: Pocket) -> Floats:
    """Distance from each of ``(n, 3)`` points in the stand frame to wall or floor, ``(n,)``, mm."""
    z, levels = points[:, 2], pocket.heights_mm
    reach = max(_WITHIN_MM, 3 * pocket.clearance.greatest_mm)
    below, above = np.append(-np.inf, levels[:-1]), np.append(levels[1:], np.inf)
    offs = np.full((len(levels), len(points)), np.nan)
    for k in range(len(levels)):
        # so that slabs that only begin in reach are known
        near = (z >= below[k] - reach) & (z <= above[k] + reach)
        if near.any():
            offs[k, near] = depths(points[near, :2], pocket.levels[k])
    best = z - pocket.bottom_mm
    for k in range(len(levels) - 1):
        both = ~np.isnan(offs[k]) & ~np.isnan(offs[k + 1])
        if both.any():
            a = np.column_stack([np.full(both.sum(), levels[k]) - z[both], offs[k, both]])
            b = np.column_stack([np.full(both.sum(), levels[k + 1]) - z[both], offs[k + 1, both]])
            best[both] = np.minimum(best[both], off_segments(-a, b - a))
    return best


def things_with_gaps(
    made: MadeHolder, bodies: Sequence[ShownMesh], maps: Sequence[GapMap]
) -> dict[str, object]:
    """The things to be shown as JSON data, and the gap at every point of them; bodies and maps in the order of the things.

    ``gap_asked`` are the different gaps asked for, mm, ``gap_most`` the largest in multiples of what its thing is asked
    for, and ``gaps`` all of them in steps of that.
    """
    asked = [max(thing.wanted.least_mm, _LEAST_MM) for thing in made.things]
    largest = [float(np.nanmax(m.gaps_mm, initial=0.0)) for m in maps]
    most = max(mm / its for mm, its in zip(largest, asked, strict=True)) or 1.0
    found: list[int] = []
    placed: list[ShownMesh] = []
    for thing, light, gaps, its in zip(made.things, bodies, maps, asked, strict=True):
        places = thing.places(made.holder)
        placed += [light.moved(at) for at in places]
        found += len(places) * _steps(thing.model.body, light, gaps, most_mm=most * its)
    told = sorted({round(its, 3) for its in asked})
    return packed(beside(placed)) | {"gaps": found, "gap_most": round(most, 4), "gap_asked": told}


def _steps(body: Body, light: ShownMesh, gaps: GapMap, *, most_mm: float) -> list[int]:
    """The gap nearest to each shown point of a body, in steps of so much."""
    points = light.mesh.vertices_mm
    rows = np.abs(points[:, 2][:, None] - gaps.heights_mm).argmin(axis=1)
    rings = body.rings_at(gaps.heights_mm)
    middles = (rings.min(axis=1) + rings.max(axis=1)) / 2
    out = points[:, :2] - middles[rows]
    columns = (_headings_deg(out) / 360 * len(gaps.angles_deg)).astype(int) % len(gaps.angles_deg)
    values = gaps.gaps_mm[rows, columns]
    above = points[:, 2] > gaps.heights_mm[-1] + (gaps.heights_mm[-1] - gaps.heights_mm[-2])
    known = ~np.isnan(values) & ~above
    steps = np.full(len(points), _NO_GAP)
    steps[known] = np.clip(np.rint(values[known] / most_mm * _GAP_STEPS), 0, _GAP_STEPS)
    return [int(v) for v in steps]
