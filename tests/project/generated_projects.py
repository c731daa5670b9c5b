"""Hypothesis strategies for sound projects, and a small sound text to damage."""

import math
from dataclasses import MISSING, fields
from pathlib import Path

from hypothesis import strategies as st

from cradle.project.block import BlockForm, BlockSpec, CornerForm, PlateHole, PlateSpec
from cradle.project.convert import AUTO
from cradle.project.fasteners import SCREWS
from cradle.project.fit import FitSpec, SpreadSpec
from cradle.project.opening import (
    OPENINGS,
    DrainSpec,
    FeetSpec,
    FingerSpec,
    NotchSpec,
    OpeningKind,
    OpeningSpec,
    SlotSpec,
    Through,
    WallOpeningSpec,
    WindowSpec,
)
from cradle.project.picture import PictureSource, ScaleFrom, Traced
from cradle.project.printer import PieceSpec, PrinterSpec, RingForm
from cradle.project.project import Project
from cradle.project.section import Align, Between, DrawingSource, Form, LoftSpec, MeasuredSource, SectionSpec
from cradle.project.side import Side
from cradle.project.thing import Hazard, ObjectSpec
from cradle.project.view import FREE, SideSpec, ViewScale, ViewSpec

FILE = Path("somewhere/holder.toml")

SMALL = """\
[[section]]
name = "low"
height = 4.0
outline = "low.svg"
[[section]]
name = "top"
height = 30.0
[section.measured]
form = "rectangle"
width = 40.0
depth = 30.0
"""


def between(least: float, most: float) -> st.SearchStrategy[float]:
    return st.floats(least, most, allow_nan=False, allow_subnormal=False).map(lambda x: x + 0.0)


def maybe(some: st.SearchStrategy) -> st.SearchStrategy:
    return st.none() | some


texts = st.text(
    st.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp")) | st.sampled_from("\"'\\#[]=éß寸"),
    min_size=1,
    max_size=12,
).filter(str.strip)
sizes = between(0.01, 2000.0)
places = between(-2000.0, 2000.0)
clearances = between(0.0, 10.0)
turns = between(-360.0, 360.0)
endings = st.sampled_from([".svg", ".dxf", ".csv", ".json", ".SVG"])
files = st.tuples(texts, st.just("x"), endings).map("".join)
profiles = files.filter(lambda file: not file.endswith(".json"))


def reading(source, name):
    """A reading beside a source: of one that is measured itself about the same."""
    if not isinstance(source, MeasuredSource):
        return maybe(sizes)
    measured_mm = getattr(source, name)
    return maybe(between(0.95, 1.05).map(lambda share: min(2000.0, max(0.01, share * measured_mm))))


@st.composite
def measured(draw) -> MeasuredSource:
    form, width, depth = draw(st.sampled_from(Form)), draw(sizes), draw(sizes)
    corner = draw(between(0.0, 1.0)) * min(width, depth) / 2 if form is Form.RECTANGLE else 0.0
    share = draw(between(0.51, 0.99)) if form is Form.SUPERELLIPSE else None
    diagonal = None if share is None else share * math.hypot(width, depth)
    return MeasuredSource(form=form, width_mm=width, depth_mm=depth, corner_mm=corner, diagonal_mm=diagonal)


drawn = st.builds(
    DrawingSource, path=files, layer=maybe(texts), unit=maybe(st.sampled_from(["mm", "cm", "in"]))
)


@st.composite
def sections(draw, sources) -> tuple[SectionSpec, ...]:
    names = draw(st.lists(texts, min_size=2, max_size=5, unique=True))
    height, made = draw(between(0.0, 50.0)), []
    for name in names:
        source = draw(sources)
        made.append(
            SectionSpec(
                name=name,
                height_mm=height,
                source=source,
                half=isinstance(source, DrawingSource) and draw(st.booleans()),
                width_mm=draw(reading(source, "width_mm")),
                depth_mm=draw(reading(source, "depth_mm")),
                girth_mm=draw(maybe(sizes)),
                shift_mm=draw(maybe(st.tuples(places, places))),
                turn_deg=draw(maybe(turns)),
                clearance_mm=draw(maybe(clearances)),
            )
        )
        height += draw(between(0.02, 300.0))
    return tuple(made)


pictures = st.builds(
    PictureSource,
    file=st.tuples(texts, st.sampled_from([".png", ".JPG"])).map("".join),
    shape=st.sampled_from([Traced.PIECE, Traced.LINE]),
    pick=maybe(st.integers(1, 999)),
    scale=st.sampled_from(ScaleFrom),
)


@st.composite
def views(draw) -> ViewSpec:
    bottom = draw(st.just(0.0) | st.just(FREE) | between(0.0, 1000.0))
    above = 0.0 if bottom == FREE else bottom
    return ViewSpec(
        seen_from=draw(st.sampled_from(Side)),
        source=draw(drawn | pictures),
        scale=draw(st.sampled_from(ViewScale)),
        distance_mm=draw(maybe(between(21.0, 50_000.0))),
        bottom_mm=bottom,
        top_mm=draw(maybe(between(above + 0.1, 2000.0))),
    )


@st.composite
def openings(draw, kind=None) -> OpeningSpec:
    makes = OPENINGS.tables[draw(st.sampled_from(OpeningKind)) if kind is None else kind].makes
    through = [Through.FLOOR] if makes in {DrainSpec, FeetSpec} else list(Through)
    if issubclass(makes, WallOpeningSpec):
        through.remove(Through.FLOOR)
    needed = [f.name for f in fields(makes) if f.default is MISSING]
    others = [f.name for f in fields(makes) if f.name not in {"pocket", "at_mm", "turn_deg", *needed}]
    named = {*needed, *(name for name in others if draw(st.booleans()))} - {"through"}
    at = draw(maybe(st.tuples(places, places)))
    if makes in {NotchSpec, FingerSpec}:
        named = named - {"depth_mm"} if at else named | {"depth_mm"}
    if "head_mm" in {f.name for f in fields(makes)} and "screw" not in named:
        named |= {"diameter_mm", "head_mm"}
    values = {name: draw(sizes) for name in sorted(named - {"screw", "text"})}
    if "screw" in named:
        values["screw"] = draw(st.sampled_from(sorted(SCREWS)))
    if "text" in named:
        values["text"] = draw(texts)
    if makes is SlotSpec:
        values["width_mm"], values["length_mm"] = sorted([values["width_mm"], values["length_mm"]])
    if makes in {SlotSpec, WindowSpec}:
        values["turn_deg"] = draw(turns)
    if "corner_mm" in named:
        sides = [values["width_mm"], values.get("height_mm", values["width_mm"])]
        values["corner_mm"] = min(200.0, min(sides) / 2 * draw(between(0.0, 1.0)))
    if {"head_mm", "diameter_mm"} <= named and values["head_mm"] <= values["diameter_mm"]:
        values["head_mm"] = min(2 * values["diameter_mm"], 2000.0)
        values["diameter_mm"] = values["head_mm"] / 2
    return makes(through=draw(st.sampled_from(through)), at_mm=at, **values)


@st.composite
def plates(draw) -> PlateSpec:
    width, height, own = draw(sizes), draw(maybe(sizes)), draw(st.booleans())
    head = draw(between(0.1, 2000.0))
    return PlateSpec(
        width_mm=width,
        height_mm=height,
        thickness_mm=draw(between(0.01, 200.0)),
        corner_mm=min(200.0, width / 2, height or width) * draw(between(0.0, 1.0)),
        hole=draw(st.sampled_from(PlateHole)),
        screw=None if own else draw(st.sampled_from(sorted(SCREWS))),
        diameter_mm=head / 2 if own else None,
        head_mm=head if own else None,
        edge_mm=draw(maybe(sizes)),
        spacing_mm=draw(maybe(st.tuples(between(0.0, 2000.0), between(0.0, 2000.0)))),
    )


upwards = st.tuples(between(-0.4, 0.4), between(-0.4, 0.4), between(1.0, 9.0))


@st.composite
def projects(draw, *, sources=None, first_opening=None) -> Project:
    """Any project; one whose first opening is of a kind, if one is named."""
    rings = draw(sections(drawn | measured() if sources is None else sources))
    first = () if first_opening is None else (draw(openings(first_opening)),)
    tallest = maybe(between(rings[-1].height_mm, 2000.0))
    form = draw(st.sampled_from(BlockForm))
    plate = draw(maybe(plates())) if form is BlockForm.BOX else None
    return Project(
        file=FILE,
        thing=ObjectSpec(
            name=draw(texts),
            mass_g=draw(maybe(between(0.1, 1e5))),
            balance_mm=draw(maybe(st.tuples(places, places, places))),
            height_mm=draw(tallest),
            hazards=tuple(draw(st.lists(st.sampled_from(Hazard), max_size=3))),
        ),
        sections=rings,
        side=SideSpec(**{k: draw(maybe(profiles)) for k in ("front", "back", "left", "right")}),
        views=tuple(draw(st.lists(views(), max_size=2))),
        loft=LoftSpec(align=draw(st.sampled_from(Align)), between=draw(st.sampled_from(Between))),
        fit=FitSpec(
            clearance_mm=draw(clearances | st.just(AUTO)),
            lift_out=draw(upwards | st.just(AUTO)),
            between_mm=draw(clearances | st.just(AUTO)),
            chance=draw(between(0.5, 0.995)),
        ),
        block=BlockSpec(
            form=form,
            corner_form=draw(st.sampled_from(CornerForm)) if form is BlockForm.BOX else CornerForm.ROUND,
            wall_mm=draw(between(0.01, 200.0)),
            width_mm=draw(maybe(sizes)) if form is BlockForm.BOX else None,
            depth_mm=draw(maybe(sizes)) if form is BlockForm.BOX else None,
            floor_mm=draw(between(0.01, 200.0)),
            height_mm=draw(between(rings[0].height_mm + 0.1, 2000.0)),
            flare_mm=draw(st.one_of(st.just(AUTO), between(0.0, 200.0))) if plate is None else 0.0,
            tip_angle_deg=draw(between(1.0, 45.0)),
            corner_mm=draw(between(0.0, 200.0)),
            chamfer_mm=draw(between(0.0, 200.0)),
            lead_in_mm=draw(between(0.0, 200.0)),
            lean_deg=draw(between(-60.0, 60.0)),
        ),
        plate=plate,
        openings=(*first, *draw(st.lists(openings(), max_size=3))),
        test_pieces=PieceSpec(
            thickness_mm=draw(between(0.01, 50.0)),
            clearances_mm=tuple(draw(st.lists(clearances, min_size=1, max_size=4, unique=True))),
            heights_mm=tuple(draw(st.lists(between(0.0, rings[-1].height_mm), max_size=2))),
            ring=draw(st.sampled_from(RingForm)),
        ),
        printer=PrinterSpec(
            bed_mm=draw(st.tuples(sizes, sizes, sizes)),
            line_mm=draw(between(0.01, 5.0)),
            layer_mm=draw(between(0.01, 5.0)),
            material=draw(texts),
            inside_error_mm=draw(between(-2.0, 2.0)),
        ),
        spread=SpreadSpec(trace_mm=draw(between(0.0, 5.0)), inside_mm=draw(maybe(between(0.0, 5.0)))),
    )
