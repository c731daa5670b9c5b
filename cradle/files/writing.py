"""Write files so that nobody ever finds half of one, nor half of a set.

Every file is first written whole under a hidden name in its own folder and
flushed to the disk; only when all are there do they take their names, each in
one step (rename(2): "an instance of newpath always exists", POSIX.1-2017).
While several do, a journal says which: where a process is killed meanwhile,
the next call restores the earlier files by it.
"""

from __future__ import annotations

import errno
import os
import re
import shutil
import stat
import sys
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Final

from cradle.errors import ExportError
from cradle.files.interruption import interruptions_wait, note_set_written
from cradle.files.journal import JOURNAL, Change, Journal, flush_folder, kept_name, restore_what_was_left
from cradle.files.locking import locked
from cradle.files.reading import IN_UTF_8, no_letters, what_it_is

_ELSEWHERE: Final = "name another folder with -o"
"""What to do when a command's files cannot be written."""

_TEMPORARY: Final = ".{name}.{process}.cradle.part"
_LITTER: Final = re.compile(rf"\.(?:.+\.(\d+)\.cradle\.(?:part|kept)|{JOURNAL}\.(\d+)\.part)", re.DOTALL)
_AT_ONCE: Final = 8
"""Files that are flushed to the disk at the same time: one by one, each would wait for the disk."""
_NEW: Final = os.O_CREAT | os.O_EXCL | os.O_WRONLY | getattr(os, "O_BINARY", 0) | getattr(os, "O_NOFOLLOW", 0)
_SHOWN: Final = 120
"""Letters shown of a name that is too long."""
_MOST_ON_WINDOWS: Final = 200
"""A path longer than this may be too long there, with what a temporary name adds: it is then told as one of a folder that is not there."""
_FULL: Final = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}
_DENIED: Final = {errno.EACCES, errno.EPERM, errno.EROFS}


def write_all(
    files: Mapping[Path, bytes], *, hint: str = _ELSEWHERE, permit: Callable[[], None] = lambda: None
) -> tuple[Path, ...]:
    """The paths in the order given, all their files written: or none.

    Missing folders are made. A plain file that exists is replaced and leaves
    its mode and, where that is allowed, its owner to the new one; a link is
    followed; nothing else is replaced. If anything fails, earlier files are as
    they were and no new folder or file stays. An interruption that comes while
    files take their names is answered afterwards. A process killed then leaves
    a journal, by which the next call into the folder restores the earlier set;
    hidden leftovers of dead processes are swept up too.

    Parameters
    ----------
    files : mapping of Path to bytes
    hint : str
        What to do when they cannot be written there.
    permit : callable
        Asked when nobody else writes there any more, before the first file takes its name: nothing is written if it raises.

    Raises
    ------
    ExportError
        If the disk is full, the folder may not be written, a file is where a
        folder is meant or a folder where a file is meant, or a name belongs to
        a device, a pipe or a socket.
    """
    made: list[Path] = []
    staged: dict[Path, Path] = {}
    try:
        for path in files:
            _make_folder(path.parent, made, hint=hint)
        contents = {_followed(path, hint=hint): data for path, data in files.items()}
        for target in contents:
            _check_replaceable(target, hint=hint)
        folders = sorted({target.parent for target in contents})
        for folder in folders:
            with locked(folder):
                if restore_what_was_left(folder):
                    _sweep(folder)
        staged |= {target: _beside(target) for target in contents}
        with ThreadPoolExecutor(_AT_ONCE) as disk:
            with interruptions_wait():  # one that comes as a thread starts would leave it at work
                staging = disk.map(lambda at: _stage(staged[at], at, contents[at], hint=hint), contents)
            tuple(staging)
        with ExitStack() as locks:
            for folder in folders:
                locks.enter_context(locked(folder))
            permit()
            with interruptions_wait():
                _take_names(staged, hint=hint)
                note_set_written()
    except BaseException:
        for temporary in staged.values():
            with suppress(OSError):
                temporary.unlink(missing_ok=True)
        for folder in reversed(made):
            with suppress(OSError):
                folder.rmdir()
        raise
    return tuple(files)


def _make_folder(folder: Path, made: list[Path], *, hint: str) -> None:
    """Make a folder and what is missing above it; add those made to the list, outermost first."""
    missing: list[Path] = []
    at = folder
    try:
        while not at.exists():
            missing.append(at)
            at = at.parent
        if not at.is_dir():
            raise ExportError(f"{at} is a file, not a folder", where=str(folder), hint=hint)
        for step in reversed(missing):
            step.mkdir(exist_ok=True)
            made.append(step)
    except (OSError, ValueError) as error:
        raise write_failure(error, folder, hint=hint) from error


def _followed(path: Path, *, hint: str) -> Path:
    """Where links lead from a path."""
    try:
        return Path(os.path.realpath(path))
    except (OSError, ValueError) as error:
        raise write_failure(error, path, hint=hint) from error


def _beside(target: Path) -> Path:
    return target.with_name(_TEMPORARY.format(name=target.name, process=os.getpid()))


def _check_replaceable(target: Path, *, hint: str) -> os.stat_result | None:
    """The state of the plain file that is to be replaced; None where there is none."""
    try:
        state = os.lstat(target)
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as error:
        raise write_failure(error, target, hint=hint) from error
    if stat.S_ISDIR(state.st_mode):
        raise ExportError("a folder has this name", where=str(target), hint=f"move it or {hint}")
    if not stat.S_ISREG(state.st_mode):
        raise ExportError(
            f"this is {what_it_is(state.st_mode)}, not a plain file, and stays as it is",
            where=str(target),
            hint=hint,
        )
    return state


def _stage(temporary: Path, target: Path, data: bytes, *, hint: str) -> None:
    """Write one file whole under its temporary name and see that the disk gives it back."""
    try:
        earlier = _check_replaceable(target, hint=hint)
        descriptor = os.open(temporary, _NEW, 0o666 if earlier is None else 0o600)
        with os.fdopen(descriptor, "wb") as file:
            if earlier is not None:
                _let_be_like(file.fileno(), earlier)
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        same = temporary.read_bytes() == data
    except OSError as error:
        raise write_failure(error, target, hint=hint, size=len(data)) from error
    if not same:
        raise ExportError(
            "the file read back differs from what was written", where=str(target), hint="check the disk"
        )


def _let_be_like(descriptor: int, earlier: os.stat_result) -> None:
    """Give a new file the owner and the mode of the one that it replaces, as far as that is allowed."""
    if sys.platform == "win32":  # where neither is the file's own
        return
    state = os.fstat(descriptor)
    with suppress(OSError):
        if (state.st_uid, state.st_gid) != (earlier.st_uid, earlier.st_gid):
            os.fchown(descriptor, earlier.st_uid, earlier.st_gid)
    with suppress(OSError):  # disks without modes
        os.fchmod(descriptor, stat.S_IMODE(earlier.st_mode))


def _take_names(staged: Mapping[Path, Path], *, hint: str) -> None:
    """Let every staged file take its name; if one cannot, give the earlier ones their files back."""
    changes: list[Change] = []
    journals: list[Journal] = []
    try:
        for target, temporary in staged.items():
            number = os.lstat(temporary).st_ino
            kept = _keep(target, hint=hint) if len(staged) > 1 else None
            changes.append(Change(target=target, kept=kept, number=number))
        if len(staged) > 1:
            journals += _journals(changes, hint=hint)
        for change in changes:
            _check_replaceable(change.target, hint=hint)
            try:
                os.replace(staged[change.target], change.target)
            except OSError as error:
                raise write_failure(error, change.target, hint=hint) from error
        for folder in dict.fromkeys(target.parent for target in staged):
            flush_folder(folder)
        for journal in journals:
            journal.close()
    except BaseException as error:
        if False not in [journal.take_back() for journal in journals]:
            _let_go(changes)
        if isinstance(error, OSError):
            raise write_failure(error, next(iter(staged)), hint=hint) from error
        raise
    _let_go(changes)


def _let_go(changes: Sequence[Change]) -> None:
    """Remove the second names of earlier files."""
    for change in changes:
        if change.kept is not None:
            with suppress(OSError):
                change.kept.unlink(missing_ok=True)


def _journals(changes: Sequence[Change], *, hint: str) -> list[Journal]:
    """A journal in each folder whose files change."""
    by_folder: dict[Path, list[Change]] = {}
    for change in changes:
        by_folder.setdefault(change.target.parent, []).append(change)
    journals: list[Journal] = []
    try:
        for folder, own in by_folder.items():
            journals.append(Journal.written(folder, own))
    except OSError as error:
        for journal in journals:
            journal.close()
        raise write_failure(error, folder, hint=hint) from error
    return journals


def _keep(target: Path, *, hint: str) -> Path | None:
    """A second name for the earlier file, so that it can be given back; None where there is none."""
    earlier = kept_name(target)
    try:
        earlier.unlink(missing_ok=True)
        os.link(target, earlier)
    except FileNotFoundError:
        return None
    except OSError:  # a disk without hard links
        try:
            shutil.copy2(target, earlier)
        except OSError as error:
            raise write_failure(error, target, hint=hint) from error
    return earlier


def _sweep(folder: Path) -> None:
    """Remove what killed processes left behind in a folder under hidden names, whichever files these stand for."""
    with suppress(OSError):
        for entry in os.listdir(folder):
            match = _LITTER.fullmatch(entry)
            if match and not _alive(int(match[1] or match[2])):
                with suppress(OSError):
                    (folder / entry).unlink()


def _alive(process: int) -> bool:
    if os.name != "posix" or process == os.getpid():
        return process != os.getpid()
    try:
        os.kill(process, 0)  # signal 0 only asks
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        return True
    return True


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
    cut = (
        number == errno.ENOENT
        and hasattr(error, "winerror")
        and len(os.path.abspath(path)) > _MOST_ON_WINDOWS
    )
    if cut or number == errno.ENAMETOOLONG:
        shown = where if len(where) <= _SHOWN else f"{where[:_SHOWN]}..."
        return ExportError(
            "the name is too long for the disk", where=shown, hint="shorten object.name or the folder"
        )
    return ExportError(f"not written: {getattr(error, 'strerror', None) or error}", where=where, hint=hint)
