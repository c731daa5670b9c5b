"""Text as plane regions, in an open font: the only place that asks a library for letters.

The font is Bitstream Vera Sans Bold (its own free licence), which comes with
reportlab and is named by its file, so the letters are the same on every
machine. It has the letters of western Europe and Turkey; other Latin letters
are put together from a letter and its accent.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final
from unicodedata import normalize

import numpy as np

from cradle.files.isolation import without_settings
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import Region, region_even_odd, scaled, shifted, union
from cradle.geometry.region_measures import bounds, empty

if TYPE_CHECKING:
    from fontTools.ttLib import TTFont

PLAIN: Final = "Vera.ttf"
"""Bitstream Vera Sans, for words in pictures."""
_BOLD: Final = "VeraBd.ttf"
"""Its bold, for letters in a print."""
_CHORD_EM: Final = 0.001
"""Curves of letters become polylines within this part of the letters' size: 0.01 mm at 10 mm."""
_ACCENTS: Final = {
    "\u0300": "`",
    "\u0301": "\u00b4",
    "\u0302": "\u02c6",
    "\u0303": "\u02dc",
    "\u0304": "\u00af",
    "\u0306": "\u02d8",
    "\u0307": "\u02d9",
    "\u0308": "\u00a8",
    "\u030a": "\u02da",
    "\u030b": "\u02dd",
    "\u030c": "\u02c7",
    "\u0326": ",",
    "\u0327": "\u00b8",
    "\u0328": "\u02db",
}
"""Combining marks of Unicode and the letters of their own that look like them."""
_BELOW: Final = frozenset("\u0326\u0327\u0328")
"""The marks that hang under their letter."""
_NO_LETTER: Final = ".notdef"


def lettering(text: str, *, height_mm: float) -> Region:
    """The text as a region, its lower left corner at the origin; an empty box for a letter the font lacks.

    Parameters
    ----------
    text : str
        One line with at least one visible character.
    height_mm : float
        Height of the tallest letter from the lowest, mm.
    """
    letters = _line(normalize("NFC", text))
    x0, y0, _, y1 = bounds(letters).tolist()
    return scaled(shifted(letters, np.array([-x0, -y0])), height_mm / (y1 - y0))


def letters_missing(text: str) -> str:
    """The letters of a text that the font can not draw, each once.

    >>> letters_missing("Tőzsér"), letters_missing("5 Ωω")
    ('', 'ω')
    """
    unknown = [c for c in normalize("NFC", text) if _NO_LETTER in _names(c)]
    return "".join(dict.fromkeys(unknown))


def _line(text: str) -> Region:
    """Letters set side by side with the font's own spacing, in font units."""
    kerning = _font()["kern"].kernTables[0].kernTable
    placed, x, before = [], 0.0, ""
    for letter in text:
        name, *accents = _names(letter)
        x += kerning.get((before, name), 0)
        area = _accented(name, accents) if accents else _glyph(name)
        if not empty(area):
            placed.append(shifted(area, np.array([x, 0.0])))
        x, before = x + _font()["hmtx"][name][0], name
    return union(placed)


def _names(letter: str) -> list[str]:
    """The font's name of a letter, or of the letter and the accents it is put together from."""
    of = _font().getBestCmap()
    if ord(letter) in of:
        return [of[ord(letter)]]
    base, *marks = list(normalize("NFD", letter))
    if base == "i" and not _BELOW.issuperset(marks):
        base = "\u0131"  # an accent takes the place of the dot
    parts = [base, *(_ACCENTS.get(mark, "") for mark in marks)]
    if not marks or not all(part and ord(part) in of for part in parts):
        return [_NO_LETTER]
    return [of[ord(part)] for part in parts]


def _accented(name: str, accents: list[str]) -> Region:
    """A letter with accents over or under its middle; those over a capital are raised by as much as it is taller than an x."""
    letter = _glyph(name)
    x0, _, x1, top = bounds(letter).tolist()
    below = {_font().getBestCmap()[ord(_ACCENTS[mark])] for mark in _BELOW}
    parts = [letter]
    for accent in accents:
        mark = _glyph(accent)
        left, _, right, _ = bounds(mark).tolist()
        rise = 0.0 if accent in below else max(0.0, top - bounds(_glyph("x"))[3])
        parts.append(shifted(mark, np.array([(x0 + x1 - left - right) / 2, rise])))
    return union(parts)


@cache
def _glyph(name: str) -> Region:
    """One letter as drawn in the font, in font units; its parts may overlap."""
    from fontTools.pens.basePen import decomposeQuadraticSegment
    from fontTools.pens.recordingPen import RecordingPen

    pen = RecordingPen()
    _font().getGlyphSet()[name].draw(pen)
    rings: list[list[Floats]] = []
    parts = []
    for stroke, points in pen.value:
        if stroke == "addComponent":
            part, (*_, dx, dy) = points  # this font only moves its parts
            parts.append(shifted(_glyph(part), np.array([dx, dy])))
        elif stroke == "moveTo":
            rings.append([np.array(points)])
        elif stroke == "lineTo":
            rings[-1].append(np.array(points))
        elif stroke == "qCurveTo":
            for control, end in decomposeQuadraticSegment(points):
                rings[-1].append(_quadratic(rings[-1][-1][-1], np.array(control), np.array(end)))
    return union([region_even_odd([np.concatenate(ring) for ring in rings]), *parts])


def _quadratic(start: Floats, control: Floats, end: Floats) -> Floats:
    """Points on a quadratic Bezier curve after its start, ``(n, 2)``.

    It leaves its chord by |start − 2 control + end| / 4 at most, in n equal
    steps by that over n² (a parabola's second difference).
    """
    bow = float(np.hypot(*(start - 2 * control + end))) / 4
    steps = max(1, int(np.ceil(np.sqrt(bow / (_CHORD_EM * _font()["head"].unitsPerEm)))))
    t = np.arange(1, steps + 1)[:, None] / steps
    return (1 - t) ** 2 * start + 2 * t * (1 - t) * control + t**2 * end


def font_file(name: str) -> Path:
    """The file of one of the fonts that come with reportlab."""
    with without_settings():
        from reportlab import __file__ as reportlab

    return Path(reportlab).parent / "fonts" / name


@cache
def _font() -> TTFont:
    from fontTools.ttLib import TTFont

    return TTFont(font_file(_BOLD))
