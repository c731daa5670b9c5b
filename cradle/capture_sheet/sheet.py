"""The capture sheet: marks of known place around an empty middle, to print on A4 or Letter.

Terms: the *band* is a chessboard two squares deep round the sheet. Its white
squares carry *markers* (AprilTag 36h11, an open published family: Olson,
"AprilTag: a robust and flexible visual fiducial system", ICRA 2011), which say
which place is which. Its inner corners, where two black squares meet, are the
*chess corners*, which say exactly where. Everything is in mm from the page's
lower left corner, y up.
"""

from __future__ import annotations

from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from cradle.errors import CaptureError
from cradle.files.isolation import pdf_canvas
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.ring import Box
from cradle.noun import record
from cradle.units import MM_PER, PAPER_MM

if TYPE_CHECKING:
    from collections.abc import Iterator

CHECK_LENGTH_MM: Final = 150.0
"""The printed length to verify with a rule."""
_MODULES: Final = 8
"""A 36h11 marker is 6 by 6 bits inside a black border one bit wide."""


@record
class SheetDesign:
    """Where everything lies on one size of capture sheet.

    Attributes
    ----------
    name : str
        Paper size.
    page_mm : tuple of float
        Width and height of the paper.
    squares : tuple of int
        Squares of the band's outer rectangle along x and y.
    origin_mm : tuple of float
        Lower left corner of the band.
    first_id : int
        Id of the first marker; sizes share no ids.
    square_mm, marker_mm : float
        Sides of a square and of the marker centred in it.
    """

    name: str
    page_mm: tuple[float, float]
    squares: tuple[int, int]
    origin_mm: tuple[float, float]
    first_id: int
    square_mm: float = 11.0
    marker_mm: float = 7.5


SHEETS: Final[dict[str, SheetDesign]] = {
    "A4": SheetDesign(
        name="A4", page_mm=PAPER_MM["A4"], squares=(17, 23), origin_mm=(11.5, 30.0), first_id=0
    ),
    "Letter": SheetDesign(
        name="Letter", page_mm=PAPER_MM["Letter"], squares=(17, 21), origin_mm=(14.45, 31.0), first_id=100
    ),
}
"""The two designs, by name."""


def design_named(name: str) -> SheetDesign:
    """The design for a paper size, upper or lower case.

    Raises
    ------
    CaptureError
        If there is no sheet of that size.
    """
    for known, design in SHEETS.items():
        if known.lower() == name.lower():
            return design
    raise CaptureError(f"no capture sheet of size {name!r}", hint=f"choose {' or '.join(SHEETS)}")


def _in_band(design: SheetDesign, i: int, j: int) -> bool:
    nx, ny = design.squares
    return min(i, j, nx - 1 - i, ny - 1 - j) < 2


def _squares(design: SheetDesign) -> Iterator[tuple[int, int, float, float]]:
    """Column, row and lower left corner of each square of the band, bottom row first."""
    for j in range(design.squares[1]):
        for i in range(design.squares[0]):
            if _in_band(design, i, j):
                x, y = (o + k * design.square_mm for o, k in zip(design.origin_mm, (i, j), strict=True))
                yield i, j, x, y


@cache
def marker_corners(design: SheetDesign) -> dict[int, Floats]:
    """Corners of every marker by id, each ``(4, 2)``, mm.

    In the order the detector returns: upper left, upper right, lower right,
    lower left, as the marker is read.
    """
    inset = (design.square_mm - design.marker_mm) / 2
    white = [(x, y) for i, j, x, y in _squares(design) if (i + j) % 2]
    corners = {}
    for number, (x, y) in enumerate(white):
        x0, x1, y0, y1 = x + inset, x + inset + design.marker_mm, y + inset, y + inset + design.marker_mm
        corners[design.first_id + number] = frozen([[x0, y1], [x1, y1], [x1, y0], [x0, y0]])
    return corners


@cache
def marker_family() -> Any:
    """The part of the family 36h11 that the sheets use, as OpenCV's dictionary: a third of it, so a third of the search."""
    import cv2

    family = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    count = 1 + max(max(marker_corners(design)) for design in SHEETS.values())
    return cv2.aruco.Dictionary(family.bytesList[:count], family.markerSize, family.maxCorrectionBits)


@cache
def chess_corners(design: SheetDesign) -> Floats:
    """Places where four squares of the band meet, ``(n, 2)``, mm."""
    nx, ny = design.squares
    ring = [(i, j) for j in range(1, ny) for i in range(1, nx) if i in (1, nx - 1) or j in (1, ny - 1)]
    return frozen(np.array(ring) * design.square_mm + np.array(design.origin_mm))


def middle_mm(design: SheetDesign) -> Box:
    """The empty middle, mm."""
    (x, y), (nx, ny), s = design.origin_mm, design.squares, design.square_mm
    return x + 2 * s, y + 2 * s, x + (nx - 2) * s, y + (ny - 2) * s


def check_line(design: SheetDesign) -> Floats:
    """The ends of the check length, the middles of its end strokes, ``(2, 2)``, mm."""
    x = design.page_mm[0] / 2
    y = design.origin_mm[1] - 8.0
    return frozen([[x - CHECK_LENGTH_MM / 2, y], [x + CHECK_LENGTH_MM / 2, y]])


def black_shapes(design: SheetDesign) -> tuple[Floats, ...]:
    """What is printed black: groups of rectangles ``(k, 4)`` of x, y, width, height, mm.

    First the black squares, then one group a marker. Rectangles of a group
    overlap nowhere; runs of black bits in a row are one rectangle.
    """
    import cv2

    family = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    size = design.square_mm
    black = [(x, y, size, size) for i, j, x, y in _squares(design) if (i + j) % 2 == 0]
    groups = [frozen(black)]
    bit = design.marker_mm / _MODULES
    for number, corners in marker_corners(design).items():
        dark = family.generateImageMarker(number, _MODULES) < 128  # (8, 8), row 0 at the top
        left, top = corners[0]
        rects = []
        for row in range(_MODULES):
            edges = np.flatnonzero(np.diff(np.concatenate([[0], dark[row].astype(int), [0]])))
            rects += [
                (left + a * bit, top - (row + 1) * bit, (b - a) * bit, bit)
                for a, b in edges.reshape(-1, 2).tolist()
            ]
        groups.append(frozen(rects))
    return tuple(groups)


def sheet_pdf(design: SheetDesign) -> bytes:
    """The sheet as a PDF page of exact size, vectors only, the same bytes every time."""
    unit = 1.0 / MM_PER["pt"]
    out = BytesIO()
    page = pdf_canvas(out, page_mm=design.page_mm, title=f"capture sheet {design.name}")
    page.setSubject("print at 100 %")
    page.setFillGray(0)
    for group in black_shapes(design):
        path = page.beginPath()
        for x, y, width, height in group.tolist():
            path.rect(x * unit, y * unit, width * unit, height * unit)
        page.drawPath(path, stroke=0, fill=1)
    _draw_words(page, design, unit)
    page.showPage()
    page.save()
    return out.getvalue()


def _draw_words(page: Any, design: SheetDesign, unit: float) -> None:
    """Title and notes above the band; check length and places to write below it."""

    def words(x: float, y: float, text: str, *, size_mm: float, bold: str = "") -> None:
        page.setFont(f"Helvetica{bold}", size_mm / 0.72 * unit)
        page.drawString(x * unit, y * unit, text)

    def rule(x0: float, y0: float, x1: float, y1: float, *, width_mm: float) -> None:
        page.setLineWidth(width_mm * unit)
        page.line(x0 * unit, y0 * unit, x1 * unit, y1 * unit)

    left = design.origin_mm[0]
    top = design.origin_mm[1] + design.squares[1] * design.square_mm
    words(left, top + 7.2, f"Capture sheet {design.name}", size_mm=3.0, bold="-Bold")
    words(left + 62, top + 7.2, "Print at 100 % (actual size), not fitted to the page.", size_mm=2.2)
    note = "Draw in the empty middle, or lay a dark template there, flat. Take the picture from straight above, with all marks in focus."
    words(left, top + 2.6, note, size_mm=1.9)

    ends = check_line(design)
    (x0, y), (x1, _) = ends.tolist()
    rule(x0, y, x1, y, width_mm=0.2)
    for x in (x0, x1):
        rule(x, y - 2.5, x, y + 2.5, width_mm=0.2)
    label = f"this line must measure {CHECK_LENGTH_MM:.1f} mm between the end strokes"
    words(x0 + 4, y + 1.2, label, size_mm=2.0)
    words(x0 + 108, y + 1.2, "it reads", size_mm=2.0)
    rule(x0 + 119, y + 1.0, x0 + 138, y + 1.0, width_mm=0.15)
    words(x0 + 139, y + 1.2, "mm", size_mm=2.0)

    y -= 8.5
    for name, at, length in (("thing", 0.0, 62.0), ("section", 76.0, 40.0), ("height", 132.0, 34.0)):
        words(left + at, y, name, size_mm=2.2)
        rule(left + at + 2 + 2.0 * len(name), y - 0.4, left + at + length + 10, y - 0.4, width_mm=0.15)
    words(left + 177.5, y, "mm", size_mm=2.2)
    caution = "Knives are sharp: cut on a mat along a metal ruler, fingers behind the blade; then cap it."
    words(left, y - 5.0, caution, size_mm=1.7)
