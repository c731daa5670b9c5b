"""The borders of a picture, by which what runs out of it is told."""

from __future__ import annotations

from enum import StrEnum


class Border(StrEnum):
    """One of a picture's four borders."""

    LEFT = "left"
    RIGHT = "right"
    UPPER = "upper"
    LOWER = "lower"
