"""What was traced, as a table for people and as JSON for programs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rich.table import Table

from cradle.cli.console import new_console, print_findings, print_written, say
from cradle.cli.json_output import print_json
from cradle.export.named_ring import layer_names
from cradle.project.writer import toml_value
from cradle.report.finding_row import finding_row

if TYPE_CHECKING:
    from cradle.capture.traced_picture import TracedPicture
    from cradle.export.named_ring import NamedRing


def show_trace(
    traced: TracedPicture, rings: Sequence[NamedRing], *, written: Sequence[Path], code: int, as_json: bool
) -> None:
    """Show outlines with their scale, what is wrong with them, the files written, the outlines' first, and what comes next."""
    if as_json:
        print_json(_result(traced, written=written, code=code))
        return
    console, target = new_console(), written[0]
    console.print(_outline_table(traced))
    say(console, f"scale: {traced.scales.used.told}")
    for other in traced.scales.others:
        say(console, f"also found: {other.told}")
    print_findings(console, traced.findings)
    print_written(console, written)
    layer = _first_layer(rings, target)
    which = f', and layer = "{layer}" for piece {traced.pieces[0].number}' if layer else ""
    named = toml_value(_from_here(target))
    say(console, f"in a section of the project file say outline = {named}{which}", head="next: ")


def _from_here(path: Path) -> str:
    """A file as a project in the working folder names it; one that lies elsewhere by its name alone."""
    whole, here = path.absolute(), Path.cwd()
    return whole.relative_to(here).as_posix() if whole.is_relative_to(here) else path.name


def _result(traced: TracedPicture, *, written: Sequence[Path], code: int) -> dict[str, Any]:
    return {
        "exit_code": code,
        "scale": traced.scales.used.told,
        "scales_found": [scale.told for scale in traced.scales.found],
        "pieces": [
            {
                "number": piece.number,
                "width_mm": round(piece.size_mm[0], 4),
                "depth_mm": round(piece.size_mm[1], 4),
                "points": len(piece.ring_mm),
                "edge_mm": round(piece.edge_mm, 4),
                "scale_share": [round(share, 6) for share in piece.scale_share],
                "line_width_mm": None if piece.line_width_mm is None else round(piece.line_width_mm, 4),
            }
            for piece in traced.pieces
        ],
        "files": [str(path) for path in written],
        "findings": [finding_row(finding) for finding in traced.findings],
    }


def _outline_table(traced: TracedPicture) -> Table:
    table = Table(title="outlines, mm", title_justify="left")
    for heading in ("piece", "width", "depth", "points", "edge ±", "x ± %", "y ± %"):
        table.add_column(heading, justify="right")
    for piece in traced.pieces:
        width, depth = piece.size_mm
        shares = (f"{100 * share:.2f}" for share in piece.scale_share)
        cells = (f"{width:.2f}", f"{depth:.2f}", str(len(piece.ring_mm)), f"{piece.edge_mm:.3f}")
        table.add_row(str(piece.number), *cells, *shares)
    return table


def _first_layer(rings: Sequence[NamedRing], target: Path) -> str:
    """What of a drawing with several pieces is the first; empty where it is the only one."""
    if len(rings) == 1:
        return ""
    return layer_names(rings)[0] if target.suffix.lower() == ".dxf" else "section-1"
