"""The page of an SVG drawing: how its user units lie in mm, and what is doubtful about that.

Section numbers are those of the W3C's Scalable Vector Graphics (SVG) 2.
"""

from __future__ import annotations

import numpy as np

from cradle.drawings.file_unit import unit_doubt, unit_factor, unit_unknown
from cradle.drawings.svg_frame import ABSOLUTE, IDENTITY, fitted, length_parts, product, transform, view_box
from cradle.drawings.svg_tree import Element
from cradle.errors import CaptureError
from cradle.finding import Finding
from cradle.geometry.arrays import Floats
from cradle.noun import noun
from cradle.units import MM_PER


@noun
class Page:
    """How the outermost coordinates lie on paper.

    Attributes
    ----------
    matrix : (2, 3) float64
        From user units to mm, y up, the origin at the lower left corner.
    view : (float, float)
        Width and height in user units.
    size_mm : (float, float)
        Width and height on paper, 0 where nothing tells them.
    findings : tuple of Finding
        On the unit.
    """

    matrix: Floats
    view: tuple[float, float]
    size_mm: tuple[float, float]
    findings: tuple[Finding, ...]


def page_of(root: Element, *, unit: str | None) -> Page:
    """The page of a drawing.

    Parameters
    ----------
    root : Element
        The svg element at the top.
    unit : str or None
        What a length without a unit is in; px when None.

    Raises
    ------
    CaptureError
        If width, height, view box or transform cannot be read.
    """
    factor, _ = unit_factor(None, given=unit or "px", where="")
    (width, its_unit), (height, unit_up) = (
        _length(root, name, factor=factor) for name in ("width", "height")
    )
    stated = unit_up or its_unit or None
    box = view_box(root)
    if box is None:  # user units are px, whatever unit the page's size is in
        per_unit = factor if stated is None else MM_PER["px"]
        size_mm = width or 0.0, height or 0.0
        view = size_mm[0] / per_unit, size_mm[1] / per_unit
        fit = IDENTITY * per_unit
    else:
        size_mm = _filled_in(width, height, like=box[2:], factor=factor)
        view = box[2], box[3]
        keep = root.attributes.get("preserveAspectRatio")
        fit = fitted(box, width=size_mm[0], height=size_mm[1], keep=keep)
    upright = np.array([[1.0, 0.0, 0.0], [0.0, -1.0, size_mm[1]]])
    own_turn = transform(root.attributes.get("transform", ""), where="transform of the page")
    return Page(
        matrix=product(product(upright, fit), own_turn),
        view=view,
        size_mm=size_mm,
        findings=_doubts("px" if stated and box is None else stated, given=unit),
    )


def _filled_in(
    width: float | None, height: float | None, *, like: tuple[float, float], factor: float
) -> tuple[float, float]:
    """Width and height of the page, mm; where one is missing it follows the shape of the view box (8.1), where both are they are the view box's."""
    if width is None:
        width = like[0] * factor if height is None else height * like[0] / like[1]
    return width, width * like[1] / like[0] if height is None else height


def _doubts(stated: str | None, *, given: str | None) -> tuple[Finding, ...]:
    """What is doubtful about the unit of the drawing's numbers, stated by its page, or given in the project."""
    if stated is not None:
        mm_per = MM_PER["px"] if stated == "px" else ABSOLUTE[stated]
        return unit_doubt(stated, mm_per=mm_per, given=given, where="")
    if given is not None:
        return ()
    return (unit_unknown("the page's width has no true unit", taken="96 px to the inch", where=""),)


def _length(root: Element, name: str, *, factor: float) -> tuple[float | None, str]:
    """The page's width or height, mm, and the unit that it names; None where it states no size, and empty where it names no unit."""
    text = root.attributes.get(name, "").strip()
    if text in ("", "auto") or text.endswith("%"):
        return None, ""
    number, unit = length_parts(text, where=f"{name} of the page")
    if number <= 0:
        raise CaptureError(f"expected a length above 0, not {text[:40]}", where=f"{name} of the page")
    if unit in ABSOLUTE:
        return number * ABSOLUTE[unit], unit
    return number * factor, ""
