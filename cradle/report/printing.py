"""How the holder is printed: mass and filament as ranges, estimated from its geometry."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from cradle.geometry.mesh import TriMesh, surface_area_mm2, volume_mm3
from cradle.project.materials import material_named, solid_density_g_cm3
from cradle.project.printer import PrinterSpec

FILAMENTS_MM: Final = (1.75, 2.85)
"""Filament diameters on the market (common practice, no source)."""
SHELL_LINES: Final = 2
SPARSE: Final = 0.1
"""The lightest print assumed: so many outlines per layer, and this share of infill (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintNotes:
    """Mass and filament from a sparse print to a solid one.

    ``filament_m`` holds (diameter in mm, least and greatest length in m).
    """

    material: str
    mass_g: tuple[float, float]
    filament_m: tuple[tuple[float, float, float], ...]


def print_notes(mesh: TriMesh, *, printer: PrinterSpec) -> PrintNotes:
    """Mass and filament length of a holder."""
    whole = volume_mm3(mesh)
    shell = min(whole, surface_area_mm2(mesh) * SHELL_LINES * printer.line_mm)
    least = shell + SPARSE * (whole - shell)
    known = material_named(printer.material)
    density = solid_density_g_cm3(printer.material)
    lengths = tuple(
        (d, least / (np.pi * d * d / 4) / 1000, whole / (np.pi * d * d / 4) / 1000) for d in FILAMENTS_MM
    )
    return PrintNotes(
        material=known.name if known else f"{printer.material} (estimated as PLA)",
        mass_g=(least / 1000 * density, whole / 1000 * density),
        filament_m=lengths,
    )
