"""Outlines to sections: mirrored, the right way round, to scale, and in their places, all in one estimate.

First the ways in which sheets may have been laid down are compared over the
whole stack (`ways`); then shift, turn and scale of all sections are
estimated at once from every reading with its spread (`observations`,
`estimate`); at last what does not agree is told, with its likeliest cause.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import replace
from functools import partial
from typing import TypeAlias

import numpy as np

from cradle.capture.outline import Outline
from cradle.errors import SectionError, raise_all
from cradle.finding import Finding, ordered, refusal
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.ring import box_middle, counter_clockwise, size
from cradle.noun import noun
from cradle.placing.disagreements import doubted
from cradle.placing.estimate import Estimate, estimate
from cradle.placing.evidence import gather
from cradle.placing.lean import lean_not_known
from cradle.placing.telling import placed_by, placing_findings
from cradle.placing.to_place import ToPlace
from cradle.placing.ways import Way, as_laid, most_likely_ways
from cradle.project.fit import SpreadSpec
from cradle.project.section import Align, MeasuredSource, SectionSpec
from cradle.sections import reading_spreads as spreads
from cradle.sections.half import mirror_half, mirror_half_as_drawn
from cradle.sections.laid import Laid
from cradle.sections.mirror import MirrorLine, mirror_lines
from cradle.sections.posterior import TURN, Posterior
from cradle.sections.profiles import Profiles
from cradle.sections.readings import as_written, readings_of
from cradle.sections.rough_profiles import smoothed_profiles
from cradle.sections.section import Section
from cradle.sections.sizes import sizes_of
from cradle.sections.unit_curve import UnitCurve, curve_of
from cradle.sections.zero import shift_alone
from cradle.slips.causes import refused
from cradle.slips.exchanged_profiles import check_exchanged
from cradle.slips.half_alone import halves_alone
from cradle.slips.height_unit import doubtful_height_units
from cradle.slips.odd_readings import odd_readings
from cradle.slips.one_for_two import check_one_for_two
from cradle.slips.outline_twice import given_twice
from cradle.slips.plain_shapes import doubtful_shapes
from cradle.slips.profile_doubts import check_profiles, silent_profiles
from cradle.slips.profile_heights import check_heights
from cradle.slips.profile_sense import check_scale, check_zero_and_sense, sense_of_one
from cradle.slips.swapped import swapped
from cradle.slips.swapped_heights import heights_swapped
from cradle.views.silhouette import check_whole
from cradle.views.views import Seen, stood_upright, with_views


@noun
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
    """

    sections: tuple[Section, ...]
    posterior: Posterior
    profiles: Profiles
    findings: tuple[Finding, ...]


PlaceSections: TypeAlias = Callable[[ToPlace], Placed]
"""A function that places sections: `place_sections`, or one that has their places already."""


def place_sections(given: ToPlace) -> Placed:
    """The sections in the thing's frame, bottom to top, how sure that is, and what was found on the way.

    Raises
    ------
    SectionError
        If counts differ, heights do not rise, a half outline crosses its
        mirror line, a caliper reading contradicts the trace, or profiles
        contradict each other.
    CombinedError
        If the readings of several sections contradict their traces.
    """
    _check(given)
    as_read, align = given.profiles, given.align
    smooth, smoothed = smoothed_profiles(as_read)
    drawn, found_whole = _drawn_whole(given)
    check_exchanged(drawn, profiles=as_read)
    check_profiles(as_read)
    spread, rounded = as_written(given.spread, drawn)
    curves = tuple(curve_of(d.ring) for d in drawn)
    if align.finds_lines:
        drawn = _with_lines(drawn, curves=curves, trace_mm=spread.trace_mm)
    seen, laid, ways = _seen_right_way_round(
        drawn, curves=curves, given=given, profiles=smooth, spread=spread
    )
    evidence = gather(laid, align=align, seen=seen, spread=spread)
    found = estimate(laid, evidence=evidence, trace_mm=spread.trace_mm)
    profiles = stood_upright(seen, tilts_rad=found.tilts_rad)
    sections = tuple(
        _section(found, index=i, way=way, align=align, in_views=seen.spreads) for i, way in enumerate(ways)
    )
    read = smooth if align.uses_profiles else Profiles()
    told = placing_findings(
        laid, ways=ways, found=found, sections=sections, align=align, profiles=read, spread=spread
    )
    units = list(doubtful_height_units(laid, profiles=seen.profiles))
    exchanged = heights_swapped(laid, profiles=seen.profiles) if align.uses_profiles else ()
    out_of_place = {finding.where for finding in units}
    of_profiles = (
        (*sense_of_one(laid, profiles=profiles), *odd_readings(as_read)) if align.uses_profiles else ()
    )
    return Placed(
        sections=sections,
        posterior=found.posterior,
        profiles=profiles,
        findings=ordered(
            (
                *found_whole,
                *halves_alone(drawn),
                *doubtful_shapes(drawn),
                *rounded,
                *smoothed,
                *seen.findings,
                *shift_alone(drawn, align=align, profiles=smooth),
                *units,
                *exchanged,
                *(f for f in doubted(found, views=seen) if f.where not in out_of_place),
                *lean_not_known(found, laid=laid),
                *of_profiles,
                *_or_mistaken(told, drawn),
                *silent_profiles(sections, profiles=profiles),
            )
        ),
    )


def _seen_right_way_round(
    drawn: Sequence[Laid],
    *,
    curves: Sequence[UnitCurve],
    given: ToPlace,
    profiles: Profiles,
    spread: SpreadSpec,
) -> tuple[Seen, tuple[Laid, ...], tuple[Way, ...]]:
    """What profiles and views show, the sections the right way round by it, and how each was laid; raises where profiles contradict them."""
    align = given.align
    right_way_round = partial(_right_way_round, drawn, curves=curves, align=align, spread=spread)
    try:
        seen = with_views(profiles, views=given.views, laid=drawn, align=align)
    except SectionError:
        # readings that are not the drawing's own make every view look wrong: then that is raised instead
        right_way_round(profiles=profiles)
        raise
    if align.uses_profiles:
        check_one_for_two(drawn, profiles=profiles)
        check_scale(drawn, profiles=profiles)
    laid, ways = right_way_round(profiles=seen.profiles)
    if align.uses_profiles:
        check_zero_and_sense(laid, profiles=profiles)
        check_heights(laid, profiles=profiles, spread=spread)
    return seen, laid, ways


def _drawn_whole(given: ToPlace) -> tuple[tuple[Laid, ...], list[Finding]]:
    """The drawings as whole rings, turned as given, and findings from making halves whole."""
    laid: list[Laid] = []
    findings: list[Finding] = []
    for outline, spec in zip(given.outlines, given.specs, strict=True):
        found, one = _drawn(outline, spec=spec, align=given.align)
        laid.append(one)
        findings += found
    return tuple(laid), findings


def _or_mistaken(told: Sequence[Finding], drawn: Sequence[Laid]) -> Iterator[Finding]:
    """The findings on places; of outlines given to one another's heights, or one to two, that is told, not how far each was scaled."""
    pairs, twice = list(swapped(drawn)), list(given_twice(drawn))
    yield from (pair.finding() for pair in pairs)
    yield from twice
    scaled_for_it = {place for pair in pairs for place in pair.places} | {one.where for one in twice}
    yield from (f for f in told if f.code != "trace-off-caliper" or f.where not in scaled_for_it)


def _check(given: ToPlace) -> None:
    """Raise where profiles are needed and there are none, and where a view is not of the thing alone."""
    check_whole(given.views)
    if given.align is Align.PROFILES and not given.views and not given.profiles.given:
        raise SectionError(
            'align = "profiles" needs at least one side profile',
            where="side",
            hint="add front, back, left or right",
        )


def _drawn(outline: Outline, *, spec: SectionSpec, align: Align) -> tuple[tuple[Finding, ...], Laid]:
    """A drawing as a whole ring, turned as given, and findings from making it whole."""
    findings: tuple[Finding, ...] = ()
    axes: list[tuple[Floats, float]] = []
    exact = isinstance(spec.source, MeasuredSource)
    points = outline.points_mm
    if spec.half:
        mirrored = mirror_half if spec.turn_deg is None else mirror_half_as_drawn
        half = mirrored(outline, where=spec.where)
        findings, points = half.findings, half.points_mm
        axes = [(half.line_mm, half.angle_deg)]
    elif exact:
        axes = [(np.zeros(2), 90.0), (np.zeros(2), 180.0)]
    middle = box_middle(points)
    if spec.turn_deg is not None or align.keeps_turns:
        settled = spreads.GIVEN_DEG
    else:
        settled = spreads.KNOWN_AXES_DEG if axes else spreads.LAID_DEG
    laid = Laid(
        spec=spec,
        ring=counter_clockwise(points) - middle,
        middle_mm=middle,
        settled_rad=float(np.radians(settled)),
        lines=tuple(
            MirrorLine(point_mm=point - middle, angle_deg=angle, asymmetry_mm=0.0) for point, angle in axes
        ),
        exact=exact,
        scale_share=outline.scale_share,
    )
    if not spec.turn_deg:
        return findings, laid
    return findings, as_laid(laid, way=Way(coarse_deg=spec.turn_deg, face_down=False, slip=None, cost=0.0))


def _with_lines(drawn: Sequence[Laid], *, curves: Sequence[UnitCurve], trace_mm: float) -> tuple[Laid, ...]:
    """The sections with their mirror lines, where they have none by the way they were drawn."""
    return tuple(
        one if one.lines else replace(one, lines=mirror_lines(curve, trace_mm=0.0 if one.exact else trace_mm))
        for one, curve in zip(drawn, curves, strict=True)
    )


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
        If the readings and the outline of one section agree only with a slip.
    CombinedError
        If those of several sections do.
    """
    sizes = [sizes_of(d, profiles=profiles) for d in drawn]
    ways = most_likely_ways(
        drawn,
        curves=curves,
        free=[not align.keeps_turns and d.spec.turn_deg is None and not d.exact for d in drawn],
        sizes=sizes,
        spread=spread,
    )
    refusals = {
        one.where: refused(way.slip, sizes=its, spec=one.spec, where=one.where)
        for one, way, its in zip(drawn, ways, sizes, strict=True)
        if way.slip is not None
    }
    for pair in swapped(drawn):
        if refusals.keys() & set(pair.places):
            refusals |= dict.fromkeys(pair.places, refusal(pair.finding()))  # told once
    for twice in given_twice(drawn):
        if twice.where in refusals:
            refusals[twice.where] = refusal(twice)
    raise_all(list(dict.fromkeys(refusals[one.where] for one in drawn if one.where in refusals)))
    return tuple(as_laid(d, way=w) for d, w in zip(drawn, ways, strict=True)), ways


def _section(found: Estimate, *, index: int, way: Way, align: Align, in_views: Collection[str]) -> Section:
    """The section in its place."""
    lying = found.lying[index]
    laid = lying.laid
    turn = (laid.spec.turn_deg or 0.0) + way.coarse_deg + float(np.degrees(lying.values[TURN]))
    return Section(
        name=laid.spec.name,
        height_mm=laid.spec.height_mm,
        points_mm=frozen(lying.points_mm),
        traced_mm=size(lying.plain),
        caliper_mm=readings_of(laid),
        scale=(float(lying.scale[0]), float(lying.scale[1])),
        turn_deg=(turn + 180.0) % 360.0 - 180.0,
        asymmetry_mm=_asymmetry(laid),
        clearance_mm=laid.spec.clearance_mm,
        placed_by=placed_by(found, section=index, align=align, in_views=in_views),
        exact=laid.exact,
    )


def _asymmetry(laid: Laid) -> float | None:
    """How far the outline is from its mirror image, mm, where a line was looked for and found."""
    if laid.exact or laid.spec.half or not laid.lines:
        return None
    return laid.lines[0].asymmetry_mm
