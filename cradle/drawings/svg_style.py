"""Which style properties an element of an SVG file has, and whether it is seen by its fill, its stroke and their opacity.

Rules of its style sheets count, then its own. Only properties that hide things, paint or cut them, or would move or shape
them, are kept, and of each selector the value of each that counts: the time to look an element up does not grow with the
number of rules. Section numbers are those of the W3C's Scalable Vector Graphics (SVG) 2.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from enum import StrEnum
from functools import lru_cache
from itertools import chain
from typing import Final, TypeAlias

from cradle.drawings.svg_tree import Element
from cradle.noun import record

GEOMETRY: Final = ("transform", "translate", "rotate", "scale", "d", "r", "cx", "cy", "rx", "ry")
"""Style properties that would move or shape things (8.5, 9.3): refused rather than overlooked."""
ORIGIN: Final = ("transform-origin", "transform-box")
"""What moves the point that a transform turns about (CSS Transforms 1, sections 5 and 6)."""
CUTTING: Final = ("clip-path", "mask")
"""What takes away a part of what is drawn (CSS Masking 1)."""
INHERITED: Final = {
    "fill": "black",
    "fill-opacity": "1",
    "stroke": "",
    "stroke-opacity": "1",
}
"""Properties that groups hand on to what is in them, and their values at the top (13.2 to 13.5); no stroke is said there."""
OPACITY: Final = "opacity"
_PAINTING: Final = frozenset({*INHERITED, OPACITY})
_PRESENTED: Final[tuple[str, ...]] = ("display", "visibility", *ORIGIN, *CUTTING, *sorted(_PAINTING))
"""Properties that may also be given by an attribute of their own."""
_KEPT: Final = frozenset({*GEOMETRY, *_PRESENTED})
_PLAIN: Final = re.compile(r"\*|[.#]?[^\s.#*:>+~\[\]]+")
"""A selector that is followed."""
_OWN: Final = 4
"""Rank of an element's own style, above those of ids 3, classes 2, names 1, all 0 (CSS 2.1, 6.4.3)."""
_RANKS: Final = {"#": 3, ".": 2, "*": 0}
_OTHER_MEDIA: Final = re.compile(
    r"not\s+(?:screen|all)\b|(?:only\s+)?(?!screen\b|all\b|not\b|only\b)[a-z]+\b.*"
)
"""A media query that no screen answers (CSS Media Queries 3, section 2)."""

_Value: TypeAlias = tuple[bool, int, int, str]
"""Whether a value is important, the rank of its selector, the number of its rule, and the value: the greatest counts."""
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


class StyleSheet:
    """The rules of a drawing's style sheets that have a plain selector: ``.class``, ``#id``, ``element`` or ``*``.

    Parameters
    ----------
    texts : iterable of str
        The style sheets in order.
    """

    def __init__(self, texts: Iterable[str]) -> None:
        self.tells_paint = True
        """False if a selector that is not followed paints something: then nothing can be told to be unseen."""
        self._rules: dict[str, dict[str, _Value]] = {}
        self._known: dict[int, tuple[Element, dict[str, str]]] = {}  # held, so that no other takes its number
        blocks = chain.from_iterable(_blocks(_without_remarks(text)) for text in texts)
        for number, (selectors, body) in enumerate(blocks, start=1):
            kept = _properties(body)
            for selector in map(str.strip, selectors.split(",") if kept else ()):
                if _PLAIN.fullmatch(selector):
                    rank = _RANKS.get(selector[0], 1)
                    _take(self._rules.setdefault(selector, {}), kept, rank=rank, number=number)
                elif not _PAINTING.isdisjoint(kept):
                    self.tells_paint = False

    def of(self, element: Element) -> dict[str, str]:
        """The kept properties of an element, in lower case."""
        known = self._known.get(id(element))
        if known is None:
            known = self._known[id(element)] = element, self._found(element)
        return known[1]

    def hides(self, element: Element) -> bool:
        """Whether an element and all in it is left out (``display: none``)."""
        return self.of(element).get("display") == "none"

    def is_visible(self, element: Element, *, where_visible: bool) -> bool:
        """Whether an element shows in a place that does or does not."""
        said = self.of(element).get("visibility", "")
        return where_visible if said in ("", "inherit") else said == "visible"

    def _found(self, element: Element) -> dict[str, str]:
        attributes = element.attributes
        found: dict[str, _Value] = {}
        _take(found, {name: attributes[name] for name in _PRESENTED if name in attributes}, rank=0, number=0)
        for label in _labels(element) if self._rules else ():
            for name, value in self._rules.get(label, {}).items():
                found[name] = max(value, found.get(name, value))
        _take(found, _properties(attributes.get("style", "")), rank=_OWN, number=0)
        return {name: value for name, (*_, value) in found.items()}


def on_screen(media: str) -> bool:
    """Whether a list of media queries has one that a screen may answer.

    Examples
    --------
    >>> on_screen("print"), on_screen("print, screen"), on_screen("(min-width: 9px)"), on_screen("")
    (False, True, True, True)
    """
    return not all(_OTHER_MEDIA.fullmatch(query.strip()) for query in media.lower().split(","))


def _take(into: dict[str, _Value], values: dict[str, str], *, rank: int, number: int) -> None:
    """Put values in, except where a value that counts more is there already."""
    for name, text in values.items():
        value, important, _ = text.partition("!")
        new = (bool(important), rank, number, value.strip())
        into[name] = max(new, into.get(name, new))


def _labels(element: Element) -> Iterator[str]:
    yield from (element.name, "*")
    yield from {f".{name}" for name in element.attributes.get("class", "").split()}
    if "id" in element.attributes:
        yield f"#{element.attributes['id']}"


def _properties(text: str) -> dict[str, str]:
    pairs = (part.partition(":") for part in text.split(";"))
    named = ((name.strip().lower(), value.strip()) for name, _, value in pairs)
    return {name: value for name, value in named if name in _KEPT}


def _without_remarks(text: str) -> str:
    """The text without what stands between ``/*`` and ``*/``, or the end."""
    first, *others = text.split("/*")
    return first + "".join(other.partition("*/")[2] for other in others)


def _blocks(text: str) -> Iterator[tuple[str, str]]:
    """Selectors and body of each rule for a screen; of a rule within another only the inner one."""
    around: list[str] = []
    for part in text.split("}"):
        *heads, body = part.split("{")
        around += [head.rpartition(";")[2].strip() for head in heads]
        media = (outer[6:] for outer in around if outer[:6].lower() == "@media")
        if heads and all(map(on_screen, media)):
            yield around[-1], body
        around = around[:-1]
