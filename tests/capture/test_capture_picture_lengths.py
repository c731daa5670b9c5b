"""Lengths in a picture are told in mm; in px where nothing tells its scale, by messages, figures and limits alike."""

import re

import pytest
from PIL import Image, ImageDraw, ImageFilter

from cradle.capture.outline_reader import read_view
from cradle.capture.tracing import trace_outline, trace_picture
from cradle.errors import CaptureError
from cradle.project.picture import PictureSource, Traced
from cradle.project.section import DrawingSource
from cradle.project.side import Side
from cradle.project.view import ViewScale, ViewSpec

MM_PER_PX = 0.1


def _blurred(paint):
    paint.ellipse((40, 40, 250, 250), fill="black")
    return 4


def _second_edge(paint):
    paint.polygon([(40, 250), (40, 230), (560, 240)], fill="black")
    paint.rectangle((40, 40, 200, 250), fill="black")
    return 1.5


def _bridge(paint):
    for left in (40, 270):
        paint.ellipse((left, 40, left + 220, 260), fill="black")
    paint.rectangle((250, 140, 290, 160), fill="black")
    return 0


def _lines(paint):
    paint.ellipse((40, 40, 350, 350), outline="black", width=6)
    for end in (400, 460):
        paint.line([(400, 50), (end, 380)], fill="black", width=5)
    return 0


def _source(folder, drawn):
    picture = Image.new("RGB", (600, 400), "white")
    blur = drawn(ImageDraw.Draw(picture))
    picture.filter(ImageFilter.GaussianBlur(blur)).save(folder / "side.png")
    shape = Traced.LINE if drawn is _lines else Traced.PIECE
    return PictureSource(file="side.png", shape=shape, mm_per_px=MM_PER_PX)


@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("drawn", "codes"),
    [
        (_blurred, ["picture-blurred"]),
        (_second_edge, ["edge-unsure"]),
        (_bridge, ["pieces-touch"]),
        (_lines, ["line-open", "line-width"]),
    ],
)
def test_what_is_doubtful_of_an_edge_is_told_in_the_unit_that_is_known(tmp_path, drawn, codes):
    source = _source(tmp_path, drawn)
    scaled, bare = (
        trace_picture(tmp_path / "side.png", asked).form_findings for asked in (source, source.of_any_size)
    )
    assert [f.code for f in scaled] == [f.code for f in bare] == codes
    for in_mm, in_px in zip(scaled, bare, strict=True):
        assert (in_mm.unit, in_px.unit) == ("mm", "px")
        assert re.search(r"\d mm\b", in_mm.message)
        assert not re.search(r"\d mm\b", in_px.message)
        assert re.search(r"\d px\b", in_px.message)
        for figure in ("measured", "limit"):
            mm, px = getattr(in_mm, figure), getattr(in_px, figure)
            assert (px and px * MM_PER_PX) == (mm and pytest.approx(mm, rel=1e-6))


def _crumb(paint):
    paint.rectangle((300, 300, 314, 310), fill="black")
    return 0


def _stroke(paint):
    paint.rectangle((60, 100, 459, 105), fill="black")
    return 0


def _two(paint):
    paint.rectangle((40, 40, 149, 249), fill="black")
    paint.rectangle((300, 40, 499, 249), fill="black")
    return 0


@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("drawn", "in_mm", "in_px"),
    [
        (
            _crumb,
            "1.6 mm long (scale: stated scale, 0.1 mm per px), a piece is at least 2 mm",
            "16 px long (scale: none was found), a piece is at least 20 px",
        ),
        (
            _stroke,
            "40 mm long and in the mean narrower than 0.8 mm: a stroke, or the rim of something that one sees through",
            "400 px long and in the mean narrower than 8 px: a stroke, or the rim of something that one sees through",
        ),
        (_two, "(1: 11 x 21 mm, 2: 20 x 21 mm)", "(1: 110 x 210 px, 2: 200 x 210 px)"),
    ],
)
def test_what_is_refused_is_told_in_it_too(tmp_path, drawn, in_mm, in_px):
    source = _source(tmp_path, drawn)
    for asked, words in ((source, in_mm), (source.of_any_size, in_px)):
        with pytest.raises(CaptureError, match=re.escape(words)):
            trace_outline(tmp_path, asked)


@pytest.mark.parametrize(("scale", "of_size"), [(ViewScale.GIVEN, ["unit-disagrees"]), (ViewScale.FREE, [])])
def test_of_a_view_of_any_size_is_told_how_it_runs_and_what_was_repaired(tmp_path, scale, of_size):
    (tmp_path / "side.csv").write_text("x_cm,y_cm\n0,0\n4,0\n4,0\n4,5\n0,5\n", encoding="utf-8")
    source = DrawingSource(path="side.csv", unit="mm")
    shown = read_view(ViewSpec(seen_from=Side.LEFT, source=source, scale=scale), folder=tmp_path)
    assert [f.code for f in shown.findings] == [*of_size, "repeated-points"]
