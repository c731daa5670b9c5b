"""One process at a time in a folder: for reading a file, changing it and writing it back.

The lock is the folder's own (flock(2)), or on Windows, where folders have none,
that of a file among the user's temporary ones (_locking of the C runtime): it
leaves no file in the folder and ends with the process that holds it. A file
system that knows no locks goes without.
"""

from __future__ import annotations

import os
import sys
import threading
import time
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from cradle.errors import ExportError

_PATIENCE_S: Final = 30.0
_PAUSE_S: Final = 0.02
_OURS = threading.RLock()
_HELD: dict[str, int] = {}
"""Descriptors of the folders that this process holds, by path."""


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Nobody else is in such a block for the same folder; a thread may enter again what it holds.

    Raises
    ------
    ExportError
        If another process does not leave within half a minute.
    """
    with _OURS:
        key = os.path.realpath(folder)
        if key in _HELD:
            yield
            return
        descriptor = _lock(key, shown=folder)
        _HELD[key] = descriptor
        try:
            yield
        finally:
            del _HELD[key]
            if descriptor >= 0:
                os.close(descriptor)  # the lock goes with it


def _lock(folder: str, *, shown: Path) -> int:
    """A descriptor that holds the lock; -1 where there are no locks."""
    try:
        descriptor = _opened(folder)
    except OSError:  # a folder that may be written but not listed
        return -1
    end = time.monotonic() + _PATIENCE_S
    while True:
        try:
            _take(descriptor)
            return descriptor
        except _TAKEN as error:
            if time.monotonic() > end:
                os.close(descriptor)
                raise ExportError(
                    f"another process has been writing here for {_PATIENCE_S:g} s",
                    where=str(shown),
                    hint="wait for it to end",
                ) from error
            time.sleep(_PAUSE_S)
        except OSError:  # the file system knows no locks
            os.close(descriptor)
            return -1
        except BaseException:
            os.close(descriptor)
            raise


if sys.platform == "win32":
    import msvcrt
    import tempfile

    _TAKEN: Final = PermissionError

    def _opened(folder: str) -> int:
        """A file that stands for the folder, open; the same for all processes of one user."""
        number = zlib.crc32(os.path.normcase(folder).encode("utf-8", "surrogatepass"))
        return os.open(Path(tempfile.gettempdir()) / f"cradle-{number:08x}.lock", os.O_RDWR | os.O_CREAT)

    def _take(descriptor: int) -> None:
        msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    _TAKEN: Final = BlockingIOError

    def _opened(folder: str) -> int:
        return os.open(folder, os.O_RDONLY)

    def _take(descriptor: int) -> None:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
