"""How to print the holder, as a part of the page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.finding import Finding, but_notes
from cradle.geometry.mesh import TriMesh, bounds_mm, surface_area_mm2, volume_mm3
from cradle.names import counted
from cradle.project.printer import PrinterSpec
from cradle.report.tables import fact_list
from cradle.result.made_holder import MadeHolder

_OVERHANGS: Final = frozenset({"overhang", "bridge"})
"""Codes of findings about what hangs over the bed."""
_FILAMENTS_MM: Final = (1.75, 2.85)
"""Filament diameters on the market (common practice, no source)."""
SHELL_LINES: Final = 2
SPARSE: Final = 0.1
"""The lightest print assumed: so many outlines per layer, and this share of infill (common practice, no source)."""
_SLENDER: Final = 3.0
"""A print so much higher than its base is wide is easily knocked off the bed (common practice, no source)."""
_BASE_MM: Final = 0.05
"""What lies so near to the bed is the base."""


def print_facts(mesh: TriMesh, *, printer: PrinterSpec) -> list[tuple[str, str]]:
    """Material, lines, mass and length of filament of a holder, from a sparse print to a solid one, by name."""
    solid = volume_mm3(mesh)
    shell = min(solid, surface_area_mm2(mesh) * SHELL_LINES * printer.line_mm)
    sparse = shell + SPARSE * (solid - shell)
    known, density = printer.known_material, printer.solid_density_g_cm3

    def between(unit: str, *, for_each_mm3: float) -> str:
        return f"{sparse * for_each_mm3:.0f} to {solid * for_each_mm3:.0f} {unit}"

    return [
        ("material", known.name if known else f"{printer.material} (estimated as PLA)"),
        ("line width", f"{printer.line_mm:g} mm"),
        ("layer height", f"{printer.layer_mm:g} mm"),
        ("mass", between("g", for_each_mm3=density / 1000)),
        *((f"{d:g} mm filament", between("m", for_each_mm3=4e-3 / (np.pi * d**2))) for d in _FILAMENTS_MM),
    ]


def print_hints(mesh: TriMesh, *, printer: PrinterSpec, wall_mm: float) -> tuple[str, ...]:
    """Sentences on walls, layers and a brim."""
    low, high = bounds_mm(mesh)
    tall = float(high[2] - low[2])
    base = mesh.vertices_mm[mesh.vertices_mm[:, 2] < low[2] + _BASE_MM, :2]
    narrow = float(np.ptp(base, axis=0).min())
    lines = int(wall_mm / printer.line_mm + 1e-6)
    known = printer.known_material
    if known is not None and known.warps:
        brim = f"Print it with a brim: the corners of {known.name} lift as it cools."
    elif tall > _SLENDER * narrow:
        brim = f"Print it with a brim: it is {tall:.0f} mm high on a base only {narrow:.0f} mm across."
    else:
        brim = "It needs no brim."
    return (
        f"The thinnest wall, {wall_mm:.2f} mm, has room for {counted(lines, 'line')}.",
        f"It takes {int(np.ceil(tall / printer.layer_mm - 1e-6))} layers.",
        brim,
    )


def printing_html(made: MadeHolder) -> str:
    """Orientation, supports, layers and brim in sentences; material, lines and mass as figures."""
    printer, mesh = made.project.printer, made.holder.mesh
    hints = print_hints(mesh, printer=printer, wall_mm=made.wall.least_mm)
    return (
        "<h2>Printing</h2><p>Print it in the orientation of the file: base on the bed, opening up."
        f" {_support_words(made.findings)} {' '.join(hints)}</p>"
        f"{fact_list(print_facts(mesh, printer=printer))}"
        f'<p class="small">From {SHELL_LINES} outlines per layer and {100 * SPARSE:.0f} % infill up to solid;'
        " supports, brim and waste not counted.</p>"
    )


def _support_words(findings: Sequence[Finding]) -> str:
    """Whether the print needs supports, by what was found of its overhangs."""
    steep = [f for f in but_notes(findings) if f.code in _OVERHANGS]
    if not steep:
        return "No supports are needed."
    places = "One place needs" if len(steep) == 1 else f"{len(steep)} places need"
    return f"{places} support or another shape: see the findings."
