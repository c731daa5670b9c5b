"""The journal of a set: which files are about to change, so that a killed change can be taken back.

It stands in the folder whose files change, names only files of that folder,
and says of each the second name that its earlier content was kept under and
which file it becomes (st_ino). Taking back twice does no harm: a file goes
back only while it is the one that the journal says it became. Whoever reads
or writes a journal holds the folder's lock, so that one found is a dead process's.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Final

from cradle.errors import InputError
from cradle.files.reading import FileKind, read_file
from cradle.noun import record

JOURNAL: Final = "cradle-set"
"""A part of every journal's file name."""
_NAME: Final = f".{JOURNAL}.{{process}}.journal"
_NAMED: Final = re.compile(rf"\.{JOURNAL}\.\d+\.journal")
_KEPT: Final = ".{name}.{process}.cradle.kept"
_KIND: Final = FileKind(most_bytes=1_000_000, missing="")


@record
class Change:
    """One file of a set on its way to its name.

    Attributes
    ----------
    target : Path
        The name it takes.
    kept : Path or None
        Second name of the earlier file; None where there was none.
    number : int
        What the file system knows the new file by (st_ino).
    """

    target: Path
    kept: Path | None
    number: int

    def take_back(self) -> None:
        """Give the name back to the earlier file, or to none, if the new file has it.

        Raises
        ------
        OSError
            If the disk refuses.
        """
        try:
            number = os.lstat(self.target).st_ino
        except FileNotFoundError:  # somebody took the file away since
            return
        if number == self.number and self.kept is not None:
            os.replace(self.kept, self.target)
        elif number == self.number:
            self.target.unlink()


@record
class Journal:
    """The changes of one folder, written down."""

    file: Path
    changes: tuple[Change, ...]

    @classmethod
    def written(cls, folder: Path, changes: Sequence[Change]) -> Journal:
        """The journal of a folder's changes, on the disk.

        Raises
        ------
        OSError
            If it cannot be written.
        """
        journal = cls(file=folder / _NAME.format(process=os.getpid()), changes=tuple(changes))
        rows = [
            [change.target.name, None if change.kept is None else change.kept.name, change.number]
            for change in changes
        ]
        part = journal.file.with_suffix(".part")
        try:
            with open(part, "w", encoding="utf-8") as file:
                json.dump(rows, file)
                file.flush()
                os.fsync(file.fileno())
            os.replace(part, journal.file)
        except BaseException:
            part.unlink(missing_ok=True)
            raise
        flush_folder(folder)
        return journal

    def close(self) -> None:
        """Let what has been done stand."""
        self.file.unlink(missing_ok=True)
        flush_folder(self.file.parent)

    def take_back(self) -> bool:
        """Restore the earlier files; whether all went well, so that journal and second names are gone."""
        try:
            for change in reversed(self.changes):
                change.take_back()
            flush_folder(self.file.parent)
            self.close()
            for change in self.changes:
                if change.kept is not None:
                    change.kept.unlink(missing_ok=True)
        except OSError:
            return False
        return True


def restore_what_was_left(folder: Path) -> bool:
    """Restore the earlier files by each journal that a dead process has left in a folder; whether none is left."""
    try:
        names = sorted(name for name in os.listdir(folder) if _NAMED.fullmatch(name))
    except OSError:
        return False
    journals = [journal for name in names if (journal := _read(folder / name)) is not None]
    return False not in [journal.take_back() for journal in journals]


def kept_name(target: Path) -> Path:
    """The second name under which this process keeps a file."""
    return target.with_name(_KEPT.format(name=target.name, process=os.getpid()))


def flush_folder(folder: Path) -> None:
    """See that the names in a folder are on the disk, where the file system can do that."""
    if os.name != "posix":
        return
    with suppress(OSError):  # where it cannot, the renames stand all the same
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def _read(file: Path) -> Journal | None:
    """The journal in a file; None for one that is none of ours."""
    folder = file.parent
    try:
        rows = json.loads(read_file(file, where=str(file), kind=_KIND))
        changes = [
            Change(
                target=folder / _plain(target),
                kept=None if kept is None else folder / _plain(kept),
                number=int(number),
            )
            for target, kept, number in rows
        ]
    except (InputError, ValueError, TypeError, RecursionError):
        return None
    return Journal(file=file, changes=tuple(changes))


def _plain(name: object) -> str:
    """A name that cannot lead out of its folder."""
    if not isinstance(name, str) or name in ("", ".", "..") or Path(name).name != name or "\0" in name:
        raise ValueError(name)
    return name
