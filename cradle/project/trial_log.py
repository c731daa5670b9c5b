"""Trials as kept in ``trials.toml`` beside the project file: what was tried on the thing and what was seen."""

from __future__ import annotations

import datetime
import os
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any, Final

from cradle.errors import InputError, Problem, ProjectError
from cradle.files.reading import FileKind, read_file, text_of
from cradle.project.convert import Convert, MistakeError, choice, length, shown, text, wrong
from cradle.project.spec import Project

TRIALS_FILE: Final = "trials.toml"
_KIND: Final = FileKind(
    most_bytes=4_000_000,
    missing=(_HINT := "mend it or take it away"),
    large=_HINT,
    folder=_HINT,
    not_text=_HINT,
)
_TOP: Final = "# What was tried on the thing and what was seen; written by cradle trial, which can take back the last.\n"


class Piece(StrEnum):
    """What was tried."""

    SLICE = "slice"
    HOLDER = "holder"


class Seen(StrEnum):
    """How it went."""

    WONT_ENTER = "won't enter"
    TIGHT = "tight"
    GOOD = "good"
    LOOSE = "loose"


class Side(StrEnum):
    """Where it touched, or gaped."""

    FRONT = "front"
    BACK = "back"
    LEFT = "left"
    RIGHT = "right"


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One trial.

    ``clearance_mm`` is what the piece was made for, per side; ``gap_mm`` what
    it has in its file, with all that was added for the printer. ``section``
    is None for the holder as a whole. ``read_mm`` is a calipered inside width
    or depth and ``should_mm`` the control dimension it belongs to. ``project``
    is the name of the project file whose thing was tried; None counts for
    every project of the folder.
    """

    date: datetime.date
    piece: Piece
    section: str | None
    clearance_mm: float
    gap_mm: float
    seen: Seen
    side: Side | None = None
    read_mm: float | None = None
    should_mm: float | None = None
    project: str | None = None

    def is_of(self, project_file: Path) -> bool:
        """Whether the trial counts for a project of its folder."""
        return self.project in (None, project_file.name)


def _file_name(value: object) -> str:
    if not isinstance(value, str) or not value or "/" in value:
        raise wrong(f"expected the name of a project file, without its folder, not {shown(value)}")
    return value


_LENGTH = length(above=0.0)
_GAP = length(least=-5.0, most=20.0)
_KEYS: Final[dict[str, tuple[str, Convert, bool]]] = {
    "project": ("project", _file_name, False),
    "piece": ("piece", choice(Piece), True),
    "section": ("section", text("the name of a section"), False),
    "clearance": ("clearance_mm", length(least=0.0, most=20.0), True),
    "gap": ("gap_mm", _GAP, True),
    "seen": ("seen", choice(Seen), True),
    "side": ("side", choice(Side), False),
    "read": ("read_mm", _LENGTH, False),
    "should": ("should_mm", _LENGTH, False),
}


def read_trials(folder: Path) -> tuple[Trial, ...]:
    """The trials kept in a folder, of all its projects, oldest first; none if there is no file.

    Raises
    ------
    InputError
        If the file cannot be read.
    ProjectError
        If something in it is mistaken.
    """
    file = folder / TRIALS_FILE
    if not os.path.exists(file):
        return ()
    content = text_of(read_file(file, where=str(file), kind=_KIND), where=str(file), kind=_KIND)
    try:
        data = tomllib.loads(content)
    except (ValueError, RecursionError) as error:
        raise InputError(
            f"the trials cannot be read ({str(error).splitlines()[0]})",
            where=str(file),
            hint="mend it or take it away",
        ) from error
    problems: list[Problem] = []
    rows = data.get("trial", [])
    if set(data) - {"trial"} or not isinstance(rows, list):
        problems.append(Problem(where="trial", found="expected only tables [[trial]]"))
        rows = []
    found = [_trial(row, f"trial[{number}]", problems) for number, row in enumerate(rows, start=1)]
    if problems:
        raise ProjectError(str(file), tuple(problems))
    return tuple(trial for trial in found if trial is not None)


def read_row_trials(project: Project) -> dict[Path, tuple[Trial, ...]]:
    """The trials kept for a holder: by folder, those of the project's own and of the things beside it.

    Raises
    ------
    InputError
        If a file cannot be read.
    ProjectError
        If something in one is mistaken.
    """
    kept = {project.folder: read_trials(project.folder)}
    for number, path in enumerate(project.row.things, start=1):
        folder = (project.folder / path).parent
        if folder in kept or not folder.is_dir():  # a project file that is not there is told where it is read
            continue
        try:
            kept[folder] = read_trials(folder)
        except InputError as error:
            raise error.within(f"row.things[{number}]") from error
    return kept


def own_trials(trials: Sequence[Trial], project_file: Path) -> tuple[Trial, ...]:
    """Those of a folder's trials that count for one of its projects, oldest first."""
    return tuple(trial for trial in trials if trial.is_of(project_file))


def _trial(row: object, where: str, problems: list[Problem]) -> Trial | None:
    if not isinstance(row, dict):
        problems.append(Problem(where=where, found="expected a table [[trial]]"))
        return None
    before = len(problems)
    values: dict[str, Any] = {"section": None}
    strange = [key for key in row if key not in _KEYS and key != "date"]
    problems += [Problem(where=f"{where}.{key}", found="unknown key") for key in strange]
    date = row.get("date")
    if isinstance(date, datetime.date) and not isinstance(date, datetime.datetime):
        values["date"] = date
    else:
        problems.append(Problem(where=f"{where}.date", found="expected a date such as 2026-05-17"))
    for key, (field, convert, needed) in _KEYS.items():
        if key not in row:
            if needed:
                problems.append(Problem(where=f"{where}.{key}", found="missing"))
            continue
        try:
            values[field] = convert(row[key])
        except MistakeError as error:
            problems += [Problem(where=f"{where}.{key}", found=m.found, hint=m.hint) for m in error.mistakes]
    if len(problems) == before and (values.get("read_mm") is None) != (values.get("should_mm") is None):
        problems.append(Problem(where=where, found="read and should belong together"))
    return Trial(**values) if len(problems) == before else None


def trials_text(trials: Sequence[Trial]) -> str:
    """The content of ``trials.toml``; reading it back gives the same trials."""
    import tomlkit

    document = tomlkit.document()
    tables = tomlkit.aot()
    for trial in trials:
        table = tomlkit.table()
        table.add("date", trial.date)
        for key, (field, _, _) in _KEYS.items():
            value = getattr(trial, field)
            if value is not None:
                table.add(key, str(value) if isinstance(value, str) else round(float(value), 4))
        tables.append(table)
    if trials:
        document.add("trial", tables)
    return _TOP + "\n" + tomlkit.dumps(document)
