"""What the commands make, write and tell."""

import json
import os
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh
from tub import TUB
from tub_made import NAMES, contents, cradle_command

import cradle
from cradle import pipeline
from cradle.cli.main import app, main
from cradle.finding import Finding, Severity
from cradle.names import typed
from cradle.report.recommendation import PieceToTry, recommend


def test_the_help_names_the_commands_and_the_exit_codes():
    done = cradle_command("--help")
    assert done.returncode == 0
    assert re.findall(r"^  (start|check|make) ", done.stdout, re.MULTILINE) == ["start", "check", "make"]
    assert "70 internal error" in " ".join(done.stdout.split())
    assert "..." not in done.stdout.partition("Commands:")[2]  # what a command does stands whole beside it


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (["check"], "missing argument 'PROJECT'; see cradle check --help"),
        (["chek"], "no such command 'chek'; did you mean 'check'; see cradle --help"),
        (["make", "holder.toml", "--clearence", "3"], "see cradle make --help"),
    ],
)
def test_a_mistyped_command_is_told_with_the_help_that_shows_how(capsys, typed, told):
    assert main(typed) == 2
    assert told in capsys.readouterr().err


def test_commands_that_other_rooms_advise_exist_with_their_options(made):
    ring = PieceToTry(project_file="tub.toml", section="rim", clearance_mm=0.3, clearances_mm=(0.2, 0.4))
    steps = recommend([], chance=0.1, goal=0.95, pieces=[ring]).actions
    told = " ".join([*steps, *(finding.advised for finding in made.findings)])
    advised = re.findall(r"\bcradle ([a-z]+)((?: --\w+ [\w.]+| [\w.]+)*)", told)
    assert {name for name, _ in advised} == {"pieces", "trial", "make"}
    assert "cradle trial holder.toml --read MM --nominal MM" in told
    for name, said in advised:
        known = {option for one in app.commands[name].params for option in one.opts}
        assert known.issuperset(re.findall(r"--\w+", said))


def test_the_version_is_told(capsys):
    assert main(["--version"]) == 0
    assert capsys.readouterr().out.strip() == cradle.__version__


def test_make_writes_a_holder_that_other_readers_find_sound(first):
    done, out = first
    assert (done.returncode, done.stderr) == (0, "")
    assert sorted(p.name for p in out.iterdir()) == sorted(NAMES)
    summary = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    holder = trimesh.load(out / "tub-holder.stl")
    assert holder.is_watertight
    assert summary["mesh_closed"]
    assert holder.volume / 1000 == pytest.approx(summary["volume_cm3"], rel=1e-4)
    assert len(holder.faces) == summary["triangles"]
    assert holder.bounds[0][2] == pytest.approx(0.0, abs=1e-6)  # z = 0 is the print bed
    assert summary["clearance_least_mm"] >= summary["clearance_asked_mm"] - 0.005
    body = trimesh.load(out / "tub-body.stl")
    body.apply_transform(np.array(summary["holder_from_object"]))
    assert body.is_watertight
    assert body.bounds[1][2] > holder.bounds[1][2]  # the thing stands out at the top
    for name in NAMES:
        assert f"{name}" in done.stdout
    assert "tub-holder.stl" in done.stdout


@pytest.mark.slow
def test_make_writes_beside_the_project_when_no_folder_is_named(tub, first, monkeypatch):
    monkeypatch.chdir(tub.parent)
    assert main(["make", tub.name]) == 0
    assert contents(tub.parent / "out") == contents(first[1])  # of another process, with other hashes


def test_make_gives_the_same_bytes_in_every_process(tub, first, tmp_path):
    env = os.environ | {"PYTHONHASHSEED": "2"}
    assert cradle_command("make", tub, "-o", tmp_path / "second", env=env).returncode == 0
    assert len(contents(first[1])) == len(NAMES)
    assert contents(tmp_path / "second") == contents(first[1])


@pytest.mark.slow
def test_several_clearances_give_one_holder_each_and_a_table(tub, tmp_path, capsys):
    values = ["--clearance", "0.2", "--clearance", "0.4mm", "--clearance", "0.2"]
    assert main(["make", str(tub), "-o", str(tmp_path / "out"), *values]) == 0
    out = capsys.readouterr().out
    assert "holders compared" in out
    assert "0.20 mm per side" in out
    assert "0.40 mm per side" in out
    names = {p.name for p in (tmp_path / "out").iterdir()}
    assert {n for n in names if "holder" in n} == {
        f"tub-holder-{v}.{end}" for v in ("0.20", "0.40") for end in ("stl", "3mf")
    }
    holders = json.loads((tmp_path / "out" / "summary.json").read_text(encoding="utf-8"))["holders"]
    assert [h["clearance_asked_mm"] for h in holders] == [0.2, 0.4]
    tight, loose = (trimesh.load(tmp_path / "out" / f"tub-holder-{v}.stl") for v in ("0.20", "0.40"))
    assert tight.is_watertight
    assert loose.is_watertight
    # the pocket's mouth is 2 x 0.2 mm wider
    assert holders[1]["size_mm"][0] - holders[0]["size_mm"][0] == pytest.approx(0.4, abs=0.02)


@pytest.mark.slow
def test_a_holder_on_a_wall_has_no_tipping_angle_in_its_table(tub, first, tmp_path, capsys):
    assert "tips at" in first[0].stdout
    tub.write_text(TUB + "[plate]\nwidth = 80\nscrew = 'M4'\n", encoding="utf-8")
    assert main(["make", str(tub), "-o", str(tmp_path / "wall")]) == 0
    out = capsys.readouterr().out
    assert "tips at" not in out
    assert "plate hole spacing, across" in out


@pytest.mark.slow
def test_one_clearance_takes_the_place_of_the_project_s(tub, tmp_path):
    assert main(["make", str(tub), "-o", str(tmp_path), "--clearance", "0.5"]) == 0
    assert (tmp_path / "tub-holder.stl").exists()
    assert json.loads((tmp_path / "summary.json").read_text(encoding="utf-8"))["clearance_asked_mm"] == 0.5


def test_make_prints_json(tub, tmp_path, capsys):
    assert main(["make", str(tub), "-o", str(tmp_path / "out"), "--json"]) == 0
    out, err = capsys.readouterr()
    result = json.loads(out)
    assert err == ""
    assert result["exit_code"] == 0
    assert [Path(f).name for f in result["files"]] == NAMES
    assert result["holders"][0]["name"] == "Tub"


def test_check_writes_nothing_and_shows_the_sections(tub, capsys):
    before = sorted(tub.parent.iterdir())
    assert main(["check", str(tub)]) == 0
    out = capsys.readouterr().out
    assert sorted(tub.parent.iterdir()) == before
    assert re.search(r"high.*50\.00.*36\.00×24\.00", out)
    told = r"the holder will be (.*) × (.*) × (.*) mm, with 0\.35 mm clearance per side; chance of fit \d+ %"
    # half way up it is 33 by 22 mm; a gap of 0.35 and a wall of 3 mm on either side; a floor of 4 mm
    sizes = [float(side) for side in re.search(told, out).groups()]
    assert sizes == pytest.approx([39.7, 28.7, 29.35], abs=0.11)


def test_commands_in_findings_are_on_the_project_as_it_was_typed(tub, capsys, monkeypatch):
    """The one on the printer's inside error; in the row's own project also where it is of the thing beside it."""
    monkeypatch.chdir(tub.parent.parent)
    file = tub.relative_to(tub.parent.parent)
    (tub.parent / "other.toml").write_text(TUB.replace("Tub", "Other tub"), encoding="utf-8")
    tub.write_text(f'{TUB}[row]\nthings = ["other.toml"]\n', encoding="utf-8")
    assert main(["check", str(file)]) == 0
    told = re.findall(r"record it: (.*)", capsys.readouterr().out)
    assert told == [f"cradle trial {typed(str(file))} --read MM --nominal MM"]


def test_check_prints_json(tub, capsys):
    assert main(["check", str(tub), "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    assert [s["name"] for s in result["sections"]] == ["low", "high"]
    assert result["clearance_asked_mm"] == 0.35
    assert result["size_mm"] == pytest.approx([39.7, 28.7, 29.35], abs=0.11)
    assert main(["check", str(tub)]) == 0
    assert f"chance of fit {100 * result['chance_of_fit']:.0f} %" in capsys.readouterr().out


def test_a_new_project_can_be_checked_and_made_at_once(tmp_path, capsys):
    folder = tmp_path / "my egg cup"
    assert main(["start", str(folder)]) == 0
    assert "cradle check" in capsys.readouterr().out
    file = folder / "holder.toml"
    assert 'name = "my egg cup"' in file.read_text(encoding="utf-8")
    assert main(["check", str(file)]) == 0
    assert main(["make", str(file)]) == 0
    assert (folder / "out" / "my-egg-cup-holder.stl").exists()


def test_start_takes_a_name_and_prints_json(tmp_path, capsys):
    assert main(["start", str(tmp_path / "x"), "--name", "Vase", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["files"] == [str(tmp_path / "x" / "holder.toml")]
    assert 'name = "Vase"' in (tmp_path / "x" / "holder.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("", "--name: expected a name, not an empty text; "),
        ("a\nb", "--name: expected a name in one line, not the text 'a\\nb'; "),
        (
            os.fsdecode(b"\xff\xfe"),
            "--name: expected a name in one line, ",
        ),  # as a shell passes other encodings on
        ("x" * 300, "of 300 letters, allowed are at most 255; "),
    ],
)
def test_a_name_that_cannot_be_one_is_told_with_its_option_and_nothing_is_made(tmp_path, capsys, name, words):
    assert main(["start", str(tmp_path / "x"), "--name", name]) == 2
    assert words in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_whether_a_file_may_be_read_is_told_by_who_reads_it(tub, tmp_path, monkeypatch):
    """A folder that may be written to but not listed takes files; permissions need not be all that binds."""
    monkeypatch.setattr(os, "access", lambda *_, **__: False)
    assert main(["trial", str(tub)]) == 0
    assert main(["make", str(tub), "-o", str(tmp_path)]) == 0


@pytest.mark.slow
def test_a_finding_that_fails_gives_1_and_the_files_all_the_same(tub, made, tmp_path, monkeypatch, capsys):
    finding = Finding(code="x", severity=Severity.FAIL, message="the wall is [too] thin", where="block.wall")
    doubtful = replace(made, findings=(finding, *made.findings))
    monkeypatch.setattr(pipeline, "build", lambda *_, **__: doubtful)
    assert main(["make", str(tub), "-o", str(tmp_path / "out")]) == 1
    out, err = capsys.readouterr()
    assert "do not print: block.wall: the wall is [too] thin" in out
    assert err == ""
    assert (tmp_path / "out" / "tub-holder.stl").exists()


@pytest.mark.slow
def test_of_several_holders_a_finding_says_which_one_it_concerns(tub, tmp_path, monkeypatch, capsys):

    real = pipeline.build

    def doubtful(inspected, *, clearance_mm, on_step):
        made = real(inspected, clearance_mm=clearance_mm, on_step=on_step)
        all_of_them = Finding(code="a", severity=Severity.WARN, message="both", where="here")
        one = Finding(code="b", severity=Severity.WARN, message="only the tight one", where="there")
        return replace(made, findings=(all_of_them, one) if clearance_mm == 0.2 else (all_of_them,))

    monkeypatch.setattr(pipeline, "build", doubtful)
    assert main(["make", str(tub), "-o", str(tmp_path), "--clearance", "0.2", "--clearance", "0.3"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines.count("warning: here: both") == 1
    assert lines.count("warning: 0.20 mm per side: there: only the tight one") == 1
