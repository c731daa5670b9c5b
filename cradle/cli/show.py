"""Results for people, as tables, and for programs, as JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from rich.markup import escape
from rich.table import Table

from cradle.checks.cautions import ALWAYS
from cradle.cli.console import new_console, print_findings
from cradle.finding import Severity
from cradle.report.summary import finding_row, section_row
from cradle.units import exact_mm

if TYPE_CHECKING:
    from cradle.pipeline import Made, Row, Sliced


def show_check(row: Row, *, code: int, as_json: bool) -> None:
    """Show what was read and what is doubtful about it."""
    things = [[section_row(section) for section in thing.sections] for thing in row.things]
    if as_json:
        _print_json(
            {
                "exit_code": code,
                "name": row.project.thing.name,
                "sections": things[0],
                "things": [
                    {"name": thing.project.thing.name, "pockets": row.order.count(n), "sections": rows}
                    for n, (thing, rows) in enumerate(zip(row.things, things, strict=True))
                ],
                "findings": [finding_row(finding) for finding in row.findings],
            }
        )
        return
    console = new_console()
    for label, rows in zip(row.labels, things, strict=True):
        console.print(_section_table(rows, label=label))
    print_findings(console, row.findings)


def show_make(mades: Sequence[Made], *, written: Sequence[Path], code: int, as_json: bool) -> None:
    """Show the holders side by side, what is doubtful about them, and the files written."""
    if as_json:
        summaries = [made.summary for made in mades]
        _print_json({"exit_code": code, "files": [str(path) for path in written], "holders": summaries})
        return
    console = new_console()
    for held, thing in zip(mades[0].things, mades[0].summary["things"], strict=True):
        console.print(_section_table(thing["sections"], label=held.label))
    console.print(_holder_table([made.summary for made in mades], names=_holder_names(mades)))
    loud = [[f for f in made.findings if f.severity is not Severity.NOTE] for made in mades]
    print_findings(console, *loud, names=_holder_names(mades))
    notes = len({f for made in mades for f in made.findings if f.severity is Severity.NOTE})
    if notes:
        console.print(
            f"and {notes} notes on what was repaired and chosen: see fit-report.html", highlight=False
        )
    for caution in mades[0].summary["cautions"]:
        if caution not in ALWAYS:
            console.print(f"take care: {escape(caution)}", highlight=False, soft_wrap=True)
    for path in written:
        console.print(f"wrote {path}", markup=False, highlight=False, soft_wrap=True)


def show_slices(
    sliced: Sliced, *, written: Sequence[Path], others: Sequence[str], code: int, as_json: bool
) -> None:
    """Show the test pieces with what calipers should read, what is doubtful about them, and the files written.

    ``others`` are the project files of the other things in the row: their slices are their own.
    """
    rows = [
        {
            "name": piece.name,
            "height_mm": round(piece.height_mm, 3),
            "clearance_mm": piece.clearance_mm,
            "measures_mm": [round(v, 2) for v in piece.inside_mm],
        }
        for piece in sliced.slices
    ]
    if as_json:
        _print_json(
            {
                "exit_code": code,
                "files": [str(path) for path in written],
                "slices": rows,
                "findings": [finding_row(finding) for finding in sliced.findings],
            }
        )
        return
    console = new_console()
    beds = len(sliced.beds)
    table = Table(title=f"test pieces on {beds} bed{'s' if beds > 1 else ''}, mm", title_justify="left")
    for heading in ("name", "height", "clearance per side", "calipers: width x depth"):
        table.add_column(heading, justify="left" if heading == "name" else "right")
    for piece in sliced.slices:
        table.add_row(
            escape(piece.name),
            _number(piece.height_mm),
            "-" if piece.clearance_mm is None else exact_mm(piece.clearance_mm),
            _pair(piece.inside_mm),
        )
    console.print(table)
    console.print("rings: what their inside should read half way up; pegs: their outside", highlight=False)
    print_findings(console, [f for f in sliced.findings if f.severity is not Severity.NOTE])
    for file in dict.fromkeys(others):
        console.print(
            f"another thing in the row: its slices come from its own project, {escape(file)}",
            highlight=False,
            soft_wrap=True,
        )
    for path in written:
        console.print(f"wrote {path}", markup=False, highlight=False, soft_wrap=True)


def _section_table(rows: Sequence[dict[str, Any]], *, label: str = "") -> Table:
    of = f" of {escape(label)}" if label else ""
    table = Table(title=f"sections{of}, mm", title_justify="left")
    for heading in ("name", "height", "traced", "calipers", "scale", "used", "placed by"):
        table.add_column(heading, justify="left" if heading in ("name", "placed by") else "right")
    for row in rows:
        table.add_row(
            escape(str(row["name"])),
            _number(row["height_mm"]),
            _pair(row["traced_mm"]),
            _pair(row["caliper_mm"]),
            _pair(row["scale"], digits=4),
            _pair(row["used_mm"]),
            escape(str(row["placed_by"])),
        )
    return table


def _holder_table(summaries: Sequence[dict[str, Any]], *, names: Sequence[str]) -> Table:
    """One column for each holder."""
    table = Table(title="holder" if len(summaries) == 1 else "holders compared", title_justify="left")
    table.add_column("")
    for name in names:
        table.add_column(name, justify="right")
    lines: list[tuple[str, str, int]] = [
        ("least clearance, mm per side", "clearance_least_mm", 3),
        ("chance of fit" if len(summaries[0]["things"]) == 1 else "chance that all fit", "chance_of_fit", 2),
        ("thinnest wall, mm", "wall_least_mm", 2),
        ("undercut, mm", "undercut_mm", 2),
        ("tips at, deg", "tip_angle_deg", 1),
        ("volume, cm³", "volume_cm3", 1),
        ("mass if solid, g", "mass_g", 0),
        ("triangles", "triangles", 0),
    ]
    if summaries[0]["wall_between_mm"] is not None:
        lines.insert(3, ("thinnest wall between pockets, mm", "wall_between_mm", 2))
    if all(summary["fixed_to_wall"] for summary in summaries):
        lines = [line for line in lines if line[1] != "tip_angle_deg"]
    table.add_row("size, mm", *(" x ".join(_number(v, digits=1) for v in s["size_mm"]) for s in summaries))
    for label, key, digits in lines:
        table.add_row(label, *(_number(summary[key], digits=digits) for summary in summaries))
    read = [{row["name"]: row["length_mm"] for row in s["control_dimensions"]} for s in summaries]
    for name in dict.fromkeys(name for lengths in read for name in lengths):
        table.add_row(escape(f"calipers: {name}, mm"), *(_number(lengths.get(name)) for lengths in read))
    return table


def _holder_names(mades: Sequence[Made]) -> list[str]:
    asked = [min(held.clearance.least_mm for held in made.things) for made in mades]
    return [f"{exact_mm(value)} mm per side" for value in asked]


def _number(value: float | None, *, digits: int = 2) -> str:
    return "-" if value is None else f"{value:.{digits}f}"


def _pair(values: Sequence[float | None], *, digits: int = 2) -> str:
    return " x ".join(_number(v, digits=digits) for v in values)


def _print_json(content: dict[str, Any]) -> None:
    click.echo(json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False))
