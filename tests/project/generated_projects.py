"""Hypothesis strategies for sound projects, and a small sound text to damage."""

import math
from pathlib import Path

from hypothesis import strategies as st

from cradle.project.spec import (
    AUTO,
    Align,
    Between,
    BlockForm,
    BlockSpec,
    DrawingSource,
    FitSpec,
    Form,
    LoftSpec,
    MeasuredSource,
    ObjectSpec,
    OpeningKind,
    OpeningSpec,
    PrinterSpec,
    Project,
    RingForm,
    SectionSpec,
    SideSpec,
    SliceSpec,
    SpreadSpec,
    Through,
)

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
form = "box"
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


@st.composite
def measured(draw) -> MeasuredSource:
    form, width, depth = draw(st.sampled_from(Form)), draw(sizes), draw(sizes)
    corner = draw(between(0.0, 1.0)) * min(width, depth) / 2 if form is Form.BOX else 0.0
    share = draw(between(0.51, 0.99)) if form is Form.SUPERELLIPSE else None
    diagonal = None if share is None else share * math.hypot(width, depth)
    return MeasuredSource(form=form, width_mm=width, depth_mm=depth, corner_mm=corner, diagonal_mm=diagonal)


drawn = st.builds(
    DrawingSource, path=files, layer=maybe(texts), unit=maybe(st.sampled_from(["mm", "cm", "in"]))
)


@st.composite
def sections(draw) -> tuple[SectionSpec, ...]:
    names = draw(st.lists(texts, min_size=2, max_size=5, unique=True))
    height, made = draw(between(0.0, 50.0)), []
    for name in names:
        source = draw(drawn | measured())
        made.append(
            SectionSpec(
                name=name,
                height_mm=height,
                source=source,
                half=isinstance(source, DrawingSource) and draw(st.booleans()),
                width_mm=draw(maybe(sizes)),
                depth_mm=draw(maybe(sizes)),
                girth_mm=draw(maybe(sizes)),
                shift_mm=draw(maybe(st.tuples(places, places))),
                turn_deg=draw(maybe(turns)),
                clearance_mm=draw(maybe(clearances)),
            )
        )
        height += draw(between(0.02, 300.0))
    return tuple(made)


@st.composite
def openings(draw) -> OpeningSpec:
    kind = draw(st.sampled_from(OpeningKind))
    slot = kind is OpeningKind.SLOT
    length = draw(sizes)
    return OpeningSpec(
        kind=kind,
        through=Through.FLOOR if kind is OpeningKind.DRAIN else draw(st.sampled_from(Through)),
        at_mm=draw(maybe(st.tuples(places, places))),
        diameter_mm=None if slot else draw(sizes),
        width_mm=min(length, draw(sizes)) if slot else None,
        length_mm=length if slot else None,
        turn_deg=draw(turns),
    )


upwards = st.tuples(between(-0.4, 0.4), between(-0.4, 0.4), between(1.0, 9.0))


@st.composite
def projects(draw) -> Project:
    rings = draw(sections())
    tallest = maybe(between(rings[-1].height_mm, 2000.0))
    return Project(
        file=FILE,
        thing=ObjectSpec(
            name=draw(texts),
            mass_g=draw(maybe(between(0.1, 1e5))),
            balance_mm=draw(maybe(st.tuples(places, places, places))),
            height_mm=draw(tallest),
        ),
        sections=rings,
        side=SideSpec(**{k: draw(maybe(files)) for k in ("front", "back", "left", "right")}),
        loft=LoftSpec(align=draw(st.sampled_from(Align)), between=draw(st.sampled_from(Between))),
        fit=FitSpec(
            clearance_mm=draw(clearances | st.just(AUTO)),
            insertion=draw(upwards | st.just(AUTO)),
            relief_mm=draw(clearances | st.just(AUTO)),
            chance=draw(between(0.5, 0.995)),
        ),
        block=BlockSpec(
            form=draw(st.sampled_from(BlockForm)),
            wall_mm=draw(between(0.01, 200.0)),
            floor_mm=draw(between(0.01, 200.0)),
            height_mm=draw(between(rings[0].height_mm + 0.1, 2000.0)),
            flare_mm=draw(st.one_of(st.just(AUTO), between(0.0, 200.0))),
            stand_deg=draw(between(1.0, 45.0)),
            corner_mm=draw(between(0.0, 200.0)),
            chamfer_mm=draw(between(0.0, 200.0)),
            lead_in_mm=draw(between(0.0, 200.0)),
            lean_deg=draw(between(-60.0, 60.0)),
        ),
        openings=tuple(draw(st.lists(openings(), max_size=3))),
        slices=SliceSpec(
            thickness_mm=draw(between(0.01, 50.0)),
            clearances_mm=tuple(draw(st.lists(clearances, min_size=1, max_size=4, unique=True))),
            heights_mm=tuple(draw(st.lists(between(0.0, 2000.0), max_size=2))),
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
