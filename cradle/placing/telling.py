"""What is told of where sections lie: what decided it, what was turned, scaled or doubted, and what nothing measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

import numpy as np

from cradle.finding import About, Finding, Severity, doubt, in_mm, in_unit, note
from cradle.geometry.planar import hull_ring
from cradle.geometry.ring import perimeter, size
from cradle.names import listed
from cradle.placing.estimate import Estimate
from cradle.placing.ways import Way
from cradle.project.fit import SpreadSpec
from cradle.project.section import Align, DrawingSource, SectionSpec
from cradle.sections.axis_words import SIZES
from cradle.sections.laid import Laid
from cradle.sections.posterior import EXTENTS, MIRROR_PLACES, PROFILES, TURN
from cradle.sections.section import PlacedBy, Section
from cradle.slips.out_of_line import out_of_line
from cradle.units import MISTAKEN_FOR_MM

DOUBTFUL_SHARE: Final = 0.03
"""A correction above this is a finding: careful tracing is better, by common practice."""
_DOUBTFUL_SPREADS: Final = 4.0
"""Tracing error makes a thin piece wider by so many of its spreads: both ends stand out."""
_ALIKE_SHARE: Final = 0.04
"""Corrections that lie within this of one another come from one scale, and what is left from tracing."""
GIRTH_SHARE: Final = 0.02
"""A girth that differs by more than this is a finding: about what a string stretches."""
TOLD_MM: Final = 0.01
"""Residuals below this are not worth a line."""
DEFINED: Final = 2.0
"""A turn is told where it is this many spreads from none."""
_MOVED_MM: Final = 2.0
_LONG: Final = 2.5
"""A turn that moves a section's ends further is doubted where it is so many times longer than wide: which of two such
sheets lay askew, little tells."""
TOLD_DEG: Final = 0.3
"""Turns below this are not worth a line."""


def placed_by(found: Estimate, *, section: int, align: Align) -> PlacedBy:
    """The firmest of what says where a section lies."""
    spec = found.lying[section].laid.spec
    if spec.shift_mm is not None or spec.turn_deg is not None:
        return PlacedBy.GIVEN
    kinds = {o.kind for o in found.observations if o.section == section}
    if align is Align.DRAWING:
        return PlacedBy.DRAWING
    if kinds & PROFILES:
        return PlacedBy.PROFILES
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
    spread: SpreadSpec,
) -> list[Finding]:
    """What is worth telling of the placing of all sections."""
    out = [*_unchecked_scale(laid, sections=sections, found=found)]
    common = _common_scale(sections)
    if common is not None:
        out.append(_all_scaled(common))
    plain: list[_Rescaled] = []
    askew: list[_Askew] = []
    for i, (one, way, section) in enumerate(zip(laid, ways, sections, strict=True)):
        spread_deg = float(np.degrees(found.posterior.spreads()[i, TURN]))
        told, doubted = _turn(one, way=way, turn_deg=section.turn_deg, spread_deg=spread_deg)
        out += told
        askew += doubted
        told, explained = _scale(section, where=one.where, expected=common or 1.0, trace_mm=spread.trace_mm)
        out += told
        plain += explained
        out += _girth(section, spec=one.spec, where=one.where)
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
    out += _all_rescaled(plain) if common is None else ()
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
    """That a section was flipped or turned, where readings define it; or what is to be doubted of its turn beside the others'."""
    if laid.spec.turn_deg is not None:
        return [], []
    code, advice = "section-turned", ""
    if way.face_down:
        code, advice = "outline-flipped", "if it was drawn the right way up, set turn = 0"
        message = (
            "the outline was probably captured face down: mirrored, it fits its readings and neighbours far "
            f"better; it was mirrored and rotated by {turn_deg:.2f}°"
        )
    elif not way.straight:
        advice = "if it was drawn the right way round, set turn = 0"
        message = f"the outline was rotated by {turn_deg:.2f}°: that way it fits its readings and neighbours far better"
    elif abs(turn_deg) < max(DEFINED * spread_deg, TOLD_DEG):
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
    """One doubt of all long sections that were turned: of which sheet lay askew, their turns tell little."""
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


def _common_scale(sections: Sequence[Section]) -> float | None:
    """The factor by which all drawings are off alike, where that is more than tracing; else None."""
    factors = [
        [
            reading / traced
            for traced, reading in zip(s.traced_mm, s.caliper_mm, strict=True)
            if reading is not None
        ]
        for s in sections
    ]
    read = [factor for own in factors for factor in own]
    if sum(map(bool, factors)) < 2:
        return None
    middle = float(np.median(read))
    alike = all(abs(factor / middle - 1.0) <= _ALIKE_SHARE for factor in read)
    return middle if alike and abs(middle - 1.0) > DOUBTFUL_SHARE else None


def _all_scaled(factor: float) -> Finding:
    off = 100 * abs(1 / factor - 1.0)
    return doubt(
        "traces-scaled-alike",
        f"compared with the calipers, all drawings are about {off:.0f} % too {'large' if factor < 1 else 'small'}; "
        "they were scaled to the calipers",
        "check the scan's or print's scale, and that the calipers read 0 when closed",
        **in_unit("%", off, limit=100 * DOUBTFUL_SHARE),
    )


class _Rescaled(NamedTuple):
    """A width or depth that differs from the trace, and the factor by which the trace was scaled."""

    where: str
    word: str
    traced_mm: float
    read_mm: float
    factor: float
    limit_mm: float
    """What tracing explains."""


def _scale(
    section: Section, *, where: str, expected: float, trace_mm: float
) -> tuple[list[Finding], list[_Rescaled]]:
    """A finding for each reading that differs too much from the trace; and the other readings that differ.

    ``expected`` is the factor that all drawings share.
    """
    off = [
        _Rescaled(
            where, word, traced, reading, factor, max(DOUBTFUL_SHARE * traced, _DOUBTFUL_SPREADS * trace_mm)
        )
        for word, traced, reading, factor in zip(
            SIZES, section.traced_mm, section.caliper_mm, section.scale, strict=True
        )
        if reading is not None and min(abs(reading - traced), abs(factor - 1.0) * traced) > TOLD_MM
    ]
    doubtful = [one for one in off if abs(one.read_mm / expected - one.traced_mm) > one.limit_mm]
    told = [
        doubt(
            "trace-off-caliper",
            f"the outline was scaled to {100 * one.factor:.2f} % along its {one.word}: {one.traced_mm:.2f} mm as traced, "
            f"{one.read_mm:.2f} mm with calipers, {one.traced_mm * one.factor:.2f} mm as used",
            f"measure the {one.word} again and check the scan's resolution",
            where=where,
            **in_mm(one.read_mm - one.traced_mm, limit=one.limit_mm),
        )
        for one in doubtful
    ]
    return told, [one for one in off if one not in doubtful]


def _all_rescaled(of: Sequence[_Rescaled]) -> Iterator[Finding]:
    """That outlines were scaled to their readings, told once: by how much, and which most."""
    if not of:
        return
    most = max(of, key=lambda one: abs(one.factor - 1.0))
    low, high = (
        f"{100 * factor:.2f}" for factor in (min(one.factor for one in of), max(one.factor for one in of))
    )
    by = f"{low} %" if low == high else f"{low} to {high} %"
    count = len({one.where for one in of})
    if count == 1:
        outlines, where, which = "the outline was", most.where, f"its {most.word}"
    else:
        outlines, where, which = (
            f"the outlines of {count} sections were",
            "",
            f"the {most.word} of {most.where}",
        )
    yield note(
        "trace-scaled",
        f"{outlines} scaled to {by} to agree with the calipers, most {which}: {most.traced_mm:.2f} mm as "
        f"traced, {most.read_mm:.2f} mm with calipers",
        where=where,
        **in_mm(most.read_mm - most.traced_mm, limit=most.limit_mm),
    )


def _unchecked_scale(
    laid: Sequence[Laid], *, sections: Sequence[Section], found: Estimate
) -> Iterator[Finding]:
    """A finding where all sections are drawings, and nothing that was measured says how large they are; else each of which that is so."""
    drawings = all(isinstance(one.spec.source, DrawingSource) for one in laid)
    if not drawings or {o.kind for o in found.observations} & EXTENTS:
        for one, section in zip(laid, sections, strict=True):
            if section.caliper_mm == (None, None):
                yield note(
                    "no-caliper-reading",
                    "no width or depth was measured with calipers: the drawing's scale is not checked",
                    where=one.where,
                )
        return
    widths, depths = zip(*(size(section.points_mm) for section in sections), strict=True)
    yield doubt(
        "scale-unchecked",
        f"no width or depth of any section was measured, so the drawings' unit and scale could not be "
        f"checked; as drawn the thing is at most {max(widths):.1f} mm wide and {max(depths):.1f} mm deep",
        "measure the width of one section with calipers",
    )


def _girth(section: Section, *, spec: SectionSpec, where: str) -> Iterator[Finding]:
    """A finding if a string round the section would have another length."""
    if spec.girth_mm is None:
        return
    around = perimeter(hull_ring(section.points_mm))
    if abs(around / spec.girth_mm - 1.0) <= GIRTH_SHARE:
        return
    yield doubt(
        "girth-disagrees",
        f"the outline has a girth of {around:.2f} mm, but {spec.girth_mm:.2f} mm was measured",
        _girth_again(around, spec.girth_mm),
        where=where,
        about=About.READING,
        **in_mm(around - spec.girth_mm, limit=GIRTH_SHARE * spec.girth_mm),
    )


def _girth_again(around_mm: float, read_mm: float) -> str:
    for unit, mm in MISTAKEN_FOR_MM:
        if abs(read_mm * mm / around_mm - 1.0) < DOUBTFUL_SHARE:
            return f"the girth looks as if it were in {unit}: write it in mm"
    return "the shape or a caliper reading is wrong; measure both again"
