"""What filament materials weigh and when they soften.

Typical figures from makers' data sheets and handbooks; a spool's own data
sheet comes first.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A filament material: density in g/cm³, glass transition in °C (None: soft when cold)."""

    name: str
    density_g_cm3: float
    softens_c: float | None


MATERIALS: Final[Mapping[str, Material]] = {
    m.name: m
    for m in (
        # npj Materials Degradation 2025, table 2: PLA 1.24 g/cm³, 55-60 °C
        Material(name="PLA", density_g_cm3=1.24, softens_c=55.0),
        Material(name="PETG", density_g_cm3=1.27, softens_c=75.0),
        Material(name="ABS", density_g_cm3=1.04, softens_c=90.0),  # density from memory
        Material(name="ASA", density_g_cm3=1.07, softens_c=100.0),  # both from memory
        Material(name="PA12", density_g_cm3=1.01, softens_c=43.0),  # density from memory
        Material(name="TPU", density_g_cm3=1.21, softens_c=None),  # from memory
    )
}


def material_named(name: str) -> Material | None:
    """The material of that name, whatever its case; None when it is not in the table."""
    return MATERIALS.get(name.strip().upper())


def solid_density_g_cm3(name: str) -> float:
    """Of a printed material without hollows; of PLA where it is not known."""
    return (material_named(name) or MATERIALS["PLA"]).density_g_cm3
