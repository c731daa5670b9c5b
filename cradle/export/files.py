"""Write files so that nobody ever finds half of one.

Every file is first written whole under a hidden name in its own folder and
flushed to the disk; only when all are there do they take their names, each in
one step (rename(2): "an instance of newpath always exists", POSIX.1-2017).
"""

from __future__ import annotations

import errno
import os
import re
import shutil
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path
from typing import Final

from cradle.errors import ExportError

_TEMPORARY: Final = ".{name}.{process}.part"
_KEPT: Final = ".{name}.{process}.kept"
_AT_ONCE: Final = 8
"""Files on their way to the disk together: flushed one by one, each would wait for the disk to come round."""
_FULL: Final = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}
_DENIED: Final = {errno.EACCES, errno.EPERM, errno.EROFS}


def write_all(files: Mapping[Path, bytes]) -> tuple[Path, ...]:
    """Write all the files or none; return their paths in the order given.

    Missing folders are made. A file that exists is replaced; a link is
    followed. If anything fails, earlier files are as they were and no new
    folder or file stays. A process killed between two renames leaves every
    file whole, some of them new; hidden leftovers of dead processes are swept
    up by the next call.

    Raises
    ------
    ExportError
        If the disk is full, the folder may not be written, or a file is where
        a folder is meant or a folder where a file is meant.
    """
    made: list[Path] = []
    staged: dict[Path, Path] = {}
    try:
        for path in files:
            _make_folder(path.parent, made)
        contents = {Path(os.path.realpath(path)): data for path, data in files.items()}
        for target in contents:
            _sweep(target)
            staged[target] = _beside(target, _TEMPORARY)
        with ThreadPoolExecutor(_AT_ONCE) as disk:
            tuple(disk.map(_stage, staged.values(), contents, contents.values()))
        _rename(staged)
    except BaseException:
        for temporary in staged.values():
            with suppress(OSError):
                temporary.unlink(missing_ok=True)
        for folder in reversed(made):
            with suppress(OSError):
                folder.rmdir()
        raise
    return tuple(files)


def _make_folder(folder: Path, made: list[Path]) -> None:
    """Make a folder and what is missing above it; add those made to the list, outermost first."""
    missing: list[Path] = []
    at = folder
    try:
        while not at.exists():
            missing.append(at)
            at = at.parent
        if not at.is_dir():
            raise ExportError(
                f"{at} is a file, not a folder", where=str(folder), hint="name another folder with -o"
            )
        for step in reversed(missing):
            step.mkdir(exist_ok=True)
            made.append(step)
    except OSError as error:
        raise _failure(error, folder, 0) from error


def _beside(target: Path, pattern: str) -> Path:
    return target.with_name(pattern.format(name=target.name, process=os.getpid()))


def _stage(temporary: Path, target: Path, data: bytes) -> None:
    """Write one file whole under its temporary name and see that the disk gives it back."""
    try:
        if target.is_dir():
            raise ExportError(
                "a folder has this name", where=str(target), hint="move it or name another folder with -o"
            )
        descriptor = os.open(
            temporary, os.O_CREAT | os.O_TRUNC | os.O_WRONLY | getattr(os, "O_BINARY", 0), 0o666
        )
        with os.fdopen(descriptor, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        same = temporary.read_bytes() == data
    except OSError as error:
        raise _failure(error, target, len(data)) from error
    if not same:
        raise ExportError(
            "the disk gives back other bytes than were written", where=str(target), hint="check the disk"
        )


def _rename(staged: Mapping[Path, Path]) -> None:
    """Let every staged file take its name; if one cannot, give the earlier ones their files back."""
    kept: dict[Path, Path | None] = {}
    try:
        for target, temporary in staged.items():
            kept[target] = _keep(target)
            try:
                os.replace(temporary, target)
            except OSError as error:
                raise _failure(error, target, 0) from error
        for folder in dict.fromkeys(target.parent for target in staged):
            _flush_folder(folder)
    except BaseException:
        for target, earlier in reversed(kept.items()):
            with suppress(OSError):
                if earlier is not None:
                    os.replace(earlier, target)
                elif not staged[target].exists():
                    target.unlink(missing_ok=True)
        raise
    finally:
        for earlier in kept.values():
            if earlier is not None:
                with suppress(OSError):
                    earlier.unlink(missing_ok=True)


def _keep(target: Path) -> Path | None:
    """A second name for the earlier file, so that it can be given back; None where there is none."""
    earlier = _beside(target, _KEPT)
    try:
        earlier.unlink(missing_ok=True)
        os.link(target, earlier)
    except FileNotFoundError:
        return None
    except OSError:  # a disk without hard links
        try:
            shutil.copyfile(target, earlier)
        except OSError as error:
            raise _failure(error, target, 0) from error
    return earlier


def _flush_folder(folder: Path) -> None:
    if os.name != "posix":
        return
    with suppress(OSError):  # some file systems cannot flush a folder: the rename stands all the same
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def _sweep(target: Path) -> None:
    """Remove what a killed process left behind beside a file."""
    pattern = re.compile(rf"\.{re.escape(target.name)}\.(\d+)\.(part|kept)")
    with suppress(OSError):
        for entry in os.listdir(target.parent):
            match = pattern.fullmatch(entry)
            if match and not _alive(int(match[1])):
                with suppress(OSError):
                    target.with_name(entry).unlink()


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


def _failure(error: OSError, path: Path, size: int) -> ExportError:
    where = str(path)
    if error.errno in _FULL:
        need = f": {size:,} bytes did not fit" if size else ""
        return ExportError(
            f"the disk is full{need}", where=where, hint="make room or name another folder with -o"
        )
    if error.errno in _DENIED:
        return ExportError("this place may not be written", where=where, hint="name another folder with -o")
    if error.errno in (errno.ENOTDIR, errno.EEXIST):
        return ExportError(
            "a file is where a folder is meant", where=where, hint="name another folder with -o"
        )
    if error.errno == errno.ENAMETOOLONG:
        return ExportError(
            "the name is too long for the disk", where=where, hint="shorten object.name or the folder"
        )
    return ExportError(
        f"not written: {error.strerror or error}", where=where, hint="name another folder with -o"
    )
