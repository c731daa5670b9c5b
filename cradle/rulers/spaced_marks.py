"""What the spacing of a rule's marks tells of the lens: one that bends lines draws marks together outwards, or apart.

How the view leans makes them denser from one end to the other, along a law of three coefficients
(`cradle.rulers.mark_law`); a lens makes them denser at both ends. A rule that is bent bows, and its marks stay where they are.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.bowed_sides import LensSeen
from cradle.geometry.least_squares import least_squares, slopes

if TYPE_CHECKING:
    from cradle.geometry.arrays import Floats
    from cradle.rulers.ruler_marks import Marks

_UNEVEN_MM: Final = 0.02
"""How far marks of a rule, many in a row, may lie from even spacing (common practice, no source)."""
_ROUNDS: Final = 8


def lens_by_spacing(marks: Marks, size_px: tuple[int, int], *, px_per_mm: float) -> LensSeen:
    """The lens by how far marks of a rule lie from the law that straight lenses show.

    Parameters
    ----------
    size_px : (int, int)
        The picture's.
    """
    middle = (np.array(size_px, dtype=np.float64) - 1) / 2
    out = marks.at_px - middle
    half_px = float(np.ptp(marks.at_px @ marks.ahead)) / 2
    along = (out - out.mean(axis=0)) @ marks.ahead / half_px
    moved = (out @ marks.ahead) * (out**2).sum(axis=1) / float(middle @ middle) / half_px
    number = 2 * (marks.number - marks.number.mean()) / np.ptp(marks.number)

    def residual(values: Floats) -> Floats:
        a, b, c, k1 = values
        return np.asarray(along + k1 * moved - (a + b * number) / (1 + c * number))

    values, left = least_squares(residual, np.array([0.0, 1.0, 0.0, 0.0]), rounds=_ROUNDS, share=1e-9)
    slope = slopes(residual, values)
    told = float(np.linalg.inv(slope.T @ slope)[3, 3])
    uneven = len(left) * (_UNEVEN_MM * px_per_mm / half_px) ** 2
    return LensSeen(k1=float(values[3]), spread=float(np.sqrt(told * (left @ left / len(left) + uneven))))
