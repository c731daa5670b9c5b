"""What all windows share: the project, the two workers, and what they found last.

The reader answers at once what concerns sections, pictures and trials; the
builder makes holders and files. After every change both begin anew, and what
they find is told to all windows.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Coroutine, Mapping
from pathlib import Path
from typing import Any, Final

from cradle.errors import CradleError
from cradle.page.error_text import problem_rows
from cradle.page.jobs import Answer, Job, Json, Task, Told
from cradle.page.session import ProjectSession
from cradle.page.worker import Worker

_PAUSE_S: Final = 0.12
"""A holder is built when nothing has been changed for so long."""
_LOOK_S: Final = 0.4
"""So often it is looked whether somebody else has changed the file."""
_MOST_WAITING: Final = 200
_BEAT_S: Final = 15.0
"""Seconds after which something is sent in any case: only so is a window noticed that is gone."""


class Desk:
    """The project and all that is known of it.

    Parameters
    ----------
    file : Path
        The project file; it need not exist.
    folder : Path, optional
        Where files go; else ``out`` beside the project file.
    reader, builder : Worker, optional
        Those that do the work; else new ones.

    Raises
    ------
    InputError
        If the file exists but is no text.
    """

    def __init__(
        self,
        file: Path,
        *,
        folder: Path | None,
        reader: Worker | None = None,
        builder: Worker | None = None,
    ) -> None:
        self.session = ProjectSession(file)
        self.folder = folder if folder is not None else file.parent / "out"
        self.reader = reader if reader is not None else Worker("reader", ahead=(Task.SECTIONS, Task.TRACE))
        self.builder = builder if builder is not None else Worker("builder", ahead=(Task.TRACE, Task.BUILD))
        self.events = Events()
        self.sections: Json = {"revision": 0, "sections": []}
        self.holder: Json = {"revision": 0}
        self.parts: dict[str, Json] = {}
        """What is there of the holder being built: its body, then a rough holder."""
        self.building = False
        self.step = ""
        self.reading = ""
        """Which picture of a section is being read, for the first time."""
        self.written: set[str] = set()
        """Names of the files that may be fetched from the folder."""
        self._tasks: set[asyncio.Task[None]] = set()

    def begin(self) -> None:
        """Start the workers, begin with what the project says, and look after the file from now on."""
        self.reader.start()
        self.builder.start()
        self.changed()
        self._do(self._watch())

    def close(self) -> None:
        """End everything."""
        for task in self._tasks:
            task.cancel()
        self.events.close()
        self.reader.stop()
        self.builder.stop()

    def changed(self) -> None:
        """Tell all windows of a new revision, and find out what it comes to."""
        self.events.tell("state", {"revision": self.session.revision})
        self._do(self._read_sections())
        self._do(self._build())

    def build_again(self) -> None:
        """Build once more what was stopped or refused."""
        self._do(self._build())

    async def stop_building(self) -> None:
        """Leave off what is being built."""
        await self.builder.stop_work()

    def job(self, task: Task, *, ticket: int = 0, given: Mapping[str, Any] | None = None) -> Job:
        """A request about the project as it is now."""
        session = self.session
        return Job(
            task=task,
            text=session.text,
            file=session.file,
            folder=self.folder,
            ticket=ticket,
            given=given or {},
        )

    async def show(self, picture: str) -> Answer:
        """A picture as a browser shows it, by the builder where nothing is built: the reader may be at others for long."""
        free = self.reader if self.building or self.step else self.builder
        return await free.ask(self.job(Task.TRACE, given={"path": picture}))

    async def look_at(self, given: Mapping[str, Any]) -> Answer:
        """What a picture shows: before the sections that are still being read, which go on after it."""
        self.reader.ticket()
        answer = await self.reader.ask(self.job(Task.TRACE, given=given))
        if self.sections["revision"] != self.session.revision:
            self._do(self._read_sections())
        return answer

    async def make(self, task: Task, given: Mapping[str, Any] | None = None) -> Answer:
        """What the builder answers, its steps told to all windows; what it wrote may be fetched."""
        answer = await self.builder.ask(self.job(task, given=given), on_told=self._tell_step)
        self._tell_progress("")
        if answer.result is not None:
            self.written |= set(answer.result.get("files", ()))
        return answer

    async def _read_sections(self) -> None:
        ticket, revision = self.reader.ticket(), self.session.revision
        answer = await self.reader.ask(self.job(Task.SECTIONS, ticket=ticket), on_told=self._tell_reading)
        self._tell_reading(Told())
        if answer.dropped or revision != self.session.revision:
            return
        found = answer.result or {"sections": [], "problems": problem_rows(answer.problems)}
        self.sections = found | {"revision": revision}
        self.events.tell("sections", {"revision": revision})

    async def _build(self) -> None:
        ticket, revision = self.builder.ticket(), self.session.revision
        await asyncio.sleep(_PAUSE_S)
        if revision != self.session.revision:
            return
        if self.session.problems:
            self.building = False
            self._tell_progress("")
            return
        self.building = True
        self._tell_progress("building the holder")

        def told(news: Told) -> None:
            if revision != self.session.revision:
                return
            if news.part is not None:
                self.parts[str(news.part["stage"])] = news.part | {"revision": revision}
                self.events.tell("part", {"revision": revision, "stage": news.part["stage"]})
            else:
                self._tell_step(news)

        answer = await self.builder.ask(self.job(Task.BUILD, ticket=ticket), on_told=told)
        if revision != self.session.revision:
            return
        self.building = False
        if not answer.dropped:
            said = {"revision": revision, "problems": problem_rows(answer.problems)}
            self.holder = (answer.result or self.holder | {"earlier": True}) | said
        self._tell_progress("")
        self.events.tell("holder", {"revision": revision, "stopped": answer.dropped})
        if answer.result is not None:
            await self._find_causes(revision, ticket=ticket)

    async def _find_causes(self, revision: int, *, ticket: int) -> None:
        """What makes the holder too tight: it may come after all the rest."""
        answer = await self.builder.ask(self.job(Task.CAUSES, ticket=ticket))
        if answer.result is None or revision != self.session.revision:
            return
        self.holder = self.holder | answer.result
        self.parts["causes"] = answer.result | {"revision": revision}
        self.events.tell("part", {"revision": revision, "stage": "causes"})

    def _tell_step(self, news: Told) -> None:
        if news.step:
            self._tell_progress(news.step)

    def _tell_progress(self, step: str) -> None:
        self.step = step
        self.events.tell("progress", self.progress)

    def _tell_reading(self, news: Told) -> None:
        if news.step != self.reading:
            self.reading = news.step
            self.events.tell("progress", self.progress)

    @property
    def progress(self) -> Json:
        """What is being done."""
        return {"step": self.step, "building": self.building, "reading": self.reading}

    async def _watch(self) -> None:
        """Notice what somebody else writes into the project file."""
        while True:
            await asyncio.sleep(_LOOK_S)
            try:
                if await asyncio.to_thread(self.session.look):
                    self.changed()
            except CradleError as error:  # another process holds the folder
                self.events.tell("trouble", {"problems": problem_rows(error.problems)})

    def _do(self, work: Coroutine[Any, Any, None]) -> None:
        task = asyncio.create_task(work)
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)


class Events:
    """Tells every window that listens."""

    def __init__(self) -> None:
        self._queues: set[asyncio.Queue[str | None]] = set()

    def tell(self, kind: str, data: Mapping[str, object]) -> None:
        """Send one event; a window that does not keep up is let go, and asks anew."""
        message = f"event: {kind}\ndata: {json.dumps(data, ensure_ascii=False)}\n\n"
        for queue in tuple(self._queues):
            if queue.qsize() >= _MOST_WAITING:
                self._queues.discard(queue)
                queue.put_nowait(None)
            else:
                queue.put_nowait(message)

    def close(self) -> None:
        """End all streams."""
        for queue in self._queues:
            queue.put_nowait(None)
        self._queues.clear()

    async def stream(self) -> AsyncIterator[str]:
        """The events from now on, as they are sent; the first says that none will be missed."""
        queue: asyncio.Queue[str | None] = asyncio.Queue()
        self._queues.add(queue)
        try:
            yield "event: here\ndata: {}\n\n"
            while True:
                try:
                    message = await asyncio.wait_for(queue.get(), _BEAT_S)
                except TimeoutError:
                    message = ": still here\n\n"
                if message is None:
                    return
                yield message
        finally:
            self._queues.discard(queue)
