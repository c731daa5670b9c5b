"""How a thing is lifted out of its holder, in words."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats

_UPRIGHT_DEG: Final = 0.5
_BESIDE: Final = 0.4
"""A part of the lean this small beside the other is not named."""


def lift_out_words(direction: Floats) -> str:
    """The way out in words, such as ``straight up`` or ``6° from upright, to the back``.

    Parameters
    ----------
    direction : (3,) float64
        Unit vector in the print frame: x to the right, y to the back.

    Examples
    --------
    >>> lift_out_words(np.array([0.0, 0.0, 1.0]))
    'straight up'
    >>> lift_out_words(np.array([0.0, 0.1, 0.995]))
    '6° from upright, to the back'
    """
    x, y, up = direction.tolist()
    lean = float(np.degrees(np.arctan2(np.hypot(x, y), up)))
    if lean < _UPRIGHT_DEG:
        return "straight up"
    most = max(abs(x), abs(y))
    ways = [
        word
        for part, word in ((-y, "front"), (y, "back"), (-x, "left"), (x, "right"))
        if part > _BESIDE * most
    ]
    return f"{lean:.0f}° from upright, to the {' and '.join(ways)}"
