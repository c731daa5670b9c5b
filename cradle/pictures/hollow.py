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
_RIM_PX: Final = 4
_MOST: Final = 0.9
_PART: Final = 0.5
"""And of a faint thing what differs by less than such a part of what its rim, so many small px wide, does: nine tenths of
the rim differ by less than that, as of a line's rim little more than the line itself differs."""


def like_ground(regions: Regions, number: int, *, rim_px: float) -> float:
    """Part of a thing, deeper inside than ``rim_px`` of the picture, that looks like the ground, 0 to 1; 0 of a narrow one."""
    mask = np.pad(regions.mask_of(number), 1)
    own, inside, within = (
        part[1:-1, 1:-1] > 0
        for part in (mask, shrunk_by(mask, int(np.ceil(rim_px / regions.shrink))), shrunk_by(mask, _RIM_PX))
    )
    if not inside.any():
        return 0.0
    x, y, wide, high = regions.boxes[number - 1]
    box = (slice(y, y + high), slice(x, x + wide))
    levels = np.atleast_3d(regions.levels[box]).astype(np.float32)
    off = difference(levels, regions.ground[box])
    usual = float(np.quantile(off[own & ~within], _MOST))
    return float((off[inside] < min(_ALIKE, _PART * usual)).mean())
