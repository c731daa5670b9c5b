"""What may be a card that the picture does not show whole, in words: why there is no scale from it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cradle.pictures.thing_shape import shape_of

if TYPE_CHECKING:
    from cradle.pictures.regions import Regions

_FULL: Final = 0.85
"""Least part of the smallest box round it, turned as it lies, that a card that is cut off covers."""
_SLENDER: Final = 0.2
"""Least ratio of short to long side of what is seen of it."""
_PART: Final = (0.01, 0.4)
"""Least and greatest part of the picture that it covers: a table's edge beside a mat covers more."""
_SIDES: Final = ("left", "top", "right", "bottom")


def cut_off_card(things: Regions) -> str | None:
    """In words, at which borders a thing that may be a card runs out of the picture, or None where there is none.

    Parameters
    ----------
    things : Regions
        All that lies on the ground.
    """
    high, wide = things.labels.shape
    for number, (x, y, w, h) in enumerate(things.boxes, start=1):
        out = [
            side
            for side, runs in zip(_SIDES, (x <= 1, y <= 1, x + w >= wide - 1, y + h >= high - 1), strict=True)
            if runs
        ]
        if 0 < len(out) < 3 and _straight_sided(things, number):
            return f"a bank card seems to be cut off at the {' and the '.join(out)} of the picture: show all of it"
    return None


def _straight_sided(things: Regions, number: int) -> bool:
    """Whether a thing fills its box, turned as it lies, as a part of a card does."""
    if not _PART[0] < float((things.labels == number).mean()) < _PART[1]:
        return False
    shape = shape_of(things, number)
    return shape.deep > _SLENDER * shape.long and shape.convex * shape.full > _FULL
