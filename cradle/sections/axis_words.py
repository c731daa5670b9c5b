"""Words for x and y in messages."""

from __future__ import annotations

from typing import Final

from cradle.noun import record


@record
class _AxisWords:
    """Words for one axis: its letter, what a section's size along it is called, and to which side coordinates grow.

    ``square`` is the side at which a square stands if distances from it count in the opposite direction.
    """

    letter: str
    size: str
    large: str
    grows: str
    square: str


AXES: Final = (
    _AxisWords(letter="x", size="width", large="wide", grows="to the right", square="on the right"),
    _AxisWords(
        letter="y", size="depth", large="deep", grows="away from the viewer", square="behind the thing"
    ),
)
SIZES: Final = tuple(axis.size for axis in AXES)
"""Width and depth."""
