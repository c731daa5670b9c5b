"""Pockets of things of known shape, for all tests of what is made and measured around them."""

import numpy as np
from stacked import UP, rectangle, stacked

from cradle.geometry import planar
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.pocket import Pocket, begun_pocket, finished_pocket
from cradle.pocket.prepared_body import prepared
from cradle.project.block import BlockSpec
from cradle.project.opening import OPENINGS, Through

TILE = stacked([0, 40], [rectangle(40, 24)] * 2)
OUTWARD = {
    Through.FRONT: (0, -1, 0),
    Through.BACK: (0, 1, 0),
    Through.LEFT: (-1, 0, 0),
    Through.RIGHT: (1, 0, 0),
    Through.FLOOR: (0, 0, -1),
}
WALLS = [t for t in Through if t is not Through.FLOOR]


def make_pocket(body, *, top_mm, lead_in_mm=0.0, lean_deg=0.0, **asked) -> Pocket:
    """The pocket for a body, begun and finished; all as for `begun_pocket`."""
    block = BlockSpec(height_mm=top_mm, lead_in_mm=lead_in_mm, lean_deg=lean_deg)
    return finished_pocket(begun_pocket(body, block=block, **asked))


def pocket_of(mesh, *, clearance_mm=0.5, direction=UP, top_mm=30.0, lead_in_mm=1.0, lean_deg=0.0) -> Pocket:
    """The pocket of a standing thing with one clearance all over."""
    return make_pocket(
        prepared(mesh),
        clearance=clearance_profile([0, 40], [None, None], default_mm=clearance_mm),
        direction=direction,
        top_mm=top_mm,
        lead_in_mm=lead_in_mm,
        lean_deg=lean_deg,
    )


def opening(kind, through=Through.FLOOR, **sizes):
    """What a project says of an opening of a kind."""
    return OPENINGS.tables[kind].makes(through=through, **sizes)


def rings_at(levels, heights):
    """The outer rings of regions at their heights, each ``(n, 3)``."""
    return [
        np.column_stack([ring, np.full(len(ring), z)])
        for level, z in zip(levels, heights, strict=True)
        for ring in planar.outer_rings(level)
    ]
