"""How much light a field between ground and piece stands for.

A blurred edge mixes the light of both sides, and files keep levels that rise
with about the 2.4th root of light (IEC 61966-2-1, sRGB): half way between two
levels is not half way between their light. A dark piece measured by levels
comes out too small.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.geometry.arrays import Bytes, Floats, Singles, frozen
from cradle.noun import noun

_COUNT: Final = 65
_TOWARDS_LIGHT: Final = 1.5
"""Exponent that brings levels about half way to light, which goes with their power of 2.2 (IEC 61966-2-1)."""


@noun
class LightScale:
    """A table of the piece's part of the light by values of a field, which rise, ``(k,)`` both."""

    field: Floats
    part: Floats

    def light(self, field: Singles) -> Singles:
        """The piece's part of the light at each place of a field; below 0 and above 1 it is the field's value, by 1 beyond at most."""
        beyond = np.clip(field, -1.0, 0.0) + np.clip(field - 1.0, 0.0, 1.0)
        return np.asarray(beyond + np.interp(field, self.field, self.part).astype(np.float32))


def light_scale(*, ground: Floats, piece: Floats, weight: Floats) -> LightScale | None:
    """The piece's part of the light by values of a field that weighs channels; None where the field does not rise throughout with that part.

    Parameters
    ----------
    ground, piece : (c,)
        Levels of both, 0 to 255.
    weight : (c,)
        Weight of each channel in the field, which is then scaled to 0 on the ground and 1 on the piece.
    """
    part = np.linspace(0.0, 1.0, _COUNT)
    one, other = light_of(ground), light_of(piece)
    levels = level_of(one + part[:, None] * (other - one))
    seen = (levels - ground) @ weight
    if abs(seen[-1]) < 1.0:
        return None
    seen /= seen[-1]
    return LightScale(field=frozen(seen), part=frozen(part)) if (np.diff(seen) > 0).all() else None


def between_levels_and_light(grey: Bytes) -> Bytes:
    """A picture with its levels brought half way to light: black marks on white are about as wide in it as they are printed.

    Blur mixes light: in levels white swells over black, closes a marker's bits and
    leaves little of thin lines. In light alone dark corners of a picture are lost.
    """
    import cv2

    table = 255.0 * (np.arange(256) / 255.0) ** _TOWARDS_LIGHT
    return np.asarray(cv2.LUT(grey, np.rint(table).astype(np.uint8)), dtype=np.uint8)


def light_of(levels: Floats) -> Floats:
    """Light from 0 to 1 of levels from 0 to 255, by sRGB.

    Examples
    --------
    >>> light_of(np.array([0.0, 128.0, 255.0])).round(4).tolist()
    [0.0, 0.2159, 1.0]
    """
    share = np.clip(levels, 0.0, 255.0) / 255.0
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def in_light(levels: Bytes) -> Singles:
    """The light of a picture's levels, 0 to 1, by `light_of`."""
    import cv2

    table = light_of(np.arange(256.0)).astype(np.float32)
    return np.asarray(cv2.LUT(np.ascontiguousarray(levels), table))


def level_of(light: Floats) -> Floats:
    """Levels from 0 to 255 of light from 0 to 1, by sRGB."""
    share = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return np.asarray(255.0 * share)
