"""SVG drawings as curves in true mm, y up, the origin at the page's lower left corner.

Follows nested groups, transforms, viewports and ``use``; leaves out what is
hidden, not painted, only defined, or text and pictures, and the page's background, and refuses what a clip path or a
mask cuts. Section numbers are those of the W3C's Scalable Vector Graphics (SVG) 2.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np

from cradle.drawings.bounds import Bounds
from cradle.drawings.curves import Curve, Drawing, Ends
from cradle.drawings.drawing_file import drawing_bytes
from cradle.drawings.svg_frame import check_matrix, fitted, product, transform, user_length, view_box
from cradle.drawings.svg_page import page_of
from cradle.drawings.svg_shapes import SHAPES, Pen, strands
from cradle.drawings.svg_style import CUTTING, GEOMETRY, ORIGIN, TOP, Look, Paint, StyleSheet, on_screen
from cradle.drawings.svg_tree import Element, read_tree
from cradle.errors import CaptureError, located
from cradle.finding import Finding, note
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import region, union
from cradle.geometry.region_measures import distances
from cradle.tolerances import TOLERANCES
from cradle.units import MM_PER

_GROUPS: Final = frozenset({"svg", "g", "a", "switch", "symbol"})
_SAID: Final = frozenset({"text", "image", "foreignObject", "use"})
"""Seen on the page but no curve: told when nothing else is found."""
_DEEPEST_USE: Final = 32
_CUTTERS: Final = ("clipPath", "mask")
_LOCAL: Final = re.compile(r"""url\(\s*["']?#([^"')\s]+)""")
"""How a property refers to an element of the same file."""
_PLAIN: Final = "save it as a plain SVG"
_UNCUT: Final = "take the clip path or mask away, or make what is seen a path of its own"
_LINK: Final = "{http://www.w3.org/1999/xlink}href"


def read_svg(path: Path, *, where: str, unit: str | None = None) -> Drawing:
    """The visible curves of an SVG file in mm.

    Parameters
    ----------
    where : str
        The file's name as the project writes it, for messages.
    unit : str or None
        Length of a user unit in a drawing whose width has no unit. Without it
        96 units make an inch (CSS Values and Units 3, section 5.2) and a
        finding says so.

    Raises
    ------
    CaptureError
        If the file cannot be read; the element and its line are told.
    """
    data = drawing_bytes(path, where=where)
    with located(where):
        try:
            root = read_tree(data)
            page = page_of(root, unit=unit)
            walk = _Walk(root)
            context = walk.inside(root, _Context(page.matrix, page.view))
            walk.children(root, context)
            walk.check_whole(root, context, walk.curves)
            curves, aside = walk.parted(page.size_mm)
        except CaptureError as error:
            raise error.advising(error.hint or _PLAIN) from error
    findings: tuple[Finding, ...] = tuple(replace(finding, where=where) for finding in page.findings)
    if walk.ignored["background"]:
        findings += (
            note(
                "background-left-out",
                "a filled rectangle as large as the page, behind all else, is taken for its background and left out",
                where=where,
            ),
        )
    ignored = tuple(f"{count} {name}" for name, count in sorted(walk.ignored.items()))
    return Drawing(curves=curves, aside=aside, ignored=ignored, findings=findings)


@dataclass(frozen=True, slots=True, eq=False)
class _Context:
    """What an element takes over from those around it.

    Attributes
    ----------
    matrix : (2, 3) float64
        From its coordinates to mm.
    view : (float, float)
        Width and height of the viewport in user units.
    groups : tuple of str
        Names that it can be picked by.
    depth : int
        How many ``use`` lead to it.
    """

    matrix: Floats
    view: tuple[float, float]
    groups: tuple[str, ...] = ()
    visible: bool = True
    paint: Paint = TOP
    depth: int = 0

    def within(self, inner: Floats) -> _Context:
        """The same in the coordinates of an inner frame."""
        return replace(self, matrix=product(self.matrix, inner))


class _Walk:
    """One pass over the tree, gathering curves."""

    def __init__(self, root: Element) -> None:
        self.curves: list[Curve] = []
        self.looks: dict[Curve, Look] = {}
        self.ignored: Counter[str] = Counter()
        self.bounds = Bounds()
        self.by_id: dict[str, Element] = {}
        sheets: list[str] = []
        stack = [root]
        while stack:
            element = stack.pop()
            if "id" in element.attributes:
                self.by_id.setdefault(element.attributes["id"], element)
            if element.name == "style" and on_screen(element.attributes.get("media", "")):
                sheets.append("".join(element.texts))
            stack += reversed(element.children)
        self.style = StyleSheet(sheets)

    def parted(self, page_mm: tuple[float, float]) -> tuple[tuple[Curve, ...], tuple[Curve, ...]]:
        """The curves that are seen, and the others: those unseen, and the background."""
        looks = [self.looks[curve] if self.style.tells_paint else Look.LINED for curve in self.curves]
        seen = [curve for curve, look in zip(self.curves, looks, strict=True) if look is not Look.UNSEEN]
        aside = [curve for curve, look in zip(self.curves, looks, strict=True) if look is Look.UNSEEN]
        if len(self.curves) > 1 and seen and self.looks[seen[0]] is Look.FILLED and _covers(seen[0], page_mm):
            if len(seen) == 1:  # nobody can tell which is meant
                return tuple(self.curves), ()
            aside.append(seen.pop(0))
            self.ignored["background"] += 1
        if seen and (unseen := looks.count(Look.UNSEEN)):
            self.ignored["without fill and stroke"] += unseen
        return tuple(seen), tuple(aside)

    def inside(self, element: Element, context: _Context) -> _Context:
        """The context of what is in an element, in its own coordinates."""
        return replace(
            context,
            visible=self.style.is_visible(element, where_visible=context.visible),
            groups=context.groups + _names(element),
            paint=context.paint.within(self.style.of(element)),
        )

    def children(self, element: Element, context: _Context) -> None:
        for child in element.children:
            if child.name != "symbol":  # drawn only where it is used
                self.element(child, context)

    def element(self, element: Element, context: _Context) -> None:
        if element.name not in _GROUPS and element.name not in SHAPES and element.name not in _SAID:
            return
        self.bounds.add_elements(1)
        if self.style.hides(element):
            self.ignored["hidden"] += 1
            return
        with located(str(element)):
            self.check_style(element)
            own = transform(element.attributes.get("transform", ""), where="transform")
            context = self.inside(element, context.within(own))
            check_matrix(context.matrix)
        before = len(self.curves)
        self.drawn(element, context)
        with located(str(element)):
            self.check_whole(element, context, self.curves[before:])

    def drawn(self, element: Element, context: _Context) -> None:
        """Draw an element in its own coordinates."""
        if element.name in SHAPES:
            if context.visible:
                self.shape(element, context)
            else:
                self.ignored["hidden"] += 1
        elif element.name == "use":
            self.use(element, context)
        elif element.name in _SAID:
            self.ignored[element.name] += 1
        elif element.name == "svg":
            self.children(element, self.viewport(element, element, context))
        else:
            self.children(element, context)

    def check_whole(self, element: Element, context: _Context, curves: Sequence[Curve]) -> None:
        """Refuse curves of an element that a clip path or a mask cuts, for what is seen of them has another outline."""
        style = self.style.of(element) if curves else {}
        for name in CUTTING:
            link = _LOCAL.search(style.get(name, "none"))
            cutter = self.by_id.get(link[1]) if link else None
            if cutter is None or cutter.name not in _CUTTERS:
                continue
            if context.depth >= _DEEPEST_USE:
                raise CaptureError("clip paths within clip paths without end", hint=_UNCUT)
            window = () if cutter.name == "mask" else self.window(cutter, context)
            reach = union([region(curve.points_mm) for curve in window if len(curve.points_mm) > 2])
            points = np.concatenate([curve.points_mm for curve in curves])
            if not window or distances(points, reach).max() > TOLERANCES.gap_mm:
                raise CaptureError(f"a {name} cuts off a part of it, which is not followed", hint=_UNCUT)

    def window(self, cutter: Element, context: _Context) -> Sequence[Curve]:
        """The curves of a clip path: what it leaves to be seen."""
        if cutter.attributes.get("clipPathUnits") == "objectBoundingBox":
            return ()
        own = transform(cutter.attributes.get("transform", ""), where="transform")
        context = replace(context.within(own), visible=True, depth=context.depth + 1)
        curves, self.curves = self.curves, []
        self.children(cutter, context)
        curves, self.curves = self.curves, curves
        return curves

    def check_style(self, element: Element) -> None:
        """Refuse style properties that would move or shape the element."""
        style = self.style.of(element)
        if "transform" in element.attributes and (moved := next((n for n in ORIGIN if n in style), None)):
            raise CaptureError(f'"{moved}" is not read', hint=_PLAIN)
        for name in GEOMETRY:
            if name in style and (element.name in SHAPES or "t" in name) and style[name] != "none":
                raise CaptureError(f'"{name}" stands in a style, which is not read', hint=_PLAIN)

    def shape(self, element: Element, context: _Context) -> None:
        pen = Pen(element=element, matrix=context.matrix, view=context.view, bounds=self.bounds)
        with located(str(element)):
            made = strands(pen)
        for number, (points, ends) in enumerate(made, start=1):
            name = str(element) if len(made) == 1 else f"{element}, part {number}"
            curve = Curve(points_mm=points, ends=ends, name=name, groups=context.groups)
            self.curves.append(curve)
            self.looks[curve] = context.paint.look(element.name)

    def use(self, element: Element, context: _Context) -> None:
        """Draw what a ``use`` refers to, at its place (5.6)."""
        link = element.attributes.get("href", element.attributes.get(_LINK, ""))
        if not link.startswith("#"):
            self.ignored["link to another file" if link else "use of nothing"] += 1
            return
        target = self.by_id.get(link[1:])
        with located(str(element)):
            if target is None:
                raise CaptureError(f'nothing has the id "{link[1:41]}"')
            if context.depth >= _DEEPEST_USE:
                raise CaptureError("a <use> element refers to itself")
            x = user_length(element.attributes.get("x", "0"), whole=context.view[0], where="x")
            y = user_length(element.attributes.get("y", "0"), whole=context.view[1], where="y")
        context = replace(context.within(_moved(x, y)), depth=context.depth + 1)
        if target.name != "symbol":
            self.element(target, context)
            return
        if self.style.hides(target):
            self.ignored["hidden"] += 1
            return
        with located(str(element)):
            own = transform(target.attributes.get("transform", ""), where="transform")
        inner = self.inside(target, self.viewport(target, element, context.within(own)))
        self.children(target, inner)

    def viewport(self, element: Element, sized: Element, context: _Context) -> _Context:
        """The context within a nested svg or symbol, whose width and height are given by ``sized`` or by itself."""

        def length(name: str, of: Element, axis: int, default: str) -> float:
            text = of.attributes.get(name, default).strip()
            return user_length(default if text == "auto" else text, whole=context.view[axis], where=name)

        own = element.attributes
        with located(str(element)):
            width = length("width", sized, 0, own.get("width", "100%"))
            height = length("height", sized, 1, own.get("height", "100%"))
            placed = context.within(_moved(length("x", element, 0, "0"), length("y", element, 1, "0")))
        box = view_box(element)
        if box is None:
            return replace(placed, view=(width, height))
        with located(str(element)):
            if width <= 0 or height <= 0:
                raise CaptureError("a viewport needs a width and a height above 0")
            fit = fitted(box, width=width, height=height, keep=own.get("preserveAspectRatio"))
        return replace(placed.within(fit), view=(box[2], box[3]))


def _covers(curve: Curve, page_mm: tuple[float, float]) -> bool:
    """Whether a curve is an upright rectangle as large as the page, to within a pixel, or larger."""
    low, high = curve.points_mm.min(axis=0), curve.points_mm.max(axis=0)
    corners = (np.isclose(curve.points_mm, low) | np.isclose(curve.points_mm, high)).all()
    covered = (low <= MM_PER["px"]).all() and (high >= np.array(page_mm) - MM_PER["px"]).all()
    return bool(min(page_mm) > 0 and curve.ends is Ends.CLOSED and corners and covered)


def _moved(x: float, y: float) -> Floats:
    return np.array([[1.0, 0.0, x], [0.0, 1.0, y]])


def _names(element: Element) -> tuple[str, ...]:
    """Names an element can be picked by: its id and any label."""
    return tuple(
        value
        for key, value in element.attributes.items()
        if value and (key == "id" or key.rpartition("}")[2] == "label")
    )
