"""Cautions usual in the trade, chosen by what is held, what it is made of and how it is mounted.

They remind; they do not certify. The rules of the place, the maker's own
instructions and licensed people go before anything said here.
"""

from __future__ import annotations

from collections.abc import Collection

from cradle.checks.openings import fixes_to_wall
from cradle.holder.holder import Holder
from cradle.project.block import PlateHole
from cradle.project.materials import material_named
from cradle.project.opening import OpeningKind
from cradle.project.project import Project
from cradle.project.thing import Hazard

HOT_MARGIN_C = 15.0
"""How far below its softening temperature a plastic is kept in service (common practice, no source)."""

ALWAYS = (
    "Cutting templates: cut away from your hand, on a mat, along a metal edge, and cover the blade afterwards.",
    "Printing: nozzle and bed are hot and parts move; air the room, and do not leave the printer alone.",
    "Printed plastic has gaps between its layers that keep dirt: it is not for food, nor to be worn on the skin.",
    "Not for medical use, nor where someone's safety hangs on it.",
    "These figures are estimates for one print on one printer: try a test slice before the thing goes in.",
)
WALL = (
    "Wall: screw and plug must suit this wall, and usually give way before the print does; no load is rated here.",
    "Wall: find pipes and cables before you drill. Where local rules or your landlord ask for someone"
    " licensed, leave it to them.",
    "Wall: not for lifting, for people, over a bed, a cot or a way through, nor where a fall would hurt someone;"
    " plastic under a steady load creeps, so look at it from time to time.",
)
PLATE = (
    "Wall plate: printed upright, its layers can split where it meets the block: use all its holes, and do not"
    " hang more on it than the thing."
)
KEYHOLE = "Keyhole: hang it with the slot upright, the screw's head behind the lip; do not let layers be pulled apart."
SHARP = (
    "Sharp: the edge must be covered all along and the pocket closed below; a drain must not let the point out.",
    "Sharp: it must not fall out when the holder is knocked or turned over; keep it where children cannot reach.",
)
WARM = "Warm: let it cool before it goes in. Never put a hot iron, a flame or a charger that runs hot into plastic."
MAINS = (
    "Mains: leave vents, heat sinks and cables free, and pull the plug before you put it in or take it out.",
    "Mains: no holder for a mains device near a bath, a basin or outdoors unless its maker allows it; wiring is"
    " for qualified people under local rules.",
)
WET = "Water: let it drain and dry; standing water freezes, rots and reaches whatever lies below."
CHILDREN = (
    "Children: no small parts that come off, no sharp rims; toys have rules of their own (ISO 8124, EN 71,"
    " 16 CFR 1501) that a print does not meet by itself.",
)
MAGNETS = (
    "Magnets: swallowed, two of them can kill: glue them in so that none comes loose, and keep them from children.",
    "Magnets: keep them away from pacemakers, cards and clocks.",
)
TIPS = "It tips over easily: fix it down, above all where a child could pull at it."


def cautions(
    project: Project, holder: Holder, *, hazards: Collection[Hazard], tip_angle_deg: float
) -> tuple[str, ...]:
    """Sentences that apply to what is held, to this material and this mount, the graver ones first.

    Parameters
    ----------
    project : Project
    holder : Holder
    hazards : collection of Hazard
        What of the things asks for caution.
    tip_angle_deg : float
        How far holder and thing can be tipped before they fall.
    """
    present = set(hazards)
    kinds = {opening.spec.kind for opening in holder.openings}
    on_wall = fixes_to_wall(holder)
    chosen: list[str] = []
    if Hazard.SHARP in present:
        chosen += SHARP
    if Hazard.MAINS in present:
        chosen += MAINS
    if Hazard.WARM in present:
        chosen += [WARM]
    if on_wall:
        chosen += WALL
    if holder.plate is not None:
        chosen += [PLATE]
    if OpeningKind.KEYHOLE in kinds or (holder.plate and holder.plate.spec.hole is PlateHole.KEYHOLE):
        chosen += [KEYHOLE]
    if OpeningKind.MAGNET in kinds:
        chosen += MAGNETS
    if Hazard.CHILD in present:
        chosen += CHILDREN
    if not on_wall and tip_angle_deg < project.block.tip_angle_deg:
        chosen += [TIPS]
    if Hazard.WET in present or OpeningKind.DRAIN in kinds:
        chosen += [WET]
    return (*chosen, _softening(project), *ALWAYS)


def _softening(project: Project) -> str:
    """What heat the material bears."""
    material = material_named(project.printer.material)
    if material is None:
        return "Heat: look up where your material softens, and stay well below; parked cars and sunny sills get hot."
    if material.softens_c is None:
        return f"Heat: {material.name} is soft when cold already: it gives way under a steady load."
    keep = material.softens_c - HOT_MARGIN_C
    return (
        f"Heat: {material.name} softens from about {material.softens_c:.0f} °C, so keep it under {keep:.0f} °C;"
        " parked cars and sunny sills get hotter than one thinks."
    )
