"""RingStack: sections whose points belong together."""

from __future__ import annotations

from cradle.geometry.arrays import Floats
from cradle.noun import noun


@noun
class RingStack:
    """Sections resampled so that point j means the same place on every ring.

    Attributes
    ----------
    heights_mm : (k,) float64
        Rising; k ≥ 1.
    rings_mm : (k, n, 2) float64
        Counter-clockwise rings; every vertex of a section is a point of its ring.
    names : tuple of k str
        Names of the sections, for messages.
    outlines_mm : tuple of k (n_i, 2) float64
        The sections' own points, against which the loft is measured; empty
        when the rings are all there is.
    chord_gaps_mm : tuple of k float
        How far a round thing may stand out between the points read of each
        section (`cradle.matching.rings`); empty when it was not looked at.
    unlike_mm : tuple of k − 1 float
        How far neighbouring outlines lay apart in form before they were pooled
        (`cradle.matching.pooled`); empty when it was not looked at.
    """

    heights_mm: Floats
    rings_mm: Floats
    names: tuple[str, ...]
    outlines_mm: tuple[Floats, ...] = ()
    chord_gaps_mm: tuple[float, ...] = ()
    unlike_mm: tuple[float, ...] = ()
