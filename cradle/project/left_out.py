"""What is chosen where a project leaves a measure of the block out, by what it says elsewhere."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from typing import Final

from cradle.project.block import LEAST_RIM_MM
from cradle.project.key import Values

_MAY_BE_CM_BELOW_MM: Final = 10.0
"""Sections that end lower may have their heights in cm, which how far the holder reaches tells (our own choice)."""
_CUTS: Final = ("lead_in", "chamfer")


def choose_left_out(parts: Values, *, said: Collection[str]) -> None:
    """Change the block's defaults in ``parts``, which holds the values of each table by field; ``said`` names the block's keys in the file."""
    block = parts["block"]
    if "height" not in said:
        _lower_to_sections(block, parts.get("sections", ()))
    if block.get("wall_mm") is not None:
        _cut_back(block, row=parts.get("row", {}), said=said)


def all_heights_mm(sections: Sequence[Values]) -> list[float]:
    """Heights of the sections; none where one is not known, which may lie anywhere."""
    known = [section["height_mm"] for section in sections if "height_mm" in section]
    return known if len(known) == len(sections) else []


def _lower_to_sections(block: Values, sections: Sequence[Values]) -> None:
    """Lower the block to the highest section, above which nothing is known, unless heights may be in cm."""
    heights = all_heights_mm(sections)
    if len(heights) > 1 and max(heights) >= _MAY_BE_CM_BELOW_MM:
        block["height_mm"] = min(block["height_mm"], max(heights))


def _cut_back(block: Values, *, row: Values, said: Collection[str]) -> None:
    """Make lead-in and chamfer smaller, in proportion, so that a thin wall keeps its rim, and what parts the pockets of a row its ridge."""
    fixed = sum(block.get(f"{name}_mm") or 0.0 for name in _CUTS if name in said)
    free = [f"{name}_mm" for name in _CUTS if name not in said]
    wanted = sum(block[name] for name in free)
    left = max(block["wall_mm"] - LEAST_RIM_MM - fixed, 0.0)
    for name in free if left < wanted else ():
        block[name] = _tenths_down(block[name] * left / wanted)
    if "lead_in" not in said and (row.get("count") or 1) + len(row.get("things") or ()) > 1:
        gap = row.get("gap_mm") or block["wall_mm"]
        block["lead_in_mm"] = min(block["lead_in_mm"], _tenths_down(max(gap - LEAST_RIM_MM, 0.0) / 2))


def _tenths_down(mm: float) -> float:
    return math.floor(10 * mm + 1e-6) / 10
