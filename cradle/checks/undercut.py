"""What the way out costs: room beside the thing, and with it how far up the holder holds it at all."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from math import floor, isfinite

import numpy as np

from cradle.checks.place_words import side_words
from cradle.finding import About, Finding, Severity, in_mm, note
from cradle.pocket.pocket import Pocket
from cradle.project.fit import BESIDE_LINING_MM

_LOOSE = 2.0
"""Where the pocket is wider, from side to side, than thing and clearance by this many clearances, it does not hold the thing: that
has twice the room there that the clearance alone would leave it (our own choice)."""
_BETTER = 0.8
"""Another way out is worth changing to where it leaves at most this part of the undercut."""
LEAST_SHARE = 0.2
"""A holder that takes less than this part of a thing's height hardly holds it (common practice, no source)."""
_HELD_MM = 1.0
"""A block that reaches less than this above the lowest section holds nothing by it."""
_SURELY = 0.95
"""A lower block may get a clearance that is less by a few parts in a hundred: it is advised where the thing is held with so much less room too."""
_MOSTLY = 0.75
"""Held up this part of the way to the rim the thing stands about as firmly as in a holder that grips it all the way (our own choice)."""
_LEVELS = 100
"""At so many heights the gap is looked at."""
_TOLD_MM = 0.1
"""Less room beside the clearance is not told: prints differ by as much."""


def undercut_findings(
    pocket: Pocket,
    *,
    along_easiest_mm: Callable[[], float] | None,
    lowest_section_mm: float,
    thing_mm: float,
    lining_mm: float,
) -> Iterator[Finding]:
    """How much room the way out costs where the thing is wider below than above, and how far up it is held at all.

    Parameters
    ----------
    along_easiest_mm : callable, optional
        Tells how deep the undercut is along the easiest way out, mm; None
        where the pocket goes by that way.
    lowest_section_mm : float
        Height of the lowest section: a holder reaches above it.
    thing_mm : float
        How high the thing is, as far as is known: a block that takes little of it is not advised.
    lining_mm : float
        How much of the pocket's clearance a lining fills.
    """
    cut, enough_mm = pocket.undercut, _enough_mm(pocket, lining_mm=lining_mm)
    if cut.place_mm is None:
        return
    found = _extra_room(pocket, place_mm=cut.place_mm)
    if held_to_rim(pocket, lining_mm=lining_mm):
        if cut.depth_mm >= _TOLD_MM:
            yield found
        return
    held = cut.held_to_mm(room_mm=enough_mm)
    also, ways = _by_another_way(cut.depth_mm, along_easiest_mm)
    holds, severity = "the holder does not grip the thing", Severity.WARN
    if isfinite(held) and held > lowest_section_mm + _HELD_MM:
        matrix = pocket.stand_from_thing
        surely = cut.held_to_mm(room_mm=_SURELY * enough_mm)
        rim, lower = (float(height * matrix[2, 2] + matrix[2, 3]) for height in (held, surely))
        holds = f"the holder grips the thing only up to {rim:.0f} mm"
        if surely > lowest_section_mm + _HELD_MM and lower >= LEAST_SHARE * thing_mm:
            ways.append(f"make the block {floor(10 * lower) / 10:g} mm high")
        if held >= _MOSTLY * cut.by_height_mm[-1][0]:
            severity = Severity.NOTE
    ways.append("hold the thing upside down, or by a part that widens upwards")
    yield replace(
        found,
        severity=severity,
        message=f"{found.message}{also}; {holds}",
        limit=enough_mm,
        advice=", or ".join(ways),
    )


def _extra_room(pocket: Pocket, *, place_mm: tuple[float, float, float]) -> Finding:
    """The note of how much room the way out costs at the place where it costs most."""
    depth_mm = pocket.undercut.depth_mm
    x, y = (pocket.stand_from_thing @ (*place_mm, 1.0))[:2] - pocket.middle_mm()
    side, height = side_words(x, y), f"height {place_mm[2]:z.0f} mm"
    narrower = (
        f"the gap is narrower at the thing's {side}, {height}, than below, where the thing's shape is less sure: to let the thing"
        if _by_gap_alone(pocket)
        else f"the thing is narrower at its {side}, {height}, than below: to let it"
    )
    return note(
        "undercut",
        f"{narrower} out, the pocket has {depth_mm:.2f} mm of extra room there",
        about=About.HOLD,
        place_mm=place_mm,
        **in_mm(depth_mm),
    )


def held_to_rim(pocket: Pocket, *, lining_mm: float) -> bool:
    """Whether the thing is held right up to the rim: the way out leaves it nowhere so much room that it would be loose."""
    heights = pocket.undercut.by_height_mm
    return (
        not heights
        or pocket.undercut.held_to_mm(room_mm=_enough_mm(pocket, lining_mm=lining_mm)) >= heights[-1][0]
    )


def _by_gap_alone(pocket: Pocket) -> bool:
    """Whether the gap, which is not the same at all heights, explains the undercut: the thing itself widens upwards."""
    cut = pocket.undercut
    if cut.place_mm is None:
        return False
    height = cut.place_mm[2]
    below = np.linspace(0.0, height, _LEVELS)
    gaps = pocket.clearance.at(below)
    return bool(cut.depth_mm <= gaps.max() - gaps[-1] + _TOLD_MM / 2)


def _enough_mm(pocket: Pocket, *, lining_mm: float) -> float:
    """Room beside the clearance with which the thing is not held, mm; a lining is no clearance."""
    beside = pocket.clearance.held().greatest_mm - lining_mm
    return _LOOSE * (max(beside, BESIDE_LINING_MM) if lining_mm else beside)


def _by_another_way(depth_mm: float, along_easiest_mm: Callable[[], float] | None) -> tuple[str, list[str]]:
    """What a finding says of the easiest way out, and the advice to try it, where it is far better."""
    if along_easiest_mm is None:
        return ', even by the easiest way out, which lift_out = "auto" found', []
    least = along_easiest_mm()
    if least <= _BETTER * depth_mm:
        return "", [f'try lift_out = "auto" (about {least:.1f} mm of extra room)']
    return ', and lift_out = "auto" finds no better way', []
