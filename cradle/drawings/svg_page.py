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
from cradle.noun import noun, record
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


@record
class _Length:
    """A length of the page as it is written: ``unit`` is empty where it names none of its own."""

    mm: float
    unit: str


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
    written = [_length(root, name, factor=factor) for name in ("width", "height")]
    stated = next((length.unit for length in reversed(written) if length is not None and length.unit), None)
    width, height = (None if length is None else length.mm for length in written)
    box = view_box(root)
    if box is None:  # user units are px, whatever unit the page's size is in
        per_unit = factor if stated is None else MM_PER["px"]
        view = ((width or 0.0) / per_unit, (height or 0.0) / per_unit)
        fit = IDENTITY * per_unit
    else:
        view = box[2], box[3]
        if width is None:  # 8.1: a missing size follows the shape of the view box
            width = box[2] * factor if height is None else height * box[2] / box[3]
        if height is None:
            height = width * box[3] / box[2]
        fit = fitted(box, width=width, height=height, keep=root.attributes.get("preserveAspectRatio"))
    if stated is None and unit is None:
        lacking = "the page's width has no true unit"
        findings: tuple[Finding, ...] = (unit_unknown(lacking, taken="96 px to the inch", where=""),)
    elif stated is None:
        findings = ()
    else:
        name, mm_per = ("px", MM_PER["px"]) if box is None else (stated, ABSOLUTE[stated])
        findings = unit_doubt(name, mm_per=mm_per, given=unit, where="")
    upright = np.array([[1.0, 0.0, 0.0], [0.0, -1.0, height or 0.0]])
    own_turn = transform(root.attributes.get("transform", ""), where="transform of the page")
    return Page(
        matrix=product(product(upright, fit), own_turn),
        view=view,
        size_mm=(width or 0.0, height or 0.0),
        findings=findings,
    )


def _length(root: Element, name: str, *, factor: float) -> _Length | None:
    """The page's width or height; None where it has no size of its own."""
    text = root.attributes.get(name, "").strip()
    if text in ("", "auto") or text.endswith("%"):
        return None
    number, unit = length_parts(text, where=f"{name} of the page")
    if number <= 0:
        raise CaptureError(f"expected a length above 0, not {text[:40]}", where=f"{name} of the page")
    if unit in ABSOLUTE:
        return _Length(mm=number * ABSOLUTE[unit], unit=unit)
    return _Length(mm=number * factor, unit="")
