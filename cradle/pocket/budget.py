"""Error budget of the pocket: how much the steps that make it may take from the clearance and add to it.

The pocket is made wider than asked by a *margin*, and the least gap may fall
short of what was asked by `Tolerances.clearance_mm`. Both together are the
*whole*: what the steps may take away if their worst cases all meet at one
place. What they may add only makes the gap wider than asked.

How large the whole may be follows from the clearance. A pocket that is wider by
a small part of its clearance holds the thing as well, and a printer lays its
walls a tenth of a millimetre one way or the other (common practice, no source):
what is far below both is neither felt nor printed, but costs triangles, time
and memory. So the whole is `_PART` of the least clearance, up to `MOST_MM`,
half of what a printer errs by. It is no finer than `FINEST`, of which the
tolerance of the least gap is a third, and no coarser than it pays: a body of
few faces costs little at any accuracy, so the whole grows no faster than their
number. All shares grow with the whole but the mitres, for these make the
surface itself uneven.

Measured on scanned household things whose skin is the hardest of 44, three and
five sections, at 0.5 mm of clearance, the whole holder: with a whole of
0.05 mm it has 47,000, 47,000, 49,000, 27,000 and 25,000 triangles, with
0.0375 mm 64,000, 61,000, 62,000, 33,000 and 31,000; with 0.015 mm the pocket
alone had about twice as many as with 0.0375 mm. The least gap is
0.50 mm and more, as all worst cases meet nowhere.
"""

from __future__ import annotations

from typing import Final

from cradle.noun import record

_PART: Final = 0.1
"""Part of the clearance that the steps may use up."""
MOST_MM: Final = 0.05
"""The most, in mm, that the steps may use up."""
_LEAST_MM: Final = 0.015
"""The least, in mm, that they may use up, however small the clearance."""
_CHEAP_FACES: Final = 8000
"""A body of no more faces than this is worth the finest budget, one of twice as many one twice as coarse."""


@record
class ErrorBudget:
    """What each step may take from the clearance or add to it, mm.

    Attributes
    ----------
    whole_mm : float
        What all together may take away, the tolerance of the least gap included.
    """

    whole_mm: float

    @property
    def margin_mm(self) -> float:
        """A pocket is made this much wider than asked, to pay for what the steps below take away."""
        return 0.01 + (self.whole_mm - _LEAST_MM)

    @property
    def arc_mm(self) -> float:
        """Taken away at the ends of the grown body's round edges and in their corners, added in between: chords for arcs."""
        return 0.0015 * self._times

    @property
    def fillet_mm(self) -> float:
        """Taken away where levels follow a round edge: chords from one to the next."""
        return 0.002 * self._times

    @property
    def mitre_mm(self) -> float:
        """Added: corners of the grown body that are too blunt to be worth rounding."""
        return 0.004

    @property
    def outline_mm(self) -> float:
        """Added: the body is grown by this much more, so that its levels can do without points that stand out less."""
        return 0.005 * self._times

    @property
    def between_mm(self) -> float:
        """Taken away, but only from the extra clearance between sections: chords instead of its parabola."""
        return 0.02 * self._times

    @property
    def bulge_mm(self) -> float:
        """Taken away by all steps together: half way between two levels the raw offset may stick out of the pocket's wall by this."""
        return 0.013 * self._times

    @property
    def swept_mm(self) -> float:
        """Taken away or added: points of a level swept along the way out that its outline does without."""
        return 0.003 * self._times

    @property
    def valley_mm(self) -> float:
        """Added where lower levels are carried up: the scallops that they leave are filled if they are no deeper."""
        return 0.01 * self._times

    @property
    def thinned_mm(self) -> float:
        """Taken away or added: corners of the finished pocket that its surface does without."""
        return 0.004 * self._times

    @property
    def _times(self) -> float:
        return self.whole_mm / _LEAST_MM


FINEST: Final = ErrorBudget(whole_mm=_LEAST_MM)
"""The budget of the least clearances."""


def error_budget(clearance_mm: float, *, faces: int) -> ErrorBudget:
    """The budget for a clearance around a body with a number of faces.

    Examples
    --------
    >>> [round(error_budget(clearance, faces=30_000).margin_mm, 4) for clearance in (0.1, 0.2, 0.4, 4.0)]
    [0.01, 0.015, 0.035, 0.045]
    >>> [round(error_budget(4.0, faces=faces).margin_mm, 4) for faces in (800, 8_000, 16_000)]
    [0.01, 0.01, 0.025]
    """
    most = min(MOST_MM, _LEAST_MM * faces / _CHEAP_FACES)
    return ErrorBudget(whole_mm=max(_LEAST_MM, min(_PART * clearance_mm, most)))
