"""``[[section]]`` and ``[loft]``: the outlines of the thing, where each comes from, and how they become a body."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import field
from enum import StrEnum
from typing import Final, TypeAlias

from cradle.names import section_words
from cradle.project.convert import (
    LARGEST_MM,
    LEAST_SIZE_MM,
    Choice,
    FilePath,
    Pair,
    angle,
    length,
    list_of,
    text,
    yes_or_no,
)
from cradle.project.key import Example, Table, Values, key, spec
from cradle.project.mistake import Mistake, amount
from cradle.project.picture import PICTURE, PICTURE_ENDINGS, PictureSource
from cradle.project.toml_positions import KeyPath

DRAWING_ENDINGS: Final = (".svg", ".dxf", ".csv", ".json")
_PICTURE_INSTEAD: Final = 'of a picture write picture = { file = "{}" } in place of outline'
DRAWING_UNITS: Final = ("mm", "cm", "in")
LARGEST_CLEARANCE_MM: Final = 10.0
"""Per side; far more than any fit of bare plastic."""
_TOLD_TWICE_SHARE: Final = 0.10
"""Two readings of one size that are further apart are of two things."""
SIZE: Final = length(least=LEAST_SIZE_MM)
CLEARANCE: Final = length(
    least=0.0, most=LARGEST_CLEARANCE_MM, hint="clearance is the gap per side, normal to the wall, in mm"
)


class Form(StrEnum):
    """Shape of a section known by measurements alone."""

    RECTANGLE = "rectangle"
    ELLIPSE = "ellipse"
    SUPERELLIPSE = "superellipse"


class Align(StrEnum):
    """How sections without a given shift and turn are lined up."""

    AUTO = "auto"
    """Profiles when there are some, else mirror lines, else the best match."""
    PROFILES = "profiles"
    MIRROR = "mirror"
    MATCH = "match"
    DRAWING = "drawing"
    """The drawings share one frame already."""

    @property
    def uses_profiles(self) -> bool:
        """Whether profiles and views place sections."""
        return self not in (Align.MATCH, Align.DRAWING)

    @property
    def uses_lines(self) -> bool:
        """Whether mirror lines do."""
        return self in (Align.AUTO, Align.MIRROR, Align.PROFILES)

    @property
    def finds_lines(self) -> bool:
        """Whether mirror lines are looked for in outlines that are not halves."""
        return self in (Align.AUTO, Align.MIRROR)

    @property
    def keeps_turns(self) -> bool:
        """Whether drawings lie turned as they should."""
        return self in (Align.DRAWING, Align.PROFILES)


class Between(StrEnum):
    """How the skin runs between sections."""

    AUTO = "auto"
    """Straight for 2 sections, smooth for 3 or more."""
    STRAIGHT = "straight"
    SMOOTH = "smooth"


class Hollows(StrEnum):
    """Where the body runs at hollows of a section."""

    AUTO = "auto"
    """Straight across, but for large ones that run through all sections."""
    SPANNED = "spanned"
    """Straight across, as a string pulled tight around the thing."""
    FOLLOWED = "followed"


@spec
class DrawingSource:
    """An outline in a drawing or a list of points; its keys stand in the section itself."""

    path: str = key(
        FilePath(DRAWING_ENDINGS, elsewhere=dict.fromkeys(PICTURE_ENDINGS, _PICTURE_INSTEAD)),
        f"{' '.join(DRAWING_ENDINGS)}, from this file's folder",
        name="outline",
    )
    layer: str | None = key(
        text("the name of a layer"),
        "only this layer of a DXF, or what has this id in an SVG",
        default=None,
        example="outline",
    )
    unit: str | None = key(
        Choice(DRAWING_UNITS), "{}, for a drawing that does not say", default=None, example="mm"
    )


@spec
class MeasuredSource:
    """A section known by caliper readings alone; its middle is at the origin."""

    form: Form = key(Choice(Form), "{} (between the two)")
    width_mm: float = key(SIZE, "the largest extent along x, in mm")
    depth_mm: float = key(SIZE, "the largest extent along y, in mm")
    corner_mm: float = key(length(least=0.0), "rectangle: radius of its corners", default=0.0, example=4.0)
    diagonal_mm: float | None = key(
        length(least=LEAST_SIZE_MM, most=1.5 * LARGEST_MM),
        "superellipse: along the diagonal, corner to corner of its rectangle",
        default=None,
    )


Source: TypeAlias = DrawingSource | MeasuredSource | PictureSource


def outline_place(source: Source, *, name: str) -> str:
    """Where the outline of the section of this name comes from, for messages: a file, or calipers alone.

    Examples
    --------
    >>> outline_place(DrawingSource(path="low.svg"), name="low")
    'low.svg'
    >>> outline_place(MeasuredSource(form=Form.ELLIPSE, width_mm=30.0, depth_mm=20.0), name="low")
    'section "low": measured'
    """
    match source:
        case DrawingSource():
            return source.path
        case PictureSource():
            return source.file
        case MeasuredSource():
            return f"{section_words(name)}: measured"


def outline_key(source: Source) -> KeyPath:
    """The path, in the table of a section or view, of the key that says where its outline comes from.

    Examples
    --------
    >>> outline_key(DrawingSource(path="low.svg"))
    ('outline',)
    """
    match source:
        case DrawingSource():
            return ("outline",)
        case PictureSource():
            return ("picture", "file")
        case MeasuredSource():
            return ("measured",)


@spec
class SectionSpec:
    """One section of the thing; ``number`` is the place of its table among those of the file, from 0."""

    number: int = field(default=0, compare=False)
    name: str = key(text("a name"))
    height_mm: float = key(
        length(least=0.0, hint="heights are measured up from the plane the thing rests on"),
        "how far above the resting plane the section lies, in mm",
    )
    source: Source
    half: bool = key(yes_or_no, "true: one side only, mirrored about its straight edge", default=False)
    width_mm: float | None = key(
        SIZE, "calipers at this height: the outline is scaled to them", default=None, example=61.4
    )
    depth_mm: float | None = key(SIZE, default=None, example=43.0)
    girth_mm: float | None = key(
        length(least=LEAST_SIZE_MM, most=8000.0),
        "length of a string pulled tight around it, as a check",
        default=None,
        example=170.0,
    )
    shift_mm: Pair | None = key(
        list_of(length(), names="x y"),
        "where the middle of its width and depth lies, if you measured it",
        default=None,
        example=[0.0, 1.5],
    )
    turn_deg: float | None = key(
        angle(most=360.0), "rotation, counter-clockwise seen from above", default=None, example=0.0
    )
    clearance_mm: float | None = key(CLEARANCE, "per side, at this height only", default=None, example=0.3)

    @property
    def where(self) -> str:
        """The section, for messages."""
        return section_words(self.name)


@spec
class LoftSpec:
    """How the sections become a body."""

    align: Align = key(Choice(Align), "how the sections are lined up", default=Align.AUTO)
    between: Between = key(Choice(Between), "the surface between the sections", default=Between.AUTO)
    hollows: Hollows = key(
        Choice(Hollows), "{}: straight across hollows; auto: into large ones", default=Hollows.AUTO
    )


def _check_measured(values: Values) -> Iterator[Mistake]:
    """What contradicts the form of a measured section."""
    if "form" not in values:
        return
    sides = (values["width_mm"], values["depth_mm"]) if {"width_mm", "depth_mm"} <= values.keys() else None
    for found, hint in _corner_mistakes(values["form"], values.get("corner_mm"), sides=sides):
        yield Mistake(found=found, hint=hint, at=("corner",))
    if "diagonal_mm" in values:
        for found, hint in _diagonal_mistakes(values["form"], values["diagonal_mm"], sides=sides):
            yield Mistake(found=found, hint=hint, at=("diagonal",))


def _corner_mistakes(form: Form, corner: float | None, *, sides: Pair | None) -> Iterator[tuple[str, str]]:
    """What is wrong with a corner radius, and what to do."""
    if form is not Form.RECTANGLE and corner:
        yield f"the form {form} has no corner radius", "only a rectangle has corners"
    if form is Form.RECTANGLE and corner is not None and sides is not None and corner > min(sides) / 2:
        yield (
            f"found {amount(corner, 'mm')}, allowed is at most {amount(min(sides) / 2, 'mm')}",
            "a corner radius is no more than half the smaller side",
        )


def _diagonal_mistakes(
    form: Form, diagonal: float | None, *, sides: Pair | None
) -> Iterator[tuple[str, str]]:
    """What is wrong with a diagonal, or with none, and what to do."""
    if form is not Form.SUPERELLIPSE:
        if diagonal is not None:
            yield f"the form {form} has no diagonal", "only a superellipse needs it"
    elif diagonal is None:
        hint = "a superellipse needs the largest extent along the diagonal of the rectangle around it, in mm"
        yield "missing", hint
    elif sides is not None and not (most := math.hypot(*sides)) / 2 < diagonal < most:
        low, high = f"{most / 2:.2f} mm", f"{most:.2f} mm"
        yield (
            f"found {amount(diagonal, 'mm')}, allowed is above {low} and below {high}",
            f"it must lie between a diamond's ({low}) and a rectangle's ({high}); if it is right, "
            f"width or depth is not: they are {amount(sides[0], 'mm')} and {amount(sides[1], 'mm')}",
        )


def _check_section(values: Values) -> Iterator[Mistake]:
    """What contradicts the source of a section."""
    if values.get("half") and isinstance(values.get("source"), MeasuredSource):
        yield Mistake(
            found="a measured section cannot be a half",
            hint="only a drawing can be a half outline",
            at=("half",),
        )
    yield from _told_twice(values)


def _told_twice(values: Values) -> Iterator[Mistake]:
    """Readings beside a section's own measurements that are another size, however it is turned."""
    source = values.get("source")
    if not isinstance(source, MeasuredSource):
        return
    width, depth = source.width_mm, source.depth_mm
    turned = bool(values.get("turn_deg"))
    for name, measured in (("width", width), ("depth", depth)):
        reading = values.get(f"{name}_mm")
        least, most = (min(width, depth), math.hypot(width, depth)) if turned else (measured, measured)
        near = (1 - _TOLD_TWICE_SHARE) * least, (1 + _TOLD_TWICE_SHARE) * most
        if reading is not None and not near[0] <= reading <= near[1]:
            yield Mistake(
                found=f"found {amount(reading, 'mm')}, but in measured it is {width:g} x {depth:g} mm",
                hint="leave one of them out",
                at=(name,),
            )


DRAWING: Final = Table(makes=DrawingSource)
MEASURED: Final = Table(
    makes=MeasuredSource, says="an outline known by calipers alone", check=_check_measured
)
SECTION: Final = Table(
    makes=SectionSpec,
    says="""\
Sections, at least 2, in any order. A section is the outline at one height, measured
from the resting plane. Take one where the shape changes, one near the bottom and one just
above the rim of the holder; hold the calipers and templates parallel to the resting plane.""",
    check=_check_section,
    drawing=DRAWING,
    sources={"measured": MEASURED, "picture": PICTURE},
    counted_as="section",
)
LOFT: Final = Table(makes=LoftSpec)


def _measured(name: str, height_mm: float, **sizes: object) -> Example:
    return Example(shows={"name": name, "height": height_mm, "measured": sizes}, rest=False, live=True)


SECTION_EXAMPLES: Final = (
    _measured("low", 2.0, form="ellipse", width=52.1, depth=40.0),
    _measured("middle", 20.0, form="ellipse", width=56.0, depth=43.0),
    _measured("high", 40.0, form="superellipse", width=60.0, depth=46.0, diagonal=55.0, corner=...),
    Example(
        says="A section from a drawing or a list of points instead of [section.measured]:",
        shows={"name": "top", "height": 52.0, "outline": "outlines/top.svg"},
    ),
    Example(
        says="A section from a scan or a photograph with a ruler beside the piece, or of the capture sheet:",
        shows={"name": "rim", "height": 60.0, "picture": ...},
        rest=False,
    ),
)
