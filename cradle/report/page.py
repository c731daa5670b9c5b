"""fit-report.html: one page that holds everything it shows; verdict first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from typing import Any, Final

from cradle.checks.held import Held
from cradle.drawing.sheet import View
from cradle.holder.holder import Holder
from cradle.report.chance_figure import chance_figure
from cradle.report.facts import Facts
from cradle.report.gap_figure import gap_figure
from cradle.report.gap_map import gap_map
from cradle.report.judgement import Judgement, Verdict, judge
from cradle.report.picture import picture_svg
from cradle.report.printing import SHELL_LINES, SPARSE, print_notes
from cradle.report.section_figure import section_figures
from cradle.report.shown_mesh import beside, light_mesh, shown, shown_body
from cradle.report.side_figure import side_figures
from cradle.report.stylesheet import STYLE
from cradle.report.tables import caution_list, control_table, fact_list, finding_list, section_table
from cradle.report.viewer import viewer_html

_CLASSES: Final = {Verdict.PRINT: "print", Verdict.SLICES: "slices", Verdict.STOP: "stop"}


def report_html(facts: Facts) -> bytes:
    """The report, the same bytes for the same holder, with no reference to anything outside it."""
    parts = page_parts(facts)
    title = escape(facts.title)
    page = (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f'<link rel="icon" href="data:,"><title>Fit report: {title}</title><style>{STYLE}</style></head>\n'
        f"<body><header><p>Fit report</p><h1>Holder for: {escape(facts.name)}</h1><p>{escape(facts.clearance_words)}</p></header>\n"
        f"<main>{chr(10).join(part for part in parts.values() if part)}</main>\n"
        "<footer>All lengths in mm unless said otherwise. Clearance is the gap on each side, square to the wall."
        " This report estimates; it does not certify.</footer></body></html>\n"
    )
    return page.encode()


def page_parts(facts: Facts) -> dict[str, str]:
    """The parts of the page as HTML, in their order; a part without content is empty."""
    judgement = judge(facts.summary, goal=facts.project.fit.chance, project_files=facts.project_files)
    return {
        "verdict": _verdict(judgement),
        "steps": _steps(judgement),
        "cautions": _cautions(facts),
        "figures": _figures_of_merit(facts),
        "sides": _sides(facts),
        "fit": _fit(facts),
        "sections": _sections(facts),
        "control": _control(facts),
        "drawing": _drawing(facts),
        "solid": _solid(facts),
        "printing": _printing(facts),
        "findings": f"<h2>Findings</h2>{finding_list(facts.summary['findings'])}",
    }


def _verdict(judgement: Judgement) -> str:
    return (
        f'<section class="verdict {_CLASSES[judgement.verdict]}" aria-label="verdict">'
        f"<strong>{escape(judgement.verdict)}</strong><p>{escape(judgement.reason)}</p></section>"
    )


def _steps(judgement: Judgement) -> str:
    steps = "".join(f"<li>{escape(step)}</li>" for step in judgement.steps)
    return f"<h2>What to do</h2><ol>{steps}</ol>"


def _cautions(facts: Facts) -> str:
    cautions = facts.summary.get("cautions")
    return f"<h2>Take care</h2>{caution_list(cautions)}" if cautions else ""


def _figures_of_merit(facts: Facts) -> str:
    s = facts.summary
    least = f"{'at least ' if s['clearance_least_is_a_bound'] else ''}{s['clearance_least_mm']:.2f} mm"
    pairs = [
        ("clearance asked for, per side", f"{s['clearance_asked_mm']:.2f} mm"),
        ("least gap measured, per side", least),
        ("thinnest wall", f"{s['wall_least_mm']:.2f} mm"),
        _stands(s),
        ("undercut", f"{s['undercut_mm']:.2f} mm"),
        ("size", " × ".join(f"{v:.1f}" for v in s["size_mm"]) + " mm"),
        ("watertight", "yes" if s["watertight"] else "no"),
    ]
    if s.get("wall_between_mm") is not None:
        pairs.insert(3, ("thinnest wall between pockets", f"{s['wall_between_mm']:.2f} mm"))
    if s.get("floor_least_mm") is not None:
        pairs.insert(3, ("thinnest floor", f"{s['floor_least_mm']:.2f} mm"))
    if s.get("chance_of_fit") is not None:
        what = "chance of fit" if len(facts.things) == 1 else "chance that all fit"
        pairs.insert(0, (what, f"{100 * s['chance_of_fit']:.0f} %"))
    return f"<h2>In figures</h2>{fact_list(pairs)}"


def _stands(summary: Mapping[str, Any]) -> tuple[str, str]:
    if summary.get("fixed_to_wall"):
        return "standing", "fixed to a wall, not judged"
    tips = summary["tip_angle_deg"]
    return "tips over at", f"{tips:.0f}°" if tips > 0 else "falls by itself"


def _control(facts: Facts) -> str:
    source = facts.summary.get("control_source")
    words = f'<p class="small">Allowed: {escape(source)}.</p>' if source else ""
    return f"<h2>Control dimensions</h2>{control_table(facts.summary['control_dimensions'])}{words}"


def _heading(held: Held) -> str:
    """Which of several different things a part of the page is about."""
    return f"<h3>{escape(held.label)}</h3>" if held.label else ""


def _sides(facts: Facts) -> str:
    parts = [
        _heading(held) + _side_grid(held, holder=facts.holder, views=facts.views[1 + 2 * n : 3 + 2 * n])
        for n, held in enumerate(facts.things)
    ]
    words = (
        "The holder is cut through; the thing stands in it as lofted. Green lines: measured heights."
        " Red: the line through the sections’ middles shows how the thing leans."
    )
    if any(held.project.thing.height_mm is not None for held in facts.things):
        words += " Dashed above: stated height, shape not known."
    if any(held.project.thing.balance_mm is not None for held in facts.things):
        words += " The black and white disc is its balance point."
    return f'<h2>The thing in its holder</h2><p class="small">{words}</p>{"".join(parts)}'


def _side_grid(held: Held, *, holder: Holder, views: Sequence[View]) -> str:
    figures = "".join(
        f"<figure>{svg}<figcaption>{escape(caption)}.</figcaption></figure>"
        for caption, svg in side_figures(held, holder=holder, views=views)
    )
    return f'<div class="grid">{figures}</div>'


def _sections(facts: Facts) -> str:
    words = (
        "From above, the front at the bottom. Blue: the outline as used, with its width and depth."
        " Dashed red: as traced, before it was scaled to the calipers. Brown: the pocket at that height."
    )
    parts = "".join(
        _heading(held) + _section_grid(held, rows=row["sections"])
        for held, row in zip(facts.things, facts.summary["things"], strict=True)
    )
    return f'<h2>Sections over their traces</h2><p class="small">{words}</p>{parts}'


def _section_grid(held: Held, *, rows: Sequence[Mapping[str, Any]]) -> str:
    shown_of = section_figures(held)
    figures = "".join(
        f"<figure>{svg}<figcaption>{escape(section.name)} at {section.height_mm:g} mm</figcaption></figure>"
        for section, svg in shown_of
    )
    left_out = len(shown_of) < len(held.sections)
    words = (
        f'<p class="small">{len(shown_of)} of {len(held.sections)} sections are shown.</p>'
        if left_out
        else ""
    )
    return f'{words}<div class="grid">{figures}</div><p></p>{section_table(rows)}'


def _fit(facts: Facts) -> str:
    parts = "".join(
        _heading(held) + _fit_grid(held, row=row)
        for held, row in zip(facts.things, facts.summary["things"], strict=True)
    )
    return f"<h2>The fit</h2>{parts}"


def _fit_grid(held: Held, *, row: Mapping[str, Any]) -> str:
    gaps = gap_map(held.body, held.pocket, lead_in_mm=held.project.block.lead_in_mm)
    parts = []
    fit = row.get("fit") or {}
    chance, curve = row.get("chance_of_fit"), fit.get("curve")
    if chance is not None and curve:
        svg = chance_figure(
            curve, asked_mm=row["clearance_asked_mm"], chance=chance, goal=held.project.fit.chance
        )
        caption = "Chance that the thing goes in without touching, over the clearance."
        if fit.get("measure_next"):
            caption += f" To know it better: {fit['measure_next']}."
        parts.append(f"<figure>{svg}<figcaption>{escape(caption)}</figcaption></figure>")
    if (gaps.gaps_mm > 0).any():
        caption = (
            "Gap between the thing and the pocket, once around, mm; heights of sections on the left."
            " Wider than asked means room to get in, or a change of shape."
        )
        parts.append(f"<figure>{gap_figure(held, gaps)}<figcaption>{caption}</figcaption></figure>")
    return f'<div class="grid">{"".join(parts)}</div>'


def solid_html(facts: Facts, *, keep: str = "") -> str:
    """The view in space alone; ``keep`` is the name under which a browser remembers how it was turned."""
    mesh = light_mesh(facts.holder.solid)
    if mesh is None:
        return ""
    holder = shown(mesh)
    still = picture_svg(holder, title="the holder from the front, the right and above")
    bodies = [shown_body(held.body, place) for held in facts.things for place in held.places(facts.holder)]
    return viewer_html(holder, beside(bodies), still=still, keep=keep)


def _solid(facts: Facts) -> str:
    view = solid_html(facts)
    return f"<h2>In space</h2>{view}" if view else ""


def _drawing(facts: Facts) -> str:
    figures = "".join(f'<figure class="drawing">{svg}</figure>' for svg in facts.drawings)
    return f'<h2>Plan and cuts</h2><div class="grid">{figures}</div>' if figures else ""


def _printing(facts: Facts) -> str:
    printer = facts.project.printer
    notes = print_notes(facts.holder.mesh, printer=printer)
    pairs = [
        ("material", notes.material),
        ("line and layer", f"{printer.line_mm:g} and {printer.layer_mm:g} mm"),
        ("mass", f"{notes.mass_g[0]:.0f} to {notes.mass_g[1]:.0f} g"),
    ]
    pairs += [(f"filament of {d:g} mm", f"{low:.0f} to {high:.0f} m") for d, low, high in notes.filament_m]
    return (
        "<h2>Printing</h2><p>Print it as it lies in the file: foot on the bed, mouth up.</p>"
        f"{fact_list(pairs)}"
        f'<p class="small">From a skin of {SHELL_LINES} lines with the rest filled to {100 * SPARSE:.0f} %, up to solid;'
        " supports, brim and waste not counted.</p>"
    )
