"""What the worker process does: builds what a text describes, and writes its files."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any, TypeAlias

from cradle.errors import CradleError
from cradle.files.writing import write_all
from cradle.page.error_text import sentences
from cradle.page.preview import Preview, preview_of
from cradle.pipeline import Row, build, cut_slices, model_row
from cradle.pipeline.output_files import fit_piece_files, made_files, report_drawings
from cradle.project.project import source_files
from cradle.project.reader import project_from_text
from cradle.project.trial_log import own_trials, read_row_trials, read_trials
from cradle.report.page import report_html
from cradle.result.made_holder import MadeHolder

PLACES = 64
"""So many tabs are told apart when old requests are dropped."""


class Task(StrEnum):
    """What is asked for."""

    PREVIEW = "preview"
    REPORT = "report"
    FILES = "files"
    SLICES = "slices"


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One request.

    Attributes
    ----------
    task : Task
    tab : int
        Number of the tab; what was read for one is not used for another.
    ticket : int
        Number of the request; an older one than the tab's newest is dropped. 0 is never dropped.
    text : str
        The project.
    file : Path
        Where it stands.
    folder : Path
        Where files go.
    clearances_mm : tuple of float
        Of slices.
    """

    task: Task
    tab: int
    ticket: int
    text: str
    file: Path
    folder: Path
    clearances_mm: tuple[float, ...] = ()


Stamps: TypeAlias = tuple[tuple[str, int, int], ...]
Result: TypeAlias = Preview | bytes | tuple[Path, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What came of a request: a result, or sentences on why there is none; neither if it was dropped."""

    result: Result | None = None
    refused: tuple[str, ...] = ()


class DroppedError(Exception):
    """A newer request has come in."""


class Builder:
    """Builds and writes, and keeps the last holder built.

    Parameters
    ----------
    newest : sequence of int
        The newest ticket of each tab.
    """

    def __init__(self, newest: Sequence[int]) -> None:
        self._newest = newest
        self._tab = 0
        self._text = ""
        self._row: Row | None = None
        self._made: MadeHolder | None = None
        self._stamps: Stamps = ()

    def answer(self, job: Job) -> Answer:
        """The answer to a request; only faults of our own escape."""
        try:
            return Answer(result=self._result(job))
        except DroppedError:
            return Answer()
        except CradleError as error:
            return Answer(refused=sentences(error))

    def _result(self, job: Job) -> Result:
        if job.task is Task.SLICES:
            project = project_from_text(job.text, file=job.file)
            trials = own_trials(read_trials(project.folder), project.file)
            pieces = cut_slices(
                project, trials=trials, clearances_mm=job.clearances_mm, on_step=self._watch(job)
            )
            files = fit_piece_files(project, pieces, page="A4")
            return write_all({job.folder / name: data for name, data in files.items()})
        row, made = self._built(job)
        if job.task is Task.PREVIEW:
            return preview_of(row, made, keep=f"view of tab {job.tab}")
        if job.task is Task.REPORT:
            return report_html(made, report_drawings(made))
        files = made_files(row, [made])
        return write_all({job.folder / name: data for name, data in files.items()})

    def _built(self, job: Job) -> tuple[Row, MadeHolder]:
        known = self._row
        if known is not None and (self._tab != job.tab or _stamps(known) != self._stamps):
            known = None
        if known is not None and self._made is not None and self._text == job.text:
            return known, self._made
        watch = self._watch(job)
        watch("")
        project = project_from_text(job.text, file=job.file)
        row = model_row(project, trials=read_row_trials(project), known=known, on_step=watch)
        self._tab, self._text, self._row, self._made = job.tab, "", row, None
        self._stamps = _stamps(row)
        made = build(row, on_step=watch)
        self._text, self._made = job.text, made
        return row, made

    def _watch(self, job: Job) -> Callable[[str], None]:
        def watch(_step: str) -> None:
            if job.ticket and self._newest[job.tab % PLACES] > job.ticket:
                raise DroppedError

        return watch


def _stamps(row: Row) -> Stamps:
    """Time of change and size of every file that the things of a row come from; nothing for one that is not there."""
    stamps = []
    for thing in row.things:
        for file in source_files(thing.project):
            try:
                state = file.stat()
            except OSError:
                continue
            stamps.append((str(file), state.st_mtime_ns, state.st_size))
    return tuple(stamps)


def work(line: Connection, newest: Any) -> None:
    """Answer requests from a line until it is closed; the body of the worker process."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the page's process ends this one
    builder = Builder(newest)
    while True:
        try:
            job = line.recv()
        except (EOFError, OSError):
            return
        try:
            answer = builder.answer(job)
        except Exception as error:  # noqa: BLE001 - a fault of ours must reach the page, not end the worker
            words = f"{type(error).__name__}: {error}".splitlines()[0]
            answer = Answer(refused=(f"Internal error: {words}. Please report it.",))
        try:
            line.send(answer)
        except OSError:  # nobody is there any more
            return
