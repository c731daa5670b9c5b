"""Why a holder's least gap is another than the clearance that was asked for."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from cradle.pocket.budget import MOST_MM, error_budget
from cradle.result.made_holder import MadeHolder
from cradle.result.seated_thing import SeatedThing

_TOLD_MM: Final = 0.005
"""Gaps and clearances are told in hundredths of a mm: less than half of one is no difference."""


def gap_words(made: MadeHolder) -> str:
    """The least gap, what was asked for, and why these differ; empty where they are the same as far as they are told."""
    thing = min(made.things, key=lambda thing: thing.clearance.least_mm)
    causes = " and ".join(_causes(thing))
    of = f" of {thing.label}" if thing.label else ""
    if not causes:
        return ""
    gap, asked = made.tightest.least_gap_mm, thing.clearance.least_mm
    return f"the least gap is {gap:.2f} mm per side, {asked:.2f} mm{of} was asked for: {causes}"


def _causes(thing: SeatedThing) -> Iterator[str]:
    """What makes the gap of a thing another than was asked for; none where it only falls short, which is a finding."""
    project = thing.model.project
    learned_mm = thing.wanted.least_mm - project.added_in_file_mm - thing.clearance.least_mm
    more_mm = thing.gap.least_mm - thing.wanted.least_mm
    if project.fit.lining_mm:
        yield f"{project.fit.lining_mm:.2f} mm is for the lining"
    if abs(learned_mm) >= _TOLD_MM:
        yield f"trials {'added' if learned_mm > 0 else 'took off'} {abs(learned_mm):.2f} mm"
    budget = error_budget(thing.wanted.least_mm, faces=len(thing.model.body.mesh.faces))
    opened = thing.pocket.undercut.depth_mm >= _TOLD_MM
    made_wider_mm = budget.margin_mm + budget.outline_mm + _TOLD_MM if opened else MOST_MM
    if more_mm > made_wider_mm:
        why = "to let the thing out" if opened else "by its mouth or an opening"
        yield f"the pocket is wider {why} where the least was asked for"
    elif more_mm >= _TOLD_MM:
        yield f"{more_mm:.2f} mm is a margin for the flat facets of its wall"
