"""A project as it was read and its holders, as tables for people and as JSON for programs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from rich.markup import escape
from rich.table import Table

from cradle.checks.cautions import ALWAYS
from cradle.cli.console import new_console, print_findings, print_written, say
from cradle.cli.json_output import print_json
from cradle.finding import but_notes, on_file
from cradle.geometry.mesh import volume_mm3
from cradle.geometry.ring import size
from cradle.names import command, counted, listed
from cradle.report.doubts import doubts_about, gravity, seeing_to, steps_after
from cradle.report.facts import gap_words, lift_out_words
from cradle.report.finding_row import finding_row
from cradle.report.in_brief import doubts_in_brief, notes_in_brief
from cradle.report.recommendation import recommendation, step_after_check
from cradle.report.summary import section_row, summary_of

if TYPE_CHECKING:
    from rich.console import Console

    from cradle.finding import Finding
    from cradle.pipeline import Row
    from cradle.result.made_holder import MadeHolder
    from cradle.sections.section import Section


_CALIPERS: Final = "calipers should read, mm"


def show_check(row: Row, made: MadeHolder, *, code: int, as_json: bool) -> None:
    """Show what was read, what the holder will be like that it leads to, and what is wrong with both."""
    if as_json:
        things = [[section_row(section) for section in thing.sections] for thing in row.things]
        print_json(
            {
                "exit_code": code,
                "name": row.project.thing.name,
                "sections": things[0],
                "things": [
                    {"name": thing.project.thing.name, "pockets": row.order.count(n), "sections": rows}
                    for n, (thing, rows) in enumerate(zip(row.things, things, strict=True))
                ],
                "size_mm": [round(v, 1) for v in made.size_mm],
                "clearance_asked_mm": round(made.asked_mm, 4),
                "chance_of_fit": round(made.chance, 4),
                "findings": [finding_row(finding) for finding in made.findings],
            }
        )
        return
    console = new_console()
    findings = _as_typed(made)
    _print_sections(console, row)
    _print_notes(console, findings)
    size = " × ".join(number(v, digits=1) for v in made.size_mm)
    say(
        console,
        f"the holder will be {size} mm, with {made.clearance_words}; chance of fit {made.chance_words}",
    )
    print_findings(console, doubts_in_brief(findings), rank=gravity)
    after = step_after_check(made, folder=str(row.project.file.parent))
    _print_steps(console, (*seeing_to(doubts_about(made)), after))


def show_read(row: Row) -> None:
    """Show what was read, and what is wrong with it, of a project that leads to no holder."""
    console = new_console()
    _print_sections(console, row)
    _print_notes(console, row.findings)
    print_findings(console, doubts_in_brief(row.findings))


def _as_typed(made: MadeHolder) -> tuple[Finding, ...]:
    """The findings on a holder, commands on its project as they are typed here."""
    return on_file(made.findings, str(made.project.file))


def _print_notes(console: Console, findings: Sequence[Finding]) -> None:
    """Print what was chosen and repaired, before what is to be done something about."""
    print_findings(console, notes_in_brief(findings))


def _print_steps(console: Console, steps: Sequence[str]) -> None:
    for number, step in enumerate(steps, start=1):
        say(console, step, head=f"{number}. ")


def _print_sections(console: Console, row: Row) -> None:
    for label, thing in zip(row.labels, row.things, strict=True):
        console.print(_section_table(thing.sections, label=label))


def show_make(
    mades: Sequence[MadeHolder],
    *,
    written: Sequence[Path],
    displaced: str | None,
    code: int,
    as_json: bool,
) -> None:
    """Show the figures side by side, the files written, and last, where it is seen first, the verdict on each holder and what to do.

    ``displaced`` is the name of another project's holder whose report and summary the files written took the place of.
    """
    if as_json:
        summaries = [summary_of(made) for made in mades]
        print_json({"exit_code": code, "files": [str(path) for path in written], "holders": summaries})
        return
    console = new_console()
    asked = [made.asked_words for made in mades]
    names = [f"{clearances} mm per side" for clearances in asked]
    for thing in mades[0].things:
        console.print(_section_table(thing.model.sections, label=thing.label))
    console.print(_holder_table(mades, headings=names if len(mades) == 1 else asked))
    for asked_here, made in zip(names, mades, strict=True):
        why = gap_words(made)
        if why:
            whose = "" if len(mades) == 1 else f"{asked_here}: "
            say(console, f"{whose}{why}")
    print_written(console, written)
    if displaced is not None:
        say(
            console,
            f"the fit report and summary.json of {displaced}, made into this folder before, were replaced; make each holder "
            "into a folder of its own (-o)",
        )
    _print_in_short(console, mades)
    folder = str(mades[0].project.file.parent)
    advised = [recommendation(made, folder=folder) for made in mades]
    for name, made, advice in zip(names, mades, advised, strict=True):
        whose = "" if len(mades) == 1 else f"{name}: "
        head = f"{whose}{advice.advised.capitalize()}"
        say(console, f": chance of fit {made.chance_words}", head=head, style="bold")
    print_findings(console, *(doubts_in_brief(_as_typed(made)) for made in mades), names=names, rank=gravity)
    if len(mades) > 1:
        _print_choice(console, mades[0])
        return
    if not but_notes(mades[0].findings):
        say(console, advised[0].reason)
    _print_steps(console, steps_after(doubts_about(mades[0]), advised[0]))


def _print_in_short(console: Console, mades: Sequence[MadeHolder]) -> None:
    """Print what is the same of all holders but for a clearance: how many notes there are, the ways out, and what to take care of."""
    notes = len({note for made in mades for note in notes_in_brief(made.findings)})
    if notes:
        report = "fit-report.html" if len(mades) == 1 else "the fit reports"
        say(console, f"{counted(notes, 'note')} on repairs and choices: see {report}")
    for words, labels in _ways_out(mades[0]).items():
        are = "are" if len(labels) > 1 else "is"
        say(console, f"{listed(labels)} {are} lifted out {words}")
    for caution in mades[0].cautions:
        if caution not in ALWAYS:
            say(console, caution, head="take care: ", style="bold")


def _print_choice(console: Console, first: MadeHolder) -> None:
    """Print how to go on with one of several holders."""
    chosen = f"clearance = {first.least_told}"
    cut = command("pieces", str(first.project.file))
    say(
        console,
        f"choose one, write its clearance under [fit], such as {chosen}, and go on with “{cut}”",
        head="next: ",
    )


def _ways_out(made: MadeHolder) -> dict[str, list[str]]:
    """Ways out in words, and the things that are lifted out so."""
    ways: dict[str, list[str]] = {}
    for thing in made.things:
        ways.setdefault(lift_out_words(thing.pocket.direction), []).append(thing.label or "the thing")
    return ways


def _section_table(sections: Sequence[Section], *, label: str) -> Table:
    of = f" of {escape(label)}" if label else ""
    table = Table(title=f"sections{of}, mm", title_justify="left")
    for heading in ("name", "height", "outline", "calipers", "used", "placed by"):
        table.add_column(heading, justify="left" if heading in ("name", "placed by") else "right")
    for section in sections:
        table.add_row(
            escape(section.name),
            number(section.height_mm),
            pair(section.traced_mm),
            pair(section.caliper_mm),
            pair(size(section.points_mm)),
            escape(str(section.placed_by)),
        )
    return table


def _holder_table(mades: Sequence[MadeHolder], *, headings: Sequence[str]) -> Table:
    """One column for each holder."""
    title = "holder" if len(mades) == 1 else "holders compared; clearance in mm per side"
    table = Table(title=title, title_justify="left")
    table.add_column("")
    for heading in headings:
        table.add_column(heading, justify="right")
    for label, cells in _figures(mades):
        table.add_row(label, *cells)
    readings = [{c.name: c.length_mm for c in made.inspection} for made in mades]
    table.add_section()
    table.add_row(_CALIPERS)
    for name in dict.fromkeys(name for lengths in readings for name in lengths):
        table.add_row(escape(name), *(number(lengths.get(name)) for lengths in readings))
    return table


def _figures(mades: Sequence[MadeHolder]) -> list[tuple[str, list[str]]]:
    """What is told of each holder, and its value for each of them."""
    first = mades[0]

    def row(label: str, figure: Callable[[MadeHolder], float | None], digits: int) -> tuple[str, list[str]]:
        return label, [number(figure(made), digits=digits) for made in mades]

    several = len(mades) > 1  # among the inspection dimensions each has a line of its own
    sizes = [] if several else [("size, mm", ["×".join(number(v, digits=1) for v in first.size_mm)])]
    added = [("added after trials, mm per side", [made.added_words for made in mades])]
    rows = [
        *sizes,
        *(added if first.added_words else []),
        row("least gap, mm per side", lambda made: made.tightest.least_gap_mm, 2),
        (
            "chance of fit" if len(first.things) == 1 else "chance that all fit",
            [made.chance_words for made in mades],
        ),
        row("thinnest wall, mm", lambda made: made.wall.least_mm, 2),
    ]
    if first.wall.between_mm is not None:
        rows.append(row("thinnest wall between pockets, mm", lambda made: made.wall.between_mm, 2))
    rows.append(row("undercut, mm", lambda made: made.most_undercut.pocket.undercut.depth_mm, 2))
    if not all(made.holder.fixed_to_wall for made in mades):
        rows.append(row("tips at, deg", lambda made: made.standing.tip_angle_deg, 1))
    return [
        *rows,
        row("volume, cm³", lambda made: volume_mm3(made.holder.mesh) / 1000, 1),
        row("mass if solid, g", lambda made: made.mass_g, 0),
        row("triangles", lambda made: made.triangles, 0),
    ]


def number(value: float | None, *, digits: int = 2) -> str:
    """A figure of a table; a dash where there is none."""
    return "-" if value is None else f"{value:.{digits}f}"


def pair(values: Sequence[float | None]) -> str:
    """Width and depth in a table."""
    return "×".join(number(v) for v in values)
