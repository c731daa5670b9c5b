"""Files that cannot be written, and runs that are ended: what was there stays whole."""

import os
import shutil
import subprocess
import sys

import pytest
from daily import rest_further
from permissions import where_permissions_bind
from tub_made import contents, failing

from cradle.cli.main import main
from cradle.errors import ExportError


def test_a_file_in_place_of_the_folder_gives_4(tub, tmp_path, capsys):
    (tmp_path / "out").write_text("mine", encoding="utf-8")
    code, (line,) = failing("make", tub, capsys=capsys)
    assert code == 4
    assert "is a file, not a folder" in line
    assert (tmp_path / "out").read_text(encoding="utf-8") == "mine"


@where_permissions_bind
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
        raise ExportError(
            "the written file does not match the model: the surface is not closed", where="tub-holder.stl"
        )

    monkeypatch.setattr("cradle.export.outputs.read_back_stl", differing)
    assert failing("make", tub, capsys=capsys)[0] == 4
    assert not (tmp_path / "out").exists()


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


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="needs POSIX signals")
@pytest.mark.parametrize(
    ("name", "code"),
    rest_further([("TERM", 143), ("INT", 130), ("KILL", -9)], daily=[1]),
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
