"""Whether the thing has a floor to stand on: an opening as large as its foot leaves none, and lets a point out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from cradle.finding import About, Finding, doubt, in_unit
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import Region, common, region, union, without
from cradle.geometry.region_measures import area_mm2
from cradle.geometry.ring import size
from cradle.geometry.solid import cut_regions
from cradle.holder.holder import Holder
from cradle.holder.opening import Opening
from cradle.pocket.pocket import Pocket
from cradle.project.opening import Through
from cradle.project.project import Project
from cradle.result.seated_thing import SeatedThing

_LEAST_SHARE: Final = 0.2
"""A thing that less of its foot carries sinks into the opening or tips (our own choice)."""


def foot_findings(thing: SeatedThing, *, project: Project, holder: Holder) -> Iterator[Finding]:
    """A warning where openings take the floor away from under the thing's foot; none of a thing that leans."""
    through = [one for one in holder.openings if one.spec.through is Through.FLOOR and not one.blind]
    if project.block.lean_deg or not through:
        return
    foot = thing.model.body.rings_mm[0]
    width, depth = size(foot)
    for pocket in thing.pockets:
        placed = region(_placed(foot, pocket))
        cut = {one: _in_floor(one, pocket, floor_mm=project.block.floor_mm) for one in through}
        left = float(area_mm2(without(placed, union(list(cut.values()))))) / float(area_mm2(placed))
        if left >= _LEAST_SHARE:
            continue
        most = max(cut, key=lambda one: float(area_mm2(common(placed, cut[one]))))
        yield doubt(
            "foot-unsupported",
            f"the {most.spec.kind.words} takes {100 * (1 - left):.0f} % of the floor from under the thing's foot, "
            f"{width:.1f} × {depth:.1f} mm: the thing sinks into it, and may come out below",
            "make it smaller, or move it beside the foot, unless the sides are to carry the thing",
            about=About.HOLDER,
            where=most.where,
            **in_unit("%", 100 * left, limit=100 * _LEAST_SHARE),
        )
        return


def _placed(ring: Floats, pocket: Pocket) -> Floats:
    """A ring of the thing's frame in the stand frame, from above."""
    matrix = pocket.stand_from_thing
    return np.asarray(ring @ matrix[:2, :2].T + matrix[:2, 3])


def _in_floor(opening: Opening, pocket: Pocket, *, floor_mm: float) -> Region:
    """What an opening takes of the floor, half way down."""
    return cut_regions(opening.cuts[0], np.array([pocket.bottom_mm - floor_mm / 2]))[0]
