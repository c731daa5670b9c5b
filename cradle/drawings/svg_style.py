"""Which style properties an element of an SVG file has: rules of its style sheets, then its own.

Only properties that hide things or cut them, or would move or shape them, are kept, and of
each selector the last value of each: the time to look an element up does not
grow with the number of rules.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from cradle.drawings.svg_tree import Element

GEOMETRY: Final = ("transform", "translate", "rotate", "scale", "d", "r", "cx", "cy", "rx", "ry")
"""Style properties that would move or shape things (8.5, 9.3): refused rather than overlooked."""
ORIGIN: Final = ("transform-origin", "transform-box")
"""What moves the point that a transform turns about (CSS Transforms 1, sections 5 and 6)."""
CUTTING: Final = ("clip-path", "mask")
"""What takes away a part of what is drawn (CSS Masking 1)."""
_PRESENTED: Final[tuple[str, ...]] = ("display", "visibility", *ORIGIN, *CUTTING)
"""What may be said by an attribute of its own too."""
_KEPT: Final = frozenset({*GEOMETRY, *_PRESENTED})


class StyleSheet:
    """The rules of a drawing's style sheets that have a plain selector: ``.class``, ``#id``, ``element`` or ``*``.

    Parameters
    ----------
    texts : iterable of str
        The style sheets in order.
    """

    def __init__(self, texts: Iterable[str]) -> None:
        self._rules: dict[str, dict[str, tuple[int, str]]] = {}
        self._known: dict[int, dict[str, str]] = {}
        number = 0
        for text in texts:
            for selectors, body in _blocks(_without_remarks(text)):
                number += 1
                kept = _properties(body)
                for selector in selectors.split(",") if kept else ():
                    own = self._rules.setdefault(selector.strip(), {})
                    own.update((name, (number, value)) for name, value in kept.items())

    def of(self, element: Element) -> dict[str, str]:
        """The kept properties of an element, in lower case."""
        known = self._known.get(id(element))
        if known is None:
            known = self._known[id(element)] = self._found(element)
        return known

    def hides(self, element: Element) -> bool:
        """Whether an element and all in it is left out (``display: none``)."""
        return self.of(element).get("display", "").split("!")[0].strip() == "none"

    def is_visible(self, element: Element, *, where_visible: bool) -> bool:
        """Whether an element shows in a place that does or does not."""
        said = self.of(element).get("visibility", "").split("!")[0].strip()
        return where_visible if said in ("", "inherit") else said == "visible"

    def _found(self, element: Element) -> dict[str, str]:
        attributes = element.attributes
        found: dict[str, str] = {name: attributes[name] for name in _PRESENTED if name in attributes}
        latest: dict[str, tuple[int, str]] = {}
        if self._rules:
            for label in _labels(element):
                for name, stated in self._rules.get(label, {}).items():
                    latest[name] = max(stated, latest.get(name, (0, "")))
        found |= {name: value for name, (_, value) in latest.items()}
        return found | _properties(attributes.get("style", ""))


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
    """Selectors and body of each rule; of a rule within another only the inner one."""
    for part in text.split("}"):
        *_, selectors, body = ["", "", *part.split("{")]
        if "{" in part:
            yield selectors, body
