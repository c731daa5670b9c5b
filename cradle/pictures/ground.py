"""The levels of the ground, followed across a picture: uneven light and soft shadows on it do not count.

Its usual colour is what most of the picture's border shows. A surface of low degree follows that across the
picture; its residuals are then averaged nearby, over shorter and shorter distances.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.pictures.masks import shrunk_by, without_holes

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from cradle.geometry.arrays import Bools, Bytes, Floats, Singles

_RIM: Final = 0.05
"""How far from the border the ground's usual colour is taken, as part of the shorter side."""
_BIN: Final = 6.0
"""Width of the bins in which colours are counted, CIE Lab units."""
_NAMED: Final = 100 ** np.arange(2, -1, -1)
"""Factors that join the numbers of a colour's three bins, each within fifty of 0, to one number."""
_USUAL: Final = 7.0
"""What differs from the commonest colour by less is taken for ground at first, CIE Lab units."""
_SURFACES: Final = ((3, 7.0), (3, 8.0), (3, 9.0), (6, 9.0), (6, 8.0), (6, 7.0))
"""Surfaces fitted one after another: terms of each, 3 of a plane or 6 of second degree, and the largest difference from it still
taken for ground, CIE Lab units."""
_WIDE_RIM: Final = 0.1
"""Width of the band along the border in which `surface_of` begins, as part of the shorter side."""
_NEARER: Final = ((6, 4.0), (6, 3.0), (6, 2.5), (6, 2.0))
"""The surfaces that `surface_of` fits from there on: nearer, so that what is of nearly the ground's colour is left out."""
_LEAST_PX: Final = 60
_MOST_PX: Final = 20_000
"""Fewest and most pixels a surface is fitted to."""
_STAGES: Final = ((7.0, 18.0), (6.5, 9.0), (6.0, 6.0))
"""Largest difference still taken for ground, CIE Lab units, and how far residuals are averaged (standard deviation, px of the
half-size copy)."""
_FEW_PX: Final = 50
"""Of no more pixels the commonest colour says nothing."""
_SMOOTH_PX: Final = 4
"""Smooth levels are converted to CIE Lab in a copy of fewer pixels by this factor each way."""


def ground_of(levels: Singles, usable: Bytes) -> Singles:
    """Levels of the ground everywhere, also under the pieces, ``(h, w, c)``.

    Parameters
    ----------
    levels : (h, w, c)
    usable : (h, w)
        1 where the ground may be seen.
    """
    return _by_half(
        levels, usable, lambda coarse, lab, seen: _followed(coarse, lab, seen, _surface(coarse, lab, seen))
    )


def surface_of(levels: Singles, usable: Bytes) -> Singles:
    """The surface of second degree that follows the ground most closely, ``(h, w, c)``, of the same arguments as `ground_of`.

    It is fitted near the picture's border first and goes on inwards from there, so that what differs a little from the
    ground takes no part in it.
    """

    def found(coarse: Singles, lab: Singles, seen: Bools) -> Singles:
        ground = _surface(coarse, lab, seen & _rim(without_holes(seen), _WIDE_RIM))
        near = seen & (apart(lab, lab_of_smooth(ground)) < _NEARER[0][1])
        return _fitted(coarse, lab, seen, ground, near, _NEARER)

    return _by_half(levels, usable, found)


def _by_half(levels: Singles, usable: Bytes, found: Callable[[Singles, Singles, Bools], Singles]) -> Singles:
    """What ``found`` makes of levels, their CIE Lab values and where the ground may be seen, all at half size, enlarged again, ``(h, w, c)``."""
    import cv2

    size = levels.shape[1], levels.shape[0]
    half = max(1, size[0] // 2), max(1, size[1] // 2)
    coarse = np.asarray(cv2.resize(levels, half, interpolation=cv2.INTER_AREA), dtype=np.float32)
    coarse = coarse.reshape(half[1], half[0], -1)
    seen = cv2.resize(usable, half, interpolation=cv2.INTER_NEAREST) > 0
    ground = found(coarse, lab_of(coarse), seen)
    whole = np.asarray(cv2.resize(ground, size, interpolation=cv2.INTER_LINEAR), dtype=np.float32)
    return whole.reshape(levels.shape)


def colour_difference(one: Singles, other: Singles) -> Singles:
    """How far levels ``(h, w, c)`` are apart, ``(h, w)``, CIE Lab units."""
    return apart(lab_of(one), lab_of(other))


def _surface(levels: Singles, lab: Singles, usable: Bools) -> Singles:
    """A surface fitted to what is near the ground's usual colour, then again to what is near the surface, ``(h, w, c)``."""
    near = usable & (apart(lab, np.broadcast_to(_usual(lab, usable), lab.shape)) < _USUAL)
    ground = np.broadcast_to(
        levels[near].mean(axis=0) if near.any() else levels.mean(axis=(0, 1)), levels.shape
    )
    return _fitted(levels, lab, usable, ground, near, _SURFACES)


def _fitted(
    levels: Singles,
    lab: Singles,
    usable: Bools,
    ground: Singles,
    near: Bools,
    stages: Sequence[tuple[int, float]],
) -> Singles:
    """The last of a series of surfaces, each fitted to the pixels near the one before, the first to ``near``.

    The series ends early where too few pixels are near; ``ground`` is given back where there are too few at once.
    """
    h, w, c = levels.shape
    y, x = np.mgrid[0:h, 0:w].astype(np.float32)
    x, y = 2 * x / w - 1, 2 * y / h - 1
    terms = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1).reshape(-1, 6)
    for count, limit in stages:
        if near.sum() < _LEAST_PX:
            break
        picked = np.flatnonzero(near.ravel())
        picked = picked[:: max(1, len(picked) // _MOST_PX)]
        basis = terms[:, :count]
        fit, *_ = np.linalg.lstsq(basis[picked], levels.reshape(-1, c)[picked], rcond=None)
        ground = (basis @ fit).reshape(h, w, c).astype(np.float32)
        near = usable & (apart(lab, lab_of_smooth(ground)) < limit)
    return ground


def _rim(usable: Bools, part: float) -> Bools:
    """The band along the inner border of a mask, as wide as this part of the picture's shorter side, ``(h, w)``."""
    thick = max(4, round(part * min(usable.shape)))
    return np.asarray(usable & (shrunk_by(shrunk_by(usable, 1), thick) == 0))


def _usual(lab: Singles, usable: Bools) -> Floats:
    """The commonest colour along a picture's border, or of all of it where few pixels lie there, ``(c,)``, CIE Lab.

    Of the whole picture where hardly anything of it may be ground.
    """
    where = (_rim(usable, _RIM), usable, np.ones_like(usable))
    seen = lab[next((part for part in where if part.sum() > _FEW_PX), where[-1])]
    bins = np.rint(seen / _BIN).astype(np.int64)
    _, which, counts = np.unique(bins @ _NAMED[: bins.shape[1]], return_index=True, return_counts=True)
    commonest = bins[which[counts.argmax()]]
    return np.asarray(seen[(np.abs(bins - commonest) <= 1).all(axis=1)].mean(axis=0))


def _followed(levels: Singles, lab: Singles, usable: Bools, ground: Singles) -> Singles:
    """The ground corrected by its residuals to levels near it, averaged nearby, ``(h, w, c)``."""
    import cv2

    off = apart(lab, lab_of_smooth(ground))
    for limit, sigma in _STAGES:
        sure = cv2.erode((usable & (off < limit)).astype(np.uint8), np.ones((3, 3), np.uint8))
        weight = np.asarray(sure, dtype=np.float32)
        spread = cv2.GaussianBlur(weight, (0, 0), sigma)
        change = cv2.GaussianBlur((levels - ground) * weight[..., None], (0, 0), sigma)
        ground = ground + change.reshape(levels.shape) / (spread + 0.02)[..., None]
        off = apart(lab, lab_of(ground))
    return ground.astype(np.float32)


def apart(a: Singles, b: Singles) -> Singles:
    """Distance of colours, ``(h, w)``, Lab units."""
    off = a - b
    return np.sqrt(np.einsum("ijk,ijk->ij", off, off))


def lab_of(levels: Singles) -> Singles:
    """CIE Lab of 8-bit levels; of grey, L alone."""
    import cv2

    clipped = np.clip(levels, 0, 255).astype(np.float32) / 255.0
    if clipped.shape[-1] == 1:
        grey = np.repeat(clipped, 3, axis=-1)
        return np.asarray(cv2.cvtColor(grey, cv2.COLOR_RGB2LAB)[..., :1])
    return np.asarray(cv2.cvtColor(np.ascontiguousarray(clipped), cv2.COLOR_RGB2LAB))


def lab_of_smooth(levels: Singles) -> Singles:
    """CIE Lab of levels that hardly change from one pixel to the next, interpolated from a copy a quarter the size each way."""
    import cv2

    h, w = levels.shape[:2]
    few = cv2.resize(levels, (max(1, w // _SMOOTH_PX), max(1, h // _SMOOTH_PX)), interpolation=cv2.INTER_AREA)
    found = cv2.resize(lab_of(np.atleast_3d(few)), (w, h), interpolation=cv2.INTER_LINEAR)
    return np.asarray(found, dtype=np.float32).reshape(h, w, -1)
