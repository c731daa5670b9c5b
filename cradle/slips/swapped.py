"""Two drawn sections of which something stands at each other's height: their outlines, or their readings of one direction."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Final

import numpy as np

from cradle.errors import SectionError
from cradle.finding import About, Finding, doubt
from cradle.geometry.ring import size
from cradle.noun import record
from cradle.sections.axis_words import SIZES
from cradle.sections.laid import Laid
from cradle.sections.readings import readings_of

_OFF: Final = 0.05
"""An outline is off where the logarithms of its size and of the readings differ by this: more than tracing."""
_NEARER: Final = 0.35
"""With the other's readings both differences must shrink to less than this part; not to 0, as an outline may lie askew on its sheet."""


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

    def error(self) -> SectionError:
        """The refusal, where no tracing explains it."""
        return SectionError(self.message, where=self.low.where, hint=self.advice)


def swapped(laid: Sequence[Laid]) -> Iterator[Swapped]:
    """Every pair of drawn sections that fit their readings, of both directions together or of one alone, only with each other's."""
    for one, other in combinations([one for one in laid if not one.exact], 2):
        ways = [(0, 1), (0,), (1,)]
        axes = next((axes for axes in ways if _swapped(one, other, axes=axes)), None)
        if axes is not None:
            yield Swapped(low=one, high=other, axes=axes)


def _swapped(one: Laid, other: Laid, *, axes: tuple[int, ...]) -> bool:
    """Whether both outlines are off their own readings, and each fits the other's much better."""
    if any(readings_of(section)[axis] is None for section in (one, other) for axis in axes):
        return False
    pairs = ((one, other), (other, one))
    own = [_off(section, section, axes=axes) for section in (one, other)]
    return min(own) > _OFF and all(_off(b, a, axes=axes) < _NEARER * min(own) for a, b in pairs)


def _off(outline: Laid, read: Laid, *, axes: tuple[int, ...]) -> float:
    """How far an outline's size is from a section's readings, as a logarithm."""
    told = np.array([readings_of(read)[axis] for axis in axes], dtype=np.float64)
    return float(np.hypot.reduce(np.log(np.take(size(outline.ring), axes) / told)))
