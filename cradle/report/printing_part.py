"""How to print the holder, as a part of the page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from cradle.finding import Finding, but_notes
from cradle.project.printer import PrinterSpec
from cradle.report.printing import SHELL_LINES, SPARSE, PrintNotes, print_hints, print_notes
from cradle.report.tables import fact_list
from cradle.result.made_holder import MadeHolder

_OVERHANGS: Final = frozenset({"overhang", "bridge"})
"""Codes of findings about what hangs over the bed."""


def printing_html(made: MadeHolder) -> str:
    """Orientation, supports, layers and brim in sentences; material, lines and mass as figures."""
    printer, mesh = made.project.printer, made.holder.mesh
    hints = print_hints(mesh, printer=printer, wall_mm=made.wall.least_mm)
    return (
        "<h2>Printing</h2><p>Print it in the orientation of the file: base on the bed, opening up."
        f" {_support_words(made.findings)} {' '.join(hints)}</p>"
        f"{fact_list(_facts(print_notes(mesh, printer=printer), printer))}"
        f'<p class="small">From {SHELL_LINES} outlines per layer and {100 * SPARSE:.0f} % infill up to solid;'
        " supports, brim and waste not counted.</p>"
    )


def _facts(notes: PrintNotes, printer: PrinterSpec) -> list[tuple[str, str]]:
    return [
        ("material", notes.material),
        ("line width", f"{printer.line_mm:g} mm"),
        ("layer height", f"{printer.layer_mm:g} mm"),
        ("mass", f"{notes.mass_g[0]:.0f} to {notes.mass_g[1]:.0f} g"),
        *((f"{d:g} mm filament", f"{low:.0f} to {high:.0f} m") for d, low, high in notes.filament_m),
    ]


def _support_words(findings: Sequence[Finding]) -> str:
    """Whether the print needs supports, by what was found of its overhangs."""
    steep = [f for f in but_notes(findings) if f.code in _OVERHANGS]
    if not steep:
        return "No supports are needed."
    places = "One place needs" if len(steep) == 1 else f"{len(steep)} places need"
    return f"{places} support or another shape: see the findings."
