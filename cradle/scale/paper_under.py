"""Sheets of paper in a picture: not pieces, but what pieces lie on where something darker shows round them.

So it is where the lid is open, or a white sheet lies on a table: most of the picture's border shows the room or the
table, and the paper is what differs from that.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.finding import Finding, note
from cradle.geometry.arrays import Bools, Floats
from cradle.noun import noun
from cradle.pictures.masks import shrunk_by
from cradle.pictures.thing_shape import shape_of

if TYPE_CHECKING:
    from cradle.pictures.regions import Regions

_LEAST: Final = 0.15
"""Part of the picture that paper covers at least."""
_CONVEX: Final = 0.95
_FOUR_SIDES: Final = 0.95
"""Part of the least four-sided figure round it that it fills; a round thing's fills four fifths."""
_LIGHTER: Final = 40.0
"""Levels by which it is lighter than what it lies on."""
_LIGHT: Final = 0.8
"""Part of the light of the lightest thing in the picture, a paper's own if there is none lighter."""
_RIM_PX: Final = 5
"""Small px along its edge that are left out: its shadow, and where it curls."""
_MOST: Final = 0.95
"""Part of what lies on it that does."""


@noun
class Paper:
    """A sheet of paper: its number among the things of a picture, and what lies within its edge, ``(n, 2)`` px."""

    number: int
    inside_px: Floats

    def carries(self, things: Regions, places_px: Floats) -> bool:
        """Whether nearly all of some places lie on it."""
        return bool((things.numbers_at(places_px) == self.number).mean() >= _MOST)


def papers(things: Regions) -> Iterator[Paper]:
    """The things that may be sheets of paper, by their shape and their light, the largest first."""
    import cv2

    h, w = things.labels.shape
    light = np.atleast_3d(things.levels).mean(axis=2)
    ground = np.atleast_3d(things.ground).mean(axis=2)
    sizes = np.bincount(things.labels.ravel(), minlength=len(things.boxes) + 1)
    for number in (np.argsort(-sizes[1:], kind="stable") + 1).tolist():
        if sizes[number] < _LEAST * h * w:
            return
        own = things.labels == number
        shape = shape_of(things, number)
        four = float(cv2.contourArea(cv2.approxPolyN(shape.hull, 4)))
        full = float(cv2.contourArea(shape.hull)) / max(four, 1.0)
        if shape.convex < _CONVEX or full < _FOUR_SIDES or not _is_light(light, ground, own):
            continue
        rings, _ = cv2.findContours(
            shrunk_by(np.pad(own, 1), _RIM_PX), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE, offset=(-1, -1)
        )
        longest = max(rings, key=len)[:, 0].astype(np.float64)
        yield Paper(number=number, inside_px=things.in_picture(longest))


def on_paper_note(*, where: str) -> Finding:
    """The note that a sheet of paper was taken for what the pieces lie on."""
    return note(
        "pieces-on-paper",
        "what lies on the sheet of paper was traced, not the sheet: the ruler or the card lies on it as well",
        "if the sheet is the piece, lay nothing on it",
        where=where,
    )


def _is_light(light: Floats, ground: Floats, own: Bools) -> bool:
    """Whether most of a thing is lighter than what it lies on, and hardly darker than anything in the picture."""
    usual = float(np.median(light[own]))
    lightest = float(np.quantile(light, 0.99))
    return usual - float(np.median(ground[own])) > _LIGHTER and usual > _LIGHT * lightest
