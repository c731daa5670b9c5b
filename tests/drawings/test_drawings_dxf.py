"""DXF drawings, written by a library of their own, read in true mm."""

import math

import ezdxf
import numpy as np
import pytest
from drawn_files import box, codes, off_circle, read

from cradle.drawings.flatten import bulge_points
from cradle.errors import CaptureError, OutlineError
from cradle.geometry.ring import signed_area, size


def dxf(folder, draw, *, units=4, name="a.dxf", version="R2010"):
    document = ezdxf.new(version)
    document.header["$INSUNITS"] = units
    draw(document.modelspace())
    document.saveas(folder / name)
    return name


BOX = [(10, 20), (50, 20), (50, 50), (10, 50)]


def closed_box(space):
    space.add_lwpolyline(BOX, close=True)


def lines(space, corners=BOX):
    for start, end in zip(corners, corners[1:] + corners[:1], strict=True):
        space.add_line(start, end)


@pytest.mark.parametrize(
    ("code", "factor"),
    # DXF Reference, header variable $INSUNITS; an inch is 25.4 mm exactly
    [
        (4, 1.0),
        (5, 10.0),
        (1, 25.4),
        (9, 0.0254),
        (14, 100.0),
        (6, 1000.0),
        (2, 304.8),
        (10, 914.4),
        (13, 0.001),
    ],
)
def test_each_unit_has_its_length(tmp_path, code, factor):
    corners = [(0, 0), (40 / factor, 0), (40 / factor, 30 / factor)]
    name = dxf(tmp_path, lambda space: space.add_lwpolyline(corners, close=True), units=code)
    outline = read(tmp_path, name)
    assert size(outline.points_mm) == pytest.approx((40.0, 30.0), rel=1e-12)
    assert codes(outline) == set()


def test_an_inch_is_exact(tmp_path):
    name = dxf(
        tmp_path, lambda space: space.add_lwpolyline([(0, 0), (1, 0), (1, 1), (0, 1)], close=True), units=1
    )
    assert size(read(tmp_path, name).points_mm) == (25.4, 25.4)


@pytest.mark.parametrize(
    ("code", "unit", "width", "told"),
    [
        (0, None, 40.0, {"unit-unknown"}),
        (0, "mm", 40.0, set()),
        (0, "in", 40 * 25.4, set()),
        (4, "mm", 40.0, set()),
        (4, "in", 40.0, {"unit-disagrees"}),
    ],
)
def test_a_stated_unit_counts_where_the_drawing_has_none(tmp_path, code, unit, width, told):
    outline = read(tmp_path, dxf(tmp_path, closed_box, units=code), unit=unit)
    assert size(outline.points_mm)[0] == pytest.approx(width, rel=1e-15)
    assert codes(outline) == told


HEADER = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n{}0\nENDSEC\n"


def sides_alone():
    """The entities of a drawing by hand or by a short program, which writes no more than it must."""
    sides = zip(BOX, BOX[1:] + BOX[:1], strict=True)
    rows = (f"0\nLINE\n8\n0\n10\n{x}\n20\n{y}\n11\n{u}\n21\n{v}\n" for (x, y), (u, v) in sides)
    return f"0\nSECTION\n2\nENTITIES\n{''.join(rows)}0\nENDSEC\n0\nEOF\n"


@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize("before", ["", "999\nmade by hand\n", HEADER.format("9\n$MEASUREMENT\n70\n1\n")])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_a_drawing_that_says_little_of_itself_states_no_unit(tmp_path, before, end, mark):
    text = mark + (before + sides_alone()).replace("\n", end)
    outline = read(tmp_path, "a.dxf", text)
    assert size(outline.points_mm) == (40.0, 30.0)
    assert codes(outline) == {"unit-unknown"}
    assert size(read(tmp_path, "a.dxf", text, unit="in").points_mm)[0] == pytest.approx(40 * 25.4, rel=1e-15)
    stated = HEADER.format("9\n$INSUNITS\n70\n5\n") + sides_alone()
    assert size(read(tmp_path, "a.dxf", stated.replace("\n", end)).points_mm) == (400.0, 300.0)


def test_a_unit_of_astronomers_is_refused(tmp_path):
    with pytest.raises(CaptureError, match="INSUNITS 18"):
        read(tmp_path, dxf(tmp_path, closed_box, units=18))


@pytest.mark.parametrize("version", ["R12", "R2000", "R2007", "R2018"])
def test_every_version_is_read(tmp_path, version):
    def draw(space):
        space.add_polyline2d(BOX, close=True)

    assert size(read(tmp_path, dxf(tmp_path, draw, version=version), unit="mm").points_mm) == (40.0, 30.0)


SLOT = [(0, 0, 0), (40, 0, 1), (40, 20, 0), (0, 20, 1)]
"""A slot 60 x 20 with round ends."""


@pytest.mark.parametrize(
    "kind", ["lwpolyline", "polyline", "mirrored", "lines and arcs", "block", "blocks in blocks"]
)
def test_a_slot_is_the_same_however_it_is_drawn(tmp_path, kind):
    def draw(space):
        if kind == "lwpolyline":
            space.add_lwpolyline(SLOT, format="xyb", close=True)
        elif kind == "polyline":
            space.add_polyline2d(SLOT, format="xyb", close=True)
        elif kind == "mirrored":  # seen from below: x runs the other way
            points = [(-x, y, b) for x, y, b in SLOT]
            space.add_lwpolyline(
                [(x, y, -b) for x, y, b in points],
                format="xyb",
                close=True,
                dxfattribs={"extrusion": (0, 0, -1)},
            )
        elif kind == "lines and arcs":
            space.add_arc((40, 10), 10, -90, 90)
            space.add_line((40, 0), (0, 0))
            space.add_arc((0, 10), 10, 90, 270)
            space.add_line((40, 20), (0, 20))
        else:
            block = space.doc.blocks.new("SLOT")
            block.add_lwpolyline([(x / 2, y / 2, b) for x, y, b in SLOT], format="xyb", close=True)
            if kind == "block":
                space.add_blockref("SLOT", (0, 0), dxfattribs={"xscale": 2, "yscale": 2, "layer": "LOW"})
            else:
                outer = space.doc.blocks.new("OUTER")
                outer.add_blockref("SLOT", (-3, 0))
                space.add_blockref("OUTER", (6, 0), dxfattribs={"xscale": 2, "yscale": 2, "layer": "LOW"})

    outline = read(tmp_path, dxf(tmp_path, draw), layer="LOW" if "block" in kind else None)
    assert box(outline) == pytest.approx([-10, 0, 60, 20], abs=1e-9)
    assert codes(outline) == set()
    area = 40 * 20 + math.pi * 100
    assert area - 0.5 < signed_area(outline.points_mm) < area
    on_right = outline.points_mm[outline.points_mm[:, 0] > 40 + 1e-9]
    assert len(on_right) > 20
    assert np.hypot(*(on_right - [40, 10]).T) == pytest.approx(10.0, abs=1e-9)


def test_only_arcs_of_a_long_polyline_cost_time_each(tmp_path, monkeypatch):
    from cradle.drawings import dxf_drawing

    arcs = []
    monkeypatch.setattr(
        dxf_drawing, "bulge_points", lambda *a, **k: (arcs.append(a), bulge_points(*a, **k))[1]
    )
    low = [(x, 0.001 * (k % 2), 0) for k, x in enumerate(np.linspace(0, 40, 5001).tolist())]
    vertices = [*low[:-1], *SLOT[1:]]
    outline = read(
        tmp_path, dxf(tmp_path, lambda space: space.add_lwpolyline(vertices, format="xyb", close=True))
    )
    assert len(arcs) == 2
    assert box(outline) == pytest.approx([-10, 0, 60, 20], abs=1e-9)
    assert len(outline.points_mm) > 5000


def test_circles_and_ellipses_have_their_true_sizes(tmp_path):
    circle = read(tmp_path, dxf(tmp_path, lambda s: s.add_circle((5, 6), 20)))
    assert off_circle(circle, (5, 6), 20) < 1e-12
    n = len(circle.points_mm)
    # derived, elementary geometry: inscribed n-gon over the true area
    ratio = n / (2 * math.pi) * math.sin(2 * math.pi / n)
    assert signed_area(circle.points_mm) / (math.pi * 400) == pytest.approx(ratio, rel=1e-9)
    full = read(tmp_path, dxf(tmp_path, lambda s: s.add_ellipse((0, 0), major_axis=(0, 30), ratio=0.5)))
    assert size(full.points_mm) == pytest.approx((30.0, 60.0), abs=1e-12)
    two_arcs = read(
        tmp_path,
        dxf(
            tmp_path,
            lambda s: [s.add_ellipse((0, 0), (30, 0), 0.5, a, a + math.pi) for a in (0.3, 0.3 + math.pi)],
        ),
    )
    assert size(two_arcs.points_mm) == pytest.approx((60.0, 30.0), abs=1e-9)
    squeezed = dxf(tmp_path, _squeezed_circle)
    assert size(read(tmp_path, squeezed).points_mm) == pytest.approx((60.0, 20.0), abs=1e-9)


def _squeezed_circle(space):
    space.doc.blocks.new("ROUND").add_circle((0, 0), 10)
    space.add_blockref("ROUND", (0, 0), dxfattribs={"xscale": 3, "yscale": 1})


def test_a_spline_is_as_large_as_a_reference_library_says(tmp_path):
    control = [(0, 0), (40, 0), (60, 30), (20, 50), (-20, 20), (0, 0)]

    def draw(space):
        space.add_open_spline(control, degree=3)

    from scipy.interpolate import BSpline

    knots = [0] * 4 + [1, 2] + [3] * 4
    true = BSpline(knots, np.array(control, float), 3)(np.linspace(0, 3, 20_001))
    outline = read(tmp_path, dxf(tmp_path, draw))
    assert size(outline.points_mm) == pytest.approx(np.ptp(true, axis=0), abs=1e-5)
    assert codes(outline) == set()


def test_a_weighted_spline_and_one_through_points_follow_their_circle(tmp_path):
    corners = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)]

    def circle(space):  # Piegl & Tiller, "The NURBS Book", 7.5, from memory
        spline = space.add_spline(degree=2)
        spline.control_points = [(25 * x, 25 * y, 0) for x, y in corners]
        spline.knots = [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4]
        spline.weights = [1, 0.5**0.5] * 4 + [1]

    assert off_circle(read(tmp_path, dxf(tmp_path, circle)), (0, 0), 25) < 1e-6

    def through(space):
        angle = np.linspace(0, 2 * np.pi, 25)
        space.add_spline([(25 * math.cos(a), 25 * math.sin(a)) for a in angle])

    assert off_circle(read(tmp_path, dxf(tmp_path, through)), (0, 0), 25) < 0.3


def test_gaps_between_pieces_are_closed_and_told(tmp_path):
    def draw(space):
        space.add_line((0, 0), (40, 0))
        space.add_line((40, 0.06), (40, 30))
        space.add_line((40, 30), (0, 30))
        space.add_line((0, 0), (0.03, 29.98))

    outline = read(tmp_path, dxf(tmp_path, draw))
    (finding,) = [f for f in outline.findings if f.code == "gap-joined"]
    assert "2 gaps" in str(finding)
    assert "(40.00, 0.03)" in str(finding)
    assert finding.measured == pytest.approx(0.06)


def test_a_gap_too_wide_is_refused_with_its_place(tmp_path):
    def draw(space):
        space.add_lwpolyline([(0, 0), (40, 0), (40, 30), (0, 30), (0, 0.2)])

    with pytest.raises(
        OutlineError, match=r"ends .0.00, 0.00. and .0.00, 0.20. are 0.2 mm apart, up to 0.1 mm"
    ):
        read(tmp_path, dxf(tmp_path, draw))


@pytest.mark.slow
def test_many_short_lines_make_one_loop(tmp_path):
    angle = np.linspace(0, 2 * np.pi, 4000, endpoint=False)
    corners = [(20 * math.cos(a), 20 * math.sin(a)) for a in angle]  # steps of 0.03 mm, below the gap
    order = np.random.default_rng(3).permutation(len(corners))

    def draw(space):
        for k in order:
            start, end = corners[k], corners[(k + 1) % len(corners)]
            space.add_line(*((start, end) if k % 3 else (end, start)))

    outline = read(tmp_path, dxf(tmp_path, draw))
    assert len(outline.points_mm) == 4000
    assert off_circle(outline, (0, 0), 20) < 1e-9
    assert codes(outline) == set()


def test_curves_drawn_twice_count_once(tmp_path):
    def draw(space):
        lines(space)
        space.add_line(BOX[1], BOX[0])

    outline = read(tmp_path, dxf(tmp_path, draw))
    assert size(outline.points_mm) == (40.0, 30.0)
    assert codes(outline) == {"drawn-twice"}
    assert codes(read(tmp_path, dxf(tmp_path, lambda s: [closed_box(s), closed_box(s)]))) == {"drawn-twice"}


def test_three_ends_in_a_point_are_refused(tmp_path):
    def draw(space):
        lines(space)
        space.add_line(BOX[0], BOX[2])

    with pytest.raises(
        OutlineError, match=r"more than two ends meet at \((10.00, 20.00|50.00, 50.00)\).*LINE"
    ):
        read(tmp_path, dxf(tmp_path, draw))


def layered(space):
    space.doc.layers.add("LOW")
    space.doc.layers.add("FRAME").off()
    space.doc.layers.add("NOTES").freeze()
    space.add_lwpolyline(BOX, close=True, dxfattribs={"layer": "LOW"})
    space.add_lwpolyline([(0, 0), (90, 0), (90, 90)], close=True, dxfattribs={"layer": "FRAME"})
    space.add_circle((0, 0), 70, dxfattribs={"layer": "NOTES"})
    space.add_circle((0, 0), 60, dxfattribs={"invisible": 1})
    space.add_text("low, 4 mm")
    space.add_point((3, 3))


def test_hidden_layers_and_words_are_left_out(tmp_path):
    assert size(read(tmp_path, dxf(tmp_path, layered)).points_mm) == (40.0, 30.0)


def test_a_layer_picks_its_curves(tmp_path):
    def draw(space):
        layered(space)
        space.add_circle((0, 0), 15, dxfattribs={"layer": "HIGH"})

    name = dxf(tmp_path, draw)
    assert size(read(tmp_path, name, layer="LOW").points_mm) == (40.0, 30.0)
    assert size(read(tmp_path, name, layer="HIGH").points_mm) == pytest.approx((30.0, 30.0))
    with pytest.raises(
        OutlineError, match=r'found 2 separate curves.*on layer "LOW", closed, 40.00 x 30.00 mm'
    ):
        read(tmp_path, name)
    with pytest.raises(CaptureError, match=r'no curve on "MIDDLE".*the drawing has "HIGH", "LOW"'):
        read(tmp_path, name, layer="MIDDLE")


@pytest.mark.parametrize(
    ("draw", "words"),
    [
        (lambda s: None, "found no curve in the drawing"),
        (lambda s: s.add_text("empty"), "it holds 1 TEXT"),
        (lambda s: s.add_line((0, 0, 0), (10, 0, 5)), "leaves the drawing's plane"),
        (
            lambda s: s.add_circle((0, 0), 30, dxfattribs={"extrusion": (1, 0, 0)}),
            "leaves the drawing's plane",
        ),
        (lambda s: s.add_circle((0, 0), 1e9), "check the unit"),
        (lambda s: s.add_circle((0, 0), 1500), "up to 2000 mm"),
        (lambda s: s.add_circle((0, 0), 0.3), "at least 1 mm"),
        (lambda s: s.add_line((0, 0), (0, 0)), "curves of no length"),
        (lambda s: s.add_line((0, 0), (30, 0)), "the outline is open"),
    ],
)
def test_drawings_without_an_outline_are_refused_with_the_cause(tmp_path, draw, words):
    with pytest.raises((CaptureError, OutlineError), match=words) as caught:
        read(tmp_path, dxf(tmp_path, draw))
    assert str(caught.value).startswith("a.dxf: ")


def test_a_drawing_far_from_the_origin_keeps_its_size(tmp_path):
    name = dxf(
        tmp_path,
        lambda s: s.add_lwpolyline([(x + 5e6, y + 4e6, b) for x, y, b in SLOT], format="xyb", close=True),
    )
    assert size(read(tmp_path, name).points_mm) == pytest.approx((60.0, 20.0), abs=1e-6)


def test_a_long_row_of_blocks_is_refused(tmp_path):
    def draw(space):
        space.doc.blocks.new("ROUND").add_circle((0, 0), 10)
        space.add_blockref(
            "ROUND",
            (0, 0),
            dxfattribs={"column_count": 30_000, "row_count": 30_000, "column_spacing": 1, "row_spacing": 1},
        )

    with pytest.raises(CaptureError, match="more than 30000 elements"):
        read(tmp_path, dxf(tmp_path, draw))


def test_damaged_files_are_refused(tmp_path):
    name = dxf(tmp_path, closed_box)
    data = (tmp_path / name).read_bytes()
    for damaged in (
        data[: len(data) // 2],
        data.replace(b"SECTION", b"SECTIOM"),
        b"0\nSECTION\n2\n",
        b"  0\nEOF\nrubbish",
    ):
        with pytest.raises(CaptureError, match=r"a.dxf: "):
            read(tmp_path, name, damaged)
