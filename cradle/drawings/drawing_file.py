"""The bytes of a drawing, read once, with a clear word for every way that can fail."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from cradle.errors import CaptureError

LARGEST_BYTES: Final = 32 * 1024 * 1024
"""No drawing is larger: some 400,000 points in text; beyond it a slip is likelier than an outline."""


def read_bytes(path: Path, *, where: str) -> bytes:
    """Return the content of a file.

    Parameters
    ----------
    path : Path
        The file.
    where : str
        Its name as the project writes it, for messages.

    Raises
    ------
    CaptureError
        If it is missing, a folder, no plain file, unreadable, empty or too large.
    """
    try:
        if path.is_dir():
            raise CaptureError("this is a folder, not a file", where=where, hint="name a file in it")
        if not path.exists():
            raise CaptureError(
                "the file does not exist", where=where, hint="paths start at the project file's folder"
            )
        if not path.is_file():
            raise CaptureError("this is no plain file", where=where, hint="name a drawing on the disk")
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            raise CaptureError(
                f"the file has {size / 2**20:.1f} MB, up to {LARGEST_BYTES / 2**20:.0f} MB are read",
                where=where,
                hint="save the outline alone, without pictures",
            )
        data = path.read_bytes()
    except (OSError, ValueError) as error:
        if isinstance(error, CaptureError):
            raise
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise CaptureError(
            f"the file cannot be read: {reason}", where=where, hint="check its name and permissions"
        ) from error
    if not data.strip():
        raise CaptureError("the file is empty", where=where, hint="save the drawing again")
    return data


def text_of(data: bytes, *, where: str, kind: str) -> str:
    """Return bytes as text: UTF-8, or UTF-16 when it is marked as such.

    Raises
    ------
    CaptureError
        If they are no text; the line is told.
    """
    encoding = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise CaptureError(
            f"line {line} is not text", where=where, hint=f"save {kind} as plain UTF-8 text"
        ) from error
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise CaptureError(f"line {line} is not text", where=where, hint=f"save {kind} as plain UTF-8 text")
    return text
