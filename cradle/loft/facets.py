"""How many facets a skin will have: too many are refused before they are made.

Outlines of hundreds of corners, traced along pixels for one, that change much
from section to section ask for layer upon layer. What most of its facets follow
is a guess, and each of them costs memory in every step from there to the holder.

Measured on things of random outlines: 680,000 facets of 40 sections took 880 MB
as far as a rough holder, 1,020,000 of 8 pixelled ones within 1.4 m more than 3 GB.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np

from cradle.errors import LoftError
from cradle.geometry.arrays import Floats
from cradle.geometry.knots import interval_of
from cradle.loft.pieces import Piece
from cradle.loft.skin import twisted
from cradle.matching.ring_stack import RingStack
from cradle.names import between_words

MOST_FACETS: Final = 900_000
PLAINER: Final = (
    "trace outlines with fewer points or plainer corners, as along smooth lines instead of along pixels"
)
"""The advice where outlines ask for too many facets."""


def check_facets(runs: Sequence[Sequence[Piece]], stack: RingStack, *, twist_mm: float) -> None:
    """Refuse runs of pieces whose skin would have too many facets, naming the gap with most of them.

    Raises
    ------
    LoftError
        If there are more than 900,000.
    """
    heights, counts = facet_counts(runs, twist_mm=twist_mm)
    whole = int(counts.sum())
    if whole <= MOST_FACETS:
        return
    gaps = interval_of(np.asarray(stack.heights_mm), heights)
    by_gap = np.bincount(gaps, weights=counts)
    most = int(by_gap.argmax())
    raise LoftError(
        f"the surface would have {whole:,} facets, {int(by_gap[most]):,} of them here, up to {MOST_FACETS:,} allowed",
        where=between_words(stack.names[most], stack.names[most + 1]),
        hint=f"{PLAINER}; leave out sections that lie close together, and points of profiles and views",
    )


def facet_counts(runs: Sequence[Sequence[Piece]], *, twist_mm: float) -> tuple[Floats, Floats]:
    """Heights, mm, and about how many facets the skin has from each of them to the next layer, ``(m,)`` each; caps left out."""
    heights, counts = [np.zeros(0)], [np.zeros(0)]
    for run in runs:
        for own, rings in run:
            # two to each quad, four where it is twisted
            heights.append(own[:-1])
            counts.append(2.0 * (rings.shape[1] + twisted(rings, twist_mm=twist_mm).sum(axis=1)))
        # at a seam each point of one side cuts a facet of the other
        for (own, below), (_, above) in pairwise(run):
            heights.append(own[-1:])
            counts.append(np.array([float(below.shape[1] + above.shape[1])]))
    return np.concatenate(heights), np.concatenate(counts)
