"""A worker process: it answers requests, one after the other, and tells its steps meanwhile.

Each task has a module of its own with a class whose ``answer`` returns JSON
data; an instance lives as long as the process, and all share the outlines that
were read.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import field
from enum import StrEnum
from multiprocessing.connection import Connection
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Protocol, TypeAlias

from cradle.errors import CradleError, Problem
from cradle.files.limits import within_limits
from cradle.noun import record
from cradle.page.error_text import problems_told

if TYPE_CHECKING:
    from cradle.page.kept_outlines import KeptOutlines

Json: TypeAlias = dict[str, Any]


class Task(StrEnum):
    """What is asked for."""

    SECTIONS = "sections"
    """Where the sections lie, and how surely."""
    TRACE = "trace"
    """What a picture shows: its scales and the outlines in it."""
    BUILD = "build"
    """The holder."""
    CAUSES = "causes"
    """What makes it too tight, along the curve of its chance."""
    REPORT = "report"
    FILES = "files"
    PIECES = "pieces"
    TRIAL = "trial"


@record
class Job:
    """One request.

    Attributes
    ----------
    ticket : int
        An older one than the newest is dropped; 0 is never dropped.
    file : Path
        Where it stands.
    folder : Path
        Where files go.
    given : mapping
        What the task needs besides, JSON data.
    """

    task: Task
    text: str
    file: Path
    folder: Path
    ticket: int = 0
    given: Mapping[str, Any] = field(default_factory=dict)


@record
class Told:
    """What is told before the answer: the step that begins, or a part of the result."""

    step: str = ""
    part: Json | None = None


@record
class Answer:
    """What came of a request: a result, or mistakes that explain why there is none; neither if it was dropped."""

    result: Json | None = None
    problems: tuple[Problem, ...] = ()
    dropped: bool = False


class DroppedError(Exception):
    """A newer request has come in."""


@record
class Watch:
    """How a task tells what it is at.

    Attributes
    ----------
    step : callable
        Told the name of each step; raises `DroppedError` where nobody waits for the result any more.
    part : callable
        Told a part of the result, JSON data.
    """

    step: Callable[[str], None]
    part: Callable[[Json], None]


class Doer(Protocol):
    """What answers the requests of one kind."""

    def answer(self, job: Job, watch: Watch) -> Json:
        """The result as JSON data.

        Raises
        ------
        CradleError
            If there is none.
        """


_WHERE: Final[dict[Task, tuple[str, str]]] = {
    Task.SECTIONS: ("cradle.page.section_job", "SectionReader"),
    Task.TRACE: ("cradle.page.trace_job", "Tracer"),
    Task.BUILD: ("cradle.page.build_job", "Builder"),
    Task.CAUSES: ("cradle.page.build_job", "Builder"),
    Task.REPORT: ("cradle.page.build_job", "Builder"),
    Task.FILES: ("cradle.page.build_job", "Builder"),
    Task.PIECES: ("cradle.page.pieces_job", "PieceCutter"),
    Task.TRIAL: ("cradle.page.trial_job", "TrialKeeper"),
}
"""Module and class of each task."""


class Doers:
    """What answers the requests of one process, each loaded when first asked for."""

    def __init__(self) -> None:
        self._loaded: dict[tuple[str, str], Doer] = {}
        self._outlines: KeptOutlines | None = None

    def of(self, task: Task) -> Doer:
        """What answers the requests of a task."""
        at = _WHERE[task]
        if at not in self._loaded:
            if self._outlines is None:
                from cradle.page.kept_outlines import KeptOutlines

                self._outlines = KeptOutlines()
            self._loaded[at] = getattr(importlib.import_module(at[0]), at[1])(self._outlines)
        return self._loaded[at]


def work(line: Connection, newest: Any, ahead: Sequence[Task]) -> None:
    """Answer requests from a line until it is closed; the body of a worker process.

    What answers those of ``ahead`` is loaded before the first of them comes.
    """
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the page's process ends this one
    doers = Doers()
    for task in ahead:
        doers.of(task)
    while True:
        try:
            job = line.recv()
        except (EOFError, OSError):
            return
        try:
            line.send(answered(job, doers=doers, watch=_watch(line, job, newest)))
        except OSError:  # nobody is there any more
            return


def answered(job: Job, *, doers: Doers, watch: Watch) -> Answer:
    """The answer to a request."""
    try:
        with within_limits():
            return Answer(result=doers.of(job.task).answer(job, watch))
    except DroppedError:
        return Answer(dropped=True)
    except CradleError as error:
        return Answer(problems=problems_told(error, file=job.file))
    except Exception as error:  # noqa: BLE001 - a fault of ours must reach the page, not end the worker
        words = f"{type(error).__name__}: {error}".splitlines()[0]
        return Answer(
            problems=(Problem(where="", found=f"internal error: {words}", hint="please report it"),)
        )


def _watch(line: Connection, job: Job, newest: Any) -> Watch:
    def step(name: str) -> None:
        if job.ticket and newest.value > job.ticket:
            raise DroppedError
        line.send(Told(step=name))

    def part(data: Json) -> None:
        line.send(Told(part=data))

    return Watch(step=step, part=part)
