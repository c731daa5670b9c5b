"""What of a holder lies on the wall behind it, and where its screws go."""

from __future__ import annotations

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.planar import bounds, outer_rings, region, union
from cradle.holder.holder import Holder


def wall_places_mm(holder: Holder) -> Floats:
    """Where screws go into the wall, ``(k, 2)``: x and z, stand frame; of keyholes where the screws end up."""
    places = [opening.wall_mm for opening in holder.openings if opening.wall_mm is not None]
    on_plate = () if holder.plate is None else holder.plate.places_mm
    return np.array([*places, *on_plate]).reshape(-1, 2)


def back_outline_mm(holder: Holder) -> Floats:
    """Outline of block and plate as seen from the front, ``(n, 2)``: x and z, stand frame."""
    x0, _, x1, _ = bounds(holder.foot).tolist()
    low, high = -holder.lift_mm, holder.height_mm - holder.lift_mm
    block = region(np.array([[x0, low], [x1, low], [x1, high], [x0, high]]))
    parts = [block] if holder.plate is None else [block, region(holder.plate.outlines_mm[0])]
    return outer_rings(union(parts))[0]
