"""Trials as kept in ``trials.toml`` beside the project file: what was tried on the thing and what was seen."""

from __future__ import annotations

import datetime
import os
from collections.abc import Iterator, Sequence
from dataclasses import fields, replace
from enum import StrEnum
from itertools import pairwise
from pathlib import Path
from typing import Any, Final, TypeAlias

from cradle.errors import InternalError, located
from cradle.files.reading import FileKind, text_in
from cradle.names import section_words
from cradle.project.convert import LEAST_SIZE_MM, Choice, Pair, day, length, list_of, text
from cradle.project.key import Occurrence, Table, TopLevelTable, Values, key, spec
from cradle.project.mistake import Mistake, amount, shown, wrong
from cradle.project.printer import LARGEST_INSIDE_ERROR_MM
from cradle.project.project import TRIALS_FILE, Project
from cradle.project.reader import parsed
from cradle.project.section import LARGEST_CLEARANCE_MM
from cradle.project.side import Side
from cradle.project.table_reader import TableReader
from cradle.project.writer import table_lines
from cradle.units import MM_PER, exact_mm

_HINT: Final = "correct it, or move it out of the folder"
MOST_TRIALS: Final = 150
"""Far more than anybody prints: each costs some tenths of a second."""
_KIND: Final = FileKind(most_bytes=4_000_000, missing=_HINT, large=_HINT, folder=_HINT, not_text=_HINT)
_TOP: Final = (
    "# What was tried on the thing and what was seen; written by cradle trial, which can undo the last.\n"
)


class TrialPiece(StrEnum):
    """What was tried."""

    TEST_PIECE = "test-piece"
    HOLDER = "holder"


class Outcome(StrEnum):
    """How it went."""

    NO_GO = "no-go"
    """It does not go in, as a gauge's no-go end does not."""
    TIGHT = "tight"
    GOOD = "good"
    LOOSE = "loose"


_SIZE: Final = length(least=LEAST_SIZE_MM)
_LINING: Final = length(least=0.0, most=LARGEST_CLEARANCE_MM)
_GAP: Final = length(least=-5.0, most=30.0)
_MOST_LEVELS: Final = 1000
"""Three to a section, of 200."""
Room: TypeAlias = tuple[tuple[float, float, float, float], ...]
"""``(height, gap, width, depth)``, mm, from bottom to top."""
ROOM: Final = list_of(list_of(length(least=-5.0), names="height gap width depth"), most=_MOST_LEVELS)


def _file_name(value: object) -> str:
    if not isinstance(value, str) or not value or "/" in value:
        raise wrong(f"expected the name of a project file, without its folder, not {shown(value)}")
    return value


@spec
class Trial:
    """One trial.

    ``clearance_mm`` is what the piece was made for, per side; ``gap_mm`` what
    it has in its file, with all that was added for the printer and a lining, which is ``lining_mm``
    thick and pressed ``lining_pressed_mm``; None of a piece that is not lined. It was
    tried at a ``section`` or at another height on the thing, ``height_mm``; both
    are None for the holder as a whole. ``size_mm`` is how wide and deep the thing was
    taken to be there. Of the holder ``room`` is the gap in its file at many heights, each
    with how wide and deep the thing was taken to be there: what a print has stays, whatever is measured
    after it; None in trials of before this was kept. ``side`` is where it touched, or gaped.
    ``read_mm`` is a calipered inside width
    or depth and ``nominal_mm`` what it should read; a reading may stand alone,
    with piece, clearance, gap and what was seen None. ``project`` is the name
    of the project file whose thing was tried; None counts for every project of
    the folder.
    """

    date: datetime.date = key(day)
    project: str | None = key(_file_name, default=None)
    piece: TrialPiece | None = key(Choice(TrialPiece), default=None)
    section: str | None = key(text("the name of a section"), default=None)
    height_mm: float | None = key(length(least=0.0), default=None)
    size_mm: Pair | None = key(list_of(_SIZE, names="width depth"), default=None)
    clearance_mm: float | None = key(length(least=0.0, most=20.0), default=None)
    gap_mm: float | None = key(_GAP, default=None)
    lining_mm: float | None = key(_LINING, default=None)
    lining_pressed_mm: float | None = key(_LINING, default=None)
    room: Room | None = key(ROOM, default=None)
    seen: Outcome | None = key(Choice(Outcome), default=None)
    side: Side | None = key(Choice(Side), default=None)
    read_mm: float | None = key(_SIZE, default=None)
    nominal_mm: float | None = key(_SIZE, default=None)

    @property
    def place(self) -> str | float | None:
        """Where it was tried: the name of a section, or a height, mm; None for the holder as a whole."""
        return self.section if self.height_mm is None else self.height_mm

    @property
    def place_words(self) -> str:
        """Where it was tried, for messages; empty for the holder as a whole."""
        if self.height_mm is not None:
            return f"{exact_mm(self.height_mm, decimals=0)} mm"
        return "" if self.section is None else section_words(self.section)

    @property
    def lining_gives_mm(self) -> float:
        """How far its lining gives way, per side; 0 where there is none."""
        return (self.lining_mm or 0.0) - (self.lining_pressed_mm or 0.0)

    @property
    def widest_gap_mm(self) -> float:
        """The gap of a piece that was tried, its lining pressed."""
        if self.gap_mm is None:
            raise InternalError("a reading alone has no gap")
        return self.gap_mm - (self.lining_pressed_mm or 0.0)

    def is_of(self, project_file: Path) -> bool:
        """Whether the trial counts for a project of its folder."""
        return self.project in (None, project_file.name)


_TRIED: Final = ("piece", "clearance_mm", "gap_mm", "seen")
_MOST_OFF: Final = 0.5
"""No printed inside width is off by more than this part of what it should be."""
_LIKE: Final = 0.1
"""A reading in another unit is told from a printer's error by agreeing so well with what it should be."""
_TOGETHER: Final = "give piece, clearance, gap and seen together; a reading alone has none of them"


def entered_mistakes(trial: Trial) -> Iterator[Mistake]:
    """What cannot be in what somebody enters of a trial: two places, half a reading, or one that is far off."""
    return _entered({f.name: getattr(trial, f.name) for f in fields(trial)})


def _entered(values: Values) -> Iterator[Mistake]:
    if values.get("section") is not None and values.get("height_mm") is not None:
        yield Mistake(
            found="a section and a height are given",
            hint="keep the one that the piece was made for",
            at=("height",),
        )
    if {"read_mm", "nominal_mm"} <= values.keys():
        yield from _reading(values["read_mm"], values["nominal_mm"])


def _reading(read_mm: float | None, nominal_mm: float | None) -> Iterator[Mistake]:
    """A reading without what it should be, or off by more than any printer errs.

    Allowed is what ``[printer] inside_error`` takes, on both sides of the
    width, and never more than half of what the width should be.

    >>> [mistake.hint for mistake in _reading(4.95, 50.13)]
    ['in cm it would be 49.50 mm: give that']
    """
    if read_mm is None and nominal_mm is None:
        return
    if read_mm is None or nominal_mm is None:
        yield Mistake(
            found="a reading and what it should be must be given together",
            hint="give both: what the calipers say, and what the table says it should be",
            at=("read" if read_mm is None else "nominal",),
        )
        return
    most = min(2 * LARGEST_INSIDE_ERROR_MM, _MOST_OFF * nominal_mm)
    off = abs(read_mm - nominal_mm)
    if off <= most:
        return
    hint = "measure it again, and check that it is the width meant"
    for unit, word in (("cm", "cm"), ("in", "inches")):
        mm = read_mm * MM_PER[unit]
        if abs(mm - nominal_mm) <= _LIKE * nominal_mm:
            hint = f"in {word} it would be {exact_mm(round(mm, 2))} mm: give that"
    yield Mistake(
        found=f"measured {amount(read_mm, 'mm')} where {amount(nominal_mm, 'mm')} is expected: {off:.2f} mm off,"
        f" more than a printer's error (at most {most:.2f} mm)",
        hint=hint,
        at=("read",),
    )


def _check_trial(values: Values) -> Iterator[Mistake]:
    """What cannot be in what was entered; what only a holder has; neither whole nor a reading."""
    for check in (_entered, _odd_lining, _odd_room, _half_told):
        yield from check(values)


def _odd_lining(values: Values) -> Iterator[Mistake]:
    if not {"lining_mm", "lining_pressed_mm"} <= values.keys():
        return
    lining, pressed = values["lining_mm"], values["lining_pressed_mm"]
    if (
        (lining is None) != (pressed is None)
        or (lining or 0.0) < (pressed or 0.0)
        or (lining is not None and values.get("piece") is not TrialPiece.HOLDER)
    ):
        yield Mistake(
            found="a lining belongs to a holder, and has a thickness and one pressed that is no more",
            hint="give lining and lining_pressed together, or take both out",
            at=("lining",),
        )


def _odd_room(values: Values) -> Iterator[Mistake]:
    room = values.get("room")
    if room is not None and (
        values.get("piece") is not TrialPiece.HOLDER or any(b[0] <= a[0] for a, b in pairwise(room))
    ):
        yield Mistake(
            found="a room belongs to a holder, its heights rising", hint="take it out", at=("room",)
        )


def _half_told(values: Values) -> Iterator[Mistake]:
    """Nothing that was tried or read, or not all of what belongs to a piece that was tried."""
    if not {*_TRIED, "read_mm", "nominal_mm"} <= values.keys():  # one of them is mistaken and told already
        return
    missing = [name for name in _TRIED if values[name] is None]
    if len(missing) == len(_TRIED) and values["read_mm"] is None and values["nominal_mm"] is None:
        yield Mistake(
            found="a trial needs a piece that was tried, or a reading", hint="give seen, or read and nominal"
        )
    if 0 < len(missing) < len(_TRIED):
        yield Mistake(found=f"{missing[0].removesuffix('_mm')} is missing", hint=_TOGETHER)


TRIAL: Final = Table(makes=Trial, check=_check_trial)
_TRIAL_TABLES: Final = {
    "trial": TopLevelTable(field="trials", table=TRIAL, occurrence=Occurrence.MANY, most=MOST_TRIALS)
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
    data, places = parsed(text_in(file, where=str(file), kind=_KIND), file=file)
    reader = TableReader(places, file=file)
    drafts = reader.drafts(data, _TRIAL_TABLES)
    return reader.made(drafts, _TRIAL_TABLES)["trials"]


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
        with located(f"{project.file}: row.things[{number}]"):
            kept[folder] = read_trials(folder)
    return kept


def own_trials(trials: Sequence[Trial], project_file: Path) -> tuple[Trial, ...]:
    """Those of a folder's trials that count for one of its projects, oldest first."""
    return tuple(trial for trial in trials if trial.is_of(project_file))


def trials_text(trials: Sequence[Trial]) -> str:
    """The content of ``trials.toml``; reading it back gives the same trials."""
    return "\n".join([_TOP, *(_trial_text(trial) for trial in trials)])


def _trial_text(trial: Trial) -> str:
    lengths = {f.name: getattr(trial, f.name) for f in fields(trial) if f.name.endswith("_mm")}
    rounded: dict[str, Any] = {name: round(mm, 4) for name, mm in lengths.items() if isinstance(mm, float)}
    return "".join(f"{line}\n" for line in ["[[trial]]", *table_lines(replace(trial, **rounded), TRIAL)])
