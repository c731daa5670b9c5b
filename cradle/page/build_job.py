"""The holder: the body first, then a rough holder, then the one that was measured and judged; and its files."""

from __future__ import annotations

from cradle.errors import InputError
from cradle.files.file_stamp import Stamp, stamp_of
from cradle.files.reading import real_path
from cradle.files.writing import write_all
from cradle.noun import noun
from cradle.page.holder_data import body_data, causes, holder_data, rough_data
from cradle.page.jobs import Job, Json, Task, Watch
from cradle.page.kept_outlines import KeptOutlines
from cradle.page.kept_steps import KeptSteps
from cradle.pipeline import Row, build, model_row
from cradle.pipeline.output_files import made_files, report_drawings
from cradle.project.project import source_files
from cradle.project.reader import project_from_text
from cradle.project.trial_log import read_row_trials
from cradle.report.page import report_html
from cradle.result.made_holder import MadeHolder


@noun
class _Built:
    """The holder built last, and what it was built from: the project's text, and the stamps of the files it names."""

    text: str
    stamps: tuple[Stamp, ...]
    row: Row
    made: MadeHolder


class Builder:
    """Builds and writes, and keeps the last holder built."""

    def __init__(self, outlines: KeptOutlines) -> None:
        self._steps = KeptSteps(outlines).steps
        self._last: _Built | None = None

    def answer(self, job: Job, watch: Watch) -> Json:
        """The holder as JSON data; what makes it too tight, for its report the page, for its files their names.

        Raises
        ------
        CradleError
            If it cannot be built, or not be written.
        """
        built = self._built(job, watch)
        made = built.made
        if job.task is Task.BUILD:
            watch.step("drawing what was built")
            return holder_data(made)
        if job.task is Task.CAUSES:
            return {"causes": causes(made.own, watch.step)}
        if job.task is Task.REPORT:
            watch.step("writing the report")
            return {"html": report_html(made, report_drawings(made))}
        files = made_files(built.row, [made], on_step=watch.step)
        written = write_all({job.folder / name: data for name, data in files.items()})
        return {"files": [path.name for path in written], "folder": str(real_path(job.folder))}

    def _built(self, job: Job, watch: Watch) -> _Built:
        last = self._last
        if last is not None and last.text == job.text and last.stamps == _stamps(last.row):
            return last
        watch.step("reading the project")
        if not job.text.strip():
            raise InputError("the project is empty", hint="put in two sections first")
        project = project_from_text(job.text, file=job.file)
        trials = read_row_trials(project)
        row = model_row(project, trials=trials, steps=self._steps, on_step=watch.step)
        last = self._last = None  # takes as much memory as the one to come
        stamps = _stamps(row)
        early = job.task is Task.BUILD
        if early:
            watch.part(body_data(row))
        made = build(
            row,
            steps=self._steps,
            on_step=watch.step,
            on_foreseen=(lambda attempt: watch.part(rough_data(attempt, row))) if early else None,
        )
        self._last = _Built(text=job.text, stamps=stamps, row=row, made=made)
        return self._last


def _stamps(row: Row) -> tuple[Stamp, ...]:
    """The stamps of every file that the things of a row come from."""
    return tuple(stamp_of(file) for thing in row.things for file in source_files(thing.project))
