"""How x and y are spoken of."""

from __future__ import annotations

from typing import Final

from cradle.noun import record


@record
class _AxisWords:
    """Words for one axis: its letter, how large a section is along it, where it grows to.

    ``square`` is where a square stands from which distances count in the opposite direction.
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
