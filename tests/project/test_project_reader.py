import pytest
from generated_projects import FILE, SMALL

from cradle.errors import InputError, ProjectError
from cradle.project.block import BlockSpec
from cradle.project.convert import AUTO
from cradle.project.fit import FitSpec
from cradle.project.opening import OpeningKind, Through
from cradle.project.picture import PictureSource
from cradle.project.printer import PieceSpec, PrinterSpec
from cradle.project.project import source_files
from cradle.project.reader import LARGEST_BYTES, project_from_text, read_project
from cradle.project.section import DrawingSource, Form, MeasuredSource
from cradle.project.side import Side
from cradle.project.view import FREE, ViewScale, ViewSpec


def read(text: str):
    return project_from_text(text, file=FILE)


def test_the_contract_example_reads_as_written():
    project = read(
        """
[object]
name = "ocarina"
mass = 182
balance = [0, 4, 31]
height = 92
[[section]]
name = "low"
height = 4.0
outline = "outlines/low.svg"
half = true
width = 61.4
depth = 43.0
girth = 168
shift = [0.0, 3.5]
turn = 2.0
clearance = 0.3
layer = "cut"
unit = "cm"
[[section]]
height = 40
[section.measured]
form = "superellipse"
width = 60
depth = 42
diagonal = 58
[side]
front = "outlines/front.csv"
[loft]
align = "profiles"
between = "smooth"
[fit]
clearance = "auto"
lift_out = [0, 0.2, 1]
between = 0.1
[block]
form = "oval"
lean = -6
[[opening]]
kind = "slot"
through = "front"
at = [0, 20]
width = 10
length = 20
[test_pieces]
clearances = [0.1]
[printer]
material = "PETG"
"""
    )
    low, top = project.sections
    assert (project.thing.name, project.thing.mass_g, project.thing.balance_mm) == (
        "ocarina",
        182.0,
        (0, 4, 31),
    )
    assert low.source == DrawingSource(path="outlines/low.svg", layer="cut", unit="cm")
    assert (low.half, low.width_mm, low.depth_mm, low.girth_mm) == (True, 61.4, 43.0, 168.0)
    assert (low.shift_mm, low.turn_deg, low.clearance_mm) == ((0.0, 3.5), 2.0, 0.3)
    assert top.name == "section 2"
    assert top.source == MeasuredSource(
        form=Form.SUPERELLIPSE, width_mm=60.0, depth_mm=42.0, diagonal_mm=58.0
    )
    assert project.side.front == "outlines/front.csv"
    assert project.fit == FitSpec(clearance_mm=AUTO, lift_out=(0.0, 0.2, 1.0), between_mm=0.1)
    assert project.block.lean_deg == -6.0
    (opening,) = project.openings
    assert (opening.kind, opening.through, opening.at_mm) == (OpeningKind.SLOT, Through.FRONT, (0.0, 20.0))
    assert project.test_pieces == PieceSpec(clearances_mm=(0.1,))
    assert project.printer.material == "PETG"
    assert project.file == FILE


VIEWS = """
[[view]]
from = "front"
outline = "views/front.svg"
layer = "edge"
scale = "free"
distance = "1.2 m"
bottom = "free"
[[view]]
from = "right"
top = 92
[view.picture]
file = "views/right.jpg"
"""


def test_views_from_the_sides_read_as_written():
    front, right = read(SMALL + VIEWS).views
    assert front == ViewSpec(
        seen_from=Side.FRONT,
        source=DrawingSource(path="views/front.svg", layer="edge"),
        scale=ViewScale.FREE,
        distance_mm=1200.0,
        bottom_mm=FREE,
    )
    assert right == ViewSpec(seen_from=Side.RIGHT, source=PictureSource(file="views/right.jpg"), top_mm=92.0)
    assert (right.scale, right.bottom_mm, right.distance_mm) == (ViewScale.GIVEN, 0.0, None)


@pytest.mark.parametrize(("highest", "reach"), [(24, 24.0), (90, 40.0), (9.9, 40.0)])
def test_a_block_without_a_height_ends_at_the_highest_section_at_most(highest, reach):
    """Above it nothing is known: a dish of 24 mm fitted a block of 40 in 18 of 100 cases. Heights below 10 may be in cm."""
    text = SMALL.replace("height = 30.0", f"height = {highest}")
    assert read(text).block.height_mm == reach
    assert read(f"{text}[block]\nheight = 35").block.height_mm == 35.0


def test_the_files_of_views_are_files_of_the_project():
    names = [file.name for file in source_files(read(SMALL + VIEWS))]
    assert {"front.svg", "right.jpg"} < set(names)


def test_what_is_left_out_has_the_defaults_of_the_spec():
    project = read(SMALL)
    assert project.fit == FitSpec()
    assert project.block == BlockSpec(height_mm=30.0)  # up to the highest section
    assert project.printer == PrinterSpec()
    assert project.openings == ()


@pytest.mark.parametrize(
    ("said", "clearance", "between"),
    [
        ("", AUTO, AUTO),
        ("chance = 0.9", AUTO, AUTO),
        ('clearance = "auto"', AUTO, AUTO),
        ("clearance = 0.35", 0.35, 0.0),
        ('clearance = 0.35\nbetween = "auto"', 0.35, AUTO),
        ("between = 0.2", AUTO, 0.2),
        ("between = 0", AUTO, 0.0),
    ],
)
def test_gaps_that_are_left_out_are_chosen_by_the_program_unless_one_of_one_s_own_is_named(
    said, clearance, between
):
    fit = read(f"{SMALL}[fit]\n{said}").fit
    assert (fit.clearance_mm, fit.asked_between_mm) == (clearance, between)


@pytest.mark.parametrize(
    ("written", "expected_mm"),
    [
        ('"1/2 in"', 12.7),  # 1 in = 25.4 mm exactly: yard and pound agreement of 1959, NIST SP 811
        ('"1 3/8 in"', 34.925),
        ('"1.5 cm"', 15.0),
        ('"12.5"', 12.5),
        ("0x20", 32.0),
        ("1e1", 10.0),
    ],
)
def test_a_length_may_carry_its_unit(written, expected_mm):
    project = read(SMALL.replace("height = 30.0", f"height = {written}"))
    assert project.sections[1].height_mm == pytest.approx(expected_mm, rel=1e-15)


@pytest.mark.parametrize(
    ("written", "expected_g"),
    [
        ('"310 g"', 310.0),
        ('"0.31 kg"', 310.0),
        ("310", 310.0),
        ('"1 lb"', 453.59237),  # exactly: yard and pound agreement of 1959, NIST SP 811
        ('"16 oz"', 453.59237),
    ],
)
def test_a_mass_may_carry_its_unit(written, expected_g):
    project = read(f"[object]\nmass = {written}\n{SMALL}")
    assert project.thing.mass_g == pytest.approx(expected_g, rel=1e-12)


def test_inline_tables_and_dotted_keys_read_alike():
    inline = read(
        'section = [{height=4.0, name="low", outline="low.svg"},\n'
        '{name="top", height=30.0, measured={form="rectangle", width=40, depth=30}}]'
    )
    dotted = read(
        '[[section]]\nheight=4\nname="low"\noutline="low.svg"\n[[section]]\nname="top"\nheight=30\n'
        'measured.form="rectangle"\nmeasured.width=40\nmeasured.depth=30'
    )
    assert inline == dotted == read(SMALL)


def test_windows_line_ends_and_a_byte_order_mark_change_nothing(tmp_path):
    file = tmp_path / "holder.toml"
    file.write_bytes(b"\xef\xbb\xbf" + SMALL.replace("\n", "\r\n").encode())
    assert read_project(file).sections == read(SMALL).sections
    assert read_project(file).folder == tmp_path


def test_what_is_there_in_place_of_a_file_is_refused_with_what_to_name(tmp_path):
    with pytest.raises(InputError, match="this is a folder, not a file; name the project file in it"):
        read_project(tmp_path)
    for name in ("mug.toml", "trials.toml"):
        (tmp_path / name).touch()
    with pytest.raises(
        InputError, match=r"this is a folder, not a file; name the project file in it: mug\.toml$"
    ):
        read_project(tmp_path)
    with pytest.raises(InputError, match=r"none.toml: there is no such file; cradle start DIR"):
        read_project(tmp_path / "none.toml")


def test_a_huge_file_is_refused(tmp_path):
    file = tmp_path / "holder.toml"
    file.write_bytes(b"#" * (LARGEST_BYTES + 1))
    with pytest.raises(InputError, match=r"the file has 4.0 MB, up to 4 MB are read; name the project"):
        read_project(file)


@pytest.mark.parametrize(
    ("raw", "found"),
    [
        (b"[object]\nname = '\xe9'\n", "line 2 is not UTF-8 text"),
        (bytes(range(1, 256)), "line 2 is not UTF-8 text"),
        *((SMALL.encode(code), "the file is in UTF-16") for code in ("utf-16", "utf-16-le", "utf-16-be")),
    ],
)
def test_text_that_is_not_utf8_is_refused(tmp_path, raw, found):
    file = tmp_path / "holder.toml"
    file.write_bytes(raw)
    with pytest.raises(InputError, match=f"{found}.*; save the file as UTF-8 in a text editor"):
        read_project(file)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "[fit]\nclearance = 0,3\n",
            "line 2: column 14: found a comma in a number; write decimals with a point",
        ),
        ("[fit]\nclearance = \n", "line 2: column 13: found no value; give one"),
        (
            "[fit]\nclearance = auto\n",
            "line 2: column 13: found 'auto' without quotes; put text in straight quotes",
        ),
        (
            "[fit]\n[fit]\n",
            r"line 2: column 5: found \[fit\] again, as in line 1; .*a table may appear only once",
        ),
        ("a = 1\na = 2\n", "line 2: column 6: found a again, as in line 1; keep one of the two"),
        ("[fit]\nclearance", "line 2: column 10: found 'clearance' without ="),
        ('[side]\nfront = "C:\\data\\front.csv"', "line 2: .*; write paths with / in place"),
        ('[side]\nfront = "outlines\\user.csv"', "line 2: .*; write paths with / in place"),
        ("(\n", "line 1: column 1: found '\\(' at the beginning of a line; a line is a"),
        (
            "[fit]\nclearance = " + "[" * 5000,
            "line 2: brackets: .*nested too deeply: here 5000 are opened; delete",
        ),
        ("a = 1\nb = " + "{c = " * 5000, "line 2: brackets: .*nested too deeply"),
        ("a." * 50_000 + "a = 1", "line 1: keys: a key has too many parts"),
        ("a = " + "9" * 5000, "thousands of digits"),
    ],
)
def test_a_slip_of_syntax_is_told_with_line_and_column(text, expected):
    with pytest.raises(ProjectError, match=expected) as caught:
        read(text)
    assert len(caught.value.problems) == 1
    assert caught.value.exit_code == 2
    assert str(caught.value).startswith(f"{FILE}: ")


def test_readings_of_a_measured_section_that_is_turned_are_those_of_the_turned_form():
    turned = SMALL.replace(
        "[section.measured]", "turn = 90\nwidth = 30.2\ndepth = 39.9\n[section.measured]", 1
    )
    (section, *_) = (one for one in read(turned).sections if one.turn_deg)
    assert (section.width_mm, section.source.width_mm) == (30.2, 40.0)
    other = r"found 30\.2 mm, but in measured it is 40 x 30 mm; leave one of them out"
    with pytest.raises(ProjectError, match=other):
        read(turned.replace("turn = 90\n", ""))
    with pytest.raises(ProjectError, match=r"depth: found 1\.0 mm, but in measured it is 40 x 30 mm"):
        read(turned.replace("depth = 39.9", "depth = 1"))


@pytest.mark.parametrize(
    ("file", "told"),
    [
        ("front.jpg", r"a picture of a side belongs in a \[\[view\]\]"),
        ("front.json", r"use a file ending in .svg, .dxf or .csv$"),
    ],
)
def test_a_file_that_is_no_profile_is_refused_with_what_is_one(file, told):
    with pytest.raises(ProjectError, match=told):
        read(f'{SMALL}\n[side]\nfront = "{file}"\n')
