"""Sheets of paper in a picture: not pieces, but what pieces lie on where something else shows round them.

So it is where the lid is open, or a sheet lies on a table: most of the picture's border shows the room or the
table, and the paper is what differs from that. A sheet that is no lighter is one where a rule lies on it, or over its edge,
beside something that is no hole.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.finding import Finding, note
from cradle.geometry.arrays import Bools, Bytes, Floats
from cradle.noun import noun
from cradle.pictures.ground import colour_difference
from cradle.pictures.masks import filled, shrunk_by, without
from cradle.pictures.regions import CLEAR, LEAST_DIFFERENCE, RIM_PX
from cradle.pictures.thing_shape import mask_shape

if TYPE_CHECKING:
    from cradle.pictures.regions import Regions
    from cradle.pictures.thing_shape import ThingShape

_LEAST: Final = 0.15
"""Least part of the picture that paper covers."""
_CONVEX: Final = 0.92
"""Least part of its convex hull that it covers."""
_FOUR_SIDES: Final = 0.95
"""Least part of the smallest four-sided figure round it that its hull covers; that of a round thing covers four fifths."""
_LIGHTER: Final = 40.0
"""A light sheet is lighter than what it lies on by more than this many levels ..."""
_LIGHT: Final = 0.8
"""... and has more than this part of the levels of the lightest places in the picture, which may be its own."""
_RIM_PX: Final = 5
"""Width of what is left out along its edge, small px: its shadow, and where it curls."""
_MOST: Final = 0.95
"""A rule lies on the sheet if at least this part of its marks does."""
_OVER_EDGE: Final = 0.25
"""A rule lies over the sheet's edge if at least this part of what it covers lies on the sheet."""


@noun
class PaperUnder:
    """What may be a sheet of paper.

    Attributes
    ----------
    number : int
        Among the things of a picture.
    inside_px : (n, 2) float64
        What lies within its edge.
    own : (h, w) uint8
        Its hull in the small copy.
    light : bool
        Whether it is lighter than what it lies on, and hardly darker than anything in the picture.
    """

    number: int
    inside_px: Floats
    own: Bytes
    light: bool

    def carries(self, things: Regions, places_px: Floats) -> bool:
        """Whether nearly all of some places lie on it."""
        return bool((things.numbers_at(places_px) == self.number).mean() >= _MOST)

    def reaches_under(self, things: Regions, polygon_px: Floats) -> bool:
        """Whether a good part of what a polygon covers lies over it."""
        covered = filled(things.in_small(polygon_px), self.own.shape) > 0
        return bool(self.own[covered].mean() >= _OVER_EDGE) if covered.any() else False


def papers(things: Regions, *, rules_px: Sequence[Floats]) -> Iterator[PaperUnder]:
    """The things that may be sheets of paper by their shape, the largest first.

    Parameters
    ----------
    rules_px : sequence of (n, 2)
        What rules cover: one that lies over a sheet's edge takes no part in its shape.
    """
    import cv2

    h, w = things.labels.shape
    light = np.atleast_3d(things.levels).mean(axis=2)
    ground = np.atleast_3d(things.ground).mean(axis=2)
    sizes = np.bincount(things.labels.ravel(), minlength=len(things.boxes) + 1)
    for number in (np.argsort(-sizes[1:], kind="stable") + 1).tolist():
        if sizes[number] < _LEAST * h * w:
            return
        masks = (_largest_part(things, number, covered) for covered in ((), rules_px))
        own = next((mask for mask in masks if mask.any() and _is_sheet(mask_shape(mask))), None)
        if own is None:
            continue
        rings, _ = cv2.findContours(
            shrunk_by(np.pad(own, 1), _RIM_PX), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE, offset=(-1, -1)
        )
        longest = max(rings, key=len)[:, 0].astype(np.float64)
        yield PaperUnder(
            number=number,
            inside_px=things.in_picture(longest),
            own=filled(mask_shape(own).hull.astype(np.float64), own.shape),
            light=_is_light(light, ground, own > 0),
        )


def shows_pieces(on_paper: Regions, things: Regions) -> bool:
    """Whether something on a sheet is a thing of its own, and not what the sheet lies on, seen through a hole in it."""
    return any(
        not cut_off and _unlike_ground(on_paper.labels == number, things)
        for number, cut_off in enumerate(on_paper.cut_off, start=1)
    )


def _unlike_ground(own: Bools, things: Regions) -> bool:
    """Whether the colour of a part of the picture, ``own (h, w)``, is clearly unlike the ground's."""
    deep = shrunk_by(own, 1) > 0
    own = deep if deep.any() else own
    levels, ground = (
        np.median(np.atleast_3d(each)[own].astype(np.float32), axis=0).reshape(1, 1, -1)
        for each in (things.levels, things.ground)
    )
    return bool(colour_difference(levels, ground)[0, 0] > CLEAR * LEAST_DIFFERENCE)


def _is_sheet(shape: ThingShape) -> bool:
    """Whether a thing has four sides, as far as can be seen, and no hollow."""
    import cv2

    four = float(cv2.contourArea(cv2.approxPolyN(shape.hull, 4)))
    return shape.convex >= _CONVEX and float(cv2.contourArea(shape.hull)) >= _FOUR_SIDES * four


def _largest_part(things: Regions, number: int, polygons_px: Sequence[Floats]) -> Bytes:
    """The largest part of a thing beside what polygons cover, ``(h, w)``."""
    import cv2

    small = [things.in_small(polygon) for polygon in polygons_px]
    left = without((things.labels == number).astype(np.uint8), small, rim_px=RIM_PX)
    left = np.asarray(cv2.morphologyEx(left, cv2.MORPH_OPEN, np.ones((_RIM_PX, _RIM_PX), np.uint8)))
    _, labels, stats, _ = cv2.connectedComponentsWithStats(left, connectivity=4)
    return np.asarray(labels == 1 + int(stats[1:, 4].argmax()), dtype=np.uint8) if len(stats) > 1 else left


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
