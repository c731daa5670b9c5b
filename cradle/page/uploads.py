"""Files that a window hands over: kinds, sizes and names are checked, and nothing lands outside the project's folder."""

from __future__ import annotations

import re
import unicodedata
from pathlib import Path, PurePosixPath
from typing import Final

from cradle.errors import InputError
from cradle.files.reading import FileKind, read_file, real_path
from cradle.files.writing import write_all
from cradle.names import listed
from cradle.noun import record
from cradle.project.picture import PICTURE_ENDINGS
from cradle.project.section import DRAWING_ENDINGS

_MOST_PICTURE_BYTES: Final = 60_000_000
_MOST_DRAWING_BYTES: Final = 30_000_000
_LONGEST_NAME: Final = 60
_MOST_NUMBERS: Final = 500
_DEVICES: Final = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))}
"""Names that stand for devices on Windows, whatever their ending (Microsoft, "Naming files, paths, and namespaces")."""
_BEGINNINGS: Final[dict[str, tuple[bytes, ...]]] = {
    ".png": (b"\x89PNG\r\n\x1a\n",),
    ".jpg": (b"\xff\xd8\xff",),
    ".jpeg": (b"\xff\xd8\xff",),
    ".tif": (b"II*\0", b"MM\0*"),
    ".tiff": (b"II*\0", b"MM\0*"),
    ".bmp": (b"BM",),
    ".webp": (b"RIFF",),
    ".gif": (b"GIF8",),
}
"""How files of a kind begin; the others are told by what their decoder says."""


@record
class Destination:
    """Where files of a kind go, and how large they may be."""

    folder: str
    most_bytes: int


def place_for(name: str) -> Destination:
    """Where a file of that name goes.

    Raises
    ------
    InputError
        If its ending is not that of a picture or a drawing.
    """
    ending = PurePosixPath(name.lower()).suffix
    if ending in PICTURE_ENDINGS:
        return Destination(folder="pictures", most_bytes=_MOST_PICTURE_BYTES)
    if ending in DRAWING_ENDINGS:
        return Destination(folder="outlines", most_bytes=_MOST_DRAWING_BYTES)
    raise InputError(
        f"a file ending in {ending[:12]!r} is neither a picture nor a drawing"
        if ending
        else "the file has no ending",
        where="upload",
        hint=f"use {listed((*PICTURE_ENDINGS, *DRAWING_ENDINGS), 'or')}",
    )


def clean_name(name: str) -> str:
    r"""A file's name without folders, control characters, spaces or leading dots.

    Examples
    --------
    >>> clean_name("../../My  Scan (2).JPG"), clean_name("C:\\scans\\böse\u202egnp.png"), clean_name("Con.png")
    ('my-scan-2.jpg', 'bösegnp.png', 'file-con.png')
    """
    last = re.split(r"[/\\]", unicodedata.normalize("NFC", name))[-1].lower()
    ending = PurePosixPath(last).suffix
    stem = last.removesuffix(ending)
    shown = (c for c in stem if not unicodedata.category(c).startswith("C"))
    stem = "".join(c if c.isalnum() or c in "-_" else "-" for c in shown)
    stem = re.sub(r"-+", "-", stem).strip("-_")[:_LONGEST_NAME]
    ending = "".join(c for c in ending if c.isalnum() or c == ".")
    if not stem or stem in _DEVICES:
        stem = f"file-{stem}".rstrip("-")
    return f"{stem}{ending}"


def keep_upload(folder: Path, name: str, data: bytes) -> str:
    """The path, from the project's folder, under which a file was kept; one with the same content keeps its name.

    Raises
    ------
    InputError
        If it is too large, empty, or not what its ending says.
    ExportError
        If it cannot be written.
    """
    place, cleaned = place_for(name), clean_name(name)
    if not data:
        raise InputError("the file is empty", where="upload", hint="choose another")
    if len(data) > place.most_bytes:
        raise InputError(
            f"the file has {len(data) / 1e6:.1f} MB, up to {place.most_bytes / 1e6:.0f} MB are taken",
            where="upload",
            hint="make it smaller, or choose another",
        )
    ending = PurePosixPath(cleaned).suffix
    beginnings = _BEGINNINGS.get(ending, ())
    if beginnings and not data.startswith(beginnings):
        raise InputError(
            f"the file ends in {ending} but is something else",
            where="upload",
            hint="save it as a picture again",
        )
    target = _inside(folder, PurePosixPath(place.folder) / cleaned)
    for number in range(2, _MOST_NUMBERS):
        if not target.exists() and not target.is_symlink():
            write_all({target: data}, hint="check the folder's permissions")
            break
        if target.is_file() and _holds(target, data):
            break
        target = target.with_name(f"{PurePosixPath(cleaned).stem}-{number}{ending}")
    else:
        raise InputError("there are too many files of this name", where="upload", hint="rename it")
    return f"{place.folder}/{target.name}"


def picture_inside(folder: Path, name: str) -> Path:
    """A picture of the project, by its path from the project's folder.

    Raises
    ------
    InputError
        If it leads out of the folder, or is no picture by its name.
    """
    if PurePosixPath(name).suffix.lower() not in PICTURE_ENDINGS:
        raise InputError("this is not the name of a picture", where="picture")
    return _inside(folder, PurePosixPath(name))


def _inside(folder: Path, path: PurePosixPath) -> Path:
    if path.is_absolute() or ".." in path.parts or "\0" in str(path):
        raise InputError("the path leads out of the project's folder", where=str(path)[:80])
    root = real_path(folder)
    target = folder / path
    if not real_path(target).is_relative_to(root):
        raise InputError("the path leads out of the project's folder", where=str(path)[:80])
    return target


def _holds(file: Path, data: bytes) -> bool:
    kind = FileKind(most_bytes=max(_MOST_PICTURE_BYTES, _MOST_DRAWING_BYTES), missing="")
    try:
        return read_file(file, where=file.name, kind=kind) == data
    except InputError:
        return False
