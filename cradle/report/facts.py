"""What was measured of a holder, as names, figures and words: commands, report and page tell the same."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.pocket.budget import MOST_MM, error_budget
from cradle.result.made_holder import MadeHolder
from cradle.result.seated_thing import SeatedThing

_UPRIGHT_DEG: Final = 0.5
_BESIDE: Final = 0.4
"""A part of the lean this small beside the other is not named."""
_TOLD_MM: Final = 0.005
"""Gaps and clearances are told in hundredths of a mm: less than half of one is no difference."""


def measured_facts(made: MadeHolder) -> list[tuple[str, str]]:
    """Gap, walls, floor, ways out, standing, undercut and size, by name; first what trials added, if they did."""
    wall, tightest = made.wall, made.tightest
    facts = [("added after trials, per side", f"{made.added_words} mm")] if made.added_words else []
    facts += [
        (
            "least gap measured, per side",
            f"{'at least ' if tightest.gap.at_least else ''}{tightest.least_gap_mm:.2f} mm",
        ),
        ("thinnest wall", f"{wall.least_mm:.2f} mm"),
        ("thinnest floor", f"{wall.floor_mm:.2f} mm"),
    ]
    if wall.between_mm is not None:
        facts.append(("thinnest wall between pockets", f"{wall.between_mm:.2f} mm"))
    facts += [
        (f"lifted out{f', {thing.label}' if thing.label else ''}", lift_out_words(thing.pocket.direction))
        for thing in made.things
    ]
    return [
        *facts,
        _stands(made),
        ("undercut", f"{made.most_undercut.pocket.undercut.depth_mm:.2f} mm"),
        ("size", " × ".join(f"{v:.1f}" for v in made.size_mm) + " mm"),
    ]


def _stands(made: MadeHolder) -> tuple[str, str]:
    if made.holder.fixed_to_wall:
        return "standing", "fixed to a wall, not judged"
    tips = made.standing.tip_angle_deg
    return "tips over at", f"{tips:.0f}°" if tips > 0 else "falls by itself"


def lift_out_words(direction: Floats) -> str:
    """The way out in words, such as ``straight up`` or ``6° from upright, to the back``.

    Parameters
    ----------
    direction : (3,) float64
        Unit vector in the print frame: x to the right, y to the back.

    Examples
    --------
    >>> lift_out_words(np.array([0.0, 0.0, 1.0]))
    'straight up'
    >>> lift_out_words(np.array([0.0, 0.1, 0.995]))
    '6° from upright, to the back'
    """
    x, y, up = direction.tolist()
    lean = float(np.degrees(np.arctan2(np.hypot(x, y), up)))
    if lean < _UPRIGHT_DEG:
        return "straight up"
    most = max(abs(x), abs(y))
    ways = [
        word
        for part, word in ((-y, "front"), (y, "back"), (-x, "left"), (x, "right"))
        if part > _BESIDE * most
    ]
    return f"{lean:.0f}° from upright, to the {' and '.join(ways)}"


def gap_words(made: MadeHolder) -> str:
    """The least gap, what was asked for, and why these differ; empty where they are the same as far as they are told."""
    thing = made.tightest
    of = f" of {thing.label}" if thing.label else ""
    gap, asked = f"{thing.least_gap_mm:.2f}", thing.clearance.least_told
    causes = " and ".join(_causes(thing, more_mm=float(gap) - float(asked)))
    if not causes or gap == asked:
        return ""
    return f"the least gap is {gap} mm per side, {asked} mm{of} was asked for: {causes}"


def _causes(thing: SeatedThing, *, more_mm: float) -> Iterator[str]:
    """What makes the gap of a thing so much more than was asked for, in figures that add up to it; none where it only falls short, which is a finding."""
    project = thing.model.project
    learned_mm = thing.wanted.least_mm - project.added_in_file_mm - thing.clearance.least_mm
    if project.fit.lining_mm:
        more_mm -= project.fit.lining_mm
        yield f"{project.fit.lining_mm:.2f} mm is for the lining"
    if abs(learned_mm) >= _TOLD_MM:
        more_mm -= round(learned_mm, 2)
        yield f"trials {'added' if learned_mm > 0 else 'took off'} {abs(learned_mm):.2f} mm"
    budget = error_budget(thing.wanted.least_mm, faces=len(thing.model.body.mesh.faces))
    opened = thing.pocket.undercut.depth_mm >= _TOLD_MM
    made_wider_mm = budget.margin_mm + budget.outline_mm + _TOLD_MM if opened else MOST_MM
    if more_mm > made_wider_mm:
        why = "to let the thing out" if opened else "by its mouth or an opening"
        yield f"the pocket is wider {why} where the least was asked for"
    elif more_mm >= _TOLD_MM:
        yield f"{more_mm:.2f} mm is a margin for the flat facets of its wall"
