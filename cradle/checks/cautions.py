"""Cautions usual in the trade, chosen by what is held, what it is made of and how it is mounted.

They remind; they do not certify. The rules of the place, the maker's own
instructions and licensed people go before anything said here.
"""

from __future__ import annotations

from collections.abc import Collection
from math import ceil

from cradle.holder.holder import Holder
from cradle.project.block import PlateHole
from cradle.project.materials import Material
from cradle.project.opening import OpeningKind
from cradle.project.project import Project
from cradle.project.thing import Hazard

ALWAYS = (
    "Fire: printed plastic burns. Keep it away from flames, heaters and hobs, and never charge a battery in it unattended.",
    "Cutting templates: cut away from your hand, on a mat, along a metal edge, and cover the blade afterwards.",
    "Printing: nozzle and bed are hot and parts move; air the room, and do not leave the printer alone.",
    "Edges: rims and removed supports leave sharp edges; deburr them before you use the print.",
    "Outdoors: sunlight makes most printed plastics brittle, PLA and ABS first; look at it from time to time.",
    "Food: printed plastic has gaps between its layers that keep dirt: it is not for food, wounds or the mouth.",
    "Not for medical use, nor where someone's safety hangs on it.",
    "These figures are estimates for one print on one printer: try a test piece before the thing goes in.",
)
UNSTATED = (
    "Is the thing sharp, warm, wet, plugged into the mains or for a child? The project does not say: give the"
    " thing's hazards, and the cautions for them are added."
)
MEASURING = (
    "Measuring: unplug the thing, let it cool and empty it, and tape or sheath a blade, before card, calipers"
    " or test pieces go near it."
)
_WALL = (
    "Wall: not for lifting, for people, over a bed, a cot, a walkway or a door, nor where a fall would hurt someone;"
    " plastic under a steady load creeps, so look at it from time to time.",
    "Wall: find pipes and cables before you drill, and never mount it above a socket, a heater or a hob. Where local"
    " rules or your landlord ask for someone licensed, leave it to them.",
    "Wall: old walls, ceilings and tile glue may hold asbestos: ask before you drill.",
)
_PLATE = (
    "Wall plate: printed upright, its layers can split where it meets the block: use all its holes, and do not"
    " hang more on it than the thing."
)
KEYHOLE = (
    "Keyhole: a thin lip across the layers holds it: light things only. Hang it with the slot upright, the screw's"
    " head behind the lip."
)
SHARP = (
    "Sharp: the edge must be covered all along and the pocket closed below; a drain must not let the point out.",
    "Sharp: it must not fall out when the holder is knocked or turned over; keep it where children cannot reach.",
)
WARM = "Warm: let it cool before it goes in. Never put a hot iron, a flame or a charger that runs hot into plastic."
MAINS = (
    "Mains: no holder for a mains device near a bath, a basin or outdoors unless its maker and the local electrical"
    " rules allow it; wiring is for qualified people under those rules.",
    "Mains: do not enclose a charger, a power supply or a battery that is charging, and do not leave it charging"
    " unattended. A lithium battery that is swollen, damaged or hot does not belong in a holder.",
    "Mains: unplug it before you fit, drill or clean the holder; leave vents, heat sinks and cables free.",
)
WET = (
    "Water: let it drain and dry: standing water goes foul, freezes and splits the print, and drips on what is below."
    " Layers let water through: no print here is proof against it."
)
_LINING = (
    "Lining: felt and foam hold water and dirt, and they and their glue burn: line no holder for a thing that goes in wet"
    " or warm, and try on a scrap whether they mark, stain or tarnish the thing."
)
_CHILDREN = (
    "Children: no small parts that come off, no sharp rims; toys have rules of their own (ISO 8124, EN 71,"
    " ASTM F963 through 16 CFR 1250, 16 CFR 1501) that a print does not meet by itself."
)
_MAGNETS = (
    "Magnets: swallowed, two of them can kill: no magnets in a holder within a child's reach, and glue them in so"
    " that none comes loose.",
    "Magnets: keep them away from pacemakers and other implants (defibrillators, pumps), from cards and from clocks.",
)
_TIPS = "It tips over easily: fix it down, above all where a child could pull at it."
_MEASURED_WITH_CARE = frozenset({Hazard.SHARP, Hazard.WARM, Hazard.MAINS})


def cautions(
    project: Project, holder: Holder, *, hazards: Collection[Hazard], tip_angle_deg: float, filled_g: float
) -> tuple[str, ...]:
    """Sentences that apply to what is held, to this material and this mount, the graver ones first.

    Parameters
    ----------
    tip_angle_deg : float
        How far holder and thing can be tipped before they fall.
    filled_g : float
        What the holder, printed solid, and all its things weigh.
    """
    present = set(hazards)
    kinds = {opening.spec.kind for opening in holder.openings}
    on_wall = holder.fixed_to_wall
    hung_by_keyhole = holder.plate is not None and holder.plate.spec.hole is PlateHole.KEYHOLE
    by_case: tuple[tuple[bool, tuple[str, ...]], ...] = (
        (Hazard.SHARP in present, SHARP),
        (Hazard.MAINS in present, MAINS),
        (Hazard.WARM in present, (WARM,)),
        (not present.isdisjoint(_MEASURED_WITH_CARE), (MEASURING,)),
        (on_wall, (*_WALL, _weight(filled_g))),
        (holder.plate is not None, (_PLATE,)),
        (OpeningKind.KEYHOLE in kinds or hung_by_keyhole, (KEYHOLE,)),
        (OpeningKind.MAGNET in kinds, _MAGNETS),
        (Hazard.CHILD in present, (_CHILDREN,)),
        (not on_wall and tip_angle_deg < project.block.tip_angle_deg, (_TIPS,)),
        (Hazard.WET in present or OpeningKind.DRAIN in kinds, (WET,)),
        (project.fit.lining_mm > 0, (_LINING,)),
        (not present and project.thing.hazards is None, (UNSTATED,)),
    )
    chosen = (sentence for applies, sentences in by_case if applies for sentence in sentences)
    return (*chosen, *_of_material(project), *ALWAYS)


def _weight(filled_g: float) -> str:
    """What hangs on the wall, rounded up to 100 g, and that nobody vouches for what holds it."""
    return (
        f"Wall: filled it weighs up to {ceil(filled_g / 100) / 10:.1f} kg; the screw, the plug, the wall or the print may give"
        " way; none of them is rated here."
    )


def _of_material(project: Project) -> tuple[str, ...]:
    """What heat the material bears, and what it gives off when it is printed."""
    material = project.printer.known_material
    if material is None:
        return (
            "Heat: look up where your material softens, and stay well below; parked cars and sunny sills can pass 60 °C.",
            "Fumes: look up what your material gives off when it is printed.",
        )
    fumes = (
        (f"Fumes: {material.name} gives off harmful fumes: print it in a vented enclosure or a vented room.",)
        if material.fumes
        else ()
    )
    return (_heat(material), *fumes)


def _heat(material: Material) -> str:
    if material.bears_c is None:
        return f"Heat: {material.name} is flexible at room temperature and sags under a steady load."
    words = f"Heat: {material.name} softens from about {material.softens_c:.0f} °C"
    if material.creeps_from_c is not None:
        words += f" and gives way under a steady load from about {material.creeps_from_c:.0f} °C"
    return f"{words}, so keep it under {material.bears_c:.0f} °C; parked cars and sunny sills can pass 60 °C."
