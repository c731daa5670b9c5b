"""The keys of a project file: one table here per TOML table.

Each key names the field it fills, the converter that reads it and, where it
must be given, what to say when it is missing. Defaults are those of `spec`.
Reader, writer and the check of changed keys all follow these tables.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from cradle.project import cross_checks as meaning
from cradle.project.block_keys import check_block, check_plate
from cradle.project.block_parts import CornerForm, PlateHole, PlateSpec, RowSpec
from cradle.project.convert import (
    LARGEST_MM,
    angle,
    choice,
    file_path,
    length,
    list_of,
    number,
    or_auto,
    or_word,
    text,
    whole_number,
    yes_or_no,
)
from cradle.project.fasteners import SIZES
from cradle.project.opening_keys import check_opening
from cradle.project.picture_keys import check_picture
from cradle.project.picture_spec import THICKEST_MM, LineEdge, PictureSource, ScaleFrom, Traced
from cradle.project.row_keys import MOST_POCKETS, check_row
from cradle.project.spec import (
    Align,
    Between,
    BlockForm,
    BlockSpec,
    DrawingSource,
    FitSpec,
    Form,
    LoftSpec,
    MeasuredSource,
    Nature,
    ObjectSpec,
    OpeningKind,
    OpeningSpec,
    PrinterSpec,
    RingForm,
    SectionSpec,
    SideSpec,
    SliceSpec,
    SpreadSpec,
    Through,
)
from cradle.project.table import Key, Table, Times
from cradle.project.view import FREE, SeenFrom, ViewScale, ViewSpec

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

LARGEST_CLEARANCE_MM: Final = 10.0
"""Per side; room for a padded lining, and far more than any fit of bare plastic."""
STEEPEST_LEAN_DEG: Final = 60.0
FARTHEST_LENS_MM: Final = 50_000.0
"""From there a thing looks as from infinitely far."""
LARGEST_INSIDE_ERROR_MM: Final = 2.0
LARGEST_SPREAD_MM: Final = 5.0
DRAWING_ENDINGS: Final = (".svg", ".dxf", ".csv", ".json")
PICTURE_ENDINGS: Final = (".png", ".jpg", ".jpeg", ".tif", ".tiff", ".bmp", ".webp", ".heic", ".heif")
DRAWING_UNITS: Final = ("mm", "cm", "in")

_SIZE = length(above=0.0)
_MARGIN = length(least=0.0, most=200.0)
_ANYWHERE = length()
_TURN = angle(most=360.0)
_CLEARANCE = length(
    least=0.0, most=LARGEST_CLEARANCE_MM, hint="clearance is the gap per side, normal to the wall, in mm"
)

OBJECT: Final = Table(
    makes=ObjectSpec,
    keys={
        "name": Key(field="name", convert=text("a name")),
        "mass": Key(field="mass_g", convert=number("a mass in g", unit="g", above=0.0, most=1e5)),
        "balance": Key(field="balance_mm", convert=list_of(_ANYWHERE, names="x y z")),
        "height": Key(field="height_mm", convert=_SIZE),
        "nature": Key(field="nature", convert=list_of(choice(Nature))),
    },
)

DRAWING: Final = Table(
    makes=DrawingSource,
    keys={
        "outline": Key(field="path", convert=file_path(DRAWING_ENDINGS)),
        "layer": Key(field="layer", convert=text("the name of a layer")),
        "unit": Key(field="unit", convert=choice(DRAWING_UNITS)),
    },
)
"""These keys stand in the section itself."""

MEASURED: Final = Table(
    makes=MeasuredSource,
    keys={
        "form": Key(field="form", convert=choice(Form), missing=f"allowed are {' '.join(Form)}"),
        "width": Key(field="width_mm", convert=_SIZE, missing="the largest extent along x, in mm"),
        "depth": Key(field="depth_mm", convert=_SIZE, missing="the largest extent along y, in mm"),
        "corner": Key(field="corner_mm", convert=length(least=0.0)),
        "diagonal": Key(field="diagonal_mm", convert=length(above=0.0, most=1.5 * LARGEST_MM)),
    },
    check=meaning.check_measured,
)

_PLACE_PX = list_of(number("a number", unit="px", least=-0.5, most=1e5), names="x y")
_PIECE_NUMBER = whole_number("the number of a piece, counted from 1", least=1, most=999)

PICTURE: Final = Table(
    makes=PictureSource,
    keys={
        "file": Key(
            field="file", convert=file_path(PICTURE_ENDINGS), missing="the scan or photograph to trace"
        ),
        "shape": Key(field="shape", convert=choice(Traced)),
        "pick": Key(field="pick", convert=_PIECE_NUMBER),
        "point": Key(field="point_px", convert=_PLACE_PX),
        "back": Key(field="back", convert=_PIECE_NUMBER),
        "back_file": Key(field="back_file", convert=file_path(PICTURE_ENDINGS)),
        "edge": Key(field="edge", convert=choice(LineEdge)),
        "scale": Key(field="scale", convert=choice(ScaleFrom)),
        "mm_per_px": Key(
            field="mm_per_px", convert=number("a length in mm", unit="mm", above=0.0, most=10.0)
        ),
        "dpi": Key(field="dpi", convert=number("dots per inch", unit="dpi", above=1.0, most=20000.0)),
        "from": Key(field="from_px", convert=_PLACE_PX),
        "to": Key(field="to_px", convert=_PLACE_PX),
        "apart": Key(field="apart_mm", convert=_SIZE),
        "distance": Key(field="distance_mm", convert=length(above=20.0, most=2000.0)),
        "thickness": Key(field="thickness_mm", convert=length(least=0.0, most=THICKEST_MM)),
        "check": Key(field="check_mm", convert=length(above=100.0, most=200.0)),
    },
    check=check_picture,
)

SOURCE_TABLES: Final[Mapping[str, Table]] = {"measured": MEASURED, "picture": PICTURE}
"""Sources of a section's outline that have a table of their own, ``[section.measured]``, by its name."""

SECTION: Final = Table(
    makes=SectionSpec,
    keys={
        "name": Key(field="name", convert=text("a name")),
        "height": Key(
            field="height_mm",
            convert=length(least=0.0, hint="heights are measured up from the plane the thing rests on"),
            missing="how far above the resting plane the section lies, in mm",
        ),
        "half": Key(field="half", convert=yes_or_no),
        "width": Key(field="width_mm", convert=_SIZE),
        "depth": Key(field="depth_mm", convert=_SIZE),
        "girth": Key(field="girth_mm", convert=length(above=0.0, most=8000.0)),
        "shift": Key(field="shift_mm", convert=list_of(_ANYWHERE, names="x y")),
        "turn": Key(field="turn_deg", convert=_TURN),
        "clearance": Key(field="clearance_mm", convert=_CLEARANCE),
    },
    check=meaning.check_section,
    sources=SOURCE_TABLES,
    drawing=DRAWING,
)

VIEW: Final = Table(
    makes=ViewSpec,
    keys={
        "from": Key(
            field="seen_from",
            convert=choice(SeenFrom),
            missing=f"the side it is seen from; allowed are {' '.join(SeenFrom)}",
        ),
        "scale": Key(field="scale", convert=choice(ViewScale)),
        "distance": Key(
            field="distance_mm",
            convert=length(above=20.0, most=FARTHEST_LENS_MM, hint="from the lens to the thing's middle"),
        ),
        "bottom": Key(field="bottom_mm", convert=or_word(FREE, length(least=0.0))),
        "top": Key(field="top_mm", convert=_SIZE),
    },
    check=meaning.check_view,
    sources={"picture": PICTURE},
    drawing=DRAWING,
)

SIDE: Final = Table(
    makes=SideSpec,
    keys={
        where: Key(field=where, convert=file_path(DRAWING_ENDINGS))
        for where in ("front", "back", "left", "right")
    },
)

LOFT: Final = Table(
    makes=LoftSpec,
    keys={
        "align": Key(field="align", convert=choice(Align)),
        "between": Key(field="between", convert=choice(Between)),
    },
)

FIT: Final = Table(
    makes=FitSpec,
    keys={
        "clearance": Key(field="clearance_mm", convert=or_auto(_CLEARANCE)),
        "insertion": Key(
            field="insertion",
            convert=or_auto(
                list_of(
                    number("a number", most=1e6),
                    names="x y z",
                    hint="the direction in which the thing is lifted out; [0, 0, 1] is straight up",
                )
            ),
        ),
        "relief": Key(field="relief_mm", convert=or_auto(length(least=0.0, most=LARGEST_CLEARANCE_MM))),
        "chance": Key(
            field="chance",
            convert=number("a chance", above=0.0, most=0.995, hint="0.95 is 19 in 20"),
        ),
    },
    check=meaning.check_fit,
)

BLOCK: Final = Table(
    makes=BlockSpec,
    keys={
        "form": Key(field="form", convert=choice(BlockForm)),
        "wall": Key(field="wall_mm", convert=length(above=0.0, most=200.0)),
        "floor": Key(field="floor_mm", convert=length(above=0.0, most=200.0)),
        "height": Key(field="height_mm", convert=_SIZE),
        "flare": Key(field="flare_mm", convert=or_auto(_MARGIN)),
        "stand": Key(
            field="stand_deg",
            convert=number(
                "an angle in degrees",
                unit="deg",
                above=0.0,
                most=45.0,
                hint="how far it may lean before it falls; 15 is usual",
            ),
        ),
        "corner": Key(field="corner_mm", convert=_MARGIN),
        "corner_form": Key(field="corner_form", convert=choice(CornerForm)),
        "chamfer": Key(field="chamfer_mm", convert=_MARGIN),
        "lead_in": Key(field="lead_in_mm", convert=_MARGIN),
        "lean": Key(field="lean_deg", convert=angle(most=STEEPEST_LEAN_DEG, hint="0 is upright")),
    },
    check=check_block,
)

PLATE: Final = Table(
    makes=PlateSpec,
    keys={
        "width": Key(field="width_mm", convert=_SIZE, missing="how wide the wall plate is, in mm"),
        "height": Key(field="height_mm", convert=_SIZE),
        "thickness": Key(field="thickness_mm", convert=length(above=0.0, most=200.0)),
        "corner": Key(field="corner_mm", convert=_MARGIN),
        "hole": Key(field="hole", convert=choice(PlateHole)),
        "screw": Key(field="screw", convert=choice(SIZES)),
        "diameter": Key(field="diameter_mm", convert=_SIZE),
        "head": Key(field="head_mm", convert=_SIZE),
        "edge": Key(field="edge_mm", convert=_SIZE),
        "spacing": Key(field="spacing_mm", convert=list_of(length(least=0.0), names="across up")),
    },
    check=check_plate,
)

ROW: Final = Table(
    makes=RowSpec,
    keys={
        "count": Key(field="count", convert=whole_number("a number of things", least=1, most=MOST_POCKETS)),
        "things": Key(field="things", convert=list_of(file_path((".toml",)))),
        "gap": Key(field="gap_mm", convert=length(above=0.0, most=200.0)),
    },
    check=check_row,
)

OPENING: Final = Table(
    makes=OpeningSpec,
    keys={
        "kind": Key(
            field="kind", convert=choice(OpeningKind), missing=f"allowed are {' '.join(OpeningKind)}"
        ),
        "through": Key(field="through", convert=choice(Through)),
        "at": Key(field="at_mm", convert=list_of(_ANYWHERE, names="along up")),
        "diameter": Key(field="diameter_mm", convert=_SIZE),
        "width": Key(field="width_mm", convert=_SIZE),
        "length": Key(field="length_mm", convert=_SIZE),
        "height": Key(field="height_mm", convert=_SIZE),
        "depth": Key(field="depth_mm", convert=_SIZE),
        "corner": Key(field="corner_mm", convert=_MARGIN),
        "screw": Key(field="screw", convert=choice(SIZES)),
        "head": Key(field="head_mm", convert=_SIZE),
        "lip": Key(field="lip_mm", convert=_SIZE),
        "text": Key(field="text", convert=text("a text")),
        "turn": Key(field="turn_deg", convert=_TURN),
        "pocket": Key(
            field="pocket",
            convert=whole_number("a pocket's number from the left", least=1, most=MOST_POCKETS),
        ),
    },
    check=check_opening,
)

SLICES: Final = Table(
    makes=SliceSpec,
    keys={
        "thickness": Key(field="thickness_mm", convert=length(above=0.0, most=50.0)),
        "clearances": Key(field="clearances_mm", convert=list_of(_CLEARANCE)),
        "heights": Key(field="heights_mm", convert=list_of(length(least=0.0))),
        "ring": Key(field="ring", convert=choice(RingForm)),
    },
    check=meaning.check_slices,
)

PRINTER: Final = Table(
    makes=PrinterSpec,
    keys={
        "bed": Key(field="bed_mm", convert=list_of(_SIZE, names="x y z")),
        "line": Key(field="line_mm", convert=length(above=0.0, most=5.0)),
        "layer": Key(field="layer_mm", convert=length(above=0.0, most=5.0)),
        "material": Key(field="material", convert=text("the name of a material")),
        "inside_error": Key(
            field="inside_error_mm",
            convert=length(
                least=-LARGEST_INSIDE_ERROR_MM,
                most=LARGEST_INSIDE_ERROR_MM,
                hint="how much smaller, per side, an inside wall comes out",
            ),
        ),
    },
)

_SPREAD = length(
    least=0.0, most=LARGEST_SPREAD_MM, hint="one standard deviation; about two thirds of cases lie within it"
)

SPREAD: Final = Table(
    makes=SpreadSpec,
    keys={
        "trace": Key(field="trace_mm", convert=_SPREAD),
        "scale": Key(
            field="scale_percent",
            convert=number("a share in percent", unit="%", least=0.0, most=5.0),
        ),
        "calipers": Key(field="calipers_mm", convert=_SPREAD),
        "step": Key(field="step_mm", convert=_SPREAD),
        "heights": Key(field="heights_mm", convert=_SPREAD),
        "placing": Key(field="placing_mm", convert=_SPREAD),
        "between": Key(field="between_mm", convert=_SPREAD),
        "inside": Key(field="inside_mm", convert=_SPREAD),
        "repeat": Key(field="repeat_mm", convert=_SPREAD),
    },
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A table at the top level of the file and the field of `Project` it fills."""

    field: str
    table: Table
    times: Times = Times.ONCE


PARTS: Final[Mapping[str, Part]] = {
    "object": Part(field="thing", table=OBJECT),
    "section": Part(field="sections", table=SECTION, times=Times.MANY),
    "side": Part(field="side", table=SIDE),
    "view": Part(field="views", table=VIEW, times=Times.MANY),
    "loft": Part(field="loft", table=LOFT),
    "fit": Part(field="fit", table=FIT),
    "block": Part(field="block", table=BLOCK),
    "plate": Part(field="plate", table=PLATE, times=Times.AT_MOST_ONCE),
    "row": Part(field="row", table=ROW),
    "opening": Part(field="openings", table=OPENING, times=Times.MANY),
    "slices": Part(field="slices", table=SLICES),
    "printer": Part(field="printer", table=PRINTER),
    "spread": Part(field="spread", table=SPREAD),
}


def keys_under(table: Table) -> Mapping[str, Table | None]:
    """Return all that may stand in a table: its keys (None), and its tables by name."""
    drawn = table.drawing.keys if table.drawing is not None else {}
    return {**dict.fromkeys((*table.keys, *drawn)), **table.sources}


def tables() -> Iterator[tuple[str, Table]]:
    """Yield every TOML table with its dotted name."""
    for name, part in PARTS.items():
        yield name, part.table
        for source, table in part.table.sources.items():
            yield f"{name}.{source}", table
