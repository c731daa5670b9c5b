"""What it tells that a rule's marks spread apart across it: the camera leans across the rule, or its edge is bevelled.

Marks show the slope of what they stand on against the view to a tenth of a degree. Most rules lie flat; an edge that is
bevelled rises inwards, and a tape hollows. How likely each is, and how much cameras lean, decide by Bayes' rule: marks that
spread inwards by a few degrees or outwards by any are a view that leans.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.picture_view import LEAN_DEG, MarkRow
from cradle.geometry.arrays import frozen
from cradle.noun import noun

if TYPE_CHECKING:
    from cradle.rulers.ruler_marks import Marks

_EVENLY: Final = (np.arange(5) + 0.5) / 5
_BEVELS: Final = np.divide.outer(1.0 + _EVENLY, 6.0 + 6.0 * _EVENLY).ravel()
_HOLLOWS: Final = np.tan(np.radians(np.linspace(-33.0, -15.0, 25)))
_OWN: Final = frozen(np.concatenate([[0.0], _BEVELS, _HOLLOWS]))
"""Slopes of what marks stand on: of a flat rule, of an edge that rises by 1 to 2 mm over 6 to 12, of a tape 16 to 25 mm wide that
is 1.5 to 4 mm hollow (common practice, no source)."""
_SHARE: Final = frozen(np.repeat(np.array([0.5, 0.45, 0.05]) / (1, 25, 25), (1, 25, 25)))
"""How likely each is (common practice, no source)."""
_RATHER_FLAT: Final = 0.8
_SURELY_FLAT: Final = 0.95
"""How likely a rule must be flat for its marks to tell how the view leans, and to tell it as if all rules were: what is stated
as twice the standard uncertainty holds for as many."""
_SURE_DEG: Final = 0.2
_SURE: Final = 0.08
"""Standard uncertainty of the slope that marks show, in degrees and as part of it: in rendered pictures up to 8 % less."""
_SPREADS: Final = 3.0
_INWARDS: Final = 10.0
"""Spacings; about half as far as a rule is wide."""


@noun
class SlopeSeen:
    """Slope at which a rule's marks seem to rise inwards, as seen from ``focal_px`` away, and its standard uncertainty."""

    slope: float
    spread: float
    focal_px: float

    @property
    def surely(self) -> float:
        """The slope, or 0 where it may be noise."""
        return self.slope if abs(self.slope) > _SPREADS * self.spread else 0.0

    @property
    def lean(self) -> tuple[float, float] | None:
        """Slope at which the view leans inwards, by the marks, and its standard uncertainty; None where the rule may not be flat."""
        left = self.slope - _OWN
        varies = float(np.tan(np.radians(LEAN_DEG))) ** 2 + self.spread**2
        likely = _SHARE * np.exp(-(left**2) / (2 * varies))
        likely /= likely.sum()
        if likely[0] < _RATHER_FLAT:
            return None
        if likely[0] > _SURELY_FLAT:
            return self.slope, self.spread
        lean = float(likely @ left)
        return lean, float(np.sqrt(self.spread**2 + likely @ (left - lean) ** 2))


def slope_seen(marks: Marks, *, focal_px: float) -> SlopeSeen:
    """The slope that a rule's marks show.

    Parameters
    ----------
    focal_px : float
        The supposed focal length.
    """
    slope = marks.inward * marks.widening * focal_px
    own = float(np.hypot(_SURE * slope, np.tan(np.radians(_SURE_DEG))))
    return SlopeSeen(
        slope=slope, spread=float(np.hypot(marks.widening_error * focal_px, own)), focal_px=focal_px
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
