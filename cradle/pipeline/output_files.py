"""What a run hands over: all its files by name, each mesh read back, ready to be written together."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from cradle.export.drawing import NamedRing
from cradle.export.outputs import clearance_labels, holder_files, slice_files
from cradle.pipeline.evaluation import Made
from cradle.pipeline.modelling import OnStep, silent
from cradle.pipeline.report_files import report_files
from cradle.pipeline.row import Row
from cradle.pipeline.slicing import Sliced
from cradle.project.project import Project


def made_files(
    row: Row, mades: Sequence[Made], *, clearances_mm: Sequence[float] = (), on_step: OnStep | None = None
) -> dict[str, bytes]:
    """The files of a row's finished holders by name, ``summary.json`` last.

    Parameters
    ----------
    row : Row
    mades : sequence of Made
        One for each clearance, or one alone.
    clearances_mm : sequence of float
        Those asked for, where it was not the project's own; they tell the files apart.
    on_step : callable, optional
        Called with the name of each step.

    Raises
    ------
    ExportError
        If a file reads back differently.
    """
    say = on_step or silent
    say("writing")
    labels = clearance_labels(clearances_mm or [0.0])
    things = dict(zip(row.slugs, mades[0].things, strict=True))
    files = holder_files(
        slug=row.project.slug,
        holders={label: made.holder.mesh for label, made in zip(labels, mades, strict=True)},
        bodies={slug: held.body.mesh for slug, held in things.items()},
        sections={
            slug: [
                NamedRing(name=s.name, height_mm=s.height_mm, points_mm=s.points_mm) for s in held.sections
            ]
            for slug, held in things.items()
        },
        summary=_summary(mades),
    )
    summary = files.pop("summary.json")
    say("reporting")
    files |= report_files(mades, labels=labels)
    files["summary.json"] = summary
    return files


def sliced_files(project: Project, sliced: Sliced, *, page: str) -> dict[str, bytes]:
    """The files of a project's test pieces by name; ``page`` is the size of the paper, ``A4`` or ``Letter``.

    Raises
    ------
    ExportError
        If a file reads back differently.
    """
    return slice_files(
        slug=project.slug, beds=sliced.beds, paper=sliced.paper, page=page, title=project.thing.name
    )


def _summary(mades: Sequence[Made]) -> dict[str, Any]:
    """The one summary, or a list of them under ``holders``."""
    if len(mades) == 1:
        return mades[0].summary
    return {"name": mades[0].project.thing.name, "holders": [made.summary for made in mades]}
