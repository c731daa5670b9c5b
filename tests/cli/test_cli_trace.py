"""``cradle trace``: outlines and a check picture beside them, errors on one line."""

import json
import re
from pathlib import Path

import numpy as np
import pytest
from daily import rest_further
from PIL import Image, ImageDraw

from cradle.cli.main import main

PICTURES = Path(__file__).parents[2] / "demo_data/ocarina/pictures"


@pytest.mark.parametrize("ending", rest_further(["svg", "dxf", "csv"], daily=[1]))
def test_outlines_are_written_in_three_formats_and_read_back(tmp_path, capsys, ending):
    from cradle.capture.outline_reader import read_outline
    from cradle.project.section import DrawingSource, SectionSpec

    target = tmp_path / f"low.{ending}"
    assert main(["trace", str(PICTURES / "low.jpg"), "-o", str(target), "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    assert result["scale"] == "ruler, 151 marks of 1 mm"
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted([target.name, "low-check.png"])
    spec = SectionSpec(name="low", height_mm=2.0, source=DrawingSource(path=target.name))
    points = read_outline(spec, folder=tmp_path).points_mm
    width, depth = points.max(axis=0) - points.min(axis=0)
    (piece,) = result["pieces"]
    assert (width, depth) == pytest.approx((piece["width_mm"], piece["depth_mm"]), abs=1e-3)
    assert width == pytest.approx(28.55, abs=0.2)  # calipers in the demo's project


def test_a_folder_is_named_also_where_it_is_the_one_it_was_typed_in(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert main(["trace", "."]) == 2
    assert capsys.readouterr().err == "cradle: .: this is a folder, not a file; name a picture in it\n"


@pytest.fixture(scope="module")
def top_sheet(tmp_path_factory):
    """The demo's picture of a line on the capture sheet, half as fine."""
    file = tmp_path_factory.mktemp("pictures") / "top-sheet.jpg"
    with Image.open(PICTURES / "top-sheet.jpg") as picture:
        picture.reduce(2).save(file, quality=95)
    return file


@pytest.mark.slow
def test_outlines_are_named_as_a_project_in_the_working_folder_finds_them(
    tmp_path, top_sheet, monkeypatch, capsys
):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "scans").mkdir()
    assert main(["trace", str(top_sheet), "--shape", "line", "-o", "scans/top.svg"]) == 0
    assert 'say outline = "scans/top.svg"' in capsys.readouterr().out.splitlines()[-1]


@pytest.mark.slow
def test_a_table_names_pieces_sizes_and_scale(tmp_path, top_sheet, capsys):
    code = main(["trace", str(top_sheet), "--shape", "line", "-o", str(tmp_path / "t.svg")])
    assert code == 0
    text = capsys.readouterr().out
    assert text.splitlines()[-1] == 'next: in a section of the project file say outline = "t.svg"'
    for word in ("piece", "width", "depth", "scale: capture sheet A4", "wrote", "t-check.png"):
        assert word in text


@pytest.mark.slow
def test_the_thickness_of_what_lies_on_the_sheet_is_taken_out(tmp_path, top_sheet, capsys):
    """The demo's line was photographed from about 400 mm: 2 mm above the paper it would look 0.5 % larger."""
    sizes = []
    for thickness in ([], ["--thickness", "0.2 cm"]):
        arguments = ["trace", str(top_sheet), "--shape", "line", *thickness]
        assert main([*arguments, "-o", str(tmp_path / "t.svg"), "--json"]) == 0
        result = json.loads(capsys.readouterr().out)
        sizes.append(result["pieces"][0]["width_mm"])
    (note,) = [f for f in result["findings"] if f["code"] == "thickness-taken-out"]
    assert 0.4 < note["measured"] < 0.7
    assert sizes[0] / sizes[1] - 1 == pytest.approx(note["measured"] / 100, rel=0.01)


@pytest.mark.slow
def test_doubts_are_marked_as_the_other_commands_mark_them(tmp_path, monkeypatch, capsys):
    """The demo was rendered at 200 dpi: 180 cannot be true, and long lines are not broken off in a pipe."""
    monkeypatch.setenv("COLUMNS", "30")
    assert main(["trace", str(PICTURES / "low.jpg"), "--dpi", "180", "-o", str(tmp_path / "t.svg")]) == 0
    told = [line for line in capsys.readouterr().out.splitlines() if "sizes are 11" in line]
    assert len(told) == 2
    assert all(line.startswith("warning: low.jpg: by the stated scale, 180 dpi") for line in told)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["missing.png"], "no such file"),
        ([str(PICTURES / "low.jpg"), "--pick", "0"], "counted from 1"),
        ([str(PICTURES / "low.jpg"), "--dpi", "0"], "allowed is above 1"),
        ([str(PICTURES / "low.jpg"), "--thickness", "99"], "allowed is 0.0 mm to 20.0 mm"),
        ([str(PICTURES / "low.jpg"), "--thickness", "1 furlong"], "write a number with mm, cm, m, in or ft"),
        ([str(PICTURES / "low.jpg"), "--dpi", "nan"], "expected dots per inch"),
        ([str(PICTURES / "low.jpg"), "--shape", "cut_out"], "no hollow deeper"),
        ([str(PICTURES / "low.jpg"), "--scale", "sheet"], "no scale from the sheet"),
        ([str(PICTURES / "low.jpg"), "-o", "out.step"], "written as .svg .dxf .csv"),
    ],
)
def test_mistakes_end_with_2_and_write_nothing(tmp_path, monkeypatch, capsys, arguments, words):
    monkeypatch.chdir(tmp_path)
    assert main(["trace", *arguments]) == 2
    error = capsys.readouterr().err
    assert words in error
    assert error.count("\n") == 1
    assert not list(tmp_path.iterdir())


def test_advice_names_options_not_keys_of_a_file(tmp_path, capsys):
    ring = Image.new("RGB", (600, 500), "white")
    ImageDraw.Draw(ring).ellipse((80, 60, 480, 400), outline="black", width=7)
    ring.save(tmp_path / "ring.png")
    assert main(["trace", str(tmp_path / "ring.png"), "--dpi", "254"]) == 0
    told = capsys.readouterr().out
    assert "it seems to be a drawn line" in told
    assert "of a drawn line say --shape line; else" in told
    assert main(["trace", str(tmp_path / "ring.png"), "--dpi", "254", "--shape", "cut_out"]) == 2
    assert "say --shape piece if the paper itself" in capsys.readouterr().err


@pytest.mark.further
def test_the_ocarina_starts_from_its_pictures(tmp_path, capsys):
    project = PICTURES.parent / "from-pictures.toml"
    assert main(["make", str(project), "-o", str(tmp_path), "--json"]) in (0, 1)
    capsys.readouterr()
    summary = json.loads((tmp_path / "summary.json").read_text(encoding="utf-8"))
    assert summary["mesh_closed"] is True
    assert [s["name"] for s in summary["sections"]] == ["low", "belly", "broad", "top"]
    for section in summary["sections"]:
        assert all(abs(scale - 1) < 0.01 for scale in section["scale"])


def test_two_marks_and_their_distance_are_a_scale_of_one_s_own(tmp_path, capsys):
    from painted import KRAFT, Table, scanned
    from things_painted import egg, placed

    table = Table(80, 70, 8)
    table.paint(placed(egg(40, 30), at_mm=(40, 35)), colour=KRAFT)
    seen = scanned(table, dpi=200, tag=False)
    path = seen.save(tmp_path / "a.png")
    a, b = (",".join(f"{v:.2f}" for v in seen.px_from_mm([at])[0]) for at in ((5, 5), (75, 5)))
    assert main(["trace", str(path), "--from", a, "--to", b, "--apart", "70", "--json"]) in (0, 1)
    (piece,) = json.loads(capsys.readouterr().out)["pieces"]
    assert piece["width_mm"] == pytest.approx(40, abs=0.1)
    assert 0.01 < piece["edge_mm"] < 0.1
    assert len(piece["scale_share"]) == 2
    assert main(["trace", str(path), "--from", a, "--apart", "70"]) == 2
    assert "needs all of --from, --to and --apart" in capsys.readouterr().err
    assert main(["trace", str(path), "--from", "1;2", "--to", b, "--apart", "70"]) == 2
    assert "expected two numbers" in capsys.readouterr().err


def test_a_point_says_which_piece(tmp_path, capsys):
    from painted import KRAFT, Table, scanned
    from things_painted import egg, placed

    table = Table(110, 60, 8)
    for at, size in (((30, 30), (40, 30)), ((80, 30), (30, 24))):
        table.paint(placed(egg(*size), at_mm=at), colour=KRAFT)
    seen = scanned(table, dpi=200)
    path = seen.save(tmp_path / "a.png")
    x, y = seen.px_from_mm([(80, 30)])[0]
    assert main(["trace", str(path), "--point", f"{x:.0f},{y:.0f}", "--json"]) in (0, 1)
    (piece,) = json.loads(capsys.readouterr().out)["pieces"]
    assert piece["width_mm"] == pytest.approx(30, abs=0.1)
    assert main(["trace", str(path), "--point", "3,3"]) == 2
    assert "the point (3, 3) px lies on no piece" in capsys.readouterr().err
    assert main(["trace", str(path), "--point", "3,3", "--pick", "1"]) == 2
    assert "--pick, --point: both say which piece; give one of them" in capsys.readouterr().err


@pytest.mark.first_daily
@pytest.mark.parametrize("ending", ["svg", "dxf"])
def test_the_layer_told_for_the_first_of_several_pieces_is_one_of_the_drawing_s(tmp_path, capsys, ending):
    from painted import KRAFT, Table, scanned
    from things_painted import egg, placed

    from cradle.capture.outline_reader import read_outline
    from cradle.project.section import DrawingSource, SectionSpec

    table = Table(110, 60, 8)
    for x, width in ((28, 40), (80, 30)):
        table.paint(placed(egg(width, 30), at_mm=(x, 30)), colour=KRAFT)
    path = scanned(table, dpi=200).save(tmp_path / "two eggs.png")
    assert main(["trace", str(path), "-o", str(tmp_path / f"t.{ending}")]) == 0
    told = capsys.readouterr().out.splitlines()[-1]
    outline, layer = re.search(r'outline = "(.*)", and layer = "(.*)" for piece 1$', told).groups()
    spec = SectionSpec(name="low", height_mm=2.0, source=DrawingSource(path=outline, layer=layer))
    assert np.ptp(read_outline(spec, folder=tmp_path).points_mm[:, 0]) == pytest.approx(40, abs=0.3)


def test_a_drawing_needs_no_tracing_and_is_no_project(tmp_path, capsys):
    file = tmp_path / "low.svg"
    file.write_text('<svg xmlns="http://www.w3.org/2000/svg"/>', encoding="utf-8")
    assert main(["trace", str(file)]) == 2
    assert 'name it in a section of the project: outline = "low.svg"' in capsys.readouterr().err
    for command in ("check", "make"):
        assert main([command, str(file)]) == 2
        assert (
            "no project file but a drawing or a picture; name the project's .toml file"
            in capsys.readouterr().err
        )
    assert [path.name for path in tmp_path.iterdir()] == ["low.svg"]
