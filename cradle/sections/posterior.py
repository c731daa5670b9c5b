"""Posterior: where every section lies, how sure that is, and which readings decide it.

A section's placing is five numbers: where the middle of its width and depth
lies (x, y, mm), its turn from the drawing (rad), and its scale along the
thing's x and y about that middle. The placings of all sections together are
taken as normally distributed, with the estimate as their mean (JCGM 102:2011).

The covariance includes all uncertainty that the placing rests on, also the
tracing error at the ends that calipers touch. This error acts a second time, on
the outline itself, and `Posterior.gain` lets both effects be added up: where the
true outline lies ``t`` outside the drawn one at the ends of a reading, and the
reading is ``e`` too large, the true placing differs from the estimate by
``-gain @ (e + t)``.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, frozen
from cradle.noun import noun
from cradle.project.side import Side

PARAMETERS: Final = 5
"""Unknowns of one section: x_mm, y_mm, turn_rad, scale_x, scale_y."""
X, Y, TURN, SCALE_X, SCALE_Y = range(PARAMETERS)
"""Their indices."""


class ReadingKind(StrEnum):
    """What a reading is of."""

    WIDTH = "width"
    DEPTH = "depth"
    GIRTH = "girth"
    FRONT = "front"
    BACK = "back"
    LEFT = "left"
    RIGHT = "right"
    TURN = "turn"
    """The turn as drawn, or as given, rad."""
    SHIFT_X = "shift x"
    SHIFT_Y = "shift y"
    SCALE = "scale"
    """That a drawing is to scale, as its unit states."""
    SCALE_APART = "scale of the axes"
    """That a drawing's two directions have one scale."""
    MIRROR_TURN = "mirror turn"
    """The lean of a section's mirror line from the thing's mirror plane, rad."""
    MIRROR_PLACE_X = "mirror place x"
    MIRROR_PLACE_Y = "mirror place y"
    """How far a section's mirror line lies off the thing's mirror plane, mm."""
    LIKENESS_X = "likeness x"
    LIKENESS_Y = "likeness y"
    LIKENESS_TURN = "likeness turn"
    """Shift, mm, or turn, rad, at which a section is most like the one below."""
    HEIGHT = "height"
    """The section's height, as noted, mm."""
    INSTRUMENT = "calipers"
    """The calipers' own error, the same for all readings, in units of its limit."""
    PLANE = "mirror plane"
    TILT = "tilt of the view"
    """The tilt that a view still has after it was set upright, the same at all its edges, rad."""
    LEAN_X = "lean along x"
    LEAN_Y = "lean along y"
    """That the whole thing leans no further than things do, mm for each mm of height."""


CALIPERS: Final = (ReadingKind.WIDTH, ReadingKind.DEPTH)
"""Caliper readings, by axis."""
PROFILES: Final = frozenset(map(ReadingKind, Side))
EXTENTS: Final = frozenset({*CALIPERS, *PROFILES})
"""Readings that say how large a section is."""
MIRROR_PLACES: Final = (ReadingKind.MIRROR_PLACE_X, ReadingKind.MIRROR_PLACE_Y)
"""Places of mirror lines, by axis."""


@noun
class Reading:
    """One thing that the placing rests on.

    Attributes
    ----------
    section : int
        Index of the section, from the lowest.
    spread : float
        Its standard uncertainty; mm, rad for turns, a pure number for scales.
    own : float
        The part of the spread that is the reading's own, in the same unit; the
        rest is the tracing error at its ends. The calipers' own error and the
        sections' heights count elsewhere: 0 for these. For likeness and lean,
        which say what forms usually do, it is the median of their spread: where
        another reading shows an odd form, its likeness loses weight, and the
        median describes the spread that is left to within 22 % (simulated, at
        50, 68 and 80 of 100, for readings as sure as 0.2 to 0.7 of a misfit).
    ends_mm : (e, 2) float64
        Places on the placed section whose tracing error enters, e is 0, 1 or 2.
    """

    kind: ReadingKind
    section: int
    spread: float
    own: float
    ends_mm: Floats


@noun
class Posterior:
    """What is known of where k sections lie.

    Attributes
    ----------
    estimate : (k, 5) float64
        x_mm, y_mm, turn_rad, scale_x, scale_y of each section, from the lowest.
    covariance : (5k, 5k) float64
        Of all sections together, in the same order.
    readings : tuple of m Reading
        The readings that decide it.
    gain : (5k, m) float64
        Change of the estimate for a change of 1 of each reading.
    lean_known : (bool, bool)
        Whether anything measured says how the sections lie beside each other along x, and along y.
    """

    estimate: Floats
    covariance: Floats
    readings: tuple[Reading, ...]
    gain: Floats
    lean_known: tuple[bool, bool] = (True, True)

    def spreads(self) -> Floats:
        """Standard uncertainties of each section's five numbers, ``(k, 5)``: mm, mm, rad, 1, 1."""
        return np.sqrt(np.diagonal(self.covariance)).reshape(-1, PARAMETERS)


def movements(points_mm: Floats, *, middle_mm: Floats) -> Floats:
    """How points of a placed section move for a change of its placing, ``(n, 2, 5)``.

    Movement along x and y, mm, for 1 mm of x, 1 mm of y, 1 rad of turn, and 1
    of scale along x and along y, all about the section's middle.

    Examples
    --------
    >>> import numpy as np
    >>> movements(np.array([[3.0, 2.0]]), middle_mm=np.array([1.0, 1.0]))[0].tolist()
    [[1.0, 0.0, -1.0, 2.0, 0.0], [0.0, 1.0, 2.0, 0.0, 1.0]]
    """
    x, y = (points_mm - middle_mm).T
    out = np.zeros((len(points_mm), 2, PARAMETERS))
    out[:, X, X] = out[:, Y, Y] = 1.0
    out[:, X, TURN], out[:, Y, TURN] = -y, x
    out[:, X, SCALE_X], out[:, Y, SCALE_Y] = x, y
    return frozen(out)
