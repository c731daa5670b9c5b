"""DXF drawings written by hand or by a short program, which leave out what their writer did not know of."""

import math

import ezdxf
import numpy as np
import pytest
from drawn_files import box, read

from cradle.drawings.dxf_drawing import read_dxf
from cradle.errors import CaptureError
from cradle.geometry.ring import signed_area

SLOT = [(0, 0, 0), (40, 0, 1), (40, 20, 0), (0, 20, 1)]
"""A slot 60 x 20 with round ends: x, y, bulge."""
SLOT_MM2 = 40 * 20 + math.pi * 10**2
OVAL = [(30, 0), (30, 20), (-30, 20), (-30, 0), (-30, -20), (30, -20), (30, 0)]
"""Control points of a closed curve of two pieces."""


def text(*tags):
    return "".join(f"{code:>3}\n{value}\n" for code, value in tags)


def slot(*before):
    """The slot as an LWPOLYLINE with what stands before its corners."""
    corners = [t for x, y, bulge in SLOT for t in ((10, x), (20, y), (42, bulge))]
    return [(0, "LWPOLYLINE"), *before, (90, 4), (70, 1), *corners]


def oval(*before):
    knots = [(40, k) for k in (0, 0, 0, 0, 1, 1, 1, 2, 2, 2, 2)]
    corners = [t for x, y in OVAL for t in ((10, x), (20, y), (30, 0))]
    return [(0, "SPLINE"), *before, (70, 8), (71, 3), (72, 11), (73, 7), (74, 0), *knots, *corners]


def header(version):
    return [(0, "SECTION"), (2, "HEADER"), *version, (9, "$INSUNITS"), (70, 4), (0, "ENDSEC")]


HEADERS = {
    "none": [],
    "no version": header([]),
    "R12": header([(9, "$ACADVER"), (1, "AC1009")]),
    "R2000": header([(9, "$ACADVER"), (1, "AC1015")]),
    "R2018": header([(9, "$ACADVER"), (1, "AC1032")]),
}
MARKED = [(5, "2A"), (100, "AcDbEntity"), (8, "low"), (100, "AcDbPolyline")]
ENDS = [(0, "ENDSEC"), (0, "EOF")]


def drawing(*entities, head="R12", ends=ENDS):
    tags = [tag for entity in entities for tag in entity]
    return text(*HEADERS[head], (0, "SECTION"), (2, "ENTITIES"), *tags, *ends)


@pytest.mark.parametrize("head", HEADERS)
@pytest.mark.parametrize(
    "before",
    [
        [(8, "low")],
        [(5, "2A"), (8, "low"), (62, 1), (38, 7.5)],
        [(8, "low"), (100, "AcDbPolyline")],
        [(100, "AcDbEntity"), (8, "low")],
        MARKED,
    ],
    ids=["layer", "handle, colour, height", "one marker", "other marker", "both"],
)
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_polyline_without_markers_is_the_one_that_was_drawn(tmp_path, head, before, end):
    other = [(0, "LINE"), (8, "other"), (10, 0), (20, 0), (11, 900), (21, 0)]
    content = drawing(slot(*before), other, head=head).replace("\n", end)
    outline = read(tmp_path, "a.dxf", content, layer="low", unit="mm")
    assert box(outline) == pytest.approx([-10, 0, 60, 20], abs=0.01)
    assert abs(signed_area(outline.points_mm)) == pytest.approx(SLOT_MM2, rel=2e-3)


@pytest.mark.parametrize("head", HEADERS)
@pytest.mark.parametrize("before", [[(8, "low")], [(100, "AcDbEntity"), (8, "low"), (100, "AcDbSpline")]])
def test_a_spline_without_markers_is_the_one_that_was_drawn(tmp_path, head, before):
    # the reference is the library's own evaluation of the same control points and knots
    truth = ezdxf.math.BSpline([(*p, 0) for p in OVAL], 4, [0, 0, 0, 0, 1, 1, 1, 2, 2, 2, 2])
    points = np.array([tuple(p)[:2] for p in truth.approximate(4000)])[:-1]
    outline = read(tmp_path, "a.dxf", drawing(oval(*before), head=head), layer="low", unit="mm")
    low, high = points.min(axis=0), points.max(axis=0)
    assert box(outline) == pytest.approx([*low, *(high - low)], abs=0.01)
    assert abs(signed_area(outline.points_mm)) == pytest.approx(abs(signed_area(points)), rel=2e-3)


def test_a_polyline_without_markers_is_read_in_a_block_and_left_out_where_hidden(tmp_path):
    block = [(0, "BLOCK"), (8, "0"), (2, "thing"), (70, 0), (10, 0), (20, 0), *slot((8, "0")), (0, "ENDBLK")]
    blocks = text((0, "SECTION"), (2, "BLOCKS"), *block, (0, "ENDSEC"))
    placed = [(0, "INSERT"), (8, "low"), (2, "thing"), (10, 100), (20, 0)]
    outline = read(
        tmp_path, "a.dxf", blocks + drawing(placed, slot((8, "x"), (60, 1)), head="none"), unit="mm"
    )
    assert box(outline) == pytest.approx([90, 0, 60, 20], abs=0.01)


def test_what_says_nothing_of_closing_stays_open(tmp_path):
    corners = [t for x, y, _ in SLOT for t in ((10, x), (20, y))]
    (tmp_path / "a.dxf").write_text(drawing([(0, "LWPOLYLINE"), (8, "low"), *corners]))
    (curve,) = read_dxf(tmp_path / "a.dxf", where="a.dxf").curves
    assert curve.ends == "open"
    assert curve.points_mm.tolist() == [[x, y] for x, y, _ in SLOT]


@pytest.mark.parametrize("head", HEADERS)
def test_an_end_marker_may_lack_where_all_sections_are_whole(tmp_path, head):
    for entity in (slot(*MARKED), slot((8, "0")), list(sides())):
        outline = read(tmp_path, "a.dxf", drawing(entity, head=head, ends=ENDS[:1]), unit="mm")
        assert box(outline)[2:] == pytest.approx([60, 20], abs=0.01)


def sides():
    corners = [(-10, 0), (50, 0), (50, 20), (-10, 20)]
    for (x, y), (u, v) in zip(corners, corners[1:] + corners[:1], strict=True):
        yield from [(0, "LINE"), (8, "0"), (10, x), (20, y), (11, u), (21, v)]


def test_a_file_cut_off_anywhere_is_refused_or_whole(tmp_path):
    content = drawing(slot((8, "0")), head="R2000")
    cut_off = 0
    for length in range(1, len(content)):
        try:
            outline = read(tmp_path, "a.dxf", content[:length], unit="mm")
        except CaptureError as error:
            cut_off += "ends within a section, without ENDSEC and EOF" in str(error)
        else:
            assert length >= content.index("ENDSEC", content.index("ENTITIES"))
            assert abs(signed_area(outline.points_mm)) == pytest.approx(SLOT_MM2, rel=2e-3)
    assert cut_off > 50


def test_a_binary_file_is_read_with_and_without_its_end_marker(tmp_path):
    document = ezdxf.new("R2010", units=4)
    document.modelspace().add_lwpolyline([(x, y, 0, 0, b) for x, y, b in SLOT], close=True)
    document.saveas(tmp_path / "a.dxf", fmt="bin")
    data = (tmp_path / "a.dxf").read_bytes()
    assert data.endswith(b"EOF\x00")
    for content in (data, data[: data.rindex(b"EOF") - 2]):
        assert box(read(tmp_path, "a.dxf", content)) == pytest.approx([-10, 0, 60, 20], abs=0.01)
