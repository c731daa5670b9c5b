"""How much of a thing looks, inside its rim, like what lies around it: all of it, where only a line was drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.pictures.ground import difference
from cradle.pictures.masks import shrunk_by

if TYPE_CHECKING:
    from cradle.pictures.regions import Regions

_ALIKE: Final = 7.0
"""In CIE Lab units: what differs by less from the ground is clear to see no more (`cradle.pictures.regions`)."""
_RIM: Final = 0.9
_PART: Final = 0.5
"""And of a faint thing what differs by less than such a part of what nine tenths of it differ by less than."""


def like_ground(regions: Regions, number: int, *, rim_px: float) -> float:
    """Part of a thing, deeper inside than ``rim_px`` of the picture, that looks like the ground, 0 to 1; 0 of a narrow one."""
    inside = (
        shrunk_by(np.pad(regions.mask_of(number), 1), int(np.ceil(rim_px / regions.shrink)))[1:-1, 1:-1] > 0
    )
    if not inside.any():
        return 0.0
    x, y, wide, high = regions.boxes[number - 1]
    part = (slice(y, y + high), slice(x, x + wide))
    levels = np.atleast_3d(regions.levels[part]).astype(np.float32)
    off = difference(levels, regions.ground[part])
    own = float(np.quantile(off[regions.mask_of(number) > 0], _RIM))
    return float((off[inside] < min(_ALIKE, _PART * own)).mean())
