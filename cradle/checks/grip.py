"""Whether the holder takes hold of enough of the thing, and whether enough of the thing was measured."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cradle.checks.undercut import LEAST_SHARE, held_to_rim
from cradle.finding import About, Finding, Severity, doubt, in_mm, note
from cradle.fit.bow import bows
from cradle.fit.interpolation_error import half_way_mm
from cradle.matching.ring_stack import RingStack
from cradle.names import between_words, section_words
from cradle.pocket.clearance import ClearanceProfile
from cradle.pocket.pocket import Pocket
from cradle.project.convert import AUTO
from cradle.project.opening import FingerSpec
from cradle.project.project import Project
from cradle.sections.profiles import Profiles

_USUAL_SHARE = 1 / 3
"""A stand that takes less than a third of a thing's height lets it lean (common practice, no source)."""


def engagement_findings(
    project: Project, *, clearance: ClearanceProfile, pocket: Pocket
) -> Iterator[Finding]:
    """A holder that reaches up too little of the thing, and how far the thing's top can then move.

    A thing held over a height h with a gap a at its foot and b at the rim on
    both sides leans by up to atan((a + b) / h), so its top, H above the floor,
    moves by (a + b) H / h.
    """
    overall, engaged = project.thing.height_mm, project.block.height_mm
    if overall is not None and overall < engaged:
        fingers = any(isinstance(spec, FingerSpec) for spec in project.openings)
        cut = (
            f"see that its finger notches reach well below {overall:g} mm"
            if fingers
            else "cut finger notches"
        )
        yield doubt(
            "thing-below-rim",
            f"the thing is only {overall:g} mm high: it would disappear in the holder, whose rim is at"
            f" {engaged:g} mm",
            f"make the block lower than {overall:g} mm, or {cut}",
            about=About.HOLDER,
            where="block.height",
            **in_mm(engaged, limit=overall),
        )
        return
    if overall is None or engaged >= _USUAL_SHARE * overall:
        return
    gap = float(clearance.at(np.array([0.0, engaged])).mean())
    share = engaged / overall
    yield Finding(
        code="engagement-low",
        severity=Severity.WARN if share < LEAST_SHARE else Severity.NOTE,
        message=f"the holder reaches up {engaged:g} mm of the thing's {overall:g} mm ({100 * share:.0f} %):"
        f" with a gap of {gap:.2f} mm per side, the mean at foot and rim, its top can move by {2 * gap / share:.1f} mm",
        advice=_closer(project, pocket=pocket, high_mm=_USUAL_SHARE * overall),
        about=About.HOLDER,
        where="block.height",
        **in_mm(engaged, limit=_USUAL_SHARE * overall),
    )


def _closer(project: Project, *, pocket: Pocket, high_mm: float) -> str:
    """What would hold the thing closer: no higher block where it narrows below the rim, no clearance less than the least that will do."""
    measured = project.sections[-1].height_mm > high_mm
    further = "" if measured else ", and measure one more section just above that"
    ways = (
        [f"make the block {high_mm:.0f} mm high{further}"]
        if held_to_rim(pocket, lining_mm=project.fit.lining_mm)
        else []
    )
    if project.fit.clearance_mm != AUTO:
        ways.append("make the clearance smaller")
    return ", or ".join(ways)


def spacing_findings(
    stack: RingStack, *, profiles: Profiles, project: Project, clearance: ClearanceProfile
) -> Iterator[Finding]:
    """Sections so far apart for their difference that the thing may leave the loft by more than the gap.

    The bow of the skin between two sections is `cradle.fit.interpolation_error`'s; it
    counts twice, as 19 in 20 things stay within two standard uncertainties.
    What that does to the fit is part of the chance of fit, with which it is told
    what to measure; this says where.
    """
    heights = stack.heights_mm
    if len(heights) < 3 or profiles.given:
        return
    middles = 0.5 * (heights[1:] + heights[:-1])
    bow = bows(stack, between=project.loft.between)
    given = project.spread.between_mm
    spread = (
        half_way_mm(stack, bows_per_mm=bow, trace_mm=project.spread.trace_mm)
        if given is None
        else np.full(len(middles), given)
    )
    room = clearance.at(middles) + project.fit.lining_gives_mm
    over = np.where(heights[:-1] < project.block.height_mm, 2 * spread - room, 0.0)
    k = int(np.argmax(over))
    if over[k] <= 0:
        return
    low, high = float(heights[k]), float(heights[k + 1])
    yield note(
        "sections-far-apart",
        f"{between_words(stack.names[k], stack.names[k + 1])} ({low:g} and {high:g} mm) the thing may be"
        f" {2 * float(spread[k]):.2f} mm larger or smaller than the model, more than the"
        f" clearance there, {float(room[k]):.2f} mm",
        "give a side profile or a view",
        where=section_words(stack.names[k + 1]),
        **in_mm(2 * float(spread[k]), limit=float(room[k])),
    )
