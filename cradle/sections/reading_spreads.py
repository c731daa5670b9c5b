"""Spreads of readings: calipers, profile gauges, drawings as people lay them, and things as they are.

What is measured on things comes from the level outlines of 44 scanned
household things, 70 to 150 mm, cut at three and at five heights each where
their sides bend most, neighbours compared in their true places.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.noun import record
from cradle.project.fit import SpreadSpec

CALIPER_LIMIT_MM: Final = 0.02
"""Digital calipers up to 100 mm: ±0.02, DIN 862 as quoted second hand."""
_LONG_CALIPER_LIMIT_MM: Final = 0.03
"""The same beyond 100 mm."""
_FINE_STEP_MM: Final = 0.01
"""Last digit of digital calipers (common practice, no source)."""
PROFILE_MM: Final = 0.10
"""Spread of a profile gauge's reading (common practice, no source)."""
VIEW_MM: Final = 0.30
"""Spread of the edge of a silhouette (common practice, no source)."""
GIVEN_MM: Final = 0.10
"""Spread of a shift given (common practice, no source)."""
GIVEN_DEG: Final = 0.2
"""Spread of a turn given (common practice, no source)."""
LAID_DEG: Final = 2.5
"""Spread of how far a sheet lies askew on the table or in the scanner (common practice, no source)."""
KNOWN_AXES_DEG: Final = 0.5
"""Spread of the direction of a half outline's mirror line (common practice, no source)."""
HALF_LINE_MM: Final = 0.2
"""Spread of how far a half outline's mirror line lies beside the thing's: the whole is wider or narrower by twice that (common practice, no source)."""
STRING_SHARE: Final = 0.007
"""Spread of a girth: how a string stretches and lies (common practice, no source)."""
UNCHECKED_SCALE: Final = 0.02
"""Spread of a drawing's scale where calipers tell the size better: templates and phone pictures are off by that."""
SCALE_FREEDOM: Final = 2.0
"""Degrees of freedom (Student's t) of a drawing's scale: most are true, some are off by percents."""
AXES_SHARE: Final = 0.003
"""Spread of one axis' scale against the other's: a scanner's two directions differ by 0.1 to 0.5 %."""
FREE_MM: Final = 1e-3
"""Spread that holds what is chosen, not read: where the origin of the whole thing lies."""
UNLIKE_SHARE: Final = 0.45
"""Scale of Student's t, with `UNLIKE_FREEDOM`, for the shift between neighbours of which nothing was read, in misfits:
of the measured shifts 68 of 100 are within 0.64, 80 within 1.08, 90 within 1.9, 95 within 2.4."""
UNLIKE_FREEDOM: Final = 1.7
UNLIKE_SPREAD: Final = 0.85
"""Standard uncertainty of that shift, in misfits: a normal distribution with it agrees with the measured one at 80 of 100."""
STEADY_MM: Final = 0.08
"""Scale of Student's t, with `UNLIKE_FREEDOM`, for how far the middle of a section steps off a straight line from
its neighbour's, where both sides were read and run straight; a wander that they show is combined with it in squares.

Measured on the 44 things and on 55 shapes of other sources (parts of robots, bones, tools), three and five heights, sides as
views and profile gauges show them: half of the steps are within 0.7 of these scales on the things, within 0.6 on all,
four in five within 1.8 and 1.9 (Student's t: 0.85 and 2.0). How unlike the two outlines are tells nothing beside that:
the mean logarithm of the density gains 0.005 at most.
"""
STEADY_SPREAD: Final = 1.5
"""Standard uncertainty of that step, in scales, that agrees with the measured ones at 80 of 100 (1.3 to 1.5)."""
MIRROR_MM: Final = 0.06
"""Spread of a mirror line's place from one upright plane, at no height."""
MIRROR_SHARE: Final = 0.004
"""What each mm of height adds to that: measured 0.009 of the height between neighbours for 68 of 100, 0.05 for 98."""
MIRROR_DEG: Final = 0.15
"""Spread of a mirror line's turn from that plane, beside what its outline leaves open: measured 0.33 between two."""
MIRROR_FREEDOM: Final = 2.0
"""Degrees of freedom (Student's t) of mirror lines and of the lean."""
SQUARE_DEG: Final = 4.0
"""How far calipers are held askew to the thing's mirror plane (common practice, no source)."""
LEAN: Final = 0.012
"""Scale of how far things lean that stand on a plane, mm for each mm of height: 50 to 68 of 100 neighbours lean by
less than 0.012 to 0.03 (measured; what their likeness explains is taken out only in part)."""
FORM_MEDIAN: Final = 0.3
"""Factor in `form_shift_mm`, the median spread of the shift between neighbours of which nothing was read.

Each thing has a further factor of its own, unknown and log-normal
(`UNREAD_TAIL`), the same in both directions and between all its neighbours. The
most likely value here is 0.25; with 0.3 the clearances that those things need
are as likely at three heights and likelier at five, and a print too tight costs
more than one too loose.
"""
FORM_MM: Final = 1.2
"""Added there to the difference of two extents: equal ones may be shifted too."""
LEAN_MEDIAN: Final = 0.008
"""Median spread of the lean where nothing was read of it, mm for each mm of height; a thing's own factor multiplies it too."""
UNREAD_TAIL: Final = 0.72
"""Standard deviation of the natural logarithm of a thing's own factor.

This, `FORM_MM` and `LEAN_MEDIAN` are the most likely for those shifts, as
careful measuring finds them. The logarithm of the likelihood is larger by 33 at
three heights, and by 25 at five, than with half a misfit in every direction and
a factor of 0.9, as much on one half of the things as on the other; with a factor
for each shift instead of each thing it is less by 38 and 28.
"""


def rectangular(half_width: float) -> float:
    """Standard uncertainty of a value anywhere within ± a half width: a/√3 (JCGM 101:2008, 6.4.2)."""
    return float(half_width / np.sqrt(3.0))


def combined(terms: Sequence[float] | Floats) -> float:
    """Root of the sum of squares: independent standard uncertainties combined (JCGM 100:2008, eq. 10)."""
    return float(np.sqrt(np.square(np.asarray(terms, dtype=np.float64)).sum()))


def form_shift_mm(*, misfit_mm: float, change_mm: float) -> float:
    """Median spread of the shift along one axis between neighbours that nothing ties, mm: 0.3 √(misfit · (change + 1.2)).

    Two outlines of equal width lie flush on both sides, or one is shifted as a
    whole, which is rare. Where one is wider, it may be flush on one side, and the
    middles half the change apart; that is more frequent among unlike outlines than
    among like ones.

    Parameters
    ----------
    misfit_mm : float
        How far the two outlines lie apart where they are laid upon each other best.
    change_mm : float
        How much longer one is than the other along the axis.

    Examples
    --------
    >>> round(form_shift_mm(misfit_mm=1.0, change_mm=0.0), 2), round(form_shift_mm(misfit_mm=1.0, change_mm=8.0), 2)
    (0.33, 0.91)
    """
    return FORM_MEDIAN * float(np.sqrt(misfit_mm * (change_mm + FORM_MM)))


def reading_mm(spec: SpreadSpec) -> float:
    """Spread of one caliper reading without the instrument's own error: the hand and the last digit."""
    step = _FINE_STEP_MM if spec.step_mm is None else spec.step_mm
    return combined([spec.calipers_mm, rectangular(step / 2)])


def caliper_limit_mm(length_mm: float) -> float:
    """The limit of the calipers' own error at a length, ± mm; one pair of calipers errs alike in all its readings."""
    return CALIPER_LIMIT_MM if length_mm <= 100.0 else _LONG_CALIPER_LIMIT_MM


@record
class ExtentSpread:
    """How sure the edges of a view are.

    Attributes
    ----------
    own_mm : float
        Spread of an edge at a height, by itself.
    tilt_rad : float
        Spread of the tilt that is left, which moves all its edges at once.
    middle_mm : (float, float)
        The point about which the view is tilted: its coordinate along the axis that is shown, and its height.
    """

    own_mm: float
    tilt_rad: float
    middle_mm: tuple[float, float]

    def arm_mm(self, *, across_mm: float, height_mm: float, rise: float) -> float:
        """How far an edge is moved along its axis by 1 rad of tilt, mm; ``rise`` is its slope there.

        A point (a, h) goes to (a + t h, h − t a), so that the edge e(h) becomes e(h + t a) + t h.
        """
        across, up = across_mm - self.middle_mm[0], height_mm - self.middle_mm[1]
        return up + rise * across
