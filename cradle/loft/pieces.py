"""Pieces of the skin, each with columns of its own, and columns that run through them all."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.ring import away_from_segments
from cradle.loft.pairing import positions_on_ring
from cradle.matching.matching import Correspondence
from cradle.matching.rings import common_rings

_COARSE_MM = 0.1
"""Columns that run through all pieces pass by vertices that are nearer than this to the line between two columns."""


class Piece(NamedTuple):
    """Layers with columns in common: heights ``(l,)`` and rings ``(l, n, 2)``, mm; a run may be one ring alone."""

    heights_mm: Floats
    rings_mm: Floats


def common_rings_of(pieces: Sequence[Piece]) -> Piece:
    """The layers of all pieces with columns that run through them all, within 0.1 mm of the given rings.

    It is for those who look at the skin as a whole. A single piece is returned as it is.

    Parameters
    ----------
    pieces : sequence of Piece
        Each begins with the outline with which the one before ends.
    """
    if len(pieces) == 1:
        return pieces[0]
    outlines: list[Floats] = []
    heights: list[Floats] = []
    maps: list[Correspondence] = []
    for own, rings in pieces:
        positions = [positions_on_ring(ring) for ring in rings]
        if outlines:
            maps.append(_turned(outlines[-1], rings[0]))
        maps += [Correspondence(here=low[:-1], there=high[:-1]) for low, high in pairwise(positions)]
        outlines += list(rings)
        heights.append(own)
    rings = common_rings(
        outlines,
        positions=[positions_on_ring(ring) for ring in outlines],
        maps=maps,
        slack_mm=[_COARSE_MM] * len(outlines),
    )
    every = np.concatenate(heights)
    once = np.append(True, np.diff(every) > 0)
    return Piece(every[once], _fewer(rings[once]))


def _turned(ring: Floats, same: Floats) -> Correspondence:
    """The map from a ring to the same outline begun at another of its points."""
    start = int(((ring - same[0]) ** 2).sum(axis=1).argmin())
    here = positions_on_ring(ring)[:-1]
    return Correspondence(here=here, there=here - here[start])


def _fewer(rings: Floats) -> Floats:
    """The rings without the columns that lie near the line between their neighbours on all of them."""
    while True:
        before, after = np.roll(rings, 1, axis=1), np.roll(rings, -1, axis=1)
        chord, out = after - before, rings - before
        away = (away_from_segments(out, chord) ** 2).sum(axis=2).max(axis=0)
        spared = np.flatnonzero(away <= (_COARSE_MM / 4) ** 2)
        spared = spared[np.append(True, np.diff(spared) > 1)] if len(spared) else spared
        if len(spared) < 0.02 * rings.shape[1] or rings.shape[1] < 64:
            return rings
        rings = np.delete(rings, spared[1:], axis=1)
