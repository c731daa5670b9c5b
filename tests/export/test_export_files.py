import errno
import os
import signal
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from cradle.errors import ExportError
from cradle.export import files as module
from cradle.export.files import write_all

OLD = {"a.stl": b"old a", "b.stl": b"old b", "c.json": b"old c"}
NEW = {"a.stl": b"new a" * 1000, "b.stl": b"new b" * 1000, "c.json": b"new c"}


def write(folder, contents):
    return write_all({folder / name: data for name, data in contents.items()})


def contents_of(folder):
    return {p.name: p.read_bytes() for p in sorted(folder.iterdir())}


@pytest.fixture
def folder(tmp_path):
    write(tmp_path / "out", OLD)
    return tmp_path / "out"


def refuse(monkeypatch, name, number, *, at=1):
    """Let the call ``os.name`` fail with an error number the ``at``-th time."""
    real, calls = getattr(os, name), []

    def refusing(*arguments, **keywords):
        calls.append(arguments)
        if len(calls) == at:
            raise OSError(number, os.strerror(number))
        return real(*arguments, **keywords)

    monkeypatch.setattr(module.os, name, refusing)
    return calls


def test_all_files_are_written_and_nothing_else(tmp_path):
    written = write(tmp_path / "new" / "deep", NEW)
    assert contents_of(tmp_path / "new" / "deep") == NEW
    assert [p.name for p in written] == list(NEW)


def test_files_are_as_open_to_others_as_any(tmp_path):
    write(tmp_path, NEW)
    (tmp_path / "plain").write_bytes(b"")
    assert (tmp_path / "a.stl").stat().st_mode == (tmp_path / "plain").stat().st_mode


def test_earlier_files_are_replaced(folder):
    write(folder, NEW)
    assert contents_of(folder) == NEW


def test_a_link_is_followed(folder, tmp_path):
    (tmp_path / "elsewhere").mkdir()
    (folder / "a.stl").rename(tmp_path / "elsewhere" / "a.stl")
    (folder / "a.stl").symlink_to(tmp_path / "elsewhere" / "a.stl")
    write(folder, NEW)
    assert (folder / "a.stl").is_symlink()
    assert contents_of(tmp_path / "elsewhere") == {"a.stl": NEW["a.stl"]}


@pytest.mark.parametrize("at", [1, 2, 3])
def test_a_full_disk_leaves_everything_as_it_was(folder, monkeypatch, at):
    calls = refuse(monkeypatch, "fsync", errno.ENOSPC, at=at)
    with pytest.raises(ExportError, match=r"the disk is full.*make room") as caught:
        write(folder, NEW)
    assert len(calls) >= at  # files go to the disk together
    assert caught.value.exit_code == 4
    assert contents_of(folder) == OLD


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_truly_full_device_is_told(tmp_path, monkeypatch):
    real = os.open
    monkeypatch.setattr(
        module.os, "open", lambda path, *a: real("/dev/full" if str(path).endswith(".part") else path, *a)
    )
    with pytest.raises(ExportError, match=r"a\.stl: the disk is full: 5,000 bytes did not fit"):
        write(tmp_path / "out", NEW)
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("at", [1, 2, 3])
def test_a_rename_that_fails_gives_the_earlier_files_back(folder, monkeypatch, at):
    calls = refuse(monkeypatch, "replace", errno.EIO, at=at)
    with pytest.raises(ExportError, match="not written"):
        write(folder, NEW)
    assert len(calls) >= at
    assert contents_of(folder) == OLD


def test_a_rename_that_fails_takes_new_files_and_folders_away_again(tmp_path, monkeypatch):
    refuse(monkeypatch, "replace", errno.EIO, at=2)
    with pytest.raises(ExportError):
        write(tmp_path / "new" / "deep", NEW)
    assert list(tmp_path.iterdir()) == []


def test_a_disk_without_hard_links_still_gives_the_earlier_files_back(folder, monkeypatch):
    monkeypatch.setattr(module.os, "link", lambda *_: (_ for _ in ()).throw(OSError(errno.EPERM, "no links")))
    refuse(monkeypatch, "replace", errno.EIO, at=3)
    with pytest.raises(ExportError):
        write(folder, NEW)
    assert contents_of(folder) == OLD


@pytest.mark.parametrize("number", [errno.EACCES, errno.EROFS, errno.EPERM])
def test_a_folder_that_may_not_be_written_is_told(folder, monkeypatch, number):
    refuse(monkeypatch, "open", number)
    with pytest.raises(ExportError, match=r"may not be written; name another folder with -o"):
        write(folder, NEW)
    assert contents_of(folder) == OLD


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may write anywhere")
def test_a_read_only_folder_is_told(folder):
    folder.chmod(0o555)
    try:
        with pytest.raises(ExportError, match="may not be written"):
            write(folder, NEW)
    finally:
        folder.chmod(0o755)
    assert contents_of(folder) == OLD


@pytest.mark.parametrize("below", ["", "deeper"])
def test_a_file_where_a_folder_is_meant_is_told(tmp_path, below):
    (tmp_path / "out").write_bytes(b"mine")
    with pytest.raises(ExportError, match="is a file, not a folder"):
        write(tmp_path / "out" / below, NEW)
    assert (tmp_path / "out").read_bytes() == b"mine"


def test_a_folder_where_a_file_is_meant_is_told_before_anything_changes(folder):
    (folder / "c.json").unlink()
    (folder / "c.json").mkdir()
    with pytest.raises(ExportError, match="a folder has this name"):
        write(folder, NEW)
    assert sorted(p.name for p in folder.iterdir()) == sorted(OLD)
    assert (folder / "a.stl").read_bytes() == OLD["a.stl"]


def test_a_name_too_long_for_the_disk_is_told(tmp_path):
    with pytest.raises(ExportError, match="too long"):
        write(tmp_path, {"x" * 300 + ".stl": b""})
    assert list(tmp_path.iterdir()) == []


def test_a_disk_that_gives_back_other_bytes_is_told(folder, monkeypatch):
    monkeypatch.setattr(Path, "read_bytes", lambda _: b"other")
    with pytest.raises(ExportError, match="other bytes"):
        write(folder, NEW)
    monkeypatch.undo()
    assert contents_of(folder) == OLD


KILLED = """
import os, signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)  # whoever started the tests may ignore it
from pathlib import Path
from cradle.export import files
real, calls = os.{call}, []
def dying(*a, **k):
    calls.append(a)
    if len(calls) == {at}:
        os.kill(os.getpid(), signal.SIG{signal})
    return real(*a, **k)
files.os.{call} = dying
folder = Path(sys.argv[1])
files.write_all({{folder / n: d for n, d in {new!r}.items()}})
"""


def run_and_die(folder, *, call, at, by):
    script = textwrap.dedent(KILLED).format(call=call, at=at, signal=by, new=NEW)
    return subprocess.run([sys.executable, "-c", script, str(folder)], capture_output=True, check=False)


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs SIGKILL")
@pytest.mark.parametrize(
    ("call", "at"), [("open", 2), ("fsync", 1), ("fsync", 3), ("replace", 1), ("replace", 2), ("replace", 3)]
)
def test_a_kill_at_any_moment_leaves_every_file_whole(folder, call, at):
    done = run_and_die(folder, call=call, at=at, by="KILL")
    assert done.returncode == -signal.SIGKILL, done.stderr
    seen = contents_of(folder)
    visible = {name: data for name, data in seen.items() if not name.startswith(".")}
    assert visible.keys() == OLD.keys()
    assert all(data in (OLD[name], NEW[name]) for name, data in visible.items())
    if call != "replace" or at == 1:
        assert visible == OLD
    write(folder, NEW)  # the next run works and sweeps up what the dead one left
    assert contents_of(folder) == NEW


def test_an_interruption_between_two_renames_gives_the_earlier_files_back(folder):
    done = run_and_die(folder, call="replace", at=2, by="INT")
    assert b"KeyboardInterrupt" in done.stderr
    assert contents_of(folder) == OLD


def test_what_a_living_process_is_writing_is_left_alone(folder):
    other = folder / f".a.stl.{os.getppid()}.part"
    other.write_bytes(b"half")
    write(folder, NEW)
    assert other.read_bytes() == b"half"
