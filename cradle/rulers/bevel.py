"""Why a rule's marks spread apart across it: the camera leans across the rule, or its edge is bevelled.

Marks show the slope of what they stand on against the view to a tenth of a degree. Most rules lie flat; an edge that is
bevelled rises inwards, and a tape hollows. How likely each is, and how much cameras lean, decide by Bayes' rule: marks that
spread inwards by a few degrees or outwards by any are a view that leans. Of any others the rule's ends tell: cut square, they
spread apart by as much where all of it is flat, and by less behind a bevel.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.picture_view import LEAN_DEG, MarkRow
from cradle.geometry.arrays import frozen
from cradle.noun import noun
from cradle.rulers.ruler_ends import EndsSeen

if TYPE_CHECKING:
    from cradle.geometry.arrays import Floats
    from cradle.rulers.ruler_marks import Marks

_EVENLY: Final = (np.arange(5) + 0.5) / 5
_RISES_MM, _RUNS_MM = (each.ravel() for each in np.meshgrid(1.0 + _EVENLY, 6.0 + 6.0 * _EVENLY))
_HOLLOWS: Final = np.tan(np.radians(np.linspace(-33.0, -15.0, 25)))
_OWN: Final = frozen(np.concatenate([[0.0], _RISES_MM / _RUNS_MM, _HOLLOWS]))
"""Slopes of what marks stand on: of a flat rule, of an edge that rises by 1 to 2 mm over 6 to 12, of a tape 16 to 25 mm wide that
is 1.5 to 4 mm hollow (common practice, no source)."""
_SHARE: Final = frozen(np.repeat(np.array([0.5, 0.45, 0.05]) / (1, 25, 25), (1, 25, 25)))
"""Prior probability of each (common practice, no source)."""
_MOST_RUN: Final = 0.5
"""Largest part of a rule's width that a bevel takes (common practice, no source)."""
_RATHER_FLAT: Final = 0.8
_SURELY_FLAT: Final = 0.95
"""Probability of a flat rule from which on its marks tell how the view leans, and above which they tell it as if all rules were flat:
a statement of twice the standard uncertainty holds as often."""
_USUAL_LEAN: Final = float(np.tan(np.radians(LEAN_DEG)))
"""Standard deviation of how a view leans across a rule, where its marks alone tell."""
_ANY_LEAN: Final = float(np.tan(np.radians(5.0)))
"""The same where the rule's ends tell too: some cameras are held aslant, and what is stated must hold for those too."""
_SURE_DEG: Final = 0.2
_SURE: Final = 0.08
"""Standard uncertainty of the slope that marks show, in degrees and as part of it: in rendered pictures up to 8 % less."""
_SPREADS: Final = 3.0
_ASKEW: Final = 0.05
_ASKEW_SLOPES: Final = 0.7
"""Probability that an end is not cut square, or not the rule's, and the range of slopes that it then shows with equal probability."""
_INWARDS: Final = 10.0
"""Distance inwards from the marks at which a second row is assumed, in spacings: about half a rule's width."""


@noun
class SlopeSeen:
    """Slope at which a rule's marks seem to rise inwards, as seen from ``focal_px`` away, and its standard uncertainty.

    ``by_ends`` is what the rule's ends tell of it, where they are seen.
    """

    slope: float
    spread: float
    focal_px: float
    by_ends: EndsSeen | None = None

    @property
    def surely(self) -> float:
        """The slope, or 0 where it may be noise."""
        return self.slope if abs(self.slope) > _SPREADS * self.spread else 0.0

    @property
    def lean(self) -> tuple[float, float] | None:
        """Slope at which the view leans inwards, and its standard uncertainty; None where marks do not tell, or the rule may not be flat and no end tells."""
        if not np.isfinite(self.spread):
            return None
        left = self.slope - _OWN
        likely = _SHARE * _normal(left, self.spread**2 + _USUAL_LEAN**2)
        likely /= likely.sum()
        if likely[0] > _SURELY_FLAT:
            return self.slope, self.spread
        if by_both := self._lean_by_ends():
            return by_both
        return _mixed(likely, left, self.spread) if likely[0] >= _RATHER_FLAT else None

    def _lean_by_ends(self) -> tuple[float, float] | None:
        """The slope of the view by marks and ends together; None where no end tells, or one is hardly cut square."""
        if self.by_ends is None:
            return None
        share = _share(self.by_ends.deep_mm)
        by_marks = self.slope - _OWN
        by_ends = self.by_ends.widening * self.focal_px - _rise_between(self.by_ends)
        one, other = self.spread**2, (self.by_ends.error * self.focal_px) ** 2
        both, spread = (by_marks * other + by_ends * one) / (one + other), one * other / (one + other)
        square = share * _normal(by_marks - by_ends, one + other) * _normal(both, spread + _ANY_LEAN**2)
        askew = share * _normal(by_marks, one + _ANY_LEAN**2) / _ASKEW_SLOPES
        if (1 - _ASKEW) * square.sum() < _ASKEW * askew.sum():
            return None
        return _mixed(square / square.sum(), both, float(np.sqrt(spread)))


def _normal(off: Floats, variance: float) -> Floats:
    """The density of normal errors."""
    return np.asarray(np.exp(-(off**2) / (2 * variance)) / np.sqrt(2 * np.pi * variance))


def _share(deep_mm: float) -> Floats:
    """Prior probability of each form for a rule ``deep_mm`` wide: no bevel takes more than half of it."""
    bevelled = np.where(_MOST_RUN * deep_mm >= _RUNS_MM, 1.0, 0.0)
    return np.asarray(_SHARE * np.concatenate([[1.0], bevelled, np.ones(len(_HOLLOWS))]))


def _rise_between(ends: EndsSeen) -> Floats:
    """Slope of each form of rule between the places at which its ends were seen; a tape is as high at either edge."""
    low, high = (np.minimum(_RISES_MM * at / _RUNS_MM, _RISES_MM) for at in (ends.from_mm, ends.to_mm))
    return np.concatenate([[0.0], (high - low) / (ends.to_mm - ends.from_mm), np.zeros(len(_HOLLOWS))])


def _mixed(likely: Floats, each: Floats, spread: float) -> tuple[float, float]:
    """The mean of normal distributions about ``each`` of one ``spread``, mixed with the weights ``likely``, and its standard uncertainty."""
    mean = float(likely @ each)
    return mean, float(np.sqrt(spread**2 + likely @ (each - mean) ** 2))


def slope_seen(marks: Marks, *, focal_px: float, by_ends: EndsSeen | None = None) -> SlopeSeen:
    """The slope that a rule's marks show.

    Parameters
    ----------
    focal_px : float
        The supposed focal length.
    """
    slope = marks.inward * marks.widening * focal_px
    own = float(np.hypot(_SURE * slope, np.tan(np.radians(_SURE_DEG))))
    return SlopeSeen(
        slope=slope,
        spread=float(np.hypot(marks.widening_error * focal_px, own)),
        focal_px=focal_px,
        by_ends=by_ends,
    )


def row_inwards(marks: Marks, seen: SlopeSeen, *, unit_mm: float) -> MarkRow | None:
    """The first and last mark as they would lie further inwards on a flat rule; None where it may not be flat."""
    lean = seen.lean
    if lean is None:
        return None
    slope, spread = (value * _INWARDS * marks.spacing_px / seen.focal_px for value in lean)
    ends = marks.at_px[[0, -1]]
    middle, length = ends.mean(axis=0), float(np.hypot(*(ends[1] - ends[0])))
    inwards = marks.across * marks.inward * _INWARDS * marks.spacing_px
    return MarkRow(
        at_px=frozen(middle + (ends - middle) * (1 + slope) + inwards),
        along_mm=frozen(unit_mm * marks.number[[0, -1]].astype(np.float64)),
        spread_px=float(np.hypot(length * spread / np.sqrt(2.0), marks.rms_px)),
    )
