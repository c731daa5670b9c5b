"""The content of a plain file, with a clear word for every way that reading it can fail.

A file is looked at before it is opened, and again once it is open: whatever is
no plain file is left alone, whether a device, a pipe that would never end, or
a link to one. It is opened so that reading never waits (O_NONBLOCK, POSIX.1-2017).
"""

from __future__ import annotations

import io
import os
import stat
import unicodedata
from collections.abc import Sequence
from contextlib import suppress
from difflib import get_close_matches
from pathlib import Path, PurePath
from typing import BinaryIO, Final

from cradle.errors import InputError
from cradle.noun import record

_OPENED: Final = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
_PIECE_BYTES: Final = 1 << 20
UTF_16: Final = ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
"""Marks at a text's beginning and the encoding they stand for (The Unicode Standard, section 23.8)."""

IN_UTF_8: Final = "use a locale with UTF-8, such as LC_ALL=C.UTF-8, or other letters"
"""What to do where the encoding of file names lacks a letter."""
_MOST: Final = 2000
"""In a folder with more files no similar name is looked for."""
_ALIKE: Final = 0.75
"""A name less similar than this, by its letters, is not what was meant (our own choice)."""


@record
class FileKind:
    """What a file is read as.

    Attributes
    ----------
    most_bytes : int
        A larger file is not read.
    missing, folder, large, not_text : str
        What to do about a file that is not there, is a folder, is too large, is no text.
    marks : tuple of (bytes, str)
        Encodings other than UTF-8 that a text may have when it is marked so.
    otherwise : tuple of str
        Encodings of a text that is not marked and no UTF-8, in the order in which they are tried.
    error : type of InputError
        What is raised.
    """

    most_bytes: int
    missing: str
    folder: str = "name a file in it"
    large: str = "name another file"
    not_text: str = "save it as plain UTF-8 text"
    marks: tuple[tuple[bytes, str], ...] = ()
    otherwise: tuple[str, ...] = ()
    error: type[InputError] = InputError


def real_path(path: Path) -> Path:
    """The absolute path of a file with links resolved; the file need not exist. Where links lead in a circle, the link's own."""
    return Path(os.path.realpath(path))


def on_disk(path: Path) -> Path:
    """The path; of a file that is not there, the one whose accents are written in the other way that Unicode has, as those of a folder from a Mac may be."""
    if os.path.lexists(path):
        return path
    forms = [unicodedata.normalize(form, part) for form in ("NFC", "NFD") for part in (path.name, str(path))]
    others = (path.parent / form for form in forms)  # a whole path stays one
    return next((other for other in others if os.path.lexists(other)), path)


def open_file(path: Path, *, where: str, kind: FileKind) -> BinaryIO:
    """A plain file opened for reading, no larger than its kind allows; to be closed by the caller.

    Parameters
    ----------
    where : str
        Its name as the user wrote it, for messages.

    Raises
    ------
    InputError
        Of the kind's type: if the file is missing, a folder, no plain file, too large, or may not be read.
    """
    try:
        path = on_disk(path)
        _check_plain(os.stat(path).st_mode, where=where, kind=kind)
        file = os.fdopen(os.open(path, _OPENED), "rb")
    except InputError:
        raise
    except (OSError, ValueError) as error:
        raise _failure(error, path, where=where, kind=kind) from error
    try:
        state = os.fstat(file.fileno())
        _check_plain(state.st_mode, where=where, kind=kind)
        _check_size(state.st_size, where=where, kind=kind)
    except InputError:
        file.close()
        raise
    return file


def read_file(path: Path, *, where: str, kind: FileKind) -> bytes:
    """The content of a plain file.

    Raises
    ------
    InputError
        As for `open_file`; also if the file grows too large while it is read.
    """
    content = io.BytesIO()
    with open_file(path, where=where, kind=kind) as file:
        try:
            while piece := os.read(file.fileno(), _PIECE_BYTES):  # fails, unlike read(), where it would wait
                content.write(piece)
                _check_size(content.tell(), where=where, kind=kind)
        except OSError as error:
            raise _failure(error, path, where=where, kind=kind) from error
    return content.getvalue()


def text_in(path: Path, *, where: str, kind: FileKind) -> str:
    """The text in a plain file; errors as for `read_file` and `text_of`."""
    return text_of(read_file(path, where=where, kind=kind), where=where, kind=kind)


def text_of(data: bytes, *, where: str, kind: FileKind) -> str:
    r"""The text that bytes hold: UTF-8, or what the kind allows when it is marked so.

    Raises
    ------
    InputError
        Of the kind's type: if they are no text; the line is told.

    Examples
    --------
    >>> text_of(b"\xef\xbb\xbfabc", where="a.csv", kind=FileKind(most_bytes=9, missing=""))
    'abc'
    """
    marked = next((name for mark, name in kind.marks if data.startswith(mark)), None)
    try:
        text = _decoded(data, (marked,) if marked else ("utf-8-sig", *kind.otherwise))
    except UnicodeDecodeError as error:
        raise kind.error(_no_text(data, error.start, kind=kind), where=where, hint=kind.not_text) from error
    if "\0" in text:
        raise kind.error(_no_text(data, data.index(b"\0"), kind=kind), where=where, hint=kind.not_text)
    return text


def _decoded(data: bytes, encodings: Sequence[str]) -> str:
    """The text in the first encoding that it can be in; what is wrong is told of the last."""
    *others, last = encodings
    for encoding in others:
        with suppress(UnicodeDecodeError):
            return data.decode(encoding)
    return data.decode(last)


def _no_text(data: bytes, place: int, *, kind: FileKind) -> str:
    """Why bytes are no UTF-8 text from a place on, in words; in UTF-16 every other byte of Latin letters is 0."""
    marked = data.startswith(tuple(mark for mark, _ in UTF_16))
    if (marked and not kind.marks) or b"\0" in data[:2]:
        return "the file is in UTF-16, not in UTF-8"
    line = data.count(b"\n", 0, place) + 1
    return f"line {line} is not UTF-8 text"


def no_letters(error: UnicodeEncodeError) -> str:
    """What is wrong with a name in letters that the encoding of file names lacks."""
    letter = error.object[error.start]
    return f"file names here are in {error.encoding}, which has no letter {letter!r}"


def _failure(error: OSError | ValueError, path: Path, *, where: str, kind: FileKind) -> InputError:
    if isinstance(error, FileNotFoundError):
        near = near_name(path)
        meant = f"did you mean {near}? " if near else ""
        return kind.error("there is no such file", where=where, hint=f"{meant}{kind.missing}")
    if isinstance(error, UnicodeEncodeError):
        return kind.error(no_letters(error), where=where, hint=IN_UTF_8)
    reason = (getattr(error, "strerror", None) or str(error)).lower()  # ValueError: a name no disk can hold
    return kind.error(
        f"the file cannot be read ({reason})", where=where, hint="check its name and permissions"
    )


def _check_plain(mode: int, *, where: str, kind: FileKind) -> None:
    if stat.S_ISDIR(mode):
        raise kind.error("this is a folder, not a file", where=where, hint=kind.folder)
    if not stat.S_ISREG(mode):
        raise kind.error(
            f"this is {what_it_is(mode)}, not a plain file", where=where, hint="name a file on the disk"
        )


def _check_size(size: int, *, where: str, kind: FileKind) -> None:
    if size > kind.most_bytes:
        raise kind.error(
            f"the file has {size / 1e6:.1f} MB, up to {kind.most_bytes / 1e6:.3g} MB are read",
            where=where,
            hint=kind.large,
        )


def what_it_is(mode: int) -> str:
    """What a file of a mode (st_mode) is, in words, such as ``a pipe``."""
    kinds = (
        (stat.S_ISREG, "a plain file"),
        (stat.S_ISDIR, "a folder"),
        (stat.S_ISFIFO, "a pipe"),
        (stat.S_ISCHR, "a device"),
        (stat.S_ISBLK, "a device"),
        (stat.S_ISSOCK, "a socket"),
        (stat.S_ISLNK, "a link that leads nowhere"),
    )
    return next((words for is_kind, words in kinds if is_kind(mode)), "something else")


def near_name(path: Path) -> str:
    """The name in a file's folder that is most like its own, or empty; where there is no such folder, one named like it is looked into.

    Names that differ in their figures are others: of ``s1`` and ``s2`` neither is a slip for the other.
    """
    try:
        there = sorted(os.listdir(path.parent))
    except (OSError, ValueError):
        return _in_near_folder(path)
    if len(there) > _MOST:
        return ""
    stem, figures = path.stem.casefold(), _figures(path.stem)
    alike: dict[str, str] = {}
    for name in reversed(there):
        if name.isprintable() and PurePath(name).suffix and _figures(PurePath(name).stem) == figures:
            alike[PurePath(name).stem.casefold()] = name
    for name in there:  # of several with this stem the one of the same kind
        if name.casefold() == path.name.casefold():
            alike[stem] = name
    near = get_close_matches(stem[:80], alike, n=1, cutoff=_ALIKE)
    return alike[near[0]] if near and os.path.isfile(path.parent / alike[near[0]]) else ""


def _in_near_folder(path: Path) -> str:
    """The file behind the folder most like its own that holds one of its name; empty where none does."""
    try:
        beside = sorted(os.listdir(path.parent.parent))
    except (OSError, ValueError):
        return ""
    if len(beside) > _MOST:
        return ""
    plain = {name.casefold(): name for name in reversed(beside) if name.isprintable()}
    near = get_close_matches(path.parent.name.casefold()[:80], plain, n=1, cutoff=_ALIKE)
    folder = plain[near[0]] if near else ""
    return f"{folder}/{path.name}" if near and os.path.isfile(path.parent.parent / folder / path.name) else ""


def _figures(text: str) -> str:
    return "".join(letter for letter in text if letter.isdigit())
