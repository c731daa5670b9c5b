import errno
import os
import signal
import stat
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest
from permissions import where_permissions_bind
from sets_written import NEW, NEWER, OLD, contents_of, write

from cradle.errors import ExportError
from cradle.files import writing as module
from cradle.files.interruption import sets_written
from cradle.files.journal import restore_what_was_left


def refuse(monkeypatch, name, number, *, at=1, windows=None):
    """Let the call ``os.name`` on a file of ours fail with an error number the ``at``-th time; ``windows``: with its number too."""
    real, calls = getattr(os, name), []

    def refusing(*arguments, **keywords):
        if isinstance(arguments[0], int) or str(arguments[0]).endswith(".part"):
            calls.append(arguments)
            if len(calls) == at:
                error = OSError(number, os.strerror(number))
                if windows is not None:
                    error.winerror = windows
                raise error
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
        module.os,
        "open",
        lambda path, *a: real("/dev/full", os.O_WRONLY) if str(path).endswith(".part") else real(path, *a),
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
    with pytest.raises(ExportError, match=r"no permission to write here; name another folder with -o"):
        write(folder, NEW)
    assert contents_of(folder) == OLD


@pytest.mark.parametrize(
    "windows", [5, 32]
)  # access denied, sharing violation (System Error Codes, from memory)
def test_a_file_that_is_open_elsewhere_on_windows_is_told(folder, monkeypatch, windows):
    refuse(monkeypatch, "replace", errno.EACCES, at=2, windows=windows)
    with pytest.raises(
        ExportError, match=r"another program has the file open, or .*; close it there or name another"
    ):
        write(folder, NEW)
    assert contents_of(folder) == OLD


def test_a_path_that_is_too_long_for_windows_is_told(tmp_path, monkeypatch):
    """Which says that there is no such folder (path not found, System Error Codes, from memory)."""
    refuse(monkeypatch, "open", errno.ENOENT, windows=3)
    with pytest.raises(
        ExportError, match=r"the name is too long for the disk; shorten object\.name or the folder"
    ):
        write(tmp_path / ("long" * 50), NEW)


@where_permissions_bind
def test_a_read_only_folder_is_told(folder):
    folder.chmod(0o555)
    try:
        with pytest.raises(ExportError, match="no permission to write here"):
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


@pytest.mark.parametrize("name", ["a\ud800.stl", "out\ud800/a.stl"])
def test_a_name_in_letters_that_file_names_lack_is_told(tmp_path, name):
    with pytest.raises(ExportError, match="file names here are in utf-8, which has no letter"):
        write(tmp_path, {name: b"1", "b.stl": b"2"})
    assert not list(tmp_path.iterdir())


def test_a_name_too_long_for_the_disk_is_told(tmp_path):
    with pytest.raises(ExportError, match="too long") as caught:
        write(tmp_path, {"x" * 3000 + ".stl": b""})
    assert len(str(caught.value)) < 250  # the name does not flood the terminal
    assert list(tmp_path.iterdir()) == []


def test_a_disk_that_gives_back_other_bytes_is_told(folder, monkeypatch):
    monkeypatch.setattr(Path, "read_bytes", lambda _: b"other")
    with pytest.raises(ExportError, match="differs from what was written"):
        write(folder, NEW)
    monkeypatch.undo()
    assert contents_of(folder) == OLD


KILLED = """
import os, signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)  # whoever started the tests may ignore it
from pathlib import Path
from cradle.files import writing as files
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
    ("call", "at"),
    [
        ("open", 5),
        ("fsync", 1),
        ("fsync", 3),
        ("replace", 4),
        ("unlink", 7),
        *((c, at) for c in ("link", "replace", "unlink") for at in (1, 2, 3)),
    ],
)
def test_a_kill_at_any_moment_leaves_every_file_whole(folder, call, at):
    done = run_and_die(folder, call=call, at=at, by="KILL")
    assert done.returncode == -signal.SIGKILL, done.stderr
    seen = contents_of(folder)
    visible = {name: data for name, data in seen.items() if not name.startswith(".")}
    assert visible.keys() == OLD.keys()
    assert all(data in (OLD[name], NEW[name]) for name, data in visible.items())
    if call == "fsync":
        assert visible == OLD
    restore_what_was_left(folder)  # as the next run does first
    seen = contents_of(folder)
    assert {name: data for name, data in seen.items() if not name.startswith(".")} in (OLD, NEW)
    write(folder, NEWER)  # the next run works and sweeps up what the dead one left
    assert contents_of(folder) == NEWER


@pytest.mark.parametrize("at", range(1, 5))
def test_a_kill_takes_back_what_is_new_where_nothing_was(tmp_path, at):
    (tmp_path / "out").mkdir()
    done = run_and_die(tmp_path / "out", call="replace", at=at, by="KILL")
    assert done.returncode == -signal.SIGKILL, done.stderr
    restore_what_was_left(tmp_path / "out")
    assert not [name for name in contents_of(tmp_path / "out") if not name.startswith(".")]


def test_a_file_changed_since_a_kill_is_not_taken_back(folder):
    run_and_die(folder, call="replace", at=4, by="KILL")
    (folder / "mine").write_bytes(b"mine")
    os.replace(folder / "mine", folder / "a.stl")
    restore_what_was_left(folder)
    assert (folder / "a.stl").read_bytes() == b"mine"
    assert (folder / "b.stl").read_bytes() == OLD["b.stl"]


@pytest.mark.parametrize(
    "rows",
    [
        '[["../secret", "b.stl", {number}]]',
        '[["a.stl", "../secret", {number}]]',
        '[["/etc/hostname", null, {number}]]',
        '[["..", null, {number}]]',
        "{{}}",
        "[[1,2,3]]",
        "[" * 100_000,
        "",
    ],
)
def test_a_journal_from_elsewhere_touches_nothing_outside_its_folder(folder, tmp_path, rows):
    (tmp_path / "secret").write_bytes(b"secret")
    number = (tmp_path / "secret").stat().st_ino
    (folder / ".cradle-set.1.journal").write_text(rows.format(number=number))
    restore_what_was_left(folder)
    assert (tmp_path / "secret").read_bytes() == b"secret"
    assert {name: (folder / name).read_bytes() for name in OLD} == OLD


@pytest.mark.parametrize(
    ("call", "at", "then"),
    [
        *(("fsync", at, OLD) for at in (1, 2, 3)),
        *(("link", at, NEW) for at in (1, 2, 3)),
        *(("replace", at, NEW) for at in (1, 2, 3, 4)),
        *(("unlink", at, NEW) for at in (4, 5)),
    ],
)
def test_an_interruption_at_any_moment_leaves_one_whole_set_and_no_litter(folder, call, at, then):
    done = run_and_die(folder, call=call, at=at, by="INT")
    assert b"KeyboardInterrupt" in done.stderr
    assert contents_of(folder) == then


STARTING = """
import os, signal, sys, threading, time
signal.signal(signal.SIGINT, signal.default_int_handler)
from pathlib import Path
from cradle.files import writing as files
start, open_ = threading.Thread.start, os.open
def interrupted(self):
    start(self)
    os.kill(os.getpid(), signal.SIGINT)
    time.sleep(0.05)
def late(*a, **k):
    if threading.current_thread() is not threading.main_thread():
        time.sleep(0.3)
    return open_(*a, **k)
threading.Thread.start, files.os.open = interrupted, late
files.write_all({{Path(sys.argv[1]) / n: d for n, d in {new!r}.items()}})
"""


def test_an_interruption_as_a_thread_starts_leaves_no_litter(folder):
    script = textwrap.dedent(STARTING).format(new=NEW)
    done = subprocess.run([sys.executable, "-c", script, str(folder)], capture_output=True, check=False)
    assert b"KeyboardInterrupt" in done.stderr
    assert contents_of(folder) == OLD


def test_what_a_living_process_is_writing_is_left_alone(folder):
    other = folder / f".a.stl.{os.getppid()}.cradle.part"
    other.write_bytes(b"half")
    write(folder, NEW)
    assert other.read_bytes() == b"half"


@pytest.mark.parametrize(
    ("call", "at"), [("fsync", 1), ("link", 2), ("replace", 1), ("replace", 3), ("unlink", 2)]
)
def test_what_a_kill_left_is_swept_up_whatever_is_written_next(folder, call, at):
    assert run_and_die(folder, call=call, at=at, by="KILL").returncode == -signal.SIGKILL
    assert any(name.startswith(".") for name in contents_of(folder))
    write(folder, {"other.pdf": b"other"})
    left = contents_of(folder)
    assert left.pop("other.pdf") == b"other"
    assert left in (OLD, NEW)


def test_hidden_files_of_others_are_not_swept_up(folder):
    others = {f".a.stl.{gone}.part": b"theirs" for gone in (999_999_999, 1)} | {".a.stl.kept": b"theirs"}
    for name, data in others.items():
        (folder / name).write_bytes(data)
    write(folder, NEW)
    assert contents_of(folder) == NEW | others


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o444, 0o755])
@pytest.mark.parametrize("names", [["a.stl"], list(OLD)])
def test_a_file_that_is_replaced_keeps_its_mode(folder, mode, names):
    (folder / "a.stl").chmod(mode)
    write(folder, {name: NEW[name] for name in names})
    assert stat.S_IMODE((folder / "a.stl").stat().st_mode) == mode
    assert (folder / "a.stl").read_bytes() == NEW["a.stl"]


def test_sets_are_counted_when_they_are_written(folder, monkeypatch):
    before = sets_written()
    write(folder, NEW)
    assert sets_written() == before + 1
    refuse(monkeypatch, "fsync", errno.EIO)
    with pytest.raises(ExportError):
        write(folder, OLD)
    assert sets_written() == before + 1


@pytest.mark.slow
def test_sets_written_at_once_into_one_folder_do_not_mix(tmp_path):
    script = """
import sys
from pathlib import Path
from cradle.files.writing import write_all
for turn in range(40):
    write_all({Path(sys.argv[1]) / f"{n}.stl": sys.argv[2].encode() for n in range(5)})
"""
    runs = [
        subprocess.Popen([sys.executable, "-c", script, str(tmp_path), name])
        for name in ("one", "two", "three")
    ]
    assert [run.wait() for run in runs] == [0, 0, 0]
    contents = contents_of(tmp_path)
    assert len(contents) == 5
    assert len(set(contents.values())) == 1
