import json
import os
import re
import shlex
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import trimesh
from tub import TUB

import cradle
from cradle.cli.main import main
from cradle.errors import ExportError, HolderError, LoftError
from cradle.finding import Finding, Severity

NAMES = [
    "tub-holder.stl",
    "tub-holder.3mf",
    "tub-body.stl",
    "tub-sections.dxf",
    "tub-sections.svg",
    "fit-report.html",
    "tub-workshop.pdf",
    "tub-drawing.dxf",
    "tub-drawing.svg",
    "summary.json",
]


def cradle_command(*arguments, **options):
    return subprocess.run(
        [sys.executable, "-m", "cradle", *map(str, arguments)],
        capture_output=True,
        text=True,
        check=False,
        **options,
    )


@pytest.fixture(scope="module")
def first(tmp_path_factory):
    """What a process of its own said when it made the tub's holder, and where that lies."""
    folder = tmp_path_factory.mktemp("first")
    (folder / "holder.toml").write_text(TUB, encoding="utf-8")
    env = os.environ | {"PYTHONHASHSEED": "1"}
    return cradle_command("make", folder / "holder.toml", "-o", folder / "out", env=env), folder / "out"


@pytest.fixture(scope="module")
def wide(tmp_path_factory):
    """The files of the tub's holder with 0.6 mm per side, by name."""
    folder = tmp_path_factory.mktemp("wide")
    (folder / "holder.toml").write_text(TUB, encoding="utf-8")
    assert main(["make", str(folder / "holder.toml"), "--clearance", "0.6"]) == 0
    return contents(folder / "out")


def contents(folder):
    return {file.name: file.read_bytes() for file in folder.iterdir()}


def failing(*arguments, capsys):
    """Exit code and error lines of a command that prints nothing else."""
    code = main([str(a) for a in arguments])
    out, err = capsys.readouterr()
    assert out == ""
    assert "Traceback" not in err
    lines = err.splitlines()
    assert lines
    assert all(line.startswith("cradle: ") for line in lines)
    return code, lines


# ---------------------------------------------------------------- what the commands do


def test_the_help_names_the_commands_and_the_exit_codes():
    done = cradle_command("--help")
    assert done.returncode == 0
    assert re.findall(r"^  (start|check|make) ", done.stdout, re.MULTILINE) == ["start", "check", "make"]
    assert "70 internal error" in " ".join(done.stdout.split())


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


def test_make_writes_beside_the_project_when_no_folder_is_named(tub, first, monkeypatch):
    monkeypatch.chdir(tub.parent)
    assert main(["make", tub.name]) == 0
    assert contents(tub.parent / "out") == contents(first[1])  # of another process, with other hashes


def test_make_gives_the_same_bytes_in_every_process(tub, first, tmp_path):
    env = os.environ | {"PYTHONHASHSEED": "2"}
    assert cradle_command("make", tub, "-o", tmp_path / "second", env=env).returncode == 0
    assert len(contents(first[1])) == len(NAMES)
    assert contents(tmp_path / "second") == contents(first[1])


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


def test_a_holder_on_a_wall_has_no_tipping_angle_in_its_table(tub, first, tmp_path, capsys):
    assert "tips at" in first[0].stdout
    tub.write_text(TUB + "[plate]\nwidth = 80\nscrew = 'M4'\n", encoding="utf-8")
    assert main(["make", str(tub), "-o", str(tmp_path / "wall")]) == 0
    out = capsys.readouterr().out
    assert "tips at" not in out
    assert "plate hole spacing, across" in out


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


def test_check_prints_json(tub, capsys):
    assert main(["check", str(tub), "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    assert [s["name"] for s in result["sections"]] == ["low", "high"]


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


# ---------------------------------------------------------------- exit code 1: done, but do not print it


def test_a_finding_that_fails_gives_1_and_the_files_all_the_same(tub, tmp_path, monkeypatch, capsys):
    import cradle.pipeline as pipeline

    finding = Finding(code="x", severity=Severity.FAIL, message="the wall is [too] thin", where="block.wall")
    real = pipeline.build

    def doubtful(*arguments, **options):
        from dataclasses import replace

        made = real(*arguments, **options)
        return replace(made, findings=(finding, *made.findings))

    monkeypatch.setattr(pipeline, "build", doubtful)
    assert main(["make", str(tub), "-o", str(tmp_path / "out")]) == 1
    out, err = capsys.readouterr()
    assert "do not print: block.wall: the wall is [too] thin" in out
    assert err == ""
    assert (tmp_path / "out" / "tub-holder.stl").exists()


def test_of_several_holders_a_finding_says_which_one_it_concerns(tub, tmp_path, monkeypatch, capsys):
    from dataclasses import replace

    import cradle.pipeline as pipeline

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


# ---------------------------------------------------------------- exit code 2: bad input


@pytest.mark.parametrize("command", ["check", "make"])
def test_a_missing_project_is_told(command, tmp_path, capsys):
    code, lines = failing(command, tmp_path / "none.toml", capsys=capsys)
    assert code == 2
    assert len(lines) == 1
    assert "none.toml" in lines[0]


@pytest.mark.parametrize("command", ["check", "make"])
def test_a_folder_as_project_is_told(command, tmp_path, capsys):
    code, (line,) = failing(command, tmp_path, capsys=capsys)
    assert code == 2
    assert str(tmp_path) in line


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"[object\n", b"\x00" * 100, b""])
def test_an_unreadable_project_is_told(content, tub, capsys):
    tub.write_bytes(content)
    code, lines = failing("make", tub, capsys=capsys)
    assert code == 2
    assert "holder.toml" in lines[0]


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="the superuser may read anything")
def test_a_project_that_may_not_be_read_is_told(tub, capsys):
    tub.chmod(0)
    assert failing("make", tub, capsys=capsys)[0] == 2


def test_all_mistakes_are_told_at_once_one_a_line(tub, capsys):
    tub.write_text(
        TUB.replace("width = 30", "widht = 30").replace("height = 25", 'height = "tall"'), encoding="utf-8"
    )
    code, lines = failing("make", tub, capsys=capsys)
    assert code == 2
    assert len(lines) >= 2
    assert "width" in lines[0]
    assert all(re.search(r"holder\.toml: line \d+", line) for line in lines)


def test_mistakes_are_told_as_json_too(tub, capsys):
    tub.write_text(TUB.replace("width = 30", "widht = 30"), encoding="utf-8")
    assert main(["make", str(tub), "--json"]) == 2
    out, err = capsys.readouterr()
    result = json.loads(out)
    assert result["exit_code"] == 2
    assert result["errors"][0]["kind"] == "ProjectError"
    assert result["errors"][0]["line"] == TUB.splitlines().index("width = 30") + 1
    assert len(err.splitlines()) == len(result["errors"])


def test_a_missing_outline_is_told(tub, capsys):
    text = TUB.replace(
        '[section.measured]\nform = "rectangle"\nwidth = 30\ndepth = 20\ncorner = 4', 'outline = "none.svg"'
    )
    assert text != TUB
    tub.write_text(text, encoding="utf-8")
    code, lines = failing("make", tub, capsys=capsys)
    assert code == 2
    assert "none.svg" in lines[0]


@pytest.mark.parametrize("value", ["-0.2", "abc", "nan", "inf", "", "0.2 parsec", "1/0", "400", "1 in"])
def test_a_clearance_that_is_none_is_told(value, tub, capsys):
    code, (line,) = failing("make", tub, "--clearance", value, capsys=capsys)
    assert code == 2
    assert "--clearance" in line
    assert not (tub.parent / "out").exists()


@pytest.mark.parametrize(
    "arguments",
    [["nonsense"], ["make"], ["make", "a", "b"], ["make", "--nonsense"], ["make", "a", "-o"], ["start"]],
)
def test_a_command_line_that_is_wrong_is_told_on_one_line(arguments, capsys):
    code, lines = failing(*arguments, capsys=capsys)
    assert code == 2
    assert len(lines) == 1


def test_the_bare_command_shows_the_help(capsys):
    assert main([]) == 2
    assert "Commands:" in capsys.readouterr().out


def test_a_project_is_never_overwritten(tub, capsys):
    code, (line,) = failing("start", tub.parent, capsys=capsys)
    assert code == 2
    assert "already" in line
    assert tub.read_text(encoding="utf-8") == TUB


def test_a_file_as_folder_of_a_new_project_is_told(tub, capsys):
    assert failing("start", tub, capsys=capsys)[0] == 2


# ---------------------------------------------------------------- exit code 3: impossible geometry


def test_a_pocket_that_cannot_be_had_gives_3_and_names_the_clearance(tub, tmp_path, monkeypatch, capsys):
    def impossible(_, *, clearance_mm, **__):
        raise HolderError("the pocket breaks through the wall", where="block.wall")

    monkeypatch.setattr("cradle.pipeline.build", impossible)
    code, (line,) = failing("make", tub, "-o", tmp_path / "out", "--clearance", "0.4", capsys=capsys)
    assert code == 3
    assert line == "cradle: clearance 0.4 mm: block.wall: the pocket breaks through the wall"
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("kind", [HolderError, LoftError])
def test_impossible_geometry_gives_3(kind, tub, monkeypatch, capsys):
    def impossible(*_, **__):
        raise kind("the pocket breaks through the floor", where="block.floor", hint="raise it")

    monkeypatch.setattr("cradle.pipeline.model_row", impossible)
    code, lines = failing("make", tub, capsys=capsys)
    assert (code, lines) == (3, ["cradle: block.floor: the pocket breaks through the floor; raise it"])


# ---------------------------------------------------------------- exit code 4: could not write


def test_a_file_in_place_of_the_folder_gives_4(tub, tmp_path, capsys):
    (tmp_path / "out").write_text("mine", encoding="utf-8")
    code, (line,) = failing("make", tub, capsys=capsys)
    assert code == 4
    assert "is a file, not a folder" in line
    assert (tmp_path / "out").read_text(encoding="utf-8") == "mine"


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="the superuser may write anywhere")
def test_a_folder_that_may_not_be_written_gives_4(tub, tmp_path, capsys):
    (tmp_path / "out").mkdir(mode=0o555)
    assert failing("make", tub, capsys=capsys)[0] == 4


def test_a_full_disk_gives_4_and_leaves_the_earlier_holder(tub, first, tmp_path, monkeypatch, capsys):
    shutil.copytree(first[1], tmp_path / "out")
    before = contents(tmp_path / "out")

    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("cradle.files.writing.os.fsync", full)
    code, (line,) = failing("make", tub, "--clearance", "0.5", capsys=capsys)
    assert code == 4
    assert "the disk is full" in line
    assert contents(tmp_path / "out") == before


def test_a_file_that_reads_back_differently_gives_4_and_is_not_written(tub, tmp_path, monkeypatch, capsys):
    def differing(*_, **__):
        raise ExportError("read back differently: the surface is not closed", where="tub-holder.stl")

    monkeypatch.setattr("cradle.export.outputs.read_back_stl", differing)
    assert failing("make", tub, capsys=capsys)[0] == 4
    assert not (tmp_path / "out").exists()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("options", [[], ["--json"]])
def test_standard_output_that_is_full_gives_4(tub, options):
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "cradle", "check", str(tub), *options],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 4
    assert "Traceback" not in done.stderr


# ---------------------------------------------------------------- exit code 70: an internal error


def test_our_own_fault_gives_70_and_says_what_to_do(tub, monkeypatch, capsys):
    def broken(*_, **__):
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr("cradle.pipeline.model_row", broken)
    code, (line,) = failing("check", tub, capsys=capsys)
    assert code == 70
    assert "internal error: ZeroDivisionError: division by zero; please report it" in line
    assert main(["check", str(tub), "--debug"]) == 70
    err = capsys.readouterr().err
    assert "Traceback" in err
    assert "in broken" in err


# ---------------------------------------------------------------- interruptions


def test_an_interruption_is_told_without_a_traceback(tub, monkeypatch, capsys):
    def interrupted(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr("cradle.pipeline.model_row", interrupted)
    assert main(["check", str(tub)]) == 130
    assert "Traceback" not in capsys.readouterr().err


ENDED = """
import os, signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)  # whoever started the tests may ignore it
from cradle.cli import main
from cradle.files import writing as files
real = os.replace
def dying(*a):
    if str(a[0]).endswith(".part") and str(a[1]).endswith("body.stl"):
        os.kill(os.getpid(), signal.SIG{signal})
    real(*a)
files.os.replace = dying
sys.argv = ["cradle", "make", *sys.argv[1:]]
main.run()
"""


@pytest.mark.skipif(os.name == "nt", reason="needs POSIX signals")
@pytest.mark.parametrize(
    ("name", "code"),
    [pytest.param("TERM", 143, marks=pytest.mark.slow), ("INT", 130), ("KILL", -signal.SIGKILL)],
)
def test_a_run_that_is_ended_between_two_writes_leaves_one_whole_holder(
    tub, first, wide, tmp_path, name, code
):
    out = shutil.copytree(first[1], tmp_path / "out")
    before = contents(out)
    script = ENDED.format(signal=name)
    done = subprocess.run(
        [sys.executable, "-c", script, str(tub), "--clearance", "0.6"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == code, done.stderr
    if name == "KILL":
        after = {p.name: p.read_bytes() for p in out.iterdir() if not p.name.startswith(".")}
        assert after.keys() == before.keys()
        assert all(data in (before[n], wide[n]) for n, data in after.items())
        assert main(["sheet", "-o", str(out / "sheet.pdf")]) == 0  # whatever is written next restores the set
        (out / "sheet.pdf").unlink()
        after = {p.name: p.read_bytes() for p in out.iterdir() if not p.name.endswith(".part")}
        assert after == before
    else:
        assert contents(out) == wide
    if name == "INT":
        assert done.stderr.strip() == "cradle: interrupted; its files are written"


# ---------------------------------------------------------------- the bar of progress


def test_progress_is_silent_unless_standard_error_is_a_terminal(monkeypatch, capsys):
    from cradle.cli import progress

    monkeypatch.setattr(progress, "SILENT_S", 0.0)
    with progress.Progress() as bar:
        bar.step("lofting")
    assert capsys.readouterr().err == ""


def test_progress_says_the_step_at_a_terminal_once_the_work_is_long(monkeypatch, capsys):
    from cradle.cli import progress

    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("FORCE_COLOR", "1")
    with progress.Progress() as bar:
        bar.step("quick work")
    assert capsys.readouterr().err == ""
    monkeypatch.setattr(progress, "SILENT_S", 0.0)
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    with progress.Progress() as bar:
        bar.step("lofting")
        bar._bar.refresh()
    assert "lofting" in capsys.readouterr().err


@pytest.mark.parametrize(
    "setting",
    [{"PYTHONIOENCODING": "ascii"}, {"LC_ALL": "POSIX", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}],
)
def test_streams_that_lack_letters_do_not_stop_a_check(tub, setting):
    done = subprocess.run(
        [sys.executable, "-m", "cradle", "check", str(tub)],
        check=False,
        capture_output=True,
        env={k: v for k, v in os.environ.items() if k != "PYTHONIOENCODING"} | setting,
    )
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.isascii()
    assert b"mm" in done.stdout


@pytest.mark.parametrize(("closed", "code"), [(">&-", 0), ("2>&-", 0), (">&- 2>&-", 0)])
def test_closed_streams_do_not_stop_a_check(tub, closed, code):
    line = f"{shlex.quote(sys.executable)} -m cradle check {shlex.quote(str(tub))} {closed}"
    assert subprocess.run(["sh", "-c", line], check=False, capture_output=True).returncode == code
