"""``[section.picture]`` and ``[view.picture]``: an outline in a scan or a photograph."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from enum import StrEnum
from typing import Final, TypeAlias

from cradle.project.convert import LEAST_SIZE_MM, Choice, FilePath, length, list_of, number, whole_number
from cradle.project.key import Table, Values, key, spec
from cradle.project.mistake import Mistake

Pixel: TypeAlias = tuple[float, float]

PICTURE_ENDINGS: Final = (".png", ".jpg", ".jpeg", ".tif", ".tiff", ".bmp", ".webp", ".gif", ".heic", ".heif")
_THICKEST_MM: Final = 20.0
"""A thicker piece is no template."""
_PLACE: Final = list_of(number("a number", unit="px", least=-0.5, most=1e5), names="x y")
_NUMBER: Final = whole_number("the number of a piece, counted from 1", most=999)


class Traced(StrEnum):
    """What of a picture is the outline."""

    PIECE = "piece"
    """The edge of a cut piece: it has the section's shape."""
    CUT_OUT = "cut_out"
    """The hollow cut into a piece, closed by its chord."""
    LINE = "line"
    """A drawn line."""


class LineEdge(StrEnum):
    """Which edge of a drawn line is meant."""

    MIDDLE = "middle"
    INSIDE = "inside"
    OUTSIDE = "outside"


class ScaleFrom(StrEnum):
    """Where a picture's scale is taken from."""

    AUTO = "auto"
    """The most trusted of all that are there: sheet, ruler, card, tag."""
    SHEET = "sheet"
    RULER = "ruler"
    BANK_CARD = "bank_card"
    TAG = "tag"


@spec
class PictureSource:
    """An outline in a scan or a photograph.

    Places are in px of the upright picture, x to the right and y down from
    its upper left corner.
    """

    file: str = key(
        FilePath(PICTURE_ENDINGS),
        "the picture: .png .jpg .tif .bmp .webp .gif, .heic .heif with pillow-heif",
        start="scans/rim.png",
    )
    shape: Traced = key(
        Choice(Traced), "{}: a cut piece, a hollow cut into one, or a drawn line", default=Traced.PIECE
    )
    pick: int | None = key(
        _NUMBER, "which piece, counted row by row; or a point on it, in px:", default=None, example=1
    )
    point_px: Pixel | None = key(_PLACE, default=None, example=[812, 1204])
    back: int | None = key(
        _NUMBER, "cut_out: this one is the back; the section's depth joins the two", default=None, example=2
    )
    back_file: str | None = key(
        FilePath(PICTURE_ENDINGS), "if the back is in another picture", default=None, example="scans/back.png"
    )
    edge: LineEdge = key(Choice(LineEdge), "line", default=LineEdge.MIDDLE)
    scale: ScaleFrom = key(Choice(ScaleFrom), "{}; or your own:", default=ScaleFrom.AUTO)
    mm_per_px: float | None = key(
        number("a length in mm", unit="mm", least=0.001, most=10.0),
        default=None,
        name="mm_per_px",
        example=0.0846667,
    )
    dpi: float | None = key(
        number("dots per inch", unit="dpi", above=1.0, most=20000.0), default=None, example=300
    )
    from_px: Pixel | None = key(
        _PLACE, "two points, in px, and the distance between them", default=None, example=[310, 2210]
    )
    to_px: Pixel | None = key(_PLACE, default=None, example=[2081, 2214])
    apart_mm: float | None = key(length(least=LEAST_SIZE_MM), default=None, example=150.0)
    distance_mm: float | None = key(
        length(above=20.0, most=2000.0),
        "lens to paper, to correct for a card's thickness",
        default=None,
        example=400,
    )
    thickness_mm: float | None = key(
        length(least=0.0, most=_THICKEST_MM),
        "of the piece on the capture sheet, 0.3 unless told: lenses see it larger",
        default=None,
        example=1.5,
    )
    check_mm: float | None = key(
        length(above=100.0, most=200.0),
        "what your ruler reads on the sheet's 150 mm line",
        default=None,
        example=150.0,
    )

    @property
    def of_any_size(self) -> PictureOfAnySize:
        """The same outline without anything that is said of its scale, for when its size does not matter."""
        said = {f.name: getattr(self, f.name) for f in fields(self) if f.name not in _SAYS_SCALE}
        return PictureOfAnySize(**said)


_SAYS_SCALE: Final = {"scale", "mm_per_px", "dpi", "from_px", "to_px", "apart_mm"}


@spec
class PictureOfAnySize(PictureSource):
    """An outline of which nobody needs to know how large it is."""


_NOT_TOGETHER: Final = (
    ("mm_per_px", "dpi", "found mm_per_px and dpi"),
    ("pick", "point", "found pick and point"),
)
"""Pairs of keys of which only one may be given, and what is said where both are; the mistake is that of the second."""
_POINTS: Final = {"from_px": "from", "to_px": "to", "apart_mm": "apart"}


def check_picture(values: Values) -> Iterator[Mistake]:
    """Scales given twice or in part, a cut-out joined with itself, and keys the shape has no use for."""
    given = {_PICTURE_FIELDS[field] for field, value in values.items() if value is not None}
    points = [name for name in _POINTS.values() if name in given]
    for field, name in _POINTS.items():
        if points and name not in given and field in values:
            hint = "a scale from two points needs from, to and the distance apart, in mm"
            yield Mistake(found="missing", hint=hint, at=(name,))
    for one, other, found in _NOT_TOGETHER:
        if {one, other} <= given:
            yield Mistake(found=found, hint="give one of them", at=(other,))
    asked = values.get("scale", ScaleFrom.AUTO)
    if asked is not ScaleFrom.AUTO and (points or given & {"mm_per_px", "dpi"}):
        yield Mistake(
            found=f"both {asked} and a scale of your own are given",
            hint="leave scale out to use the one you give",
            at=("scale",),
        )
    yield from _of_other_shapes(values, given)
    yield from _back_in_the_same_picture(values)


def _of_other_shapes(values: Values, given: set[str]) -> Iterator[Mistake]:
    shape = values.get("shape")
    if shape is None:
        return
    if shape is not Traced.LINE and values.get("edge", LineEdge.MIDDLE) is not LineEdge.MIDDLE:
        found = f"the shape {shape} has no edge to choose"
        yield Mistake(found=found, hint="only a line has edges", at=("edge",))
    backs = [name for name in ("back", "back_file") if name in given]
    if backs and shape is not Traced.CUT_OUT:
        found = f"the shape {shape} has no back"
        yield Mistake(found=found, hint="only two cut-outs are joined", at=(backs[0],))


def _back_in_the_same_picture(values: Values) -> Iterator[Mistake]:
    """A back that is the front, or that a point cannot be told from."""
    if not {"pick", "point_px", "back", "back_file"} <= values.keys():
        return
    pick, back = values["pick"], values["back"]
    if back is None or values["back_file"] is not None:
        return
    if values["point_px"] is not None:
        yield Mistake(
            found="found point and back in one picture",
            hint="say by number which piece is the front, pick = 1, or give the back its own picture, back_file",
            at=("point",),
        )
    elif back == (pick or 1):
        is_front = "is the front" if pick is not None else "is the front, as no pick is given"
        yield Mistake(
            found=f"found {back}, and piece {back} {is_front}",
            hint="front and back are two pieces: give back the other's number, or its own picture, back_file",
            at=("back",),
        )


PICTURE: Final = Table(makes=PictureSource, check=check_picture)
_PICTURE_FIELDS: Final = {key.field: name for name, key in PICTURE.keys.items()}
"""Names of a picture's keys by the fields they fill."""
