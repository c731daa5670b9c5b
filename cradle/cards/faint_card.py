"""A card hardly darker than what it lies on: its shadow is as dark as it is, so where its sides are is doubtful.

A scanner's picture settles it: whether one side is mistaken for a shadow or all of them by as
much, the form left is no card's. A camera's view takes up such misses as a lean.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.cards.card import SHORT_MM
from cradle.finding import doubt, in_mm
from cradle.pictures.masks import filled

if TYPE_CHECKING:
    from cradle.calibration.scale import Scale
    from cradle.geometry.arrays import Floats
    from cradle.pictures.regions import Regions

_FAINT: Final = 35.0
"""A faint card differs from its ground by at most this many levels in any channel; a soft shadow beside it darkens the ground as much."""
_OFF_MM: Final = 0.3
"""Largest error of a faint card's side in rendered pictures."""
_FITS_MM: Final = 0.006
"""Sides of a smaller rms error are the card's own. One side mistaken by 0.1 mm leaves as much, and two by 0.15, where the
card lies straight and a scanner's two directions may differ; more where it lies aslant.

In rendered scans 0.001 to 0.004 where all were seen, 0.03 to 0.08 where one was mistaken."""
_WITHIN: Final = 0.9
_AROUND: Final = (1.12, 1.3)
"""What is compared, in sizes of the card: all within the first, and the ground between the other two, beyond its shadow."""


def is_faint(card: Scale, things: Regions) -> bool:
    """Whether a card is hardly darker than the ground."""
    darker = _darker(card.marks_px, things)
    return bool(darker.mean() > 0.0 and np.abs(darker).max() <= _FAINT)


def doubted_as_faint(card: Scale) -> Scale:
    """A faint card's scale, less sure and with a warning; as it is where a scanner's picture shows a card's form."""
    off = float(np.sqrt((card.calibration.residual_mm**2).mean()))
    if card.calibration.lens is None and off < _FITS_MM:
        return card
    warning = doubt(
        "card-faint",
        f"the card hardly stands out from what it lies on: a side may be mistaken for its shadow, {_OFF_MM:g} mm off,"
        f" and lengths be {100 * _OFF_MM / SHORT_MM:.1f} % wrong",
        "lay the card on something darker, or turn its darker face up",
        where="card",
        **in_mm(_OFF_MM),
    )
    return card.doubted(_OFF_MM / np.sqrt(3.0) / SHORT_MM, warning)


def _darker(corners_px: Floats, things: Regions) -> Floats:
    """By how many levels a card is darker than the ground round it, in the median of each channel, ``(c,)``."""
    middle = corners_px.mean(axis=0)
    polygons = (middle + size * (corners_px - middle) for size in (*_AROUND[::-1], _WITHIN))
    wide, near, own = (filled(things.in_small(each), things.labels.shape) > 0 for each in polygons)
    seen = things.levels.astype(np.float64)
    if not (wide & ~near).any() or not own.any():
        return np.zeros(1)
    return np.asarray(np.median(seen[wide & ~near], axis=0) - np.median(seen[own], axis=0))
