"""The files of a run that are for people: report, workshop page, dimensioned drawings."""

from __future__ import annotations

from collections.abc import Sequence

from cradle.drawing.sheet import View, lay_out
from cradle.drawing.views import DrawnPocket, holder_views
from cradle.export.dxf import sheet_dxf_bytes
from cradle.export.sheet_svg import sheet_svg_bytes, view_svg
from cradle.pipeline.evaluation import Made
from cradle.report.facts import Facts
from cradle.report.page import report_html
from cradle.report.workshop import workshop_pdf


def report_files(mades: Sequence[Made], *, labels: Sequence[str]) -> dict[str, bytes]:
    """Files by name, four for each holder; a label, where there is one, ends the name.

    ``fit-report.html``, ``SLUG-workshop.pdf``, ``SLUG-drawing.dxf`` and ``.svg``.
    """
    files: dict[str, bytes] = {}
    for made, label in zip(mades, labels, strict=True):
        slug, end = made.project.slug, f"-{label}" if label else ""
        facts = facts_of(made)
        words = [
            facts.name,
            "holder, plan and cuts, third-angle projection, mm",
            facts.clearance_words,
            f"material {made.project.printer.material}",
            "pocket sizes: largest extent at that height, as calipers read",
        ]
        sheet = lay_out(facts.views)
        files[f"fit-report{end}.html"] = report_html(facts)
        files[f"{slug}-workshop{end}.pdf"] = workshop_pdf(facts)
        files[f"{slug}-drawing{end}.dxf"] = sheet_dxf_bytes(sheet, words=words)
        files[f"{slug}-drawing{end}.svg"] = sheet_svg_bytes(sheet, title=facts.title, words=words)
    return files


def facts_of(made: Made) -> Facts:
    """What a report on a finished holder is written from."""
    views = made_views(made)
    return Facts(
        project=made.project,
        things=made.things,
        holder=made.holder,
        views=views,
        drawings=tuple(view_svg(view, title=view.title) for view in views),
        summary=made.summary,
    )


def made_views(made: Made) -> tuple[View, ...]:
    """Plan and cuts of a finished holder."""
    drawn = []
    for held in made.things:
        heights = held.heights_mm(held.places(made.holder)[0])
        drawn.append(DrawnPocket(pockets=held.pockets, heights_mm=heights, words=held.words))
    return holder_views(made.holder, drawn)
