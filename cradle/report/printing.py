"""How the holder is printed: mass and filament as ranges, lines, layers and a brim, from its geometry."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.geometry.mesh import TriMesh, bounds_mm, surface_area_mm2, volume_mm3
from cradle.noun import record
from cradle.project.materials import material_named, solid_density_g_cm3
from cradle.project.printer import PrinterSpec

_FILAMENTS_MM: Final = (1.75, 2.85)
"""Filament diameters on the market (common practice, no source)."""
SHELL_LINES: Final = 2
SPARSE: Final = 0.1
"""The lightest print assumed: so many outlines per layer, and this share of infill (common practice, no source)."""

_SLENDER: Final = 3.0
"""A print so much higher than its base is wide is easily knocked off the bed (common practice, no source)."""
_BASE_MM: Final = 0.05
"""What lies so near to the bed is the base."""


@record
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
        (d, least / (np.pi * d * d / 4) / 1000, whole / (np.pi * d * d / 4) / 1000) for d in _FILAMENTS_MM
    )
    return PrintNotes(
        material=known.name if known else f"{printer.material} (estimated as PLA)",
        mass_g=(least / 1000 * density, whole / 1000 * density),
        filament_m=lengths,
    )


def print_hints(mesh: TriMesh, *, printer: PrinterSpec, wall_mm: float) -> tuple[str, ...]:
    """Sentences on walls, layers and a brim.

    Parameters
    ----------
    mesh : TriMesh
        The holder as it is printed, its base at z = 0.
    wall_mm : float
        Its thinnest wall.
    """
    low, high = bounds_mm(mesh)
    tall = float(high[2] - low[2])
    base = mesh.vertices_mm[mesh.vertices_mm[:, 2] < low[2] + _BASE_MM, :2]
    narrow = float(np.ptp(base, axis=0).min())
    lines = int(wall_mm / printer.line_mm + 1e-6)
    known = material_named(printer.material)
    if known is not None and known.warps:
        brim = f"Print it with a brim: the corners of {known.name} lift as it cools."
    elif tall > _SLENDER * narrow:
        brim = f"Print it with a brim: it is {tall:.0f} mm high on a base only {narrow:.0f} mm across."
    else:
        brim = "It needs no brim."
    return (
        f"The thinnest wall, {wall_mm:.2f} mm, has room for {lines} {'line' if lines == 1 else 'lines'}.",
        f"It takes {int(np.ceil(tall / printer.layer_mm - 1e-6))} layers.",
        brim,
    )
