"""The holder: the body first, then a rough holder, then the one that was measured and judged; and its files."""

from __future__ import annotations

from typing import TypeAlias

from cradle.errors import InputError
from cradle.files.reading import real_path
from cradle.files.writing import write_all
from cradle.geometry.solid import mesh_of
from cradle.page.file_stamp import Stamp, stamp_of
from cradle.page.holder_data import body_data, causes, holder_data, rough_data
from cradle.page.jobs import Job, Json, Task, Watch
from cradle.page.kept import Kept
from cradle.page.kept_steps import KeptSteps
from cradle.pipeline import Row, build, model_row
from cradle.pipeline.output_files import made_files, report_drawings
from cradle.project.project import source_files
from cradle.project.reader import project_from_text
from cradle.project.trial_log import read_row_trials
from cradle.report.page import report_html
from cradle.result.made_holder import MadeHolder

_Stamps: TypeAlias = tuple[Stamp, ...]


class Builder:
    """Builds and writes, and keeps the last holder built."""

    def __init__(self, outlines: Kept) -> None:
        self._steps = KeptSteps(outlines).steps
        self._text = ""
        self._row: Row | None = None
        self._made: MadeHolder | None = None
        self._stamps: _Stamps = ()

    def answer(self, job: Job, watch: Watch) -> Json:
        """The holder as JSON data; what makes it too tight, for its report the page, for its files their names.

        Raises
        ------
        CradleError
            If it cannot be built, or not be written.
        """
        row, made = self._built(job, watch)
        if job.task is Task.BUILD:
            watch.step("drawing what was built")
            return holder_data(made)
        if job.task is Task.CAUSES:
            return {"causes": causes(made.own, watch.step)}
        if job.task is Task.REPORT:
            watch.step("writing the report")
            return {"html": report_html(made, report_drawings(made))}
        files = made_files(row, [made], on_step=watch.step)
        written = write_all({job.folder / name: data for name, data in files.items()})
        return {"files": [path.name for path in written], "folder": str(real_path(job.folder))}

    def _built(self, job: Job, watch: Watch) -> tuple[Row, MadeHolder]:
        row, made = self._row, self._made
        if row is not None and made is not None and self._text == job.text and _stamps(row) == self._stamps:
            return row, made
        watch.step("reading the project")
        if not job.text.strip():
            raise InputError("the project is empty", hint="put in two sections first")
        project = project_from_text(job.text, file=job.file)
        trials = read_row_trials(project)
        row = model_row(project, trials=trials, steps=self._steps, on_step=watch.step)
        self._text, self._row, self._made = "", row, None
        self._stamps = _stamps(row)
        early = job.task is Task.BUILD
        if early:
            watch.part(body_data(row))
        made = build(
            row,
            steps=self._steps,
            on_step=watch.step,
            on_foreseen=(lambda attempt: watch.part(rough_data(attempt, mesh_of(attempt.holder.solid))))
            if early
            else None,
        )
        self._text, self._made = job.text, made
        return row, made


def _stamps(row: Row) -> _Stamps:
    """The stamps of every file that the things of a row come from."""
    return tuple(stamp_of(file) for thing in row.things for file in source_files(thing.project))
