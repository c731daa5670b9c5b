"""Outlines to sections: mirrored, the right way round, to scale, and in their places, all in one estimate.

First the ways in which sheets may have been laid down are compared over the
whole stack (`ways`); then shift, turn and scale of all sections are
estimated at once from every reading with its spread (`observations`,
`estimate`); at last what does not agree is told, with its likeliest cause.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from cradle.capture.outline import Outline
from cradle.errors import CombinedError, SectionError
from cradle.finding import Finding, ordered
from cradle.geometry.arrays import frozen
from cradle.geometry.ring import counter_clockwise, extents, size
from cradle.names import section_words
from cradle.project.fit import SpreadSpec
from cradle.project.section import Align, MeasuredSource, SectionSpec
from cradle.sections import drawn as drawn_as
from cradle.sections import measured
from cradle.sections import reading_spreads as spreads
from cradle.sections.causes import refused
from cradle.sections.curve import UnitCurve, curve_of
from cradle.sections.disagreements import (
    check_common_height,
    check_zero_and_sense,
    doubted,
    lean_not_known,
    sense_of_one,
)
from cradle.sections.estimate import Estimate, estimate
from cradle.sections.exchanged import exchanged_readings
from cradle.sections.half import mirror_half, mirror_half_as_drawn
from cradle.sections.half_alone import halves_alone
from cradle.sections.laid import Laid
from cradle.sections.likeness import likeness, mirror_spreads
from cradle.sections.mirror import MirrorLine, mirror_lines
from cradle.sections.posterior import EXTENTS, Posterior
from cradle.sections.profiles import check_profiles, extent_at, silent_profiles
from cradle.sections.section import Profiles, Section
from cradle.sections.starting_turns import starting_turns
from cradle.sections.telling import check_readings, placed_by, placing_findings
from cradle.sections.views import Seen, View, with_views
from cradle.sections.ways import Way, as_laid, most_likely_ways
from cradle.tolerances import DEFAULT, Tolerances


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Placed:
    """Sections in their places.

    Attributes
    ----------
    sections : tuple of Section
        Bottom to top.
    posterior : Posterior
        How sure their places are.
    profiles : Profiles
        What is known of how far the thing reaches at all heights.
    findings : tuple of Finding
    """

    sections: tuple[Section, ...]
    posterior: Posterior
    profiles: Profiles
    findings: tuple[Finding, ...]


def place_sections(
    outlines: Sequence[Outline],
    *,
    specs: Sequence[SectionSpec],
    align: Align = Align.AUTO,
    profiles: Profiles | None = None,
    views: Sequence[View] = (),
    spread: SpreadSpec | None = None,
    tolerances: Tolerances = DEFAULT,
) -> Placed:
    """The sections in the thing's frame, bottom to top, how sure that is, and what was found on the way.

    Parameters
    ----------
    outlines : sequence of Outline
        One for each section; a half outline is mirrored if its spec says so.
    specs : sequence of SectionSpec
        Heights rising.
    align : Align
        What lines up sections without a shift or turn of their own.
    profiles : Profiles, optional
        Side profiles.
    views : sequence of View, optional
        Silhouettes; they count as profiles of the sides that no profile was read of.
    spread : SpreadSpec, optional
        Standard uncertainties of what was measured.
    tolerances : Tolerances, optional
        How straight the straight edge of a half outline must be.

    Raises
    ------
    SectionError
        If counts differ, heights do not rise, a half outline crosses its
        mirror line, a caliper reading contradicts the trace, or profiles
        contradict each other.
    CombinedError
        If the readings of several sections contradict their traces.
    """
    profiles, spread = profiles or Profiles(), spread or SpreadSpec()
    _check(outlines, specs=specs)
    check_profiles(profiles)
    if (
        align is Align.PROFILES
        and not views
        and all(p is None for p in (profiles.front, profiles.back, profiles.left, profiles.right))
    ):
        raise SectionError(
            'align = "profiles" needs at least one side profile',
            where="side",
            hint="add front, back, left or right",
        )
    halves, drawn = zip(
        *(
            _drawn(o, spec=s, align=align, tolerances=tolerances)
            for o, s in zip(outlines, specs, strict=True)
        ),
        strict=True,
    )
    read, seen = profiles, with_views(profiles, views=views, laid=drawn)
    profiles = seen.profiles
    curves = tuple(curve_of(d.ring) for d in drawn)
    if align in (Align.AUTO, Align.MIRROR):
        drawn = tuple(_with_lines(d, curve=c) for d, c in zip(drawn, curves, strict=True))
    laid, ways = _right_way_round(drawn, curves=curves, align=align, profiles=profiles, spread=spread)
    if align not in (Align.MATCH, Align.DRAWING):
        check_zero_and_sense(laid, profiles=read)
        check_common_height(laid, profiles=read, spread=spread)
    found = _estimated(laid, align=align, seen=seen, spread=spread)
    sections = tuple(_section(found, index=i, align=align) for i in range(len(laid)))
    findings = [f for half in halves for f in half]
    findings += [*halves_alone(drawn), *exchanged_readings(drawn), *seen.findings]
    findings += [*doubted(found, in_views=seen.spreads), *lean_not_known(found, laid=laid)]
    if align not in (Align.MATCH, Align.DRAWING):
        findings += sense_of_one(laid, profiles=profiles)
    findings += placing_findings(laid, ways=ways, found=found, sections=sections, align=align)
    return Placed(
        sections=sections,
        posterior=found.posterior,
        profiles=profiles,
        findings=ordered((*findings, *silent_profiles(sections, profiles=profiles))),
    )


def _check(outlines: Sequence[Outline], *, specs: Sequence[SectionSpec]) -> None:
    """Raise unless there is one outline per section and heights rise."""
    if not specs:
        raise SectionError("there are no sections", hint="describe at least one [[section]]")
    if len(outlines) != len(specs):
        raise SectionError(
            f"{len(outlines)} outlines for {len(specs)} sections", hint="give one outline for each"
        )
    for below, above in pairwise(specs):
        if not above.height_mm > below.height_mm:
            raise SectionError(
                f'height {above.height_mm:g} mm is not above section "{below.name}" ({below.height_mm:g} mm)',
                where=section_words(above.name),
                hint="list sections from bottom to top",
            )
    for spec in specs:
        check_readings(spec)


def _drawn(
    outline: Outline, *, spec: SectionSpec, align: Align, tolerances: Tolerances
) -> tuple[tuple[Finding, ...], Laid]:
    """The whole ring as drawn and turned as given, and findings from making it whole."""
    findings: tuple[Finding, ...] = ()
    lines: tuple[MirrorLine, ...] = ()
    exact = isinstance(spec.source, MeasuredSource)
    points = outline.points_mm
    if spec.half:
        mirrored = mirror_half if spec.turn_deg is None else mirror_half_as_drawn
        half = mirrored(outline, where=section_words(spec.name), tolerances=tolerances)
        findings, points = half.findings, half.points_mm
        lines = (MirrorLine(point_mm=half.line_mm, angle_deg=half.angle_deg, asymmetry_mm=0.0),)
    elif exact:
        lines = tuple(
            MirrorLine(point_mm=np.zeros(2), angle_deg=angle, asymmetry_mm=0.0) for angle in (90.0, 180.0)
        )
    x0, y0, x1, y1 = extents(points)
    middle = np.array([x0 + x1, y0 + y1]) / 2
    known_axes = exact or spec.half
    if spec.turn_deg is not None or align in (Align.DRAWING, Align.PROFILES):
        settled = spreads.GIVEN_DEG
    else:
        settled = spreads.KNOWN_AXES_DEG if known_axes else spreads.LAID_DEG
    laid = Laid(
        spec=spec,
        ring=counter_clockwise(points) - middle,
        middle_mm=middle,
        settled_rad=float(np.radians(settled)),
        lines=tuple(
            MirrorLine(point_mm=line.point_mm - middle, angle_deg=line.angle_deg, asymmetry_mm=0.0)
            for line in lines
        ),
        exact=exact,
    )
    if not spec.turn_deg:
        return findings, laid
    return findings, as_laid(laid, way=Way(coarse_deg=spec.turn_deg, face_down=False, slip=None, cost=0.0))


def _with_lines(laid: Laid, *, curve: UnitCurve) -> Laid:
    """The section with its mirror lines, where it has none by the way it was drawn."""
    return laid if laid.lines else replace(laid, lines=mirror_lines(curve))


def _right_way_round(
    drawn: Sequence[Laid],
    *,
    curves: Sequence[UnitCurve],
    align: Align,
    profiles: Profiles,
    spread: SpreadSpec,
) -> tuple[tuple[Laid, ...], tuple[Way, ...]]:
    """The sections turned and flipped as is likeliest over the whole stack.

    Raises
    ------
    SectionError
        If readings and outline of one can only be brought together by a slip.
    CombinedError
        If those of several can.
    """
    open_turns = align not in (Align.DRAWING, Align.PROFILES)
    seen = [_seen(profiles, height_mm=d.spec.height_mm) for d in drawn]
    read = [measured.readings_of(d) for d in drawn]
    ways = most_likely_ways(
        drawn,
        curves=curves,
        free=[open_turns and d.spec.turn_deg is None and not d.exact for d in drawn],
        sizes_mm=seen,
        readings_mm=read,
        spread=spread,
    )
    wrong = [
        refused(way.slip, where=one.where, traced_mm=size(one.ring), read_mm=by_caliper, seen_mm=by_profiles)
        for one, way, by_caliper, by_profiles in zip(drawn, ways, read, seen, strict=True)
        if way.slip is not None
    ]
    if wrong:
        raise wrong[0] if len(wrong) == 1 else CombinedError(wrong)
    return tuple(as_laid(d, way=w) for d, w in zip(drawn, ways, strict=True)), ways


def _seen(profiles: Profiles, *, height_mm: float) -> tuple[float | None, float | None]:
    """Width and depth between opposite profiles at a height, where both reach it."""
    ends = (extent_at(profiles, axis=axis, height_mm=height_mm) for axis in (0, 1))
    width, depth = (None if low is None or high is None or high <= low else high - low for low, high in ends)
    return width, depth


def _estimated(laid: Sequence[Laid], *, align: Align, seen: Seen, spread: SpreadSpec) -> Estimate:
    """All readings together."""
    used = seen.profiles if align is not Align.MATCH and align is not Align.DRAWING else Profiles()
    found = measured.calipers(laid, spread=spread)
    found += measured.side_profiles(laid, profiles=used, spread=spread, own=seen.spreads)
    found += drawn_as.as_drawn(laid, spread=spread)
    curves = [curve_of(one.ring) for one in laid]
    lines = [
        _axis_lines(one, curve=curve, trace_mm=0.0 if one.exact else spread.trace_mm)
        if align in (Align.AUTO, Align.MIRROR, Align.PROFILES)
        else ()
        for one, curve in zip(laid, curves, strict=True)
    ]
    tied = any(o.kind in EXTENTS for o in found) or any(one.spec.turn_deg is not None for one in laid)
    found += drawn_as.mirror_planes(laid, lines=lines, tied=tied or align in (Align.DRAWING, Align.PROFILES))
    found += drawn_as.neighbours(laid, found=[likeness(a, moving=b) for a, b in pairwise(curves)])
    lean = []
    start = np.zeros((len(laid), 2))
    for axis in (0, 1):
        profiled = _profiled(laid, profiles=used, axis=axis)
        silent = [i not in profiled and all(line[0] != axis for line in lines[i]) for i in range(len(laid))]
        shifts = drawn_as.shifts(laid, align=align, axis=axis, silent=silent)
        found += shifts
        given = {o.section: o for o in shifts}
        lean.append(len(laid) == 1 or align is Align.DRAWING or len(set(given) | set(profiled)) >= 2)
        middles = {i: _given_middle(laid[i], axis=axis) for i in given} | {
            i: m for i, m in profiled.items() if i not in given
        }
        if middles:
            at = sorted(middles)
            start[:, axis] = np.interp(range(len(laid)), at, [middles[i] for i in at])
        plane = any(line[0] == axis for of in lines for line in of)
        shared = any(one.spec.shift_mm is not None for one in laid) or bool(profiled)
        if not middles or (plane and not shared and align is not Align.DRAWING):
            found.append(drawn_as.origin(laid, axis=axis, plane=plane))
    starts = [
        starting_turns(one, spread=spread, seen_mm=_seen(used, height_mm=one.spec.height_mm)) for one in laid
    ]
    return estimate(
        laid,
        observations=found,
        start_mm=start,
        start_rad=[turns for turns, _ in starts],
        start_scale=np.array([scale for _, scale in starts]),
        lean_known=(lean[0], lean[1]),
        trace_mm=spread.trace_mm,
    )


def _given_middle(laid: Laid, *, axis: int) -> float:
    return float(laid.middle_mm[axis] if laid.spec.shift_mm is None else laid.spec.shift_mm[axis])


def _profiled(laid: Sequence[Laid], *, profiles: Profiles, axis: int) -> dict[int, float]:
    """Middles along an axis by the profiles, of the sections they reach, mm."""
    found = {}
    for i, one in enumerate(laid):
        low, high = extent_at(profiles, axis=axis, height_mm=one.spec.height_mm)
        half = size(one.ring)[axis] / 2
        said = [
            v
            for v in (None if low is None else low + half, None if high is None else high - half)
            if v is not None
        ]
        if said:
            found[i] = sum(said) / len(said)
    return found


def _axis_lines(
    laid: Laid, *, curve: UnitCurve, trace_mm: float
) -> tuple[tuple[int, float, float, float, float], ...]:
    """A section's mirror lines: axis, turn off it (rad), place (mm), and the spreads of both."""
    found = []
    for line in laid.lines:
        axis = 0 if abs((line.angle_deg - 90.0 + 90.0) % 180.0 - 90.0) <= 45.0 else 1
        off = (line.angle_deg - (90.0 if axis == 0 else 0.0) + 90.0) % 180.0 - 90.0
        angle = np.radians(off)
        normal = np.array([np.cos(angle), np.sin(angle)] if axis == 0 else [-np.sin(angle), np.cos(angle)])
        turn, place = (
            (0.0, 0.0)
            if laid.exact
            else mirror_spreads(curve, line=line, trace_mm=trace_mm, length_mm=_INDEPENDENT_MM)
        )
        found.append((axis, float(angle), float(normal @ line.point_mm), turn, place))
    return tuple(found)


_INDEPENDENT_MM = 30.0
"""Tracing errors this far apart along an outline are independent: √(2π) times the 12 mm they keep their direction."""


def _section(found: Estimate, *, index: int, align: Align) -> Section:
    """The section in its place."""
    lying = found.lying[index]
    laid = lying.laid
    return Section(
        name=laid.spec.name,
        height_mm=laid.spec.height_mm,
        points_mm=frozen(lying.points_mm),
        traced_mm=size(lying.plain),
        caliper_mm=measured.readings_of(laid),
        scale=(float(lying.values[3]), float(lying.values[4])),
        asymmetry_mm=_asymmetry(laid),
        clearance_mm=laid.spec.clearance_mm,
        placed_by=placed_by(found, section=index, align=align),
    )


def _asymmetry(laid: Laid) -> float | None:
    """How far the outline is from its mirror image, mm, where a line was looked for and found."""
    if laid.exact or laid.spec.half or not laid.lines:
        return None
    return laid.lines[0].asymmetry_mm
