"""Shadows of hands, lamps and of the phone itself: what differs from the ground, and falls off to it gently.

A cut edge is as sharp as the picture, a shadow from far above is not. What has the ground's colour, only darker, and is
joined to the ground without a steep step between is ground in a shadow; what a steep step surrounds in it is a piece there.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.pictures.colours import may_be_shadow
from cradle.pictures.masks import grown_by, parts_holding, shrunk_by

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Bytes, Singles

_DEEP: Final = 0.03
"""How far from its rim some place in such a shadow lies at least, as part of the picture's longer side: what is narrower is the
shadow at a piece's foot, or a blurred piece's own rim."""
_AROUND_PX: Final = 3
_STEEP: Final = 0.2
"""A step is steep where the gradient in a small px is more than this part of the range of levels within ``_AROUND_PX`` of it: at
a step blurred by 3 px (standard deviation) it is 0.2, by 1.4 px 0.3; on an even slope a sixth."""
_LEAST_STEP: Final = 8.0
"""Least range of levels of a step: less is noise."""
_NEXT_PX: Final = 5
"""The rim of what differs from the ground is a shadow's own within this distance of it, small px: what is as steep lies between."""
_EDGED: Final = 0.1
"""Part of a shadow's rim that may look as sharp as a cut edge: rendered shadows have 0.01 at most, pieces of the ground's
colour whose own soft shadow hides an edge 0.18 at least."""
_FOOT_PX: Final = 2
"""An edge is steepest within this distance of the rim of what differs from the ground, small px."""
_STAGES: Final = (18.0, 9.0, 6.0, 3.0)
"""How far the ground's colour is averaged (standard deviation, small px), one after another."""


def soft_shadows(levels: Singles, ground: Singles, differs: Bytes, usable: Bytes) -> Bools:
    """Where the ground lies in a soft shadow, ``(h, w)``.

    Parameters
    ----------
    levels, ground : (h, w, c)
    differs : (h, w)
        1 where the levels are not the ground's.
    usable : (h, w)
        1 where things are looked for: beyond it a shadow has no rim.
    """
    import cv2

    found = np.zeros(differs.shape, dtype=bool)
    if min(differs.shape) <= 2 * _AROUND_PX:
        return found
    at = differs > 0
    plain = (usable > 0) & ~at
    dim = plain.copy()
    dim[at] = may_be_shadow(levels[at], ground[at]) | may_be_shadow(ground[at], levels[at])
    deep_px = _DEEP * max(at.shape)
    if cv2.distanceTransform((dim & at).astype(np.uint8), cv2.DIST_L2, 5).max() < deep_px:
        return found
    steep = _steep(levels)
    free = (dim & (grown_by(steep, 1) == 0)).astype(np.uint8)
    reached = (at & parts_holding(free, plain, neighbours=8)).astype(np.uint8)
    count, labels = cv2.connectedComponents(reached, connectivity=4)
    deep = labels[cv2.distanceTransform(reached, cv2.DIST_L2, 5) >= deep_px]
    around = cv2.dilate(labels.astype(np.float32), np.ones((2 * _NEXT_PX + 1, 2 * _NEXT_PX + 1))).astype(int)
    rim = at & (grown_by(plain, 1) > 0)
    sharp = rim & (grown_by(steep, _FOOT_PX) > 0)
    whole, edged = (np.bincount(around[each], minlength=count) for each in (rim, sharp))
    shadow = np.isin(np.arange(count), deep) & (edged < _EDGED * whole)
    return np.asarray(shadow[labels])


def followed_into(levels: Singles, ground: Singles, sure: Bools) -> Singles:
    """The ground's levels as seen where they are ``sure`` to be its own, and carried on from there, ``(h, w, c)``."""
    import cv2

    weight = shrunk_by(sure.astype(np.uint8), 1).astype(np.float32)
    for sigma in _STAGES:
        spread = cv2.GaussianBlur(weight, (0, 0), sigma)
        change = cv2.GaussianBlur((levels - ground) * weight[..., None], (0, 0), sigma)
        ground = ground + change.reshape(levels.shape) / (spread + 0.02)[..., None]
    return np.asarray(ground, dtype=np.float32)


def _steep(levels: Singles) -> Bytes:
    """1 where a picture changes as at a sharp edge, in the channel in which it changes most, ``(h, w)``."""
    import cv2

    smooth = cv2.GaussianBlur(levels, (0, 0), 1.0).reshape(levels.shape)
    rows, columns = np.gradient(smooth, axis=(0, 1))
    around = np.ones((2 * _AROUND_PX + 1, 2 * _AROUND_PX + 1), np.uint8)
    change = (cv2.dilate(smooth, around) - cv2.erode(smooth, around)).reshape(levels.shape)
    steep = (np.hypot(rows, columns) > _STEEP * change) & (change > _LEAST_STEP)
    return steep.any(axis=2).astype(np.uint8)
