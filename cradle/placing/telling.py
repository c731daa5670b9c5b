"""What is told of where sections lie: what decided it, and what was turned or doubted."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Final, NamedTuple

import numpy as np

from cradle.finding import About, Finding, Severity, doubt, in_unit
from cradle.geometry.ring import size
from cradle.names import listed
from cradle.placing.estimate import Estimate
from cradle.placing.sizes_told import size_findings
from cradle.placing.ways import STRAIGHT_DEG, Way
from cradle.project.fit import SpreadSpec
from cradle.project.section import Align
from cradle.sections.laid import Laid
from cradle.sections.posterior import MIRROR_PLACES, PROFILES, TURN
from cradle.sections.profiles import Profiles
from cradle.sections.section import PlacedBy, Section
from cradle.slips.out_of_line import out_of_line

_DEFINED: Final = 2.0
"""A turn is told where it is this many spreads from none."""
_MOVED_MM: Final = 2.0
"""A turn that moves the ends of a long section further than this is doubted: little tells which of two such sheets lay askew."""
_LONG: Final = 2.5
"""A section more than this many times longer than wide is long."""
_TOLD_DEG: Final = 0.3
"""Turns below this are not worth a line."""


def placed_by(found: Estimate, *, section: int, align: Align, in_views: Collection[str] = ()) -> PlacedBy:
    """The firmest of what says where a section lies; some sides were read ``in_views``, not by profiles."""
    spec = found.lying[section].laid.spec
    if spec.shift_mm is not None or spec.turn_deg is not None:
        return PlacedBy.GIVEN
    kinds = {o.kind for o in found.observations if o.section == section}
    if align is Align.DRAWING:
        return PlacedBy.DRAWING
    if sides := kinds & PROFILES:
        seen = sides.intersection(in_views)
        return PlacedBy.BOTH if seen and seen != sides else PlacedBy.VIEWS if seen else PlacedBy.PROFILES
    if not kinds.isdisjoint(MIRROR_PLACES):
        return PlacedBy.MIRROR
    return PlacedBy.MATCH if len(found.lying) > 1 else PlacedBy.DRAWING


def placing_findings(
    laid: Sequence[Laid],
    *,
    ways: Sequence[Way],
    found: Estimate,
    sections: Sequence[Section],
    align: Align,
    profiles: Profiles,
    spread: SpreadSpec,
) -> list[Finding]:
    """What is worth telling of the placing of all sections."""
    out = [*size_findings(laid, found=found, sections=sections, profiles=profiles, spread=spread)]
    askew: list[_Askew] = []
    for i, (one, way, section) in enumerate(zip(laid, ways, sections, strict=True)):
        spread_deg = float(np.degrees(found.posterior.spreads()[i, TURN]))
        told, doubted = _turn(one, way=way, turn_deg=section.turn_deg, spread_deg=spread_deg)
        out += told
        askew += doubted
        if align is Align.MIRROR and not one.lines and one.spec.turn_deg is None:
            out.append(
                doubt(
                    "no-mirror-line",
                    "no mirror line was found: the section was matched with its neighbour instead",
                    'give shift and turn, or align = "match"',
                    where=one.where,
                )
            )
    out += _all_askew(askew)
    out += out_of_line(
        sections,
        drawn=[not one.exact for one in laid],
        told={finding.where for finding in out if finding.code == "trace-off-caliper"},
        spread=spread,
    )
    return out


class _Askew(NamedTuple):
    """A long section that was turned by more than sheets are laid askew, though a neighbour's sheet may have been."""

    where: str
    turn_deg: float
    spread_deg: float
    moved_mm: float
    """How far its ends move."""


def _turn(laid: Laid, *, way: Way, turn_deg: float, spread_deg: float) -> tuple[list[Finding], list[_Askew]]:
    """A finding where a section was flipped or turned; or its turn, where that is to be doubted together with others'."""
    if laid.spec.turn_deg is not None:
        return [], []
    code, advice = "section-turned", ""
    if way.face_down:
        code, advice = "outline-flipped", "if it was drawn the right way up, set turn = 0"
        message = (
            "the outline was probably captured face down: mirrored, it fits its readings and neighbours far "
            f"better; it was mirrored and rotated by {turn_deg:.2f}°"
        )
    elif not way.straight and abs(turn_deg) > STRAIGHT_DEG:
        advice = "if it was drawn the right way round, set turn = 0"
        message = f"the outline was rotated by {turn_deg:.2f}°: that way it fits its readings and neighbours far better"
    elif abs(turn_deg) < max(_DEFINED * spread_deg, _TOLD_DEG):
        return [], []
    else:
        moved = float(np.radians(abs(turn_deg)) * np.hypot(*laid.ring.T).max())
        if moved > _MOVED_MM and max(size(laid.ring)) > _LONG * min(size(laid.ring)):
            return [], [_Askew(laid.where, turn_deg, spread_deg, moved)]
        message = (
            f"the outline was rotated by {turn_deg:.2f}° ± {spread_deg:.1f}°, by the readings of all sections"
        )
    told = Finding(
        code=code,
        severity=Severity.WARN if advice else Severity.NOTE,
        where=laid.where,
        about=About.READING,
        message=message,
        advice=advice,
        **in_unit("deg", turn_deg),
    )
    return [told], []


def _all_askew(askew: Sequence[_Askew]) -> Iterator[Finding]:
    """One doubt of all long sections that were turned: their turns tell little of which sheet lay askew."""
    if not askew:
        return
    turns = listed([f"{one.turn_deg:.2f}° ± {one.spread_deg:.1f}°" for one in askew])
    most = max(askew, key=lambda one: one.moved_mm)
    if len(askew) == 1:
        outlines, ends, whose = (
            "outline was",
            f"its ends by {most.moved_mm:.1f} mm",
            "it may be a neighbour's sheet that",
        )
    else:
        outlines, ends = "outlines were", f"their ends by up to {most.moved_mm:.1f} mm"
        whose = "it may be one of these sheets or a neighbour's that"
    yield doubt(
        "section-turned",
        f"the {outlines} rotated by {turns}, by the readings of all sections, which moves {ends}",
        f"{whose} lay askew: lay them all square to their fronts and take them again",
        where=", ".join(one.where for one in askew),
        **in_unit("deg", most.turn_deg),
    )
