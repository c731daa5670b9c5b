"""Outlines to sections: mirrored, the right way round, to scale, and in their places.

The order matters. Calipers read along the thing's x and y, so an outline is
turned before it is scaled; where it lies depends on its size, so it is scaled
before it is shifted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from cradle.capture.outline import Outline
from cradle.errors import SectionError
from cradle.finding import Finding, ordered
from cradle.geometry.arrays import frozen
from cradle.geometry.ring import counter_clockwise, extents
from cradle.project.section import Align, MeasuredSource, SectionSpec
from cradle.sections.caliper import Reconciled, reconcile
from cradle.sections.half import mirror_half, mirror_half_as_drawn
from cradle.sections.posterior import PARAMETERS, Posterior
from cradle.sections.profiles import ProfileExtent, check_profiles, compare_profiles, extent_at
from cradle.sections.section import PlacedBy, Profiles, Section
from cradle.sections.shifts import Shift, Unplaced, shift_sections
from cradle.sections.turns import Drawn, Turned, turn_sections
from cradle.tolerances import DEFAULT, Tolerances

_RANK = (PlacedBy.GIVEN, PlacedBy.PROFILES, PlacedBy.MIRROR, PlacedBy.MATCH, PlacedBy.DRAWING)
_SHIFT_MM: Final = {
    PlacedBy.GIVEN: 0.10,
    PlacedBy.PROFILES: 0.10,
    PlacedBy.MIRROR: 0.08,
    PlacedBy.MATCH: 0.20,
    PlacedBy.DRAWING: 0.05,
}
"""Of where a section lies, by what placed it (common practice, no source)."""


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
    tolerances: Tolerances = DEFAULT,
) -> Placed:
    """Return the sections in the thing's frame, bottom to top, how sure that is, and what was found on the way.

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
    tolerances : Tolerances, optional
        How straight the straight edge of a half outline must be.

    Raises
    ------
    SectionError
        If counts differ, heights do not rise, a half outline crosses its
        mirror line, a caliper reading contradicts the trace, or profiles
        contradict each other.
    """
    profiles = profiles or Profiles()
    _check(outlines, specs=specs)
    check_profiles(profiles)
    if align is Align.PROFILES and all(
        p is None for p in (profiles.front, profiles.back, profiles.left, profiles.right)
    ):
        raise SectionError(
            'align = "profiles" needs at least one side profile',
            where="side",
            hint="add front, back, left or right",
        )
    halves, drawn = zip(
        *(_drawn(o, spec=s, tolerances=tolerances) for o, s in zip(outlines, specs, strict=True)), strict=True
    )
    turns = turn_sections(drawn, align=align)
    scaled = tuple(
        reconcile(turn.ring, width_mm=width, depth_mm=depth, girth_mm=s.girth_mm, where=turn.where)
        for turn, s, (width, depth) in zip(turns, specs, map(_readings, specs), strict=True)
    )
    extent = [extent_at(profiles, height_mm=s.height_mm) for s in specs]
    unplaced = tuple(map(_unplaced, specs, turns, scaled, extent))
    shifts = shift_sections(unplaced, align=align)
    sections = tuple(map(_section, specs, turns, scaled, shifts))
    findings = [f for part in (turns, scaled, shifts) for item in part for f in item.findings]
    findings += [f for half in halves for f in half]
    return Placed(
        sections=sections,
        posterior=_posterior(sections, turns=turns, shifts=shifts),
        profiles=profiles,
        findings=ordered((*findings, *compare_profiles(sections, profiles=profiles))),
    )


def _posterior(
    sections: tuple[Section, ...], *, turns: tuple[Turned, ...], shifts: tuple[Shift, ...]
) -> Posterior:
    """How sure the placing is, by what decided it."""
    estimate = np.zeros((len(sections), PARAMETERS))
    spread = np.zeros_like(estimate)
    for i, (section, turn, shift) in enumerate(zip(sections, turns, shifts, strict=True)):
        x0, y0, x1, y1 = extents(section.points_mm)
        estimate[i] = (x0 + x1) / 2, (y0 + y1) / 2, np.radians(turn.turn_deg), *section.scale
        spread[i, :2] = _SHIFT_MM[shift.by[0]], _SHIFT_MM[shift.by[1]]
    return Posterior(
        estimate=frozen(estimate),
        covariance=frozen(np.diag(spread.ravel() ** 2)),
        gain=frozen(np.zeros((estimate.size, 0))),
    )


def _check(outlines: Sequence[Outline], *, specs: Sequence[SectionSpec]) -> None:
    """Pass one outline per section, heights rising."""
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
                where=f'section "{above.name}"',
                hint="list sections from bottom to top",
            )


def _drawn(
    outline: Outline, *, spec: SectionSpec, tolerances: Tolerances
) -> tuple[tuple[Finding, ...], Drawn]:
    """The whole ring as drawn, and findings from making it whole."""
    where = f'section "{spec.name}"'
    if spec.half:
        mirrored = mirror_half if spec.turn_deg is None else mirror_half_as_drawn
        half = mirrored(outline, where=where, tolerances=tolerances)
        return half.findings, Drawn(
            ring=counter_clockwise(half.points_mm),
            where=where,
            turn_deg=spec.turn_deg,
            axes_known=True,
            line_mm=half.line_mm,
            line_deg=half.angle_deg,
        )
    measured = isinstance(spec.source, MeasuredSource)
    return (), Drawn(
        ring=counter_clockwise(outline.points_mm),
        where=where,
        turn_deg=spec.turn_deg,
        axes_known=measured,
        line_mm=np.zeros(2) if measured else None,
    )


def _unplaced(spec: SectionSpec, turn: Turned, scaled: Reconciled, extent: ProfileExtent) -> Unplaced:
    """A section ready to be shifted; its mirror lines follow the scaling about its middle."""
    x0, y0, x1, y1 = extents(turn.ring)
    lines = [
        None if line is None else middle + factor * (line - middle)
        for line, middle, factor in zip(
            (turn.line_x_mm, turn.line_y_mm), ((x0 + x1) / 2, (y0 + y1) / 2), scaled.scale, strict=True
        )
    ]
    return Unplaced(
        ring=scaled.points_mm,
        where=turn.where,
        height_mm=spec.height_mm,
        middle_mm=spec.shift_mm,
        line_mm=(lines[0], lines[1]),
        extent=extent,
    )


def _readings(spec: SectionSpec) -> tuple[float | None, float | None]:
    """Caliper width and depth: as given, or those that a measured section consists of."""
    if isinstance(spec.source, MeasuredSource) and not spec.turn_deg:
        return spec.width_mm or spec.source.width_mm, spec.depth_mm or spec.source.depth_mm
    return spec.width_mm, spec.depth_mm


def _section(spec: SectionSpec, turn: Turned, scaled: Reconciled, shift: Shift) -> Section:
    """The section in its place."""
    return Section(
        name=spec.name,
        height_mm=spec.height_mm,
        points_mm=frozen(scaled.points_mm + np.array(shift.shift_mm)),
        traced_mm=scaled.traced_mm,
        caliper_mm=_readings(spec),
        scale=scaled.scale,
        asymmetry_mm=turn.asymmetry_mm,
        clearance_mm=spec.clearance_mm,
        placed_by=min((*shift.by, turn.by), key=_RANK.index),
    )
