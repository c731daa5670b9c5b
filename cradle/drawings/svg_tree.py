"""An SVG file as a tree of elements, read without ever following a reference out of it.

Entities are refused where they are declared (they can multiply without end),
so are files nested too deeply; nothing is fetched.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final
from xml.parsers import expat

from cradle.drawings.drawing_file import not_understood
from cradle.errors import CaptureError

_SVG_SPACE: Final = "http://www.w3.org/2000/svg"
_DEEPEST: Final = 128
"""Elements within elements; drawings have a dozen."""
_MOST: Final = 200_000
"""Elements of a file, drawn or not; each holds some 0.5 kB."""
_MOST_ATTRIBUTES: Final = 1_000_000
_COMPRESSED: Final = b"\x1f\x8b"


@dataclass(slots=True, eq=False, kw_only=True)
class Element:
    """An element: its plain name, or ``{space}name`` outside SVG's own name space."""

    name: str
    attributes: dict[str, str]
    line: int
    texts: list[str] = field(default_factory=list)
    children: list[Element] = field(default_factory=list)

    def __str__(self) -> str:
        own = self.attributes.get("id")
        return f'{self.name} "{own[:40]}" (line {self.line})' if own else f"{self.name} (line {self.line})"


def read_tree(data: bytes) -> Element:
    """The root element of an SVG file.

    Raises
    ------
    CaptureError
        If the bytes are no XML, no SVG, or declare entities; the line is told.
    """
    if data[:2] == _COMPRESSED:
        raise CaptureError("the file is compressed", hint="save it as a plain SVG")
    top = _Reading().of(data)
    if top.name != "svg":
        raise CaptureError(
            f"expected an svg element at the top, not {top.name[:40]}",
            hint="save the drawing as SVG",
        )
    return top


class _Reading:
    """One pass over a file, which puts every element into the one that is open."""

    def __init__(self) -> None:
        self.parser = expat.ParserCreate(namespace_separator="}")
        self.parser.buffer_text = True
        self.parser.StartElementHandler = self.start
        self.parser.EndElementHandler = self.end
        self.parser.CharacterDataHandler = self.text
        self.parser.EntityDeclHandler = self.entity
        self.around = Element(name="", attributes={}, line=0)
        self.open_elements = [self.around]
        self.elements = 0
        self.attributes = 0

    def of(self, data: bytes) -> Element:
        """The element at the top."""
        try:
            self.parser.Parse(data, True)  # noqa: FBT003  expat takes no keywords
        except expat.ExpatError as error:
            rest = data[self.parser.ErrorByteIndex :].decode(errors="replace")
            raise CaptureError(
                f"line {error.lineno}, column {error.offset + 1}: {not_understood(rest)}",
                hint="this is not well-formed SVG; save the drawing again",
            ) from error
        except CaptureError:
            raise
        except (ValueError, LookupError) as error:  # an encoding that does not exist
            raise CaptureError(f"the text cannot be decoded: {error}", hint="save it as UTF-8") from error
        return self.around.children[0]

    def start(self, name: str, attributes: dict[str, str]) -> None:
        line = self.parser.CurrentLineNumber
        if len(self.open_elements) > _DEEPEST:
            raise CaptureError(f"line {line}: more than {_DEEPEST} elements within each other")
        self.elements += 1
        self.attributes += len(attributes)
        if self.elements > _MOST or self.attributes > _MOST_ATTRIBUTES:
            raise CaptureError(
                f"the file has more than {_MOST} elements or {_MOST_ATTRIBUTES} attributes",
                hint="save the outline alone",
            )
        plain = {_plain(key): value for key, value in attributes.items()}
        element = Element(name=_plain(name), attributes=plain, line=line)
        self.open_elements[-1].children.append(element)
        self.open_elements.append(element)

    def end(self, _: str) -> None:
        self.open_elements.pop()

    def text(self, characters: str) -> None:
        if self.open_elements[-1].name == "style":
            self.open_elements[-1].texts.append(characters)

    def entity(self, name: str, *_: object) -> None:
        raise CaptureError(
            f"line {self.parser.CurrentLineNumber}: the file declares an entity ({name[:30]}), which is not read",
            hint="save it as a plain SVG",
        )


def _plain(name: str) -> str:
    """Names of SVG's own space and names in no space stay bare; others become ``{space}name``."""
    space, parted, local = name.rpartition("}")
    if not parted or space == _SVG_SPACE:
        return local
    return "{" + name
