"""The project as the page edits it: its text, the history of that, and the file that holds it.

Every change is saved at once. The file on the disk has the last word: what
somebody else wrote there is taken over before anything is changed, and never
written over. Each change raises the revision; an edit founded on an older one
is refused, so that two windows lose nothing of each other's.
"""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from cradle.errors import CradleError, Problem, StaleError
from cradle.files.file_stamp import Stamp, stamp_of
from cradle.files.locking import locked
from cradle.files.reading import real_path, text_in
from cradle.files.writing import write_all
from cradle.noun import record
from cradle.page.drafts import draft_of
from cradle.page.edits import edited, problems_of
from cradle.page.error_text import problem_rows
from cradle.page.typed_values import shown_values
from cradle.project.project import TRIALS_FILE
from cradle.project.reader import PROJECT_KIND, check_file_name
from cradle.project.toml_positions import data_of

_HINT: Final = "check the folder's permissions"
_MOST_CHANGES: Final = 300
_GONE: Final = "changed outside this page"


@record
class Snapshot:
    """What stood in the project file and in the trials beside it; None where there was no file."""

    project: str | None
    trials: str | None


@record
class _Change:
    """A change that can be undone or done again: what it was called, and what stood there otherwise."""

    label: str
    other: Snapshot


class ProjectSession:
    """One project file with its history.

    Parameters
    ----------
    file : Path
        It need not exist: the first change makes it.

    Raises
    ------
    InputError
        If its name is not a project file's, or it exists but is no text.
    """

    def __init__(self, file: Path) -> None:
        self.file = file
        self.revision = 1
        self.notice = ""
        self._unread: Problem | None = None
        self._done: list[_Change] = []
        self._undone: list[_Change] = []
        self._together = threading.Lock()
        """Held while revision, text and history change together, so that nobody is told of one without the others."""
        self._stamps = self._stamped()
        self._kept = _read(file)

    @property
    def text(self) -> str:
        """What the project says."""
        return self._kept.project or ""

    @property
    def folder(self) -> Path:
        """Where its files lie."""
        return self.file.parent

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What stands against making it; empty where nothing does."""
        return self._problems(self._kept, self._unread)

    def _problems(self, kept: Snapshot, unread: Problem | None) -> tuple[Problem, ...]:
        return (unread,) if unread is not None else problems_of(kept.project or "", file=self.file)

    def state(self) -> dict[str, object]:
        """All of it as JSON data: revision, values, the sections' order, mistakes, what can be undone."""
        with self._together:
            kept, unread = self._kept, self._unread
            now: dict[str, object] = {
                "revision": self.revision,
                "undo": self._done[-1].label if self._done else None,
                "redo": self._undone[-1].label if self._undone else None,
                "notice": self.notice,
            }
        text = kept.project or ""
        data, problems = data_of(text), self._problems(kept, unread)
        draft = None if data is None else draft_of(text, file=self.file)
        return now | {
            "file": self.file.name,
            "there": kept.project is not None,
            "folder": str(real_path(self.folder)),
            "hash": hashlib.sha256(text.encode()).hexdigest()[:16],
            "values": None if data is None else shown_values(data),
            "places": {} if draft is None else draft.places,
            "from_bottom": [] if draft is None else [section.number + 1 for section in draft.sections],
            "readable": data is not None and unread is None,
            "sound": not problems,
            "problems": problem_rows(problems),
        }

    def look(self) -> bool:
        """Take over what somebody else wrote into the files; whether anything had changed."""
        if self._stamps == self._stamped():  # nobody needs to wait for us
            return False
        with locked(self.folder):
            return self._look()

    def edit(self, steps: Sequence[Mapping[str, Any]], *, revision: int, label: str) -> None:
        """Change the project, and save it.

        Raises
        ------
        StaleError
            If the project has changed since that revision.
        ProjectError
            If a value cannot stand; nothing is changed then.
        ExportError
            If the file cannot be written; nothing is changed then.
        """
        with locked(self.folder):
            self._check(revision)
            after = edited(self.text, steps, file=self.file)
            self._save(Snapshot(project=after, trials=self._kept.trials), label=label)

    def put_trials(self, text: str, *, revision: int, label: str) -> None:
        """Put a text in place of the trials beside the project, and save them; errors as for `edit`."""
        with locked(self.folder):
            self._check(revision)
            self._save(Snapshot(project=self._kept.project, trials=text), label=label)

    def undo(self, *, revision: int) -> None:
        """Take the last change back, if there is one; errors as for `edit`."""
        self._swap(self._done, self._undone, revision=revision, word="undone")

    def redo(self, *, revision: int) -> None:
        """Make the change taken back last once more; errors as for `edit`."""
        self._swap(self._undone, self._done, revision=revision, word="done again")

    def _swap(self, source: list[_Change], target: list[_Change], *, revision: int, word: str) -> None:
        with locked(self.folder):
            self._check(revision)
            if not source:
                return
            change = source[-1]
            found = self._written(change.other)
            with self._together:
                source.pop()
                target.append(_Change(label=change.label, other=self._kept))
                self._take(found)
                self.notice = f"{change.label}: {word}"

    def _check(self, revision: int) -> None:
        self._look()
        if revision != self.revision or self._unread is not None:
            raise StaleError(
                "the project has changed meanwhile, so this change was not made",
                hint="look at what it says now, and make the change again",
            )

    def _stamped(self) -> tuple[Stamp, ...]:
        return stamp_of(self.file), stamp_of(self.folder / TRIALS_FILE)

    def _look(self) -> bool:
        self._stamps = self._stamped()
        try:
            found, unread = _read(self.file), None
        except CradleError as error:
            found, unread = self._kept, error.problems[0]
        if found == self._kept and unread == self._unread:
            return False
        with self._together:
            self._take(found)
            self._unread = unread
            self._done.clear()
            self._undone.clear()
            self.notice = f"{self.file.name} was {_GONE}"
        return True

    def _save(self, after: Snapshot, *, label: str) -> None:
        if after == self._kept:
            return
        found = self._written(after)
        with self._together:
            self._done.append(_Change(label=label, other=self._kept))
            del self._done[:-_MOST_CHANGES]
            self._undone.clear()
            self._take(found)
            self.notice = ""

    def _take(self, found: Snapshot) -> None:
        self._kept, self._unread = found, None
        self.revision += 1

    def _written(self, after: Snapshot) -> Snapshot:
        """What stands in the files once this has been written."""
        changed = {
            path: text
            for path, text, kept in (
                (self.file, after.project, self._kept.project),
                (self.folder / TRIALS_FILE, after.trials, self._kept.trials),
            )
            if text != kept
        }
        write_all({path: (text or "").encode() for path, text in changed.items()}, hint=_HINT)
        return _read(self.file)


def _read(file: Path) -> Snapshot:
    """What stands in a project file and in the trials beside it.

    Raises
    ------
    InputError
        If the file's name is not a project file's, or one of them exists but cannot be read as text.
    """
    check_file_name(file)
    return Snapshot(project=_text(file), trials=_text(file.parent / TRIALS_FILE))


def _text(file: Path) -> str | None:
    if not file.exists() and not file.is_symlink():
        return None
    return text_in(file, where=str(file), kind=PROJECT_KIND)
