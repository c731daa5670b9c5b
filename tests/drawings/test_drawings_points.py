"""Points from CSV and JSON."""

import numpy as np
import pytest
from drawn_files import codes, read

from cradle.drawings.points import PLAN, read_heights, read_points, read_table
from cradle.drawings.points_json import read_points_json
from cradle.errors import CaptureError, InputError
from cradle.geometry.ring import size

ROWS = [("0", "0"), ("40", "0"), ("40", "30.5"), ("0", "30.5")]


def table(separator=",", head="", end="\n", decimal="."):
    lines = [head] if head else []
    return end.join([*lines, *(separator.join(row).replace(".", decimal) for row in ROWS)]) + end


@pytest.mark.parametrize(
    "content",
    [
        table(),
        table(head="x,y"),
        table(head='"x","y"'),
        table(head="x_mm,y_mm"),
        table(head="X [mm],Y [mm]"),
        table(head="x (mm),y (mm)"),
        table(" , "),
        table(";"),
        table(";", decimal=","),
        table("; ", head="x_mm;y_mm", decimal=","),
        table("\t"),
        table("\t", decimal=","),
        table(end="\r\n"),
        table(end="\r"),
        "\n\n# traced by hand, x first\n" + table().replace("40,0", "40,0   # corner; the sharp one"),
        "sep=;\n" + table("; ", head="x_mm;y_mm", decimal=","),
        '"sep=,"\r\n' + table(end="\r\n"),
        "\ufeffSEP=\t\n" + table("\t", decimal=","),
        "Section low\n2026-05-03 by hand\n" + table(head="x,y"),
        "Messung vom 3. Mai\r\n\r\n" + table(";", decimal=",", end="\r\n"),
        table() + "0,0\n",
        table().replace("\n", ",\n"),
        "\ufeff" + table(),
        table().encode("utf-16"),
        table().replace("40", "4e1").replace("0,0", "+0.,-.0"),
        table().replace("\n", ",12\n"),
        table().replace("\n", ",12.0004\n", 2).replace("5\n", "5,12\n"),
        table(";", decimal=",").replace("\n", ";12,5\n"),
        table(head="x,y").replace("\n", ",a\n"),
        table(head="X [mm],Y [mm]").replace("\n", ",Z [in]\n", 1).replace("0\n", "0,7\n"),
        "no.,y,note,x\n1,0,,0\n2,0,corner,40\n3,30.5,,40\n4,30.5,round?,0\n",
        ",x,y\n0,0,0\n1,40,0\n2,40,30.5\n3,0,30.5\n",
        "H\u00f6he;depth_mm;width_mm\n7;0;0\n;0;40\n9;30,5;40\n7;30,5;0\n",
        table(";", head="L\u00e4nge;H\u00f6he", decimal=",").encode("cp1252"),
        ("# gr\u00f6\u00dfer\r\n" + table(head="x (mm),y (mm)", end="\r\n")).encode("cp1252"),
        table(head="x_\u00b5m,y_\u00b5m").replace("40", "40e3").replace("30.5", "305e2").encode("cp1252"),
    ],
)
def test_a_table_is_read_however_it_was_written(tmp_path, content):
    outline = read(tmp_path, "a.csv", content)
    assert size(outline.points_mm) == (40.0, 30.5)
    assert len(outline.points_mm) == 4
    assert outline.findings == ()


@pytest.mark.parametrize(
    ("content", "unit", "factor", "told"),
    [
        (table(head="x_in,y_in"), None, 25.4, set()),
        (table(head="x_cm,y_cm"), None, 10.0, set()),
        (table(head="x,y"), "in", 25.4, set()),
        (table(), "cm", 10.0, set()),
        (table(head="x_in,y_in"), "in", 25.4, set()),
        (table(head="x_in,y_in"), "mm", 25.4, {"unit-disagrees"}),
    ],
)
def test_a_heading_s_unit_counts_before_the_project_s(tmp_path, content, unit, factor, told):
    # an inch is 25.4 mm exactly (NIST SP 811, from memory)
    outline = read(tmp_path, "a.csv", content, unit=unit)
    assert size(outline.points_mm) == pytest.approx((40 * factor, 30.5 * factor), rel=1e-15)
    assert codes(outline) == told


def test_a_heading_may_put_y_first(tmp_path):
    assert size(read(tmp_path, "a.csv", table(head="y,x")).points_mm) == (30.5, 40.0)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (
            "0,0\n40,0\n40;30\n",
            "line 1: expected 2 numbers, not 1; part the columns of every line by a semicolon",
        ),
        ("x,y\n0,0\n40\n40,30\n", "line 3: expected 2 numbers, not 1; write x,y such as 12.5,-3"),
        (
            "x,y_in\n0,0\n",
            "different units, none and in; write both in one unit and name it after each, such as x_mm,y_mm",
        ),
        (
            "height,y\n0,0\n5,1\n9,3\n",
            'columns are "height" and "y", an outline needs x and y; a side profile belongs under',
        ),
        ("z_mm,y_mm\n0,0\n5,1\n9,3\n", 'the columns are "z" and "y", an outline needs x and y'),
        ("0,0\n40,0\nforty,30\n", 'line 3: expected a number, not "forty"'),
        ("0,0\n40,0\n40,nan\n", 'line 3: expected a number, not "nan"'),
        ("nan,0\n40,0\n40,1\n", 'line 1: expected a number, not "nan"'),
        ("0,0\n40,inf\n", 'line 2: expected a number, not "inf"'),
        ("0,0\n40,1e999\n", "line 2: expected a number"),
        ("0,0\n40,1_000\n", "line 2: expected a number"),
        ("0,0\n40,\n", "line 2: expected a number"),
        ("0,0\n\n# x\n40,0,7\n", "line 4: expected 2 numbers, not 3"),
        ("x,y\n0,0\n40,5,7\n", "line 3: expected 2 numbers, not 3; .* write its decimals with a point"),
        (
            "angle,radius\n0,25\n6,26\n",
            'the columns are "angle" and "radius", an outline needs x and y; reckon',
        ),
        ("no,theta,r\n1,0,25\n", "line 1: of 3 columns none is named x and y"),
        ("1,5,2,5\n", "line 1: expected 2 numbers, not 4; with decimal commas"),
        ("x_mm,y_in\n0,0\n", "line 1: the columns have different units, mm and in"),
        ("x,y,z\n0,0\n40,0,1,2\n", "line 3: expected 3 numbers, not 4; name the columns"),
        ("x,y,z\n0,0\n40\n", "line 3: expected 3 numbers, not 1"),
        ("x,y,z\n1,5,2,5,0,5\n", "line 2: expected 3 numbers, not 6; with decimal commas"),
        ("x,h,z\n0,0,0\n", "line 1: of 3 columns none is named x and y, .* such as x,y,z; others are"),
        ("x,y,x\n0,0,0\n", "line 1: of 3 columns none is named x and y, or more than one"),
        ("x,y,width,depth\n0,0,0,0\n", "line 1: of 4 columns none .* or more than one"),
        ("x_mm,y_in,z\n0,0,0\n", "line 1: the columns have different units, mm and in"),
        ("0,0,7\n40,0,7\n40,30\n", "line 3: expected 3 numbers, not 2"),
        (
            "0,0,7\n\n40,0,7\n40,30,8.5\n",
            "line 4: the third number is 8.5, in line 1 it is 7; .* such as x,y,z; others are passed over",
        ),
        ("0,0,0,7\n40,0,0,7\n", "line 1: expected 2 numbers, not 4"),
        ("x/7,y\n0,0\n", 'line 1: the heading "x/7" is not understood'),
        ("x_parsec,y_parsec\n0,0\n", "line 1: the heading"),
        ("x,y\n", "a heading but no points"),
        ("# nothing\n\n", "holds no points"),
        ("0,0\n40,0\n", "at least 3 are needed"),
        (f"0,0\n40,{'0' * 2000}\n", "line 2 has 2003 letters"),
        (b"0,0\n40,\xff\xfe\n", 'line 2: expected a number, not "\u00ff\u00fe"'),
        (b"0,0\n40,\x81\n", "line 2 is not UTF-8 text"),
        (b"0,0\n4\x000,1\n", "line 2 is not UTF-8 text"),
        (b"\xff\xfe0", "is not UTF-8 text"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_line(tmp_path, content, words):
    with pytest.raises(InputError, match=words) as caught:
        read(tmp_path, "a.csv", content)
    assert str(caught.value).startswith("a.csv: ")


SIDE = [[0.0, 12.0], [5.0, 12.5], [20.0, 9.0]]
"""Height and y of a profile, mm."""


@pytest.mark.parametrize(
    "content",
    [
        "height,y\n0,12\n5,12.5\n20,9\n",
        "x,y,z\n3,12,0\n3,12.5,5\n3,9,20\n".replace("x,", "no.,"),
        "point,height_cm,side,y_cm\na,0,front,1.2\nb,.5,front,1.25\nc,2,front,.9\n",
        "H\u00f6he;L\u00e4nge\n0;12\n5;12,5\n20;9\n".encode("cp1252"),
        "y;H\u00f6he\n12;0\n12,5;5\n9;20\n".encode("cp1252"),
        "height in mm;y in mm\n0;12\n5;12,5\n20;9\n",
        "height in cm,y in cm\n0,1.2\n.5,1.25\n2,.9\n",
    ],
)
def test_columns_of_a_profile_are_found_by_their_headings(tmp_path, content):
    (tmp_path / "a.csv").write_bytes(content if isinstance(content, bytes) else content.encode())
    values, _ = read_heights(tmp_path / "a.csv", where="a.csv")
    assert values == pytest.approx(np.array(SIDE))


@pytest.mark.parametrize(
    ("content", "words"),
    [
        # numbered rows of an upright side: its y is the same for all, and no number in level
        ("1,0,12\n2,5,12\n3,20,12\n", "line 1: expected 2 numbers, not 3; name the columns in a first line"),
        ("x,y,z\n3,12,0\n3,12,5\n", "of 3 columns none is named height and y, or more than one"),
    ],
)
def test_profiles_of_three_columns_must_say_which_count(tmp_path, content, words):
    (tmp_path / "a.csv").write_text(content)
    with pytest.raises(CaptureError, match=rf"^a.csv: line 1: .*{words.removeprefix('line 1: ')}.* height,y"):
        read_heights(tmp_path / "a.csv", where="a.csv")


@pytest.mark.parametrize("content", ["# nothing\n", "height of it,y\n0,1\n", "0,1\n5,deep\n", "0" * 2001])
def test_a_profile_is_asked_for_by_the_names_of_its_own_columns(tmp_path, content):
    """It was to be written as x,y, which is an outline from above."""
    (tmp_path / "a.csv").write_text(content)
    with pytest.raises(CaptureError, match=r"height,y"):
        read_heights(tmp_path / "a.csv", where="a.csv")


def test_layers_are_refused(tmp_path):
    with pytest.raises(CaptureError, match="no layers"):
        read(tmp_path, "a.csv", table(), layer="low")


def test_a_half_list_is_open_unless_it_returns_to_its_start(tmp_path):
    half = "0,0\n30,0\n25,20\n0,40\n"
    outline = read(tmp_path, "a.csv", half, half=True)
    assert outline.open_ends
    assert outline.points_mm[[0, -1]].tolist() == [[0, 0], [0, 40]]
    assert not read(tmp_path, "a.csv", half + "0,0\n", half=True).open_ends
    assert not read(tmp_path, "a.csv", half).open_ends


def test_twenty_thousand_points_are_read_exactly(tmp_path):
    angle = np.linspace(0, 2 * np.pi, 20_000, endpoint=False)
    lines = [f"{50 * c:.17g},{40 * s:.17g}" for c, s in zip(np.cos(angle), np.sin(angle), strict=True)]
    outline = read(tmp_path, "a.csv", "\n".join(lines))
    assert len(outline.points_mm) == 20_000
    assert size(outline.points_mm) == (100.0, 80.0)


POINTS = "[[0, 0], [40, 0], [40, 30.5], [0, 30.5]]"


def test_json_may_say_open_or_closed(tmp_path):
    opened = f'{{"closed": false, "points": {POINTS}}}'
    with pytest.raises(InputError, match="the outline is open"):
        read(tmp_path, "a.json", opened)
    assert read(tmp_path, "a.json", opened, half=True).open_ends
    assert not read(tmp_path, "a.json", f'{{"closed": true, "points": {POINTS}}}', half=True).open_ends
    nearly = f'{{"closed": false, "points": {POINTS[:-1]}, [0, 0.06]]}}'
    outline = read(tmp_path, "a.json", nearly)
    assert next(f for f in outline.findings if f.code == "end-gap").measured == pytest.approx(0.06)


@pytest.mark.parametrize(("separator", "point"), [(",", "."), (";", ","), ("\t", ","), (";", ".")])
def test_plain_rows_read_as_those_that_need_a_closer_look(tmp_path, separator, point):
    rng = np.random.default_rng(5)
    rows = [
        separator.join(f"{v:.5g}".replace(".", point) for v in pair)
        for pair in rng.normal(0, 1, (300, 2)) * 10.0 ** rng.integers(-4, 6, (300, 2))
    ]
    (tmp_path / "plain.csv").write_text("\n".join(["x,y".replace(",", separator), *rows]))
    quoted = rows[:-1] + [separator.join(f'"{cell}"' for cell in rows[-1].split(separator))]
    (tmp_path / "quoted.csv").write_text("\n".join(["x,y".replace(",", separator), *quoted]))
    plain, closer = (read_table(tmp_path / f"{n}.csv", where=n, wanted=PLAN) for n in ("plain", "quoted"))
    assert len(plain.values) == 300
    assert np.array_equal(plain.values, closer.values)
    assert plain.lines == closer.lines


@pytest.mark.parametrize("value", ["1e12", "-1.7e308", "1.7e308"])
@pytest.mark.parametrize("rest", ["0", "-1.7e308", None], ids=["one", "both ends", "all"])
def test_coordinates_beyond_all_drawings_are_refused_with_their_file(tmp_path, value, rest):
    rows = [f"{value},0", f"{rest or value},20", f"{rest or value},30"]
    (tmp_path / "far.csv").write_text("\n".join(rows))
    (tmp_path / "far.json").write_text(f"[{', '.join(f'[{row}]' for row in rows)}]")
    for reader, name in ((read_points, "far.csv"), (read_points_json, "far.json"), (read_heights, "far.csv")):
        with pytest.raises(InputError, match=rf"^{name}: (the curve|a coordinate) is .* are read"):
            reader(tmp_path / name, where=name)


@pytest.mark.parametrize(
    ("reader", "content"),
    [
        (read_points, "1,2\n" * 21),
        (read_points_json, f"[{', '.join(['[1, 2]'] * 21)}]"),
    ],
    ids=["rows", "JSON"],
)
def test_more_points_than_are_read_are_refused(tmp_path, monkeypatch, reader, content):
    monkeypatch.setattr("cradle.drawings.point_list.MOST_POINTS", 20)
    (tmp_path / "many").write_text(content)
    with pytest.raises(
        CaptureError, match=r"^many: the file has 21 points, up to 20 are read; thin them out$"
    ):
        reader(tmp_path / "many", where="many")


@pytest.mark.parametrize("end", ["\n", "\r", "\r\n"], ids=["LF", "CR", "CRLF"])
def test_a_file_of_blank_lines_is_refused_by_its_lines(tmp_path, monkeypatch, end):
    monkeypatch.setattr("cradle.drawings.points.MOST_POINTS", 20)
    (tmp_path / "long").write_bytes(f"1,2{end}{end * 80}".encode())
    with pytest.raises(
        CaptureError, match=r"^long: the file has 81 lines, up to 80 are read; leave out blank"
    ):
        read_points(tmp_path / "long", where="long")


@pytest.mark.parametrize("between", ["", "# the next one"])
def test_outlines_one_behind_another_are_told_by_their_lines(tmp_path, between):
    """They were read as one, and a reading beside it was said to be mistyped."""
    loop = ["0,0", "10,0", "20,0", "20,10", "20,20", "10,20", "0,20", "0,10"]
    apart = [f"{int(x) + 80},{y}" for x, y in (point.split(",") for point in loop)]
    file = tmp_path / "two.csv"
    file.write_text("\n".join(["x,y", *loop, between, *apart]))
    with pytest.raises(
        CaptureError, match=r"found 2 outlines .*.lines 2 to 9 and lines 11 to 18., one expected"
    ):
        read_points(file, where="two.csv")
    half = len(loop) // 2
    file.write_text("\n".join(["x,y", *loop[:half], between, *loop[half:]]))  # one outline, parted
    (curve,) = read_points(file, where="two.csv").curves
    assert len(curve.points_mm) == len(loop)
