"""Which of the things in a picture are letters, printed on what the pieces lie on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from cradle.geometry.arrays import Floats
    from cradle.pictures.regions import Regions

_AROUND_PX: Final = 20
"""Small px round a thing in which more print is looked for."""
_STANDS_OUT: Final = 20.0
"""Least difference of print from the ground, levels, all channels together."""
_PRINTED: Final = 0.08
"""Least part of the ground round a letter that other print covers: about 0.2 of rendered newsprint, nothing of plain paper."""
_ALIKE: Final = 0.9
"""Two things are of one colour if the cosine between their differences from the ground is larger."""
_SEVERAL: Final = 5
"""Fewest letters of print."""
_LARGER: Final = 3
"""How many times as long and as wide as a letter a piece among them is, at least."""


def letters_of_ground(regions: Regions, *, high_px: float, long_px: float) -> list[int]:
    """Numbers of the things that are letters: small, of one colour, several of them among finer print, and beside a much larger piece.

    Parameters
    ----------
    high_px, long_px : float
        How high a letter, and how long a word that has run together, may be, px.
    """
    if len(regions.boxes) <= _SEVERAL:
        return []
    off = regions.levels - regions.ground
    prints = (np.sqrt(np.einsum("ijk,ijk->ij", off, off)) > _STANDS_OUT) & (regions.labels == 0)
    small: dict[int, Floats] = {}
    among: list[int] = []
    for number, (x, y, wide, high) in enumerate(regions.boxes, start=1):
        if min(wide, high) * regions.shrink > high_px or max(wide, high) * regions.shrink > long_px:
            continue
        near = (
            slice(max(0, y - _AROUND_PX), y + high + _AROUND_PX),
            slice(max(0, x - _AROUND_PX), x + wide + _AROUND_PX),
        )
        small[number] = off[near][regions.labels[near] == number].mean(axis=0)
        others = prints[near]
        beside = float((regions.labels[near] == 0).sum())
        if others.sum() > _PRINTED * beside and _alike(small[number], off[near][others].mean(axis=0)):
            among.append(number)
    if len(among) < _SEVERAL:
        return []
    ink = np.mean([small[number] for number in among], axis=0)
    letters = [number for number, own in small.items() if _alike(own, ink)]
    areas = np.array([wide * high for _, _, wide, high in regions.boxes])
    letter = np.isin(np.arange(1, len(areas) + 1), letters)
    larger = areas[~letter].max(initial=0) > _LARGER**2 * np.median(areas[letter])
    return letters if larger else []


def _alike(one: Floats, other: Floats) -> bool:
    """Whether the levels ``(c,)`` by which two things differ from the ground point the same way."""
    return bool(one @ other > _ALIKE * np.linalg.norm(one) * np.linalg.norm(other))
