"""What is told of a file or folder that cannot be written, with a clear word for every way that writing can fail."""

from __future__ import annotations

import errno
from pathlib import Path
from typing import Final

from cradle.errors import ExportError
from cradle.files.reading import IN_UTF_8, no_letters

_SHOWN: Final = 120
"""So many letters of a name that is too long are shown."""
_FULL: Final = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}
_DENIED: Final = {errno.EACCES, errno.EPERM, errno.EROFS}


def write_failure(error: OSError | ValueError, path: Path, *, hint: str, size: int = 0) -> ExportError:
    """The error that says why a file or folder could not be written.

    Parameters
    ----------
    hint : str
        What to do when it cannot be written there.
    size : int
        How many bytes were to be written.
    """
    where = str(path)
    if isinstance(error, UnicodeEncodeError):
        return ExportError(no_letters(error), where=where, hint=IN_UTF_8)
    number = getattr(error, "errno", None)
    if number in _FULL:
        need = f": {size:,} bytes did not fit" if size else ""
        return ExportError(f"the disk is full{need}", where=where, hint=f"make room or {hint}")
    if number in _DENIED and hasattr(error, "winerror"):  # Windows lets nobody replace a file that is open
        words = "another program has the file open, or there is no permission to write here"
        return ExportError(words, where=where, hint=f"close it there or {hint}")
    if number in _DENIED:
        return ExportError("no permission to write here", where=where, hint=hint)
    if number in (errno.ENOTDIR, errno.EEXIST):
        return ExportError("there is a file with the folder's name", where=where, hint=hint)
    if number == errno.ENAMETOOLONG:
        shown = where if len(where) <= _SHOWN else f"{where[:_SHOWN]}..."
        return ExportError(
            "the name is too long for the disk", where=shown, hint="shorten object.name or the folder"
        )
    return ExportError(f"not written: {getattr(error, 'strerror', None) or error}", where=where, hint=hint)
