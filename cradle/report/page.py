"""fit-report.html: one page that holds everything it shows; verdict first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from pathlib import Path
from typing import Final

from cradle.checks.inspection import SOURCE
from cradle.drawing.holder_views import cuts_of
from cradle.drawing.view import View
from cradle.fit.chance_words import percent_asked
from cradle.geometry.mesh import TriMesh, edge_statistics
from cradle.holder.holder import Holder
from cradle.noun import noun
from cradle.report.chance_figure import chance_figure
from cradle.report.doubts import Doubt, doubts_about, steps_after
from cradle.report.facts import gap_words, measured_facts
from cradle.report.gap_figure import gap_figure
from cradle.report.gap_map import GapMap, gap_maps, things_with_gaps
from cradle.report.picture import picture_svg, title_picture
from cradle.report.printing import printing_html
from cradle.report.recommendation import Advised, Recommendation, recommendation
from cradle.report.section_figure import section_figures
from cradle.report.shown_mesh import light_mesh, packed, shown, shown_body
from cradle.report.side_figure import side_figures
from cradle.report.tables import (
    caution_list,
    fact_list,
    finding_list,
    inspection_table,
    placing_table,
    section_table,
)
from cradle.report.viewer import viewer_html
from cradle.report.workshop_views import SIZES_WORDS
from cradle.result.made_holder import MadeHolder
from cradle.result.seated_thing import SeatedThing

STYLE: Final = Path(__file__).parent / "web" / "report.css"
"""The look of the page, on screens of any width and on paper."""
_CLASSES: Final = {Advised.PRINT: "print", Advised.STOP: "stop"}
_OTHER: Final = "pieces"
"""The look of every other verdict."""


@noun
class ReportDrawings:
    """A holder's drawings for its report.

    Attributes
    ----------
    views : tuple of View
        The plan, then the cuts, as `cradle.drawing.holder_views.holder_views` gives them.
    elements : tuple of str
        The same as SVG elements with their dimensions.
    """

    views: tuple[View, ...]
    elements: tuple[str, ...]


def report_html(made: MadeHolder, drawings: ReportDrawings) -> bytes:
    """The report, the same bytes for the same holder, with no reference to anything outside it."""
    parts = page_parts(made, drawings)
    title = escape(made.title)
    page = (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f'<link rel="icon" href="data:,"><title>Fit report: {title}</title><style>\n{STYLE.read_text(encoding="utf-8")}</style></head>\n'
        f"<body><header><p>Fit report</p><h1>Holder for: {escape(made.name)}</h1><p>{escape(made.clearance_words)}</p></header>\n"
        f"<main>{chr(10).join(part for part in parts.values() if part)}</main>\n"
        "<footer>All lengths in mm unless said otherwise. Clearance is the gap on each side, square to the wall."
        " This report estimates; it does not certify.</footer></body></html>\n"
    )
    return page.encode()


def page_parts(made: MadeHolder, drawings: ReportDrawings) -> dict[str, str]:
    """The parts of the page as HTML, in their order; a part without content is empty."""
    advice, doubts = recommendation(made), doubts_about(made)
    verdict = _verdict(advice, doubts, odds=made.chance_words)
    light, gaps = light_mesh(made.holder.solid), gap_maps(made)
    bodies = [shown_body(thing.model.body) for thing in made.things]
    title = title_picture(made, bodies, light or made.holder.mesh)
    return {
        "top": f'<div class="top">{title}{verdict}{_steps(advice, doubts)}</div>',
        "cautions": f"<h2>Take care</h2>{caution_list(made.cautions)}" if made.cautions else "",
        "figures": _figures_of_merit(made),
        "sides": _sides(made, drawings.views),
        "fit": _fit(made, gaps),
        "sections": _sections(made),
        "inspection": _inspection(made),
        "drawing": _drawing(drawings),
        "solid": _solid(light, things_with_gaps(made, bodies, gaps)) if light else "",
        "printing": printing_html(made),
        "findings": f"<h2>Findings</h2>{finding_list(made.findings)}",
    }


def _verdict(advice: Recommendation, doubts: Sequence[Doubt], *, odds: str) -> str:
    listed = f'<ul class="points">{"".join(map(_doubt, doubts))}</ul>' if doubts else ""
    reason = "" if doubts else f"<p>{escape(advice.reason)}</p>"
    return (
        f'<section class="verdict {_CLASSES.get(advice.advised, _OTHER)}" aria-label="verdict">'
        f'<strong>{escape(advice.advised)}</strong><p class="odds">chance of fit {odds}</p>{reason}{listed}</section>'
    )


def _doubt(doubt: Doubt) -> str:
    place = f"<b>{escape(doubt.place)}:</b> " if doubt.place else ""
    advice = f" <em>{escape(doubt.advice)}</em>" if doubt.advice else ""
    return f'<li class="{doubt.severity}">{place}{escape(doubt.message)}{advice}</li>'


def _steps(advice: Recommendation, doubts: Sequence[Doubt]) -> str:
    steps = "".join(f"<li>{escape(step)}</li>" for step in steps_after(doubts, advice))
    return f"<h2>What to do</h2><ol>{steps}</ol>"


def _figures_of_merit(made: MadeHolder) -> str:
    pairs = [
        ("chance of fit" if len(made.things) == 1 else "chance that all fit", made.chance_words),
        ("clearance asked for, per side", f"{made.asked_words} mm"),
        *measured_facts(made),
        ("mesh", "closed" if edge_statistics(made.holder.mesh).closed else "open"),
    ]
    words = ["A closed mesh has no gaps in the model; a print still lets water through."]
    if why := gap_words(made):
        words.insert(0, f"{why[0].upper()}{why[1:]}.")
    return f"<h2>In figures</h2>{fact_list(pairs)}{_small(*map(escape, words))}"


def _inspection(made: MadeHolder) -> str:
    return f"<h2>Inspection dimensions</h2>{inspection_table(made.inspection)}{_small(escape(SOURCE))}"


def _heading(thing: SeatedThing) -> str:
    """Which of several different things a part of the page is about."""
    return f"<h3>{escape(thing.label)}</h3>" if thing.label else ""


def _sides(made: MadeHolder, views: Sequence[View]) -> str:
    parts = [
        _heading(thing) + _side_grid(thing, holder=made.holder, views=cuts_of(views, made.things, n))
        for n, thing in enumerate(made.things)
    ]
    words = (
        "Cut through the middle. Blue: the thing as modelled. Green: measured heights."
        " Red: the line through the sections' middles shows how the thing leans. Arrow: the way it is lifted out."
    )
    if any(thing.model.project.thing.height_mm is not None for thing in made.things):
        words += " Dashed: its full height, shape unknown."
    if any(thing.model.project.thing.balance_mm is not None for thing in made.things):
        words += " Black and white disc: centre of mass."
    return f"<h2>The thing in its holder</h2>{_small(words)}{''.join(parts)}"


def _side_grid(thing: SeatedThing, *, holder: Holder, views: Sequence[View]) -> str:
    sides = side_figures(thing, holder=holder, views=views)
    return _grid(_figure(svg, f"{caption}.") for caption, svg in sides)


def _sections(made: MadeHolder) -> str:
    words = (
        "From above, the front at the bottom. Blue: the outline as used, with its width and depth."
        " Dashed red: as traced, before hollows were spanned, outlines of one form averaged, and it was scaled to the calipers. Brown: the pocket at that height."
    )
    parts = "".join(_heading(thing) + _section_grid(thing) for thing in made.things)
    return f"<h2>Sections against their tracings</h2>{_small(words)}{parts}"


def _section_grid(thing: SeatedThing) -> str:
    shown_of, sections = section_figures(thing), thing.model.sections
    figures = _grid(_figure(svg, f"{section.name} at {section.height_mm:g} mm") for section, svg in shown_of)
    left_out = len(shown_of) < len(sections)
    words = _small(f"{len(shown_of)} of {len(sections)} sections are shown.") if left_out else ""
    placed = placing_table(sections, thing.model.posterior)
    return f"{words}{figures}<p></p>{section_table(sections)}{placed}"


def _fit(made: MadeHolder, gaps: Sequence[GapMap]) -> str:
    parts = "".join(_heading(t) + _fit_grid(t, its) for t, its in zip(made.things, gaps, strict=True))
    words = ""
    if len(made.things) > 1:
        each, all_of_them = made.project.chance_of_each, made.project.fit.chance
        words = _small(
            f"So that all go in with a chance of {percent_asked(all_of_them)}, each aims at {percent_asked(each)}."
        )
    return f"<h2>The fit</h2>{words}{parts}"


def _fit_grid(thing: SeatedThing, gaps: GapMap) -> str:
    project, assessment = thing.model.project, thing.assessment
    chance = assessment.chance
    svg = chance_figure(
        chance.curve,
        asked_mm=thing.clearance.least_mm,
        told=thing.clearance.least_told,
        chance=chance.chance,
        goal=project.chance_of_each,
    )
    how = "pressing its lining at most" if project.fit.lining_mm else "without touching"
    caption = f"How the chance of fit (going in {how}) grows with the clearance."
    if assessment.where_to_measure:
        caption += (
            f" To {'hold it closer' if assessment.closer else 'raise it'}: {assessment.where_to_measure}."
        )
    parts = [_figure(svg, caption)]
    if (gaps.gaps_mm > 0).any():
        caption = (
            "Gap between the thing and the pocket, unrolled once around the thing, mm; heights of sections on the left."
            " Wider than asked means room to get in, or a change of shape."
        )
        parts.append(_figure(gap_figure(thing, gaps), caption))
    return _grid(parts)


def _solid(light: TriMesh, things: dict[str, object]) -> str:
    """The 3-D view."""
    holder = shown(light)
    data = {"holder": packed(holder), "thing": things}
    return f"<h2>3-D view</h2>{viewer_html(data, still=picture_svg(holder))}"


def _drawing(drawings: ReportDrawings) -> str:
    figures = [f'<figure class="drawing">{svg}</figure>' for svg in drawings.elements]
    return f"<h2>Plan and cuts</h2>{_small(SIZES_WORDS)}{_grid(figures)}" if figures else ""


def _small(*paragraphs: str) -> str:
    return "".join(f'<p class="small">{words}</p>' for words in paragraphs)


def _figure(svg: str, caption: str) -> str:
    return f"<figure>{svg}<figcaption>{escape(caption)}</figcaption></figure>"


def _grid(figures: Iterable[str]) -> str:
    return f'<div class="grid">{"".join(figures)}</div>'
