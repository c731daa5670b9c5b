"""One open page: what it read of the project file, what was moved since, and what was seen last."""

from __future__ import annotations

import asyncio
from itertools import count
from pathlib import Path
from secrets import token_urlsafe

from cradle.errors import CradleError, InputError
from cradle.page.controls import CONTROLS, change_words, in_file, value_in
from cradle.page.error_text import sentences
from cradle.page.jobs import Job, Task
from cradle.page.preview import Glance, Preview, glance_at
from cradle.page.save_values import keep_values
from cradle.page.worker import Worker
from cradle.project.change import with_values
from cradle.project.reader import project_from_text, text_of

_PAUSE_S = 0.15
"""A holder is built when nothing has been moved for so long."""
_NUMBERS = count(1)


class Tab:
    """One open page.

    Parameters
    ----------
    file : Path
        The project file; read now.
    folder : Path, optional
        Where files go; else ``out`` beside the project file.
    worker : Worker

    Raises
    ------
    InputError
        If the file cannot be read, or has mistakes.
    """

    def __init__(self, file: Path, *, folder: Path | None, worker: Worker) -> None:
        self.file, self.folder = file, folder if folder is not None else file.parent / "out"
        self.text = text_of(file)
        self.project = project_from_text(self.text, file=file)
        self.moved: dict[str, float] = {}
        self.preview: Preview | None = None
        self.refused: tuple[str, ...] = ()
        self.number, self.token = next(_NUMBERS), token_urlsafe(12)
        self._worker, self._ticket = worker, 0

    def move(self, key: str, value: float | None) -> bool:
        """Take over a value from the page, mm; whether that changed anything."""
        before = dict(self.moved)
        said = value_in(self.project, CONTROLS[key])
        if value is None or value == said:
            self.moved.pop(key, None)
        else:
            self.moved[key] = value
        return before != self.moved

    def put_back(self) -> None:
        """Return to what the project file says."""
        self.moved.clear()

    def state(self) -> str:
        """How the values on the page stand to the project file, in words."""
        try:
            same = text_of(self.file) == self.text
        except CradleError as error:
            return f"The project file cannot be read any more. {' '.join(sentences(error))}"
        if not same:
            return "The project file was changed since this page read it: load the page again to see what is in it now."
        return (
            "These values are not saved in the project file yet."
            if self.moved
            else "Same as the project file."
        )

    def shown_mm(self, key: str) -> float | None:
        """The value as it stands now, mm: moved, or as in the file, or as the program took it last."""
        if key in self.moved:
            return self.moved[key]
        said = value_in(self.project, CONTROLS[key])
        if said is None and self.preview is not None:
            return self.preview.taken_mm.get(key)
        return said

    def glance(self) -> Glance | None:
        """What can be said of the clearance at once; None before the first preview or when it cannot stand."""
        clearance = self.shown_mm("fit.clearance")
        if self.preview is None or clearance is None or not 0 <= clearance <= 20:
            return None
        return glance_at(self.preview, clearance)

    async def see(self) -> bool:
        """Have the holder built with the values as they are; whether there is something new to show.

        The result is in ``preview``, or why there is none in ``refused``; the last
        good preview stays. Nothing new is there if values were moved meanwhile.
        """
        self._ticket += 1
        ticket = self._ticket
        self._worker.renew(self.number, ticket)
        if self.preview is not None:
            await asyncio.sleep(_PAUSE_S)
        if ticket != self._ticket:
            return False
        try:
            text = self._tried()
        except CradleError as error:
            self.refused = sentences(error)
            return True
        answer = await self._worker.ask(self._job(Task.PREVIEW, text, ticket=ticket))
        if ticket != self._ticket or (answer.result is None and not answer.refused):
            return False
        self.refused = answer.refused
        if isinstance(answer.result, Preview):
            self.preview = answer.result
        return True

    async def report(self) -> bytes | str:
        """The fit report on the holder with the values as they are, or why there is none."""
        answer = await self._asked(Task.REPORT)
        return answer if isinstance(answer, bytes | str) else ""

    async def write(self) -> str:
        """Write the holder's files; what was written, or why not, in words."""
        words = self._written(await self._asked(Task.FILES))
        preview = await self._asked(Task.PREVIEW)
        return (
            f"{words} Do not print it: see the verdict."
            if isinstance(preview, Preview) and not preview.print_it
            else words
        )

    async def write_slices(self, clearances_mm: tuple[float, ...]) -> str:
        """Write test pieces at these clearances; what was written, or why not, in words."""
        if not clearances_mm:
            return "Tick at least one clearance."
        return self._written(await self._asked(Task.SLICES, clearances_mm=clearances_mm))

    async def keep(self) -> str:
        """Keep the moved values in the project file; what was changed, or why nothing was, in words.

        Values with which no holder can be built are not kept.
        """
        moved = dict(self.moved)
        if not moved:
            return "Nothing to save: no value was changed."
        built = await self._asked(Task.PREVIEW)
        if not isinstance(built, Preview):
            return f"Not saved: {built or ''}".strip()
        words = change_words(self.project, moved)
        try:
            text = keep_values(self.file, in_file(moved), read=self.text)
        except CradleError as error:
            return " ".join(sentences(error))
        self.text, self.project = text, project_from_text(text, file=self.file)
        self.moved = {key: value for key, value in self.moved.items() if moved.get(key) != value}
        return f"Saved to {self.file.name}: {words}."

    async def _asked(self, task: Task, *, clearances_mm: tuple[float, ...] = ()) -> object:
        try:
            text = self._tried()
        except CradleError as error:
            return " ".join(sentences(error))
        answer = await self._worker.ask(self._job(task, text, clearances_mm=clearances_mm))
        return " ".join(answer.refused) if answer.refused else answer.result

    def leave(self) -> None:
        """Let whatever is being built for this tab be dropped."""
        self._ticket += 1
        self._worker.renew(self.number, self._ticket)

    def _tried(self) -> str:
        """The project's text with the moved values, sound."""
        for key, value in self.moved.items():
            if value != value:
                raise InputError("expected a length in mm", where=CONTROLS[key].words)
        text = with_values(self.text, in_file(self.moved))
        project_from_text(text, file=self.file)
        return text

    def _job(self, task: Task, text: str, *, ticket: int = 0, clearances_mm: tuple[float, ...] = ()) -> Job:
        return Job(
            task=task,
            tab=self.number,
            ticket=ticket,
            text=text,
            file=self.file,
            folder=self.folder,
            clearances_mm=clearances_mm,
        )

    def _written(self, answer: object) -> str:
        if not isinstance(answer, tuple):
            return str(answer or "Nothing was written.")
        names = ", ".join(path.name for path in answer)
        words = f"{len(answer)} files are in {self.folder.resolve()}: {names}."
        if self.moved:
            words += f" They were made with values that are not saved in the project file: {change_words(self.project, self.moved)}."
        return words
