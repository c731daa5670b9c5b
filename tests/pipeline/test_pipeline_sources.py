"""All that is wrong with what a project names, told at once."""

import numpy as np
import pytest
from stacked import circle
from traced_grid import scan_of_ellipses

from cradle.capture.outline import Outline
from cradle.cli.main import main
from cradle.errors import ProjectError
from cradle.files import side_by_side
from cradle.finding import Finding, Severity
from cradle.geometry.arrays import frozen
from cradle.pictures.border import Border
from cradle.pipeline.modelling import model_thing, read_sources
from cradle.project.reader import read_project

TEXT = """[object]
name = "jug"
mass = 100
[[section]]
name = "low"
height = 2
outline = "low.csv"
[[section]]
name = "middle"
height = 20
outline = "middle.csv"
[[section]]
name = "high"
height = 40
measured = { form = "ellipse", width = 40, depth = 30 }
[block]
height = 30
"""
LOW = TEXT[TEXT.index("[[section]]") : TEXT.index('[[section]]\nname = "middle"')]
LOW_LAST = TEXT.replace(LOW, "") + LOW


@pytest.fixture
def jug(tmp_path):
    file = tmp_path / "holder.toml"
    file.write_text(TEXT, encoding="utf-8")
    return file


def test_all_wrong_files_are_told_at_once_each_with_the_line_that_names_it(jug, capsys):
    (jug.parent / "middle.csv").write_text("x,y\n1,2,3,4\n", encoding="utf-8")
    with pytest.raises(ProjectError) as caught:
        read_sources(read_project(jug))
    assert [problem.line for problem in caught.value.problems] == [7, 11]
    assert main(["check", str(jug)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 2
    assert "line 7: low.csv: there is no such file" in lines[0]
    assert "line 11: middle.csv: " in lines[1]


def test_one_wrong_file_has_its_line_too(jug):
    (jug.parent / "middle.csv").write_text("x,y\n0,0\n30,0\n30,20\n0,20\n", encoding="utf-8")
    with pytest.raises(ProjectError, match=r"line 7: low\.csv: there is no such file"):
        read_sources(read_project(jug))


SIDES = """[side]
front = "front.csv"
back = "back.csv"
[[view]]
from = "left"
outline = "left.csv"
[[view]]
from = "front"
[view.picture]
pick = 1
file = "front.png"
"""


def test_wrong_profiles_and_views_are_told_with_the_outlines(jug):
    jug.write_text(TEXT + SIDES, encoding="utf-8")
    (jug.parent / "front.csv").write_text("height,y\n0,-10\n40,-12\n", encoding="utf-8")
    with pytest.raises(ProjectError) as caught:
        read_sources(read_project(jug))
    told = [(problem.line, problem.where) for problem in caught.value.problems]
    assert told == [
        (7, "low.csv"),
        (11, "middle.csv"),
        (20, "back.csv"),
        (23, "left.csv"),
        (28, "front.png"),
    ]


def test_readings_that_contradict_several_outlines_are_told_at_once(jug):
    jug.write_text(
        TEXT.replace('"low.csv"', '"low.csv"\nwidth = 20\ndepth = 30').replace(
            '"middle.csv"', '"middle.csv"\nwidth = 20\ndepth = 30'
        ),
        encoding="utf-8",
    )
    for name in ("low", "middle"):
        points = "0,0\n30,0\n30,20\n0,20\n"
        (jug.parent / f"{name}.csv").write_text(f"x,y\n{points}", encoding="utf-8")
    with pytest.raises(ProjectError) as caught:
        model_thing(read_project(jug))
    told = [(problem.line, problem.where) for problem in caught.value.problems]
    assert told == [(4, 'section "low"'), (10, 'section "middle"')]
    assert all("width and depth are swapped" in problem.hint for problem in caught.value.problems)


def test_a_section_s_line_is_its_own_where_another_s_name_begins_as_its(jug):
    text = TEXT.replace('"middle"', "'low\" rim'").replace(
        '"middle.csv"', '"middle.csv"\nwidth = 20\ndepth = 30'
    )
    jug.write_text(text, encoding="utf-8")
    for name in ("low", "middle"):
        (jug.parent / f"{name}.csv").write_text("x,y\n0,0\n30,0\n30,20\n0,20\n", encoding="utf-8")
    with pytest.raises(ProjectError) as caught:
        model_thing(read_project(jug))
    assert [(problem.line, problem.where) for problem in caught.value.problems] == [(8, 'section "low" rim"')]


def found(code):
    return Finding(code=code, severity=Severity.WARN, message=code)


def test_what_was_found_of_a_view_s_outline_goes_with_it(jug):
    jug.write_text(TEXT + '[[view]]\nfrom = "left"\noutline = "left.csv"\n', encoding="utf-8")
    read = Outline(
        points_mm=circle(20),
        open_ends=False,
        cut_off_at=(Border.UPPER,),
        size_findings=(found("unit-unknown"),),
        form_findings=(found("piece-cut-off"), found("edge-soft")),
    )
    (view,) = read_sources(read_project(jug), read=lambda spec, *, folder: read).views
    assert view.cut_off_at == (Border.UPPER,)
    assert [f.code for f in view.findings] == ["unit-unknown", "edge-soft"]


def test_what_is_doubtful_of_a_picture_of_a_side_is_told(jug):
    """Of its size, only where that counts."""
    side = Outline(
        points_mm=frozen(np.array([[0.0, 0], [40, 0], [40, 45], [0, 45]])),
        open_ends=False,
        size_findings=(found("unit-unknown"),),
        form_findings=(found("edge-soft"),),
    )
    level = Outline(points_mm=circle(20), open_ends=False)

    def read(spec, *, folder):
        return side if spec.name.startswith("view") else level

    for scale, codes in (("free", {"edge-soft"}), ("given", {"edge-soft", "unit-unknown"})):
        table = f'[[view]]\nfrom = "front"\noutline = "front.csv"\nscale = "{scale}"\n'
        jug.write_text(TEXT + table, encoding="utf-8")
        told = {f.code for f in model_thing(read_project(jug), read=read).findings}
        assert told & {"edge-soft", "unit-unknown"} == codes


SLIGHT = Finding(code="edge", severity=Severity.WARN, message="a soft edge", measured=0.12, unit="mm")


@pytest.mark.parametrize("text", [TEXT, LOW_LAST], ids=["sorted", "low last"])
def test_what_is_doubtful_of_a_picture_is_told_with_the_readings_that_contradict_it(text, jug):
    """A picture that lost a part of the piece makes a sound reading look wrong."""
    jug.write_text(
        text.replace('"low.csv"', '"low.csv"\nwidth = 40\ndepth = 50').replace(
            '"middle.csv"', '"middle.csv"\nwidth = 40\ndepth = 50'
        ),
        encoding="utf-8",
    )
    sound = Outline(points_mm=circle(20), open_ends=False)
    doubtful = Outline(
        points_mm=circle(20), open_ends=False, form_findings=(SLIGHT, found("thin lines run up to it"))
    )
    with pytest.raises(ProjectError) as caught:
        model_thing(read_project(jug), read=lambda spec, *, folder: doubtful if spec.name == "low" else sound)
    low, middle = sorted(caught.value.problems, key=lambda problem: "middle" in problem.where)
    assert low.hint.endswith("; or the outline is wrong: thin lines run up to it")
    assert "the outline is wrong" not in middle.hint


def test_one_section_s_reading_settles_the_unit_of_its_file_for_all_that_are_drawn_there(jug):
    drawn = "".join(f'<g id="{name}"><ellipse rx="80" ry="60"/></g>' for name in ("low", "middle"))
    (jug.parent / "all.svg").write_text(f'<svg xmlns="http://www.w3.org/2000/svg">{drawn}</svg>')
    text = TEXT
    for name in ("low", "middle"):
        text = text.replace(f'"{name}.csv"', f'"all.svg"\nlayer = "{name}"')
    wide = f"width = {160 * 25.4 / 96}"  # CSS Values and Units 3, section 5.2
    told = []
    for one in (text, text.replace('layer = "middle"', f'layer = "middle"\n{wide}')):
        jug.write_text(one, encoding="utf-8")
        told.append([f.where for f in model_thing(read_project(jug)).findings if f.code == "unit-unknown"])
    assert told == [['all.svg: sections "low" and "middle"'], []]


def test_a_drawing_in_another_unit_than_its_reading_is_refused_and_its_unit_told_once(jug, capsys):
    (jug.parent / "low.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg"><ellipse rx="20" ry="15"/></svg>'
    )
    text = TEXT.replace('"low.csv"', '"low.svg"\nwidth = 40').replace(
        'outline = "middle.csv"', 'measured = { form = "ellipse", width = 40, depth = 30 }'
    )
    jug.write_text(text, encoding="utf-8")
    assert main(["check", str(jug)]) == 2
    told = capsys.readouterr().err
    assert 'say unit = "mm"' in told
    assert "no true unit" not in told


VIEWS = """[[view]]
from = "front"
picture = { file = "gone.png", dpi = 150 }
[[view]]
from = "left"
picture = { file = "one.png", dpi = 150 }
"""
OF_PICTURES = (
    TEXT.replace("mass = 100\n", "")
    .replace('outline = "low.csv"', 'picture = { file = "two.png", dpi = 150, pick = 1 }')
    .replace(
        'measured = { form = "ellipse", width = 40, depth = 30 }',
        'picture = { file = "two.png", dpi = 150, pick = 2 }',
    )
    .replace("[block]", f"{VIEWS}[block]")
)


@pytest.mark.slow
def test_pictures_traced_side_by_side_stand_in_their_places_and_so_does_what_is_wrong(jug, monkeypatch):
    monkeypatch.setattr(side_by_side, "_cores", lambda: 2)
    folder = jug.parent
    for name, widths in (("one", (30,)), ("two", (34, 50))):
        scan_of_ellipses(widths, folder / f"{name}.png")
    (folder / "middle.csv").write_text("x,y\n0,0\n40,0\n40,20\n0,20\n", encoding="utf-8")
    jug.write_text(OF_PICTURES, encoding="utf-8")
    with pytest.raises(ProjectError, match=r"line 17: gone\.png: there is no such file"):
        read_sources(read_project(jug), each=side_by_side.side_by_side)
    jug.write_text(OF_PICTURES.replace("gone", "one"), encoding="utf-8")
    plain, beside = (
        read_sources(read_project(jug), each=each)
        for each in (side_by_side.one_by_one, side_by_side.side_by_side)
    )
    assert [round(float(np.ptp(outline.points_mm[:, 0]))) for outline in beside.outlines] == [34, 40, 50]
    shown = [*zip(plain.outlines, beside.outlines, strict=True), *zip(plain.views, beside.views, strict=True)]
    assert all(np.array_equal(one.points_mm, other.points_mm) for one, other in shown)
    assert all(one.findings == other.findings for one, other in shown)
