"""What filament materials weigh and when they soften.

Typical figures from makers' data sheets and handbooks; a spool's own data
sheet comes first.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from cradle.noun import record

_HOT_MARGIN_C: Final = 15.0
"""How far below its softening temperature a plastic is kept in service (common practice, no source)."""


@record
class Material:
    """A filament material.

    ``softens_c`` is where a bar of it gives way under a light load (heat
    deflection at 0.45 MPa, ISO 75), rounded down; None for one that bends at
    room temperature. ``creeps_from_c`` is the glass transition of a material
    that stays stiff for a moment far above it but sags when loaded for long.
    ``fumes`` says that airing the room is not enough while it prints, ``warps``
    that its corners tend to lift from the bed as it cools (common practice, no
    source).
    """

    name: str
    density_g_cm3: float
    softens_c: float | None
    creeps_from_c: float | None = None
    fumes: bool = False
    warps: bool = False

    @property
    def bears_c(self) -> float | None:
        """How warm it may get in service, °C; None for one that bends at room temperature."""
        if self.softens_c is None:
            return None
        below = self.softens_c - _HOT_MARGIN_C
        return below if self.creeps_from_c is None else min(below, self.creeps_from_c)


MATERIALS: Final[Mapping[str, Material]] = {
    m.name: m
    for m in (
        # npj Materials Degradation 2025, table 2: PLA 1.24 g/cm³, 55-60 °C
        Material(name="PLA", density_g_cm3=1.24, softens_c=55.0),
        Material(name="PETG", density_g_cm3=1.27, softens_c=70.0),  # softens: from memory
        Material(name="ABS", density_g_cm3=1.04, softens_c=90.0, fumes=True, warps=True),  # from memory
        Material(name="ASA", density_g_cm3=1.07, softens_c=95.0, fumes=True, warps=True),  # from memory
        Material(  # from memory
            name="PA12", density_g_cm3=1.01, softens_c=95.0, creeps_from_c=45.0, fumes=True, warps=True
        ),
        Material(name="TPU", density_g_cm3=1.21, softens_c=None),  # from memory
    )
}


def material_named(name: str) -> Material | None:
    """The material of that name, whatever its case; None when it is not in the table."""
    return MATERIALS.get(name.strip().upper())
