import os
import socket
import threading
import unicodedata

import pytest
from permissions import where_permissions_bind

from cradle.errors import CaptureError, InputError
from cradle.files.file_stamp import stamp_of
from cradle.files.locking import locked
from cradle.files.reading import UTF_16, FileKind, open_file, read_file, text_of

KIND = FileKind(most_bytes=1000, missing="look for it", marks=UTF_16)


def refused(path, match):
    with pytest.raises(InputError, match=match):
        read_file(path, where="it", kind=KIND)
    with pytest.raises(InputError, match=match):
        open_file(path, where="it", kind=KIND)


def test_a_plain_file_is_read_whole_or_in_parts(tmp_path):
    (tmp_path / "a").write_bytes(b"abc" * 300)
    assert read_file(tmp_path / "a", where="it", kind=KIND) == b"abc" * 300
    with open_file(tmp_path / "a", where="it", kind=KIND) as file:
        assert file.read(3) == b"abc"


def test_a_link_to_a_plain_file_is_followed(tmp_path):
    (tmp_path / "a").write_bytes(b"abc")
    (tmp_path / "b").symlink_to("a")
    assert read_file(tmp_path / "b", where="it", kind=KIND) == b"abc"


def test_what_is_not_there_is_told(tmp_path):
    refused(tmp_path / "none", "^it: there is no such file; look for it$")
    (tmp_path / "b").symlink_to("none")
    refused(tmp_path / "b", "there is no such file")


@pytest.mark.parametrize(
    ("named", "meant"),
    [
        ("Low.CSV", "low.csv"),
        ("low.svg", "low.csv"),
        ("low", "low.csv"),
        ("midle2.csv", "middle2.csv"),
        ("middle3.csv", None),
        ("high.csv", None),
        ("scans.csv", None),  # a folder
    ],
)
def test_a_file_that_was_likely_meant_is_named(tmp_path, named, meant):
    for name in ("low.csv", "low2.csv", "middle2.csv", "notes.txt"):
        (tmp_path / name).write_bytes(b"")
    (tmp_path / "scans.d").mkdir()
    told = f"did you mean {meant}\\? look for it" if meant else "look for it"
    refused(tmp_path / named, f"^it: there is no such file; {told}$")


@pytest.mark.parametrize(
    ("named", "meant"),
    [
        ("boxs/low.csv", "box/low.csv"),
        ("Box/low.csv", "box/low.csv"),
        ("boxs/high.csv", None),
        ("scans/low.csv", None),
        ("no/such/low.csv", None),
    ],
)
def test_a_file_of_a_folder_that_was_likely_meant_is_named(tmp_path, named, meant):
    (tmp_path / "box").mkdir()
    (tmp_path / "box" / "low.csv").write_bytes(b"")
    told = f"did you mean {meant}\\? look for it" if meant else "look for it"
    refused(tmp_path / named, f"^it: there is no such file; {told}$")


@pytest.mark.parametrize(("named", "there"), [("NFC", "NFD"), ("NFD", "NFC")])
@pytest.mark.parametrize("path", ["größe.csv", "maße/é.csv"])
def test_a_name_from_another_system_has_its_accents_in_another_form(tmp_path, named, there, path):
    """A folder from a Mac was told that it has no such file, and whether that very name was meant."""
    written, asked = (tmp_path / unicodedata.normalize(form, path) for form in (there, named))
    written.parent.mkdir(exist_ok=True)
    written.write_bytes(b"abc")
    assert read_file(asked, where="it", kind=KIND) == b"abc"
    assert stamp_of(asked)[1:] == stamp_of(written)[1:] != (-1, -1)


def test_a_folder_is_told(tmp_path):
    refused(tmp_path, "^it: this is a folder, not a file; name a file in it$")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names")
@pytest.mark.parametrize("linked", ["itself", "a link to it"])
def test_pipes_and_sockets_are_not_opened(tmp_path, linked):
    os.mkfifo(tmp_path / "pipe")
    with socket.socket(socket.AF_UNIX) as place:
        place.bind(str(tmp_path / "socket"))
        for kind in ("pipe", "socket"):
            path = tmp_path / kind
            if linked != "itself":
                path = tmp_path / f"{kind}-link"
                path.symlink_to(kind)
            refused(path, f"^it: this is a {kind}, not a plain file; name a file on the disk$")


@pytest.mark.skipif(not os.path.exists("/dev/zero"), reason="no such device")
def test_a_device_is_not_opened(tmp_path, monkeypatch):
    (tmp_path / "endless").symlink_to("/dev/zero")
    monkeypatch.setattr("cradle.files.reading.os.open", lambda *_: pytest.fail("it was opened"))
    refused(tmp_path / "endless", "this is a device, not a plain file")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names")
def test_a_pipe_that_takes_the_name_meanwhile_is_not_waited_for(tmp_path, monkeypatch):
    (tmp_path / "a").write_bytes(b"abc")
    plain = os.stat(tmp_path / "a")
    os.mkfifo(tmp_path / "pipe")
    monkeypatch.setattr("cradle.files.reading.os.stat", lambda _: plain)
    refused(tmp_path / "pipe", "this is a pipe")


def test_a_file_too_large_is_told(tmp_path):
    (tmp_path / "a").write_bytes(b"a" * 1001)
    refused(tmp_path / "a", r"^it: the file has 0\.0 MB, up to 0\.001 MB are read; name another file$")


def test_a_file_that_grows_while_it_is_read_is_told(tmp_path, monkeypatch):
    (tmp_path / "a").write_bytes(b"a" * 10)
    monkeypatch.setattr("cradle.files.reading.os.read", lambda *_: b"a" * 600)
    with pytest.raises(InputError, match="the file has"):
        read_file(tmp_path / "a", where="it", kind=KIND)


@where_permissions_bind
def test_a_file_that_may_not_be_read_is_told(tmp_path):
    (tmp_path / "a").touch(mode=0)
    refused(tmp_path / "a", "permission denied")


def test_a_file_whose_reading_fails_is_told(tmp_path, monkeypatch):
    def fails(*_):
        raise PermissionError(13, "Permission denied")

    (tmp_path / "a").write_bytes(b"abc")
    monkeypatch.setattr("cradle.files.reading.os.read", fails)
    with pytest.raises(
        InputError, match=r"^it: the file cannot be read \(permission denied\); check its name"
    ):
        read_file(tmp_path / "a", where="it", kind=KIND)


@pytest.mark.parametrize("path", ["a\0b", "x" * 5000, "a/b"])
def test_a_name_that_no_disk_can_hold_is_told(tmp_path, path):
    (tmp_path / "a").write_bytes(b"abc")
    refused(tmp_path / path, "the file cannot be read|no such file")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_text_is_read_as_it_is_marked(encoding):
    assert text_of("grün".encode(encoding), where="it", kind=KIND) == "grün"


@pytest.mark.parametrize("data", [b"a\n\xe9", b"a\nb\0c"])
def test_what_is_no_text_is_told(data):
    with pytest.raises(CaptureError, match=r"^it: line [12] is not UTF-8 text; save it"):
        text_of(data, where="it", kind=FileKind(most_bytes=9, missing="", error=CaptureError))


@pytest.mark.parametrize("data", ["grün".encode("utf-16-le"), "grün".encode("utf-16-be")])
def test_a_text_in_utf_16_without_a_mark_is_told(data):
    with pytest.raises(InputError, match=r"^it: the file is in UTF-16, not in UTF-8; save it"):
        text_of(data, where="it", kind=KIND)


def test_a_lock_keeps_others_out_and_lets_its_holder_in_again(tmp_path):
    order = []

    def other():
        with locked(tmp_path):
            order.append("other")

    with locked(tmp_path), locked(tmp_path):
        thread = threading.Thread(target=other)
        thread.start()
        thread.join(0.1)
        order.append("holder")
    thread.join()
    assert order == ["holder", "other"]
