"""Whether a thing in its holder, or on its way out, reaches into the wall that the holder is fixed to."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from cradle.finding import About, Finding, doubt, in_mm
from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import moved_points
from cradle.geometry.region_measures import bounds
from cradle.holder.holder import Holder
from cradle.project.opening import Through
from cradle.project.side import Side
from cradle.result.seated_thing import SeatedThing
from cradle.result.thing_model import ThingModel
from cradle.units import tenths_up

_TOUCHES_MM: Final = 0.1
"""What reaches no further only touches."""
_STRAIGHT_ON: Final = ", if it goes straight on above its highest section"
_LEAN: Final = "lean the thing less, or away from the wall (a lean below 0), or "


def behind_findings(thing: SeatedThing, holder: Holder) -> Iterator[Finding]:
    """A thing that reaches into the wall behind its holder; at most one finding for each side that is fixed to a wall.

    Above what was lofted the thing is taken to go straight on to its stated
    height. It is lifted along its way out until its foot is level with the rim.
    """
    places = thing.places(holder)
    lofted, above = (
        np.concatenate([moved_points(points, place) for place in places])
        for points in (thing.model.body.mesh.vertices_mm, _above_mm(thing.model))
    )
    rises = holder.height_mm - float(lofted[:, 2].min())
    for through in holder.wall_sides:
        axis, sign = Side(through).axis, Side(through).outward
        wall = float((sign * bounds(holder.foot).reshape(2, 2)[:, axis]).max())
        known, straight_on = (
            float((sign * points[:, axis]).max(initial=-np.inf)) - wall for points in (lofted, above)
        )
        moves = rises * max(sign * float(thing.pocket.direction[axis] / thing.pocket.direction[2]), 0.0)
        cases = (
            (known, "the thing reaches", ""),
            (straight_on, "the thing reaches", _STRAIGHT_ON),
            (known + moves, "on its way out the thing runs", ""),
            (straight_on + moves, "on its way out the thing runs", _STRAIGHT_ON),
        )
        met = next((case for case in cases if case[0] > _TOUCHES_MM), None)
        if met is not None:
            past, how, unless = met
            most, at_most, unless_so = max(cases)
            further = (
                ""
                if most - past <= _TOUCHES_MM
                else f"; {at_most} {most:.1f} mm into it{unless_so if unless_so != unless else ''}"
            )
            back = through is Through.BACK
            yield doubt(
                "thing-into-wall",
                f"{how} {past:.1f} mm into the wall that the holder is fixed to{unless}{further}",
                f"{_LEAN if back else ''}make the walls {tenths_up(most)} mm thicker",
                about=About.HOLDER,
                where="block.lean" if back else "block.wall",
                **in_mm(most, limit=0.0),
            )


def _above_mm(model: ThingModel) -> Floats:
    """The edge of its top at its stated height, ``(n, 3)``, the thing's frame, if it goes straight on above what was lofted."""
    body, overall = model.body, model.project.thing.height_mm
    if overall is None or overall <= float(body.heights_mm[-1]):
        return np.empty((0, 3))
    top = body.rings_mm[-1]
    return np.column_stack([top, np.full(len(top), overall)])
