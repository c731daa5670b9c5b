"""A worker as the page's process sees it: started, asked, stopped, replaced when it dies, ended."""

from __future__ import annotations

import asyncio
import multiprocessing
from collections.abc import Callable, Sequence
from multiprocessing.process import BaseProcess
from typing import Any, Final, TypeAlias

from cradle.errors import Problem
from cradle.page.jobs import Answer, Job, Task, Told, work

_PATIENCE_S: Final = 2.0
_DIED: Final = Problem(
    where="",
    found="the computing process ended without an answer",
    hint="it may have run out of memory: change a value to try again",
)
_STOPPED: Final = Problem(where="", found="stopped", hint="change a value, or build again")

_OnTold: TypeAlias = Callable[[Told], None]
"""Told each step as it begins, and each part of the result that is there early."""


class Worker:
    """One process that answers one request at a time; a newer request has older ones dropped.

    Parameters
    ----------
    ahead : sequence of Task
        What it loads as it starts, rather than with the first request.
    """

    def __init__(self, name: str, *, ahead: Sequence[Task]) -> None:
        self._context = multiprocessing.get_context("spawn")
        self._newest: Any = self._context.Value("q", 0, lock=False)
        self._turn = asyncio.Lock()
        self._name, self._ahead = name, tuple(ahead)
        self._process: BaseProcess | None = None
        self._line: Any = None  # whose class is the system's
        self._busy = self._ended = self._stopped = False

    def start(self) -> None:
        """Start the process; it loads while the page is being opened."""
        ours, theirs = self._context.Pipe()
        self._process = self._context.Process(
            target=work,
            args=(theirs, self._newest, self._ahead),
            daemon=True,
            name=f"cradle-page-{self._name}",
        )
        self._process.start()
        theirs.close()
        self._line = ours

    def ticket(self) -> int:
        """The ticket of a new request: all older ones are dropped."""
        self._newest.value += 1
        return int(self._newest.value)

    async def ask(self, job: Job, *, on_told: _OnTold | None = None) -> Answer:
        """The answer to a request, when its turn has come."""
        loop = asyncio.get_running_loop()

        def tell(told: Told) -> None:
            if on_told is not None:
                loop.call_soon_threadsafe(on_told, told)

        async with self._turn:
            if job.ticket and self._newest.value > job.ticket:
                return Answer(dropped=True)
            self._busy = True
            try:
                return await asyncio.to_thread(self._exchange, job, tell)
            finally:
                self._busy = False

    async def stop_work(self) -> None:
        """Drop what is being done: at its next step, or by ending the process if that takes long."""
        self.ticket()
        for _ in range(10):
            if not self._busy:
                return
            await asyncio.sleep(0.05)
        if self._busy and self._process is not None:
            self._stopped = True
            self._process.terminate()

    def stop(self) -> None:
        """End the process, whatever it is at: files are written whole or not at all."""
        ended, self._ended = self._ended, True
        if ended or self._process is None:
            return
        self._process.terminate()
        self._process.join(_PATIENCE_S)
        if self._process.is_alive():
            self._process.kill()
            self._process.join(_PATIENCE_S)
        if self._line is not None:
            self._line.close()

    def _exchange(self, job: Job, tell: _OnTold) -> Answer:
        if self._line is None or self._process is None or not self._process.is_alive():
            if self._ended:
                return Answer(dropped=True)
            self.start()
        line = self._line
        assert line is not None
        try:
            line.send(job)
            while True:
                answer = line.recv()
                if isinstance(answer, Answer):
                    return answer
                if isinstance(answer, Told):
                    tell(answer)
        except (EOFError, OSError):
            stopped, self._stopped = self._stopped, False
            if self._process is not None:
                self._process.join(_PATIENCE_S)
            return Answer(problems=(_STOPPED if stopped else _DIED,))
