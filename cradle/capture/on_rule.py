"""What lies over a rule or a card: a hand, a clip, or a piece laid too near; where it does, it is not traced."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.capture.edge_doubts import doubt
from cradle.finding import Severity
from cradle.geometry.planar import distances, region

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cradle.capture.traced_picture import TracedPiece
    from cradle.geometry.arrays import Floats

_NEAR_PX: Final = 2.0
"""An edge that stops at a rule lies on the border of what the rule covers."""
_LONG_MM: Final = 3.0


def told_on_rules(
    pieces: Sequence[TracedPiece], covered_px: Sequence[Floats], *, grain: float, where: str
) -> list[TracedPiece]:
    """The pieces, those that lie over a rule or a card with that said of them.

    Beside others it is a hand or a weight more often than a piece: one note takes the place of what is doubtful
    about its edge. Alone, or picked, it is a warning.

    Parameters
    ----------
    pieces : sequence of TracedPiece
    covered_px : sequence of (n, 2)
        What rules and cards cover.
    grain : float
        Length of a pixel, mm.
    where : str
        The picture's name.
    """
    over = [_length_over(piece, covered_px, grain) for piece in pieces]
    alone = all(length > _LONG_MM for length in over)
    return [
        piece if length <= _LONG_MM else _told(piece, length, where, alone=alone)
        for piece, length in zip(pieces, over, strict=True)
    ]


def _length_over(piece: TracedPiece, covered_px: Sequence[Floats], grain: float) -> float:
    """Length of a piece's edge that lies on the border of what is covered, or within it, mm."""
    closed = np.concatenate([piece.ring_px, piece.ring_px[:1]])
    steps = np.diff(closed, axis=0)
    lengths = np.hypot(*steps.T)
    middles = closed[:-1] + steps / 2
    near = np.zeros(len(middles), dtype=bool)
    for polygon in covered_px:
        near |= distances(middles, region(polygon)) < _NEAR_PX
    return float(lengths[near].sum()) * grain


def _told(piece: TracedPiece, length: float, where: str, *, alone: bool) -> TracedPiece:
    found = doubt(
        "piece-on-rule",
        f"it lies over a rule or a card: {length:.0f} mm of its edge are not seen",
        f"{where}: piece {piece.number}",
        "lay it clear of the rule if it is a piece",
        measured=length,
        limit=_LONG_MM,
        unit="mm",
    )
    if alone:
        return replace(piece, findings=(*piece.findings, found))
    return replace(piece, findings=(replace(found, severity=Severity.NOTE),))
