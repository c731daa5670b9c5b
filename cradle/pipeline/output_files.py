"""All files of a run by name, each mesh read back, ready to be written together."""

from __future__ import annotations

from collections.abc import Sequence

from cradle.drawing.holder_views import holder_views
from cradle.drawing.layout import lay_out, scale_words, usual_scale
from cradle.export.drill_template import drill_template_pdf
from cradle.export.dxf import sheet_dxf_bytes
from cradle.export.named_ring import NamedRing
from cradle.export.outputs import clearance_labels, holder_files, json_bytes, piece_files
from cradle.export.sheet_svg import sheet_svg_bytes, view_elements
from cradle.holder.on_the_wall import back_outline_mm, screw_words, wall_places_mm
from cradle.pipeline.fit_pieces import FitPieces
from cradle.pipeline.modelling import OnStep
from cradle.pipeline.row import Row
from cradle.project.project import Project
from cradle.report.page import ReportDrawings, report_html
from cradle.report.summary import run_summary
from cradle.report.workshop import workshop_pdf
from cradle.result.made_holder import MadeHolder


def made_files(
    row: Row,
    mades: Sequence[MadeHolder],
    *,
    clearances_mm: Sequence[float] = (),
    on_step: OnStep,
) -> dict[str, bytes]:
    """The files of a row's finished holders by name, ``summary.json`` last.

    Parameters
    ----------
    mades : sequence of MadeHolder
        One for each clearance, or one alone.
    clearances_mm : sequence of float
        Those asked for, where it was not the project's own; they tell the files apart.

    Raises
    ------
    ExportError
        If a file reads back differently.
    """
    on_step("writing")
    labels = clearance_labels(clearances_mm or [0.0])
    models = dict(zip(row.slugs, row.things, strict=True))
    files = holder_files(
        slug=row.project.slug,
        holders={label: made.holder.mesh for label, made in zip(labels, mades, strict=True)},
        bodies={slug: model.body.mesh for slug, model in models.items()},
        sections={
            slug: [
                NamedRing(name=s.name, height_mm=s.height_mm, points_mm=s.points_mm) for s in model.sections
            ]
            for slug, model in models.items()
        },
    )
    on_step("reporting")
    for made, label in zip(mades, labels, strict=True):
        files |= report_files(made, label=label)
    files["summary.json"] = json_bytes(run_summary(mades))
    return files


def report_files(made: MadeHolder, *, label: str) -> dict[str, bytes]:
    """A holder's files for people by name; a label, where there is one, ends the name.

    ``fit-report.html``, ``SLUG-workshop.pdf``, ``SLUG-drawing.dxf`` and ``.svg``;
    ``SLUG-drill-template.pdf`` where screws go into a wall.
    """
    slug, end = made.project.slug, f"-{label}" if label else ""
    drawings = report_drawings(made)
    scale = usual_scale(drawings.views)
    words = [
        made.name,
        f"holder, plan and cuts, mm, drawn for {scale_words(scale)}",
        made.clearance_words,
        f"material {made.project.printer.material}",
        "pocket sizes: the largest at their height,",
        "where the thin lines are, before or behind the cut",
    ]
    sheet = lay_out(drawings.views, scale=scale, words=words)
    files = {
        f"fit-report{end}.html": report_html(made, drawings),
        f"{slug}-workshop{end}.pdf": workshop_pdf(made, drawings.views),
        f"{slug}-drawing{end}.dxf": sheet_dxf_bytes(sheet),
        f"{slug}-drawing{end}.svg": sheet_svg_bytes(sheet, title=made.title),
    }
    places = wall_places_mm(made.holder)
    if len(places):
        files[f"{slug}-drill-template{end}.pdf"] = drill_template_pdf(
            back_outline_mm(made.holder),
            places,
            screws=screw_words(made.holder),
            page=made.project.printer.paper,
            title=made.name,
        )
    return files


def report_drawings(made: MadeHolder) -> ReportDrawings:
    """Plan and cuts of a finished holder, and the same as SVG elements."""
    views = holder_views(made.holder, made.things)
    return ReportDrawings(views=views, elements=view_elements(views))


def fit_piece_files(project: Project, pieces: FitPieces) -> dict[str, bytes]:
    """The files of a project's test pieces by name.

    Raises
    ------
    ExportError
        If a file reads back differently.
    """
    return piece_files(
        slug=project.slug,
        beds=pieces.beds,
        paper=pieces.paper,
        page=project.printer.paper,
        title=project.thing.name,
    )
