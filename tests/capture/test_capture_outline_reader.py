"""What a section's source may be, every bad file one by one, and side profiles."""

import dataclasses
import os

import ezdxf
import numpy as np
import pytest
from drawn_files import codes, read, svg

from cradle.capture.line_tracing import _open_line
from cradle.capture.outline_reader import read_outline, read_view
from cradle.capture.profile_reader import read_profile
from cradle.drawings.drawing_reader import READERS
from cradle.errors import CaptureError, InputError, OutlineError, ScaleError
from cradle.geometry.ring import size
from cradle.pictures.border import Border
from cradle.pictures.grain import Grain, LengthUnit
from cradle.project.picture import PictureSource
from cradle.project.section import DrawingSource, Form, MeasuredSource, SectionSpec
from cradle.project.side import Side
from cradle.project.view import ViewScale, ViewSpec

ENDINGS = (".svg", ".dxf", ".csv", ".json")


def sound_files(folder):
    """One sound file of each format, all of the same 40 x 30 mm outline with a round top."""
    page = 'width="100mm" height="100mm" viewBox="0 0 100 100"'
    body = '<g transform="translate(5 5)"><path id="low" d="M0 0 H40 V20 C40 40 0 40 0 20 Z"/></g>'
    (folder / "a.svg").write_text(svg(page, body))
    document = ezdxf.new("R2000", units=4)
    space = document.modelspace()
    space.add_lwpolyline([(0, 0, 0), (40, 0, 0), (40, 10, 1), (0, 10, 0)], format="xyb", close=True)
    document.saveas(folder / "a.dxf")
    document = ezdxf.new("R12")
    for start, end in (((0, 0), (40, 0)), ((40, 0), (40, 30)), ((40, 30), (0, 30)), ((0, 30), (0, 0))):
        document.modelspace().add_line(start, end)
    document.saveas(folder / "b.dxf")
    (folder / "a.csv").write_text("# low\nx_mm;y_mm\n0;0\n40;0\n40,0;30\n20;35,5\n0;30\n")
    (folder / "a.json").write_text(
        '{"unit": "mm", "closed": true, "points": [[0, 0], [40, 0], [40, 30], [0, 30.5]]}'
    )
    return ["a.svg", "a.dxf", "b.dxf", "a.csv", "a.json"]


def test_every_format(tmp_path):
    names = sound_files(tmp_path)
    assert {os.path.splitext(name)[1] for name in names} == set(READERS)
    for name in names:
        outline = read(tmp_path, name, unit="mm" if name == "b.dxf" else None)
        assert size(outline.points_mm)[0] == pytest.approx(40.0)
        assert codes(outline) == set()


def test_endings_may_be_written_large(tmp_path):
    (tmp_path / "A.CSV").write_text("0,0\n40,0\n40,30\n")
    assert size(read(tmp_path, "A.CSV").points_mm) == (40.0, 30.0)


def test_measured_sections(tmp_path):
    source = MeasuredSource(form=Form.RECTANGLE, width_mm=40.0, depth_mm=30.0, corner_mm=5.0)
    outline = read_outline(SectionSpec(name="low", height_mm=4.0, source=source), folder=tmp_path)
    assert size(outline.points_mm) == (40.0, 30.0)
    wrong = MeasuredSource(form=Form.ELLIPSE, width_mm=0.4, depth_mm=30.0)
    with pytest.raises(OutlineError, match='section "low": measured: the width'):
        read_outline(SectionSpec(name="low", height_mm=4.0, source=wrong), folder=tmp_path)


def test_a_picture_without_scale_shows_a_view_whose_size_the_calipers_tell(tmp_path):
    from PIL import Image, ImageDraw

    bare = Image.new("RGB", (500, 400), "white")
    ImageDraw.Draw(bare).rectangle((140, 40, 339, 359), fill="black")  # 200 x 320 px
    bare.save(tmp_path / "front.png")
    spec = ViewSpec(seen_from=Side.FRONT, source=PictureSource(file="front.png"), scale=ViewScale.FREE)
    width, height = size(read_view(spec, folder=tmp_path).points_mm)
    assert width / height == pytest.approx(200 / 320, abs=0.005)
    with pytest.raises(CaptureError, match=r'front.png: no scale was found.*; say scale = "free"'):
        read_view(dataclasses.replace(spec, scale=ViewScale.GIVEN), folder=tmp_path)
    with pytest.raises(CaptureError, match="there is no such file"):
        read_view(dataclasses.replace(spec, source=PictureSource(file="back.png")), folder=tmp_path)


@pytest.mark.slow
def test_a_view_of_a_card_s_form_is_the_thing_where_sections_tell_its_size(tmp_path):
    """A box 8 by 5 cm seen from its side, 1.586 times as wide as high as a bank card is (ISO/IEC 7810, ID-1)."""
    from PIL import Image, ImageDraw

    bare = Image.new("RGB", (1200, 900), "white")
    ImageDraw.Draw(bare).rounded_rectangle((200, 200, 1056, 740), radius=32, fill=(70, 60, 90))
    bare.save(tmp_path / "front.png")
    spec = ViewSpec(seen_from=Side.FRONT, source=PictureSource(file="front.png"), scale=ViewScale.FREE)
    shown = read_view(spec, folder=tmp_path)
    width, height = size(shown.points_mm)
    assert width / height == pytest.approx(857 / 541, abs=0.005)
    assert not shown.findings
    with pytest.raises(ScaleError, match=r'bank card.*say scale = "free".*lay a ruler'):
        read_view(dataclasses.replace(spec, scale=ViewScale.GIVEN), folder=tmp_path)


def test_a_picture_of_a_side_tells_its_shadow_in_pixels_and_which_borders_it_reaches(tmp_path):
    from PIL import Image, ImageDraw, ImageFilter

    soft = Image.new("L", (500, 400), 255)
    ImageDraw.Draw(soft).rectangle((330, 335, 440, 362), fill=110)
    seen = soft.filter(ImageFilter.GaussianBlur(8)).convert("RGB")
    ImageDraw.Draw(seen).rectangle((140, -9, 339, 359), fill=(20, 30, 90))
    seen.save(tmp_path / "front.png")
    spec = ViewSpec(seen_from=Side.FRONT, source=PictureSource(file="front.png"), scale=ViewScale.FREE)
    shown = read_view(spec, folder=tmp_path)
    assert shown.cut_off_at == (Border.UPPER,)
    told = {finding.code: finding for finding in shown.findings}
    assert told.keys() == {"shadow-left-out", "edge-soft", "piece-cut-off"}  # nothing of a scale
    assert "a shadow" in told["edge-soft"].message
    px, unit, *_ = told["edge-soft"].message.removeprefix("front.png: piece 1: ").split()
    assert unit == told["edge-soft"].unit == "px"
    assert float(px) == pytest.approx(told["edge-soft"].measured, abs=5)
    assert 100 < float(px) < 600  # of a shadow about 110 px long and 30 high
    assert "upper edge" in told["piece-cut-off"].message


def test_an_open_line_in_a_picture_without_scale_is_told_in_pixels_both_ways():
    bare = Grain(mm=0.1, unit=LengthUnit.PX)
    told = _open_line((20, 20, 140, 300), bare, where="front.png")
    assert told.message.startswith("a line 140 px by 300 px was left out")
    assert told.message.endswith("more than 25 px apart")
    assert (told.limit, told.unit) == (25.0, "px")


@pytest.mark.parametrize("ending", ENDINGS)
@pytest.mark.parametrize(
    ("content", "words"),
    [
        (None, "there is no such file"),
        (b"", "is empty"),
        (b" \n\t\n", "is empty"),
        (bytes(range(256)) * 20, "."),
        (b"\x89PNG\r\n\x1a\n" + bytes(500), "."),
        (b"\xff\xd8\xff\xe0" + b"\xa7" * 500, "."),
        (b"PK\x03\x04" + b"\x00\x14" * 90, "."),
        (b"\x1f\x8b\x08" + b"\x91" * 90, "."),
        (b"<html><body>404 not found</body></html>", "."),
        (b"Dear Sir,\nfind enclosed my outline.\n", "."),
        (b"\x00" * 4096, "."),
    ],
    ids=["missing", "empty", "blank", "binary", "png", "jpeg", "zip", "gzip", "html", "letter", "zeros"],
)
def test_files_that_hold_no_drawing(tmp_path, ending, content, words):
    name = f"low{ending}"
    with pytest.raises(CaptureError, match=words) as caught:
        read(tmp_path, name, content)
    assert str(caught.value).startswith(f"{name}: ")
    assert str(tmp_path) not in str(caught.value)
    assert caught.value.hint
    assert len(str(caught.value)) < 400
    assert "\n" not in str(caught.value)


def test_a_file_too_large(tmp_path):
    with open(tmp_path / "b.svg", "wb") as file:
        file.truncate(33 * 2**20)  # a hole, no bytes on the disk
    with pytest.raises(CaptureError, match=r"34.6 MB, up to 32 MB"):
        read(tmp_path, "b.svg")


@pytest.mark.parametrize("name", ["low.step", "low.txt", "low", "low.svg.bak", ".svg"])
def test_endings_that_are_not_known(tmp_path, name):
    with pytest.raises(CaptureError, match=r"\.svg, \.dxf, \.csv, \.json are"):
        read(tmp_path, name, b"0,0\n1,0\n")


def test_the_end_gap(tmp_path):
    page = 'width="100mm" height="100mm" viewBox="0 0 100 100"'
    outline = read(tmp_path, "a.svg", svg(page, '<path d="M0 0 H40 V30 H0 V0.08"/>'))
    (finding,) = [f for f in outline.findings if f.code == "end-gap"]
    assert finding.measured == pytest.approx(0.08)
    assert not outline.open_ends
    exactly = read(tmp_path, "a.svg", svg(page, '<path d="M0 0 H40 V30 H0 V0"/>'), half=True)
    assert not exactly.open_ends
    assert codes(exactly) == set()
    with pytest.raises(OutlineError, match=r"0.12 mm apart"):
        read(tmp_path, "a.svg", svg(page, '<path d="M0 0 H40 V30 H0 V0.12"/>'))


# side profiles

PROFILE = np.array([[0.0, -20.0], [10.0, -24.5], [30.0, -22.0], [46.0, -12.0]])


@pytest.mark.parametrize(
    "content",
    [
        "0,-20\n10,-24.5\n30,-22\n46,-12\n",
        "height,y\n46,-12\n0,-20\n30,-22\n10,-24.5\n",
        "y,height\n-20,0\n-24.5,10\n-22,30\n-12,46\n",
        "height_cm;y_cm\n0;-2\n1;-2,45\n3;-2,2\n4,6;-1,2\n",
    ],
)
def test_profiles_from_tables(tmp_path, content):
    (tmp_path / "front.csv").write_text(content)
    profile = read_profile(tmp_path / "front.csv")
    assert profile == pytest.approx(PROFILE)
    assert profile.dtype == np.float64
    assert not profile.flags.writeable


@pytest.mark.parametrize("backwards", [False, True])
@pytest.mark.parametrize("ending", [".svg", ".dxf"])
def test_profiles_from_drawings(tmp_path, ending, backwards):
    points = [(y, h) for h, y in PROFILE][:: -1 if backwards else 1]
    if ending == ".svg":  # the page's lower edge is the resting plane, x = 0 lies 50 mm from its left edge
        path = " ".join(f"{x},{-h}" for x, h in points)
        page = 'width="100mm" height="60mm" viewBox="-50 -60 100 60"'
        (tmp_path / "front.svg").write_text(svg(page, f'<polyline points="{path}"/>'))
        expected = PROFILE + [0, 50]
    else:
        document = ezdxf.new(units=4)
        document.modelspace().add_lwpolyline(points)
        document.saveas(tmp_path / "front.dxf")
        expected = PROFILE
    assert read_profile(tmp_path / f"front{ending}") == pytest.approx(expected)


def test_a_drawn_profile_may_step_and_fall_back_by_half_a_pencil_line(tmp_path):
    page = 'width="9mm" height="9mm" viewBox="0 0 9 9"'
    drawn = '<polyline points="1,9 1,5 2,5.06 3,5 3,3 2,3 2,0"/>'
    (tmp_path / "back.svg").write_text(svg(page, drawn))
    height, reach = read_profile(tmp_path / "back.svg").T
    assert (np.diff(height) > 0).all()
    assert np.interp([0, 3.9, 4.1, 5.9, 6.1, 9], height, reach) == pytest.approx([1, 1, 3, 3, 2, 2])


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("f.csv", "0,1\n5,2\n0,3\n", "the height 0 mm comes twice, in line 1 and line 3"),
        ("f.csv", "0,1\n5,nan\n", "line 2: expected a number"),
        ("f.csv", "0,1\n", "at least 2"),
        ("f.csv", "", "is empty"),
        ("f.json", "[[0, 1], [2, 3]]", ".svg, .dxf, .csv are"),
        ("f.svg", svg('width="9mm" viewBox="0 0 9 9"', '<rect width="5" height="5"/>'), "closed curve"),
        (
            "f.svg",
            svg('width="9mm" height="9mm" viewBox="0 0 9 9"', '<polyline points="0,9 1,5 2,6 3,0"/>'),
            "runs down again from height 4.00",
        ),
        (
            "f.svg",
            svg('width="9mm" viewBox="0 0 9 9"', '<polyline points="0,5 1,5 2,5 3,5"/>'),
            "does not rise: all of it lies at height",
        ),
        (
            "f.svg",
            svg('width="9mm" viewBox="0 0 9 9"', '<path d="M0 0V5M3 3V9"/>'),
            "found 2 separate curves",
        ),
    ],
)
def test_profiles_that_are_none(tmp_path, name, content, words):
    (tmp_path / name).write_text(content)
    with pytest.raises(InputError, match=words) as caught:
        read_profile(tmp_path / name, where=f"side/{name}")
    assert str(caught.value).startswith(f"side/{name}: ")


def test_absolute_paths(tmp_path):
    sound_files(tmp_path)
    source = DrawingSource(path=str(tmp_path / "a.csv"))
    spec = SectionSpec(name="a", height_mm=1.0, source=source)
    assert size(read_outline(spec, folder=tmp_path / "elsewhere").points_mm) == (40.0, 35.5)
