"""What is told of where sections lie: what decided it, and what was turned or doubted."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Final, NamedTuple

import numpy as np

from cradle.finding import About, Finding, Severity, doubt, in_unit
from cradle.geometry.ring import size
from cradle.geometry.vectors import lengths
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


def placed_by(found: Estimate, *, section: int, align: Align, in_views: Collection[str]) -> PlacedBy:
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
    askew: list[_Turned] = []
    for i, (one, way, section) in enumerate(zip(laid, ways, sections, strict=True)):
        spread_deg = float(np.degrees(found.posterior.spreads()[i, TURN]))
        turned = _turned(one, way=way, turn_deg=section.turn_deg, spread_deg=spread_deg)
        if turned is not None and turned.askew:
            askew.append(turned)
        elif turned is not None:
            out.append(_told(turned))
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


class _Turned(NamedTuple):
    """An outline that was turned, or flipped, by more than goes without saying."""

    laid: Laid
    way: Way
    turn_deg: float
    spread_deg: float

    @property
    def by_readings(self) -> bool:
        """Whether the readings of all sections turned it, and not the way its sheet was laid down."""
        return not self.way.face_down and (self.way.straight or abs(self.turn_deg) <= STRAIGHT_DEG)

    @property
    def moved_mm(self) -> float:
        """How far its ends move."""
        return float(np.radians(abs(self.turn_deg)) * lengths(self.laid.ring).max())

    @property
    def askew(self) -> bool:
        """Whether it is a long section turned by more than sheets are laid askew, though a neighbour's sheet may have been."""
        narrow, long = sorted(size(self.laid.ring))
        return self.by_readings and self.moved_mm > _MOVED_MM and long > _LONG * narrow


def _turned(laid: Laid, *, way: Way, turn_deg: float, spread_deg: float) -> _Turned | None:
    """How a section was turned, where that is worth telling."""
    turned = _Turned(laid, way, turn_deg, spread_deg)
    little = turned.by_readings and abs(turn_deg) < max(_DEFINED * spread_deg, _TOLD_DEG)
    return None if little or laid.spec.turn_deg is not None else turned


def _told(turned: _Turned) -> Finding:
    """That a section was flipped or turned."""
    by = f"rotated by {turned.turn_deg:.2f}°"
    if turned.way.face_down:
        message = (
            "the outline was probably captured face down: mirrored, it fits its readings and neighbours far "
            f"better; it was mirrored and {by}"
        )
        advice = "if it was drawn the right way up, set turn = 0"
    elif turned.by_readings:
        message = f"the outline was {by} ± {turned.spread_deg:.1f}°, by the readings of all sections"
        advice = ""
    else:
        message = f"the outline was {by}: that way it fits its readings and neighbours far better"
        advice = "if it was drawn the right way round, set turn = 0"
    return Finding(
        code="outline-flipped" if turned.way.face_down else "section-turned",
        severity=Severity.WARN if advice else Severity.NOTE,
        where=turned.laid.where,
        about=About.READING,
        message=message,
        advice=advice,
        **in_unit("deg", turned.turn_deg),
    )


def _all_askew(askew: Sequence[_Turned]) -> Iterator[Finding]:
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
        where=", ".join(one.laid.where for one in askew),
        **in_unit("deg", most.turn_deg),
    )
