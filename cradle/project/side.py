"""The sides of a thing, as somebody who stands in front of it names them."""

from __future__ import annotations

from enum import StrEnum


class Side(StrEnum):
    """A side of the thing: x grows to the right, y away from the viewer."""

    FRONT = "front"
    BACK = "back"
    LEFT = "left"
    RIGHT = "right"

    @property
    def axis(self) -> int:
        """0 for x, 1 for y."""
        return 0 if self in (Side.LEFT, Side.RIGHT) else 1

    @property
    def outward(self) -> int:
        """1 where the coordinate grows outward on this side, -1 where it falls."""
        return 1 if self in (Side.RIGHT, Side.BACK) else -1


PAIRS: tuple[tuple[Side, Side], ...] = ((Side.LEFT, Side.RIGHT), (Side.FRONT, Side.BACK))
"""The sides across from each other, by axis: where the coordinate is least, then where it is greatest."""
