"""Two drawn sections of which something stands at each other's height: their outlines, or their readings of one direction."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Final

import numpy as np

from cradle.finding import About, Finding, doubt
from cradle.geometry.arrays import Floats
from cradle.geometry.ring import size, turned
from cradle.noun import record
from cradle.sections.axis_words import SIZES
from cradle.sections.laid import Laid
from cradle.sections.readings import readings_of

_OFF: Final = 0.05
"""An outline is off where the logarithms of its size and of the readings differ by this: more than tracing."""
_NEARER: Final = 0.35
"""With the other's readings both differences must shrink to less than this part; not to 0, as tracing errs."""
_ASKEW_DEG: Final = np.linspace(-3.0, 3.0, 13)
"""An outline may lie askew on its sheet: 1° makes a flat thing of 63 mm by 10 a tenth deeper, or less deep."""
_WAYS: Final = ((0, 1), (0,), (1,))
"""Of which directions readings may be swapped: both, or one alone."""


@record
class Swapped:
    """Two sections, the lower first, and of which directions the readings fit only the other's drawing: 0 width, 1 depth, or both."""

    low: Laid
    high: Laid
    axes: tuple[int, ...]

    @property
    def places(self) -> tuple[str, str]:
        """Where findings on the two are told."""
        return self.low.where, self.high.where

    @property
    def message(self) -> str:
        """What is doubtful."""
        if len(self.axes) > 1:
            return f"its outline and that of {self.high.where} seem to be swapped: each fits the other's width and depth"
        word = SIZES[self.axes[0]]
        return f"its {word} and that of {self.high.where} seem to be swapped: each fits the other's drawing"

    @property
    def advice(self) -> str:
        """What helps."""
        if len(self.axes) > 1:
            return "let each have the other's outline (layer, pick or point), or check their heights"
        return f"let each have the other's {SIZES[self.axes[0]]}"

    def finding(self) -> Finding:
        """A warning, where tracing might explain it all the same."""
        code = "outlines-swapped" if len(self.axes) > 1 else "sizes-swapped"
        return doubt(code, self.message, self.advice, where=self.low.where, about=About.READING)


def swapped(laid: Sequence[Laid]) -> Iterator[Swapped]:
    """Every pair of drawn sections that fit their readings, of both directions together or of one alone, only with each other's."""
    drawn = [one for one in laid if not one.exact]
    sizes = [_log_sizes(one) for one in drawn]
    own = {
        axes: [_off(size, read, axes=axes) for size, read in zip(sizes, drawn, strict=True)] for axes in _WAYS
    }
    for i, j in combinations(range(len(drawn)), 2):
        for axes in _WAYS:
            least = min(own[axes][i], own[axes][j])
            # both are off their own readings, and each fits the other's much better
            if least > _OFF and all(
                _off(sizes[a], drawn[b], axes=axes) < _NEARER * least for a, b in ((i, j), (j, i))
            ):
                yield Swapped(low=drawn[i], high=drawn[j], axes=axes)
                break


def _log_sizes(outline: Laid) -> Floats:
    """The logarithms of an outline's width and depth, lying askew by each of `_ASKEW_DEG`, ``(t, 2)``."""
    return np.log([size(turned(outline.ring, angle_deg=deg)) for deg in _ASKEW_DEG])


def _off(log_sizes: Floats, read: Laid, *, axes: tuple[int, ...]) -> float:
    """How far an outline's size is from a section's readings, as a logarithm, where it lies as suits them best; 0 where one is missing."""
    told = [readings_of(read)[axis] for axis in axes]
    if any(reading is None for reading in told):
        return 0.0
    return float(np.hypot.reduce(log_sizes[:, axes] - np.log(np.array(told, dtype=np.float64)), axis=1).min())
