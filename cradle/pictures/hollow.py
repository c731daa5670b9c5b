"""How much of a thing looks, inside its rim, like what lies around it: all of it, where only a line was drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.pictures.ground import colour_difference
from cradle.pictures.masks import shrunk_by

if TYPE_CHECKING:
    from cradle.pictures.regions import Regions

_ALIKE: Final = 7.0
"""What differs from the ground by less looks like it, CIE Lab units: it is no longer clear to see (`cradle.pictures.regions`)."""
_RIM_PX: Final = 4
"""Width of a thing's rim, small px."""
_MOST: Final = 0.9
"""The quantile of the rim's differences from the ground that counts as the thing's own: of a line's rim little more than the line
itself differs."""
_PART: Final = 0.5
"""Inside a faint thing, what differs by less than this part of its own difference looks like the ground."""


def like_ground(regions: Regions, number: int, *, rim_px: float) -> float:
    """The part of a thing, 0 to 1, that looks like the ground, of what lies deeper inside than ``rim_px``, px of the picture; 0 if nothing does."""
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
    off = colour_difference(levels, regions.ground[box])
    usual = float(np.quantile(off[own & ~within], _MOST))
    return float((off[inside] < min(_ALIKE, _PART * usual)).mean())
