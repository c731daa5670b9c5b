"""Devices, pipes, sockets and links are never replaced."""

import os
import socket
import stat

import pytest
from sets_written import NEW, OLD, write

from cradle.errors import ExportError
from cradle.files import writing as module
from cradle.files.writing import write_all


def fifo(path):
    os.mkfifo(path)


def unix_socket(path):
    with socket.socket(socket.AF_UNIX) as place:
        place.bind(str(path))


def link_to_device(path):
    path.symlink_to("/dev/full")


def link_to_itself(path):
    path.symlink_to(path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names")
@pytest.mark.parametrize("make", [fifo, unix_socket, link_to_device, link_to_itself])
def test_what_is_no_plain_file_is_never_replaced(folder, make):
    (folder / "b.stl").unlink()
    make(folder / "b.stl")
    before = os.lstat(folder / "b.stl")
    with pytest.raises(ExportError, match=r"b\.stl|/dev/full"):
        write(folder, NEW)
    after = os.lstat(folder / "b.stl")
    assert (after.st_mode, after.st_ino) == (before.st_mode, before.st_ino)
    assert not [p.name for p in folder.iterdir() if p.name.startswith(".")]
    assert (folder / "a.stl").read_bytes() == OLD["a.stl"]


@pytest.mark.skipif(os.name != "posix" or os.geteuid() != 0, reason="only the superuser makes devices")
def test_a_device_is_never_replaced(tmp_path):
    device = tmp_path / "null"
    try:
        os.mknod(device, stat.S_IFCHR | 0o666, os.makedev(1, 3))
    except OSError:
        pytest.skip("devices may not be made here")
    with pytest.raises(ExportError, match="this is a device, not a plain file, and stays as it is"):
        write_all({device: b"x"})
    assert stat.S_ISCHR(device.lstat().st_mode)


def test_a_pipe_that_takes_the_name_meanwhile_is_not_replaced_either(folder, monkeypatch):
    real = module.locked

    def late(path):
        if any(p.name.endswith(".part") for p in folder.iterdir()) and not stat.S_ISFIFO(
            (folder / "c.json").lstat().st_mode
        ):
            (folder / "c.json").unlink()
            os.mkfifo(folder / "c.json")
        return real(path)

    monkeypatch.setattr(module, "locked", late)
    with pytest.raises(ExportError, match="this is a pipe"):
        write(folder, NEW)
    assert stat.S_ISFIFO((folder / "c.json").lstat().st_mode)
    assert (folder / "a.stl").read_bytes() == OLD["a.stl"]
