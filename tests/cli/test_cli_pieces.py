"""Test pieces and holders told apart on the command line."""

import itertools
import json
import re
import shlex
import subprocess
import sys

import pytest
import trimesh
from tub import TUB

from cradle.cli.main import main
from cradle.geometry.mesh import bounds_mm
from cradle.pipeline import cut_pieces, fit_pieces
from cradle.project.reader import read_project
from cradle.project.trial_log import read_trials

LOW = 'form = "rectangle"\nwidth = 30\ndepth = 20\ncorner = 4'
RAISED = TUB.replace("height = 0.0", "height = 4.0")
"""A test piece of its lowest section has something under it."""


@pytest.fixture
def tub(tub):
    tub.write_text(RAISED, encoding="utf-8")
    return tub


@pytest.mark.slow
def test_near_clearances_are_shown_as_they_are(tub, tmp_path, capsys):
    given = ["-o", str(tmp_path / "out"), "--clearance", "0.12", "--clearance", "0.125"]
    assert main(["pieces", str(tub), *given]) == 0
    shown = capsys.readouterr().out
    rows = {
        tuple(cell.strip() for cell in line.split("│")[1:4]) for line in shown.splitlines() if "│" in line
    }
    assert {("low 0.12", "4.00", "0.12"), ("low 0.125", "4.00", "0.125")} <= rows
    assert 'no test piece for section "high": it lies at the holder\'s rim or above it' in shown
    assert "test pieces on 1 bed, mm" in shown
    told = float(re.search(r"if solid all together weigh (\d+) g", shown)[1])
    solid = sum(trimesh.load(file).volume for file in (tmp_path / "out").glob("*.stl")) / 1000
    assert told == pytest.approx(1.24 * solid, abs=0.6)  # PLA: npj Materials Degradation 2025, table 2
    # what it says to type next works as it stands
    typed = re.search("“cradle (trial .*)”$", shown)[1]
    assert main(shlex.split(typed)) == 0
    assert "│ tight │" in capsys.readouterr().out
    assert main(["trial", str(tub), "--undo"]) == 0
    capsys.readouterr()
    outlines = (tmp_path / "out" / "tub-paper.svg").read_text(encoding="utf-8")
    assert "low plus 0.125" in outlines
    assert main(["make", str(tub), *given]) == 0
    shown = capsys.readouterr().out
    assert "0.12 mm per side" in shown
    assert "0.125 mm per side" in shown


def test_a_trial_is_shown_with_the_clearance_on_the_ring(tub, capsys):
    note = ["--seen", "tight", "--section", "low", "--clearance", "0.125"]
    assert main(["trial", str(tub), *note]) == 0
    assert "│ 0.125 " in capsys.readouterr().out


@pytest.mark.slow
def test_rings_of_other_heights_alone_are_noted_by_what_is_said_to_type_next(tub, tmp_path, capsys):
    tub.write_text(
        TUB.replace("height = 0.0", "height = 4.0").replace("height = 25", "height = 4.5"), encoding="utf-8"
    )
    given = ["-o", str(tmp_path / "out"), "--clearance", "0.3", "--height", "4.25"]
    assert main(["pieces", str(tub), *given]) in (0, 1)
    typed = re.search("“cradle (trial .*)”$", capsys.readouterr().out)[1]
    assert main(shlex.split(typed)) == 0
    assert "│ 4.25 mm │" in capsys.readouterr().out


@pytest.mark.slow
def test_trials_noted_at_once_are_all_kept(tub):
    note = "from cradle.cli.main import main; import sys; sys.exit(main(sys.argv[1:]))"
    gaps = ["0.2", "0.3", "0.4"]
    noting = [
        subprocess.Popen(
            [sys.executable, "-c", note, "trial", str(tub), "--seen", "tight", "--section", "low"]
            + ["--clearance", gap],
            stdout=subprocess.DEVNULL,
        )
        for gap in gaps
    ]
    assert [one.wait() for one in noting] == [0, 0, 0]
    assert sorted(f"{trial.clearance_mm}" for trial in read_trials(tub.parent)) == gaps


def test_pieces_of_the_same_name_are_told_apart_and_never_overlap(tub):
    tub.write_text(
        RAISED.replace('"high"', '"at 12"').replace("height = 25", "height = 51"), encoding="utf-8"
    )
    cut = cut_pieces(read_project(tub), clearances_mm=[0.3], heights_mm=[12, 30.0000001, 30])
    heights = {piece.name: piece.height_mm for piece in cut.pieces}
    assert len(heights) == len(cut.pieces) == 10
    assert (heights["peg at 12"], heights["peg at 12 (2)"]) == (50, 12)
    assert {"at 30 0.30", "at 30.0000001 0.30"} <= set(heights)
    boxes = [bounds_mm(mesh)[:, :2] for bed in cut.beds for _, mesh in bed]
    assert len(cut.beds) == 1
    assert len(boxes) == 10
    for a, b in itertools.combinations(boxes, 2):
        assert (a[0] > b[1]).any() or (b[0] > a[1]).any()


@pytest.mark.slow
def test_pieces_say_what_is_doubtful_about_their_outlines(tub, tmp_path, capsys):
    (tmp_path / "low.csv").write_text("0,0\n30,0\n30,20\n0,20\n", encoding="utf-8")
    outline = 'outline = "low.csv"\nunit = "mm"\nwidth = 31.2'
    tub.write_text(RAISED.replace(f"[section.measured]\n{LOW}", outline), encoding="utf-8")
    given = ["pieces", str(tub), "-o", str(tmp_path / "out"), "--clearance", "0.3"]
    assert main(given) == 0
    shown = capsys.readouterr().out
    (look,) = (line for line in shown.splitlines() if line.startswith("warning: "))
    # turned by as little as it may be
    assert re.search(r"along its width: 30\.0\d mm as traced, 31\.20 mm with calipers", look)
    assert main([*given, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["exit_code"] == 0
    assert "trace-off-caliper" in [row["code"] for row in told["findings"]]
    assert "extended-above" not in [row["code"] for row in told["findings"]]


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (
            ["--height", "51"],
            '--height: no test piece can be cut at 51.00 mm; choose a height from 0 to 50.00 mm, that of the highest, section "high"',
        ),
        ([], "test_pieces.heights: a piece at 51.0 mm lies above the highest section (50.0 mm)"),
    ],
)
def test_a_height_above_the_highest_section_is_told_where_it_was_given(tub, tmp_path, capsys, given, told):
    if not given:
        tub.write_text(f"{RAISED}[test_pieces]\nheights = [51]\n", encoding="utf-8")
    assert main(["pieces", str(tub), "-o", str(tmp_path / "out"), *given]) == 2
    assert told in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("height", ["25", "30"])
def test_a_height_where_no_pocket_is_is_refused(tub, tmp_path, capsys, height):
    assert main(["pieces", str(tub), "-o", str(tmp_path / "out"), "--height", height]) == 2
    told = f"--height: a test ring at {height}.00 mm would tell nothing: the holder reaches up to 25.00 mm (block.height)"
    assert told in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_a_height_of_the_project_above_the_rim_has_no_ring_and_is_told(tub):
    tub.write_text(f"{RAISED}[test_pieces]\nheights = [12, 30]\n", encoding="utf-8")
    cut = cut_pieces(read_project(tub), clearances_mm=[0.3])
    assert 30 not in [piece.height_mm for piece in cut.pieces]
    assert any(
        f.message == "no test piece for the height of 30 mm: it lies at the holder's rim or above it"
        for f in cut.findings
    )


def test_a_height_in_a_leaning_holder_is_cut_though_its_number_is_above_the_rim_s(tub):
    tub.write_text(RAISED.replace("height = 25", "height = 25\nlean = 10"), encoding="utf-8")
    cut = cut_pieces(read_project(tub), clearances_mm=[0.3], heights_mm=[25])
    assert 25 in [piece.height_mm for piece in cut.pieces if piece.clearance_mm is not None]


def test_a_height_below_the_first_section_is_cut(tub):
    cut = cut_pieces(read_project(tub), clearances_mm=[0.3], heights_mm=[1])
    assert [piece.height_mm for piece in cut.pieces][:2] == [1, 4]


@pytest.mark.slow
def test_three_rings_about_the_holder_s_own_clearance(tub, tmp_path, capsys):
    tub.write_text(RAISED.replace("clearance = 0.35", "clearance = 0.5"), encoding="utf-8")
    assert main(["pieces", str(tub), "-o", str(tmp_path / "out"), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["test_pieces"]
    assert {piece["clearance_mm"] for piece in found} == {0.4, 0.5, 0.6, None}
    assert {piece["name"].split()[0] for piece in found if piece["clearance_mm"]} == {"low"}


def test_a_ring_that_nothing_touches_is_not_printed(tub, tmp_path, capsys):
    """Above a bulge the pocket is as wide as the bulge, so that it can be lifted out: that ring tests nothing."""
    waist = RAISED.replace("width = 36\ndepth = 24", "width = 20\ndepth = 14").replace(
        "height = 25", "height = 51"
    )
    tub.write_text(waist, encoding="utf-8")
    assert main(["pieces", str(tub), "-o", str(tmp_path / "out"), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert {piece["name"].split()[0] for piece in told["test_pieces"] if piece["clearance_mm"]} == {"low"}
    (idle,) = (f for f in told["findings"] if f["code"] == "piece-idle")
    assert "wider there all round" in idle["message"]


def test_where_no_ring_would_tell_anything_that_is_said_and_the_paper_check_is_written(
    tub, tmp_path, capsys, monkeypatch
):
    monkeypatch.setattr(fit_pieces, "touches", lambda *_, **__: False)
    assert main(["pieces", str(tub), "-o", str(tmp_path / "out")]) == 0
    shown = capsys.readouterr().out
    assert "no test piece: none would tell anything" in shown
    assert 'no test piece for section "low"' in shown
    assert "bed" not in shown
    assert "--seen" not in shown
    assert {file.suffix for file in (tmp_path / "out").iterdir()} == {".pdf", ".svg", ".dxf"}
