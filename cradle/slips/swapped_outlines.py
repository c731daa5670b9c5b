"""Two drawn sections whose outlines lie at each other's height: each fits the other's readings."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Final

import numpy as np

from cradle.errors import SectionError
from cradle.finding import About, Finding, doubt
from cradle.geometry.ring import size
from cradle.noun import record
from cradle.sections.laid import Laid
from cradle.sections.readings import readings_of

_OFF: Final = 0.05
"""An outline is off where the logarithms of its width and depth differ from the readings by this: more than tracing."""
_NEARER: Final = 0.35
"""With the other's readings both differences must shrink to less than this part; not to 0, as an outline may lie askew on its sheet."""


@record
class SwappedOutlines:
    """Two sections, the lower first."""

    low: Laid
    high: Laid

    @property
    def places(self) -> tuple[str, str]:
        """Where findings on the two are told."""
        return self.low.where, self.high.where

    @property
    def message(self) -> str:
        """What is doubtful."""
        return f"its outline and that of {self.high.where} seem to be swapped: each fits the other's width and depth"

    @property
    def advice(self) -> str:
        """What helps."""
        return "let each have the other's outline (layer, pick or point), or check their heights"

    def finding(self) -> Finding:
        """A warning, where tracing might explain it all the same."""
        return doubt("outlines-swapped", self.message, self.advice, where=self.low.where, about=About.READING)

    def error(self) -> SectionError:
        """The refusal, where no tracing explains it."""
        return SectionError(self.message, where=self.low.where, hint=self.advice)


def swapped_outlines(laid: Sequence[Laid]) -> tuple[SwappedOutlines, ...]:
    """Every pair of drawn sections that fit their readings of width and depth only with each other's outline."""
    read = [one for one in laid if not one.exact and None not in readings_of(one)]
    return tuple(
        SwappedOutlines(low=one, high=other) for one, other in combinations(read, 2) if _swapped(one, other)
    )


def _swapped(one: Laid, other: Laid) -> bool:
    """Whether both outlines are off their own readings, and each fits the other's much better."""
    pairs = ((one, other), (other, one))
    return all(_off(a, a) > _OFF and _off(b, a) < _NEARER * min(_off(a, a), _off(b, b)) for a, b in pairs)


def _off(outline: Laid, read: Laid) -> float:
    """How far an outline's size is from a section's readings, as a logarithm."""
    told = np.array(readings_of(read), dtype=np.float64)
    return float(np.hypot(*np.log(size(outline.ring) / told)))
