"""Test pieces, as a table for people and as JSON for programs."""

from __future__ import annotations

from collections.abc import Sequence, Set
from os.path import join, normpath
from pathlib import Path
from typing import TYPE_CHECKING

from rich.markup import escape
from rich.table import Table

from cradle.cli.console import new_console, print_findings, print_written, say
from cradle.cli.json_output import print_json
from cradle.cli.show import number, pair
from cradle.geometry.mesh import volume_mm3
from cradle.names import command, counted, listed
from cradle.project.trial_log import Outcome
from cradle.report.finding_row import finding_row
from cradle.report.in_brief import doubts_in_brief
from cradle.units import exact_mm

if TYPE_CHECKING:
    from rich.console import Console

    from cradle.holder.fit_pieces import FitPiece
    from cradle.pipeline import FitPieces
    from cradle.project.project import Project

_TOLD = frozenset({"piece-idle", "ring-whole"})
"""Codes of notes on the pieces themselves."""


def show_pieces(
    pieces: FitPieces, project: Project, *, written: Sequence[Path], file: Path, code: int, as_json: bool
) -> None:
    """Show the test pieces with what calipers should read, what is wrong with them, the files written and what comes next.

    ``file`` is the project's as it was typed.
    """
    if as_json:
        print_json(
            {
                "exit_code": code,
                "files": [str(path) for path in written],
                "test_pieces": [_piece_row(piece) for piece in pieces.pieces],
                "findings": [finding_row(finding) for finding in pieces.findings],
            }
        )
        return
    console = new_console()
    if pieces.pieces:
        console.print(_piece_table(pieces))
        say(
            console,
            "check with calipers: rings inside, half way up; pegs outside; "
            f"if solid all together weigh {_mass_g(pieces, project):.0f} g",
        )
    else:
        say(console, "no test piece: none would tell anything")
    for finding in pieces.findings:
        if finding.code in _TOLD:
            say(console, finding.message)
    print_findings(console, doubts_in_brief(pieces.findings))
    for other in dict.fromkeys(project.row.things):
        its_file = normpath(join(file.parent, other))
        say(console, f"test pieces of another thing in the row: “{command('pieces', its_file)}”")
    print_written(console, written)
    _say_next(console, pieces, project, file=file)


def _say_next(console: Console, pieces: FitPieces, project: Project, *, file: Path) -> None:
    """Say what comes after the pieces: the holder, where trials settled all; else to note how a ring of middle clearance went."""
    sections = {section.name for section in project.sections}
    noted = [
        [_place_option(piece, sections), ("clearance", exact_mm(piece.clearance_mm)), ("seen", Outcome.TIGHT)]
        for piece in pieces.pieces
        if piece.clearance_mm is not None
    ]
    done = [f.message for f in pieces.findings if f.code == "pieces-settled"]
    if done:
        say(console, f"{done[0]}: “{command('make', str(file))}”", head="next: ")
    elif noted:
        say(
            console,
            f"print them, or one ring at first, try each on the thing and record how it went ({listed([*Outcome], 'or')}), such as"
            f" “{command('trial', str(file), noted[len(noted) // 2])}”",
            head="next: ",
        )


def _mass_g(pieces: FitPieces, project: Project) -> float:
    volume = sum(volume_mm3(piece.mesh) for piece in pieces.pieces)
    return volume / 1000 * project.printer.solid_density_g_cm3


def _place_option(piece: FitPiece, sections: Set[str]) -> tuple[str, str]:
    """How ``cradle trial`` is told where a piece was tried: the option and its value."""
    if piece.section in sections:
        return "section", piece.section
    return "height", exact_mm(piece.height_mm, decimals=0)


def _piece_row(piece: FitPiece) -> dict[str, object]:
    return {
        "name": piece.name,
        "height_mm": round(piece.height_mm, 3),
        "clearance_mm": piece.clearance_mm,
        "measures_mm": [round(v, 2) for v in piece.inside_mm],
    }


def _piece_table(pieces: FitPieces) -> Table:
    table = Table(title=f"test pieces on {counted(len(pieces.beds), 'bed')}, mm", title_justify="left")
    for heading in ("name", "height", "clearance per side", "should read, width x depth"):
        table.add_column(heading, justify="left" if heading == "name" else "right")
    for piece in pieces.pieces:
        table.add_row(
            escape(piece.name),
            number(piece.height_mm),
            "-" if piece.clearance_mm is None else exact_mm(piece.clearance_mm),
            pair(piece.inside_mm),
        )
    return table
