"""What the commands write to: terminals, full devices, streams that are closed or lack letters."""

import os
import shlex
import subprocess
import sys
import time
from pathlib import Path

import pytest
from daily import rest_further
from tub_made import failing

from cradle.cli.main import main


@pytest.mark.slow
def with_full_output(*command):
    """A command run where nothing can be written to standard output."""
    with Path("/dev/full").open("w") as full:
        return subprocess.run(
            [sys.executable, "-m", "cradle", *command],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )


@pytest.mark.first_daily
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("options", [[], ["--json"]])
def test_standard_output_that_is_full_gives_4(tub, options):
    done = with_full_output("check", str(tub), *options)
    assert done.returncode == 4
    assert done.stderr.startswith("cradle: standard output cannot be written: ")
    assert done.stderr.endswith("; nothing was written\n")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_where_standard_output_is_full_what_was_written_is_told(tmp_path):
    done = with_full_output("start", str(tmp_path / "cup"))
    assert done.returncode == 4
    assert done.stderr.endswith("; its files are written\n")
    assert (tmp_path / "cup" / "holder.toml").exists()


@pytest.mark.skipif(sys.platform == "win32", reason="there one cannot take away the folder one stands in")
@pytest.mark.parametrize("command", [["sheet"], ["start", "cup"]])
def test_a_working_folder_that_is_gone_is_told_as_such(tmp_path, monkeypatch, capsys, command):
    (gone := tmp_path / "gone").mkdir()
    monkeypatch.chdir(gone)
    gone.rmdir()
    assert main(command) == 2
    said = capsys.readouterr().err
    assert said == "cradle: the folder that this was started in is gone; change into another\n"


def test_progress_is_silent_unless_standard_error_is_a_terminal(monkeypatch, capsys):
    from cradle.cli import progress

    monkeypatch.setattr(progress, "SILENT_S", 0.0)
    with progress.Progress() as bar:
        bar.step("lofting")
    assert capsys.readouterr().err == ""


def test_progress_says_the_step_at_a_terminal_in_its_midst_once_it_is_long(monkeypatch, capsys):
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
        for _ in range(500):
            time.sleep(0.01)
            if bar._bar is not None and bar._bar.live.is_started:
                break
        bar._bar.refresh()
        bar.step("writing")
    told = capsys.readouterr().err
    assert "lofting" in told
    assert "writing" in told


@pytest.mark.parametrize(
    "setting",
    rest_further(
        [{"PYTHONIOENCODING": "ascii"}, {"LC_ALL": "POSIX", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}],
        daily=[0],
    ),
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


@pytest.mark.parametrize("closed", rest_further([">&-", "2>&-", ">&- 2>&-"], daily=[2]))
def test_closed_streams_do_not_stop_a_check(tub, closed):
    line = f"{shlex.quote(sys.executable)} -m cradle check {shlex.quote(str(tub))} {closed}"
    assert subprocess.run(["sh", "-c", line], check=False, capture_output=True).returncode == 0


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


NO_UTF_8 = {"LC_ALL": "POSIX", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="where file names are in the locale's encoding")
def test_file_names_that_a_locale_lacks_letters_for_are_refused_with_what_to_do(tub):
    tub.write_text(tub.read_text(encoding="utf-8").replace('"Tub"', '"Öhrchen"'), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "cradle", "pieces", str(tub)],
        env={**os.environ, **NO_UTF_8},
        capture_output=True,
        check=False,
    )
    assert done.returncode == 4
    assert b"which has no letter" in done.stderr
    assert b"LC_ALL=C.UTF-8" in done.stderr
    assert [file.name for file in tub.parent.iterdir()] == [tub.name]


@pytest.mark.first_daily
@pytest.mark.parametrize("encoding", ["cp437", "cp1251", "ascii"])
def test_what_an_encoding_lacks_is_printed_in_plain_letters(tub, encoding):
    """As of a Windows console's, where the output goes on to another program: sizes read 36.00?24.00."""
    tub.write_text(tub.read_text(encoding="utf-8").replace('"high"', '"λ"'), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "cradle", "check", str(tub)],
        env={**os.environ, "PYTHONIOENCODING": encoding},
        capture_output=True,
        check=False,
    )
    said = done.stdout.decode(encoding)
    assert done.returncode == 0
    assert "36.00x24.00" in said
    assert 'run "cradle check ' in said.replace("“", '"')
    assert "| ? " in said


@pytest.mark.parametrize("command", [["make"], ["check"], ["pieces"], ["trial", "--undo"]])
def test_a_project_file_whose_name_is_no_text_is_refused(tub, capsys, command):
    file = tub.with_name("holder\udcff.toml")
    try:
        tub.rename(file)
    except (OSError, UnicodeEncodeError):
        pytest.skip("no such names on this disk")
    assert main([*command, str(file)]) == 2
    assert "the file's name is not text" in capsys.readouterr().err


def test_what_libraries_warn_of_is_not_printed():
    warns = "import warnings; warnings.warn('overflow encountered in multiply', RuntimeWarning)"
    command = f"import cradle.cli.main as m; m.main = lambda _: exec({warns!r}) or 0; m.run()"
    done = subprocess.run([sys.executable, "-c", command], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
