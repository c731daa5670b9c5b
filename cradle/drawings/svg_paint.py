"""Whether a shape of an SVG file is seen: its fill and stroke, and how transparent they are.

Section numbers are those of the W3C's Scalable Vector Graphics (SVG) 2.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from enum import StrEnum
from functools import lru_cache
from typing import Final

from cradle.noun import record

INHERITED: Final = {
    "fill": "black",
    "fill-opacity": "1",
    "stroke": "",
    "stroke-opacity": "1",
}
"""Properties that groups hand on to what is in them, and their values at the top (13.2 to 13.5); no stroke is said there."""
OPACITY: Final = "opacity"
_ZERO: Final = r"[+-]?0*\.?0*(?:e[+-]?\d+)?(?:%|[a-z]*)"
_NOTHING: Final = re.compile(_ZERO)
_CLEAR: Final = re.compile(
    rf"|none|transparent|#[\da-f]{{3}}0|#[\da-f]{{6}}00|(?:rgb|hsl)a?\((?:(?:[^,]*,){{3}}|[^/]*/)\s*{_ZERO}\s*\)"
)
"""Colours without any opacity (CSS Color 4, sections 5 and 6)."""


class Look(StrEnum):
    """How a shape is seen."""

    LINED = "lined"
    FILLED = "filled"
    """Filled, without a line around it."""
    UNSEEN = "unseen"


@record
class Paint:
    """What shapes in one place are painted with.

    Attributes
    ----------
    style : mapping of str to str
        Values of `INHERITED`.
    clear : bool
        Whether a group around them is wholly transparent.
    """

    style: Mapping[str, str]
    clear: bool = False

    def within(self, own: Mapping[str, str]) -> Paint:
        """The same within an element of the given style."""
        said = {name: own[name].lower() for name in INHERITED if name in own}
        kept = {name: value for name, value in said.items() if value not in ("", "inherit", "unset")}
        clear = self.clear or (OPACITY in own and _is_zero(own[OPACITY].lower()))
        return (
            self
            if not kept and clear == self.clear
            else replace(self, style={**self.style, **kept}, clear=clear)
        )

    def look(self, shape: str) -> Look:
        """How a shape is seen.

        A line, which has nothing to fill, counts as seen unless something says that it is not; so does
        a stroke of no width, by which some programs mean the finest (common practice, no source).
        """
        if self.clear:
            return Look.UNSEEN
        if self._shows("stroke") or (shape == "line" and not self.style["stroke"]):
            return Look.LINED
        return Look.FILLED if self._shows("fill") and shape != "line" else Look.UNSEEN

    def _shows(self, name: str) -> bool:
        return not (_is_clear(self.style[name]) or _is_zero(self.style[f"{name}-opacity"]))


TOP: Final = Paint(style=INHERITED)
"""At the top of a drawing that says nothing."""


@lru_cache(maxsize=256)
def _is_clear(colour: str) -> bool:
    return _CLEAR.fullmatch(colour) is not None


@lru_cache(maxsize=256)
def _is_zero(text: str) -> bool:
    return any(letter.isdigit() for letter in text) and _NOTHING.fullmatch(text) is not None
