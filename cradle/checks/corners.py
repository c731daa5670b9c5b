"""Corners of the block that came out smaller than asked."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cradle.finding import About, Finding, in_mm, note
from cradle.geometry.planar import Region, outer_rings
from cradle.holder.holder import Holder
from cradle.project.block import BlockForm, BlockSpec

_SAME_MM = 0.01
"""A smaller difference is none."""
_LEVEL_MM = 1e-6
"""Points no further back than this stand at the front."""


def corner_findings(holder: Holder, *, block: BlockSpec) -> Iterator[Finding]:
    """A box whose corners had to be smaller than asked; nothing for other forms."""
    if block.form is not BlockForm.BOX:
        return
    made = front_corner_mm(holder.plan)
    if made >= block.corner_mm - _SAME_MM:
        return
    yield note(
        "corner-smaller",
        f"the block's corners were reduced from {block.corner_mm:g} mm to {made:.1f} mm: larger ones would take"
        " more than half of a side, or leave too little wall around the thing",
        "a thicker wall leaves room for larger ones",
        about=About.LOOKS,
        where="block.corner",
        **in_mm(made, limit=block.corner_mm),
    )


def front_corner_mm(plan: Region) -> float:
    """How far the front corners of a box reach along its front, mm: their radius, or how far they are cut."""
    ring = np.concatenate(outer_rings(plan))
    front = ring[ring[:, 1] <= ring[:, 1].min() + _LEVEL_MM, 0]
    return float(np.ptp(ring[:, 0]) - np.ptp(front)) / 2
