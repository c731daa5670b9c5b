"""The worker as the page's process sees it: started, asked, replaced when it dies, ended."""

from __future__ import annotations

import asyncio
import multiprocessing
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

from cradle.page.jobs import PLACES, Answer, Job, work

_PATIENCE_S = 2.0
_DIED = "The building process ended without an answer: it may have run out of memory. Change a value to try again."


class Worker:
    """One process that answers one request at a time; a newer request of a tab has older ones dropped."""

    def __init__(self) -> None:
        self._context = multiprocessing.get_context("spawn")
        self._newest: Any = self._context.Array("q", PLACES, lock=False)
        self._turn = asyncio.Lock()
        self._process: BaseProcess | None = None
        self._line: Connection | None = None
        self._ended = False

    def start(self) -> None:
        """Start the process; it loads while the page is being opened."""
        ours, theirs = self._context.Pipe()
        self._process = self._context.Process(
            target=work, args=(theirs, self._newest), daemon=True, name="cradle-page-worker"
        )
        self._process.start()
        theirs.close()
        self._line = ours

    def renew(self, tab: int, ticket: int) -> None:
        """Let all older requests of a tab be dropped."""
        self._newest[tab % PLACES] = ticket

    async def ask(self, job: Job) -> Answer:
        """The answer to a request, when its turn has come."""
        async with self._turn:
            if job.ticket and self._newest[job.tab % PLACES] > job.ticket:
                return Answer()
            return await asyncio.to_thread(self._exchange, job)

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

    def _exchange(self, job: Job) -> Answer:
        if self._line is None or self._process is None or not self._process.is_alive():
            if self._ended:
                return Answer()
            self.start()
        line = self._line
        assert line is not None
        try:
            line.send(job)
            answer = line.recv()
        except (EOFError, OSError):
            return Answer(refused=(_DIED,))
        return answer if isinstance(answer, Answer) else Answer()
