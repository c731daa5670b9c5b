"""Why no card is seen where one may lie, in words: part of it is outside the picture, or what it lies on has a pattern."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cradle.names import listed
from cradle.pictures.thing_shape import shape_of

if TYPE_CHECKING:
    from cradle.pictures.regions import Regions

_FULL: Final = 0.85
"""Least part of the smallest box round it, turned as it lies, that a card that is cut off covers."""
_SLENDER: Final = 0.2
"""Least ratio of short to long side of what is seen of it."""
_PART: Final = (0.01, 0.4)
"""Least and greatest part of the picture that it covers: a table's edge beside a mat covers more."""
_PATTERN: Final = 6
"""As many things with straight sides are no cards, but a pattern (common practice, no source)."""


def unseen_card(things: Regions) -> str | None:
    """In words, why a card may not be seen: it runs out of the picture, or is one of many in a pattern; None where neither is so.

    Parameters
    ----------
    things : Regions
        All that lies on the ground.
    """
    straight = [number for number in range(1, len(things.boxes) + 1) if _straight_sided(things, number)]
    if len(straight) >= _PATTERN:
        return f"{len(straight)} things with straight sides are seen, such as a cloth's checks: lay it on something plain"
    for number in straight:
        borders = things.borders_of(number)
        if 0 < len(borders) < 3:
            return f"a bank card seems to be cut off at the picture's {listed(borders)} edge: show all of it"
    return None


def _straight_sided(things: Regions, number: int) -> bool:
    """Whether a thing fills its box, turned as it lies, as a part of a card does."""
    if not _PART[0] < float((things.labels == number).mean()) < _PART[1]:
        return False
    shape = shape_of(things, number)
    return shape.deep > _SLENDER * shape.long and shape.convex * shape.full > _FULL
