"""The gap at every shown point of the things, for the colours of the 3-D view."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.loft.body import Body
from cradle.report.gap_map import GapMap
from cradle.report.shown_mesh import ShownMesh, beside, packed
from cradle.result.made_holder import MadeHolder

_NO_GAP: Final = 255
"""Stands for a place of the thing that is not in the pocket."""
_GAP_STEPS: Final = 250.0
"""Gaps are told in so many steps of the largest."""
_LEAST_MM: Final = 0.02
"""What is asked for counts as this at least."""


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
    heading = np.degrees(np.arctan2(out[:, 0], -out[:, 1])) % 360
    columns = (heading / 360 * len(gaps.angles_deg)).astype(int) % len(gaps.angles_deg)
    values = gaps.gaps_mm[rows, columns]
    above = points[:, 2] > gaps.heights_mm[-1] + (gaps.heights_mm[-1] - gaps.heights_mm[-2])
    known = ~np.isnan(values) & ~above
    steps = np.full(len(points), _NO_GAP)
    steps[known] = np.clip(np.rint(values[known] / most_mm * _GAP_STEPS), 0, _GAP_STEPS)
    return [int(v) for v in steps]
