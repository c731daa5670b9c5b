"""Pocket: the body grown by the clearance and opened along the way out."""

from __future__ import annotations

from math import floor

import numpy as np

from cradle.errors import PocketError
from cradle.geometry.arrays import Floats
from cradle.geometry.knots import divided
from cradle.geometry.planar import Regions, offset
from cradle.geometry.region_measures import empty
from cradle.geometry.solid import Solid, cut_regions, lowest_mm, thinned_solid, transformed
from cradle.geometry.stack import stack_solid
from cradle.noun import noun
from cradle.pocket.budget import FINEST, ErrorBudget
from cradle.pocket.cavity import Cavity
from cradle.pocket.clearance import ClearanceProfile
from cradle.pocket.grow import GrownBody, grown_body
from cradle.pocket.level_heights import LARGEST_GAP_MM, check_effort, level_heights
from cradle.pocket.opened_stack import OpenedStack, begun_stack, finished_stack
from cradle.pocket.prepared_body import PreparedBody
from cradle.pocket.stance import StandFromThing, highest_held_mm, stand_matrix, top_rim_height_mm
from cradle.pocket.undercut import Undercut, undercut
from cradle.project.block import BlockSpec

ABOVE_MM = 1.0
"""Cuts go on this far above the block's top, so that they are clean."""
_UNDER_MM = 0.05
"""The lead-in begins this far within the hollow, so that it crosses its wall instead of touching it."""
_LEAST_RISE = 0.1
"""A way out that rises by less than this for each mm along it is nearly level."""
_LEVEL_MM = 1.0
"""Distance of the plane sections that stand for a leaning pocket."""
_ROUGH_LEVELS = 64
"""This many levels are enough to tell where a pocket lies; pockets of unlike sections have several hundred."""


@noun
class Pocket(Cavity):
    """The hollow for one thing, and how the thing sits in it.

    Attributes
    ----------
    clearance : ClearanceProfile
        Against height in the thing's own frame.
    direction : (3,) float64
        Unit vector along which the thing is lifted out, stand frame.
    undercut : Undercut
        Its place is in the thing's own frame.
    stand_from_thing : StandFromThing
        The thing leaned back, set down and put in its place.
    """

    clearance: ClearanceProfile
    direction: Floats
    undercut: Undercut
    stand_from_thing: StandFromThing

    @property
    def x_offset_mm(self) -> float:
        """How far to the right of the block's origin the thing's own lies."""
        return float(self.stand_from_thing[0, 3])


@noun
class BegunPocket:
    """A pocket of which the opened body is known at some heights, and not yet between them.

    Attributes
    ----------
    grown : GrownBody
        In the thing's own frame.
    stack : OpenedStack
        In the thing's own frame.
    last_mm : float
        The greatest height of the stack.
    way : (3,) float64
        Unit vector along which the thing is lifted out, in its own frame.
    undercut : Undercut
        At the heights it is begun with: the rough pocket tells the same as the finished one.
    """

    grown: GrownBody
    stack: OpenedStack
    last_mm: float
    way: Floats
    clearance: ClearanceProfile
    block: BlockSpec
    stand_from_thing: StandFromThing
    undercut: Undercut


def begun_pocket(
    body: PreparedBody,
    *,
    clearance: ClearanceProfile,
    direction: Floats,
    block: BlockSpec,
    budget: ErrorBudget = FINEST,
) -> BegunPocket:
    """The pocket for a body, begun.

    Growing and opening are done in the thing's own frame, where its sections
    are level; the pocket is then leaned back as a whole.

    Parameters
    ----------
    body : PreparedBody
        In its own frame, reaching through the block's top.
    clearance : ClearanceProfile
        Clearance per side against height in the thing's frame.
    direction : (3,) float64
        Unit vector along which the thing is lifted out, in the thing's frame (`cradle.pocket.way_out`).
    block : BlockSpec
        Its height, lean and lead-in alone count.

    Raises
    ------
    PocketError
        If the body does not reach through the block's top, its lean makes the way out level, or it takes too much cutting.
    """
    matrix = stand_matrix(body.mesh.vertices_mm, lean_deg=block.lean_deg)
    rise = float((matrix[:3, :3] @ direction)[2])
    if rise <= _LEAST_RISE:
        found, least = np.degrees(np.arcsin([rise, _LEAST_RISE]))
        raise PocketError(
            f"leaning back by {block.lean_deg:g}°, the thing would come out {found:.1f}° above level, more than {least:.1f}° is allowed",
            where="block.lean",
            hint="lean it less, or lift it out more upright (lift_out)",
        )
    if block.lean_deg == 0:
        last = min(block.height_mm - float(matrix[2, 3]), body.slopes.high_mm)
    else:
        beside = clearance.greatest_mm + block.lead_in_mm + _carried_mm(body, direction)
        last = _last_of_leaning_mm(body, block=block, stand_from_thing=matrix, beside_mm=beside)
        last = min(last, body.slopes.high_mm - clearance.greatest_mm)
    heights = level_heights(body.slopes, clearance, top_mm=last, direction=direction, budget=budget)
    check_effort(body.mesh, heights_mm=heights)
    grown = grown_body(body.shape, clearance, up_to_mm=last, budget=budget)
    stack = begun_stack(grown, heights_mm=heights, direction=direction)
    return BegunPocket(
        grown=grown,
        stack=stack,
        last_mm=last,
        way=direction,
        clearance=clearance,
        block=block,
        stand_from_thing=matrix,
        undercut=_undercut(stack, stand_from_thing=matrix, top_mm=block.height_mm),
    )


def rough_pocket(begun: BegunPocket) -> Pocket:
    """The pocket with straight walls between the heights it was begun with, or some dozens of these.

    At these heights it equals the finished one; between them it may be narrower.
    """
    return _pocket(begun, begun.stack.some(most=_ROUGH_LEVELS))


def finished_pocket(begun: BegunPocket) -> Pocket:
    """The pocket, with levels between wherever a straight wall would take from the clearance."""
    return _pocket(begun, finished_stack(begun.grown, begun.stack))


def _pocket(begun: BegunPocket, stack: OpenedStack) -> Pocket:
    """The pocket whose hollow is a stack, set down and leaned back as the thing is."""
    matrix, top_mm, last = begun.stand_from_thing, begun.block.height_mm, begun.last_mm
    hollow = stack.solid_up_to(last + ABOVE_MM)
    inner = transformed(
        thinned_solid(hollow, within_mm=begun.grown.budget.thinned_mm, where="pocket"), matrix
    )
    if begun.block.lean_deg == 0:
        stand_heights, levels = _levels(inner, stack, lift_mm=float(matrix[2, 3]))
        bottom = float(stand_heights[0])
    else:  # what is level in the block is not in the thing
        bottom = lowest_mm(inner)
        steps = max(1, int(np.ceil((top_mm - bottom) / _LEVEL_MM)))
        stand_heights = np.linspace(bottom, top_mm, steps + 1)[1:]
        levels = cut_regions(inner, stand_heights)
    return Pocket(
        solid=inner,
        mouth=_mouth(stand_heights, levels, lead_in_mm=begun.block.lead_in_mm),
        heights_mm=stand_heights,
        levels=levels,
        clearance=begun.clearance,
        direction=matrix[:3, :3] @ begun.way,
        undercut=begun.undercut,
        stand_from_thing=matrix,
        bottom_mm=bottom,
        top_mm=top_mm,
    )


def _undercut(stack: OpenedStack, *, stand_from_thing: StandFromThing, top_mm: float) -> Undercut:
    """The undercut of the part of a stack that lies within the block."""
    *_, along, lift = stand_from_thing[2].tolist()
    held = stack.heights_mm * along + lift <= top_mm + 1e-9  # (m,) bool
    return undercut(stack.grown[held], stack.opened[held], heights_mm=stack.heights_mm[held])


def _levels(hollow: Solid, stack: OpenedStack, *, lift_mm: float) -> tuple[Floats, Regions]:
    """The heights and levels of a stack, lifted; where they lie too far apart to stand for its hollow, plane sections of that between them."""
    heights = stack.heights_mm
    parts = np.maximum(1, np.ceil(np.diff(heights) / LARGEST_GAP_MM - 1e-9).astype(np.int64))
    every = divided(heights, parts) + lift_mm
    known = np.zeros(len(every), dtype=bool)
    known[np.append(0, np.cumsum(parts))] = True
    levels: Regions = np.empty(len(every), dtype=object)
    levels[known], levels[~known] = stack.opened, cut_regions(hollow, every[~known])
    return every, levels


def _last_of_leaning_mm(
    body: PreparedBody, *, block: BlockSpec, stand_from_thing: StandFromThing, beside_mm: float
) -> float:
    """The height in the thing's frame up to which a pocket that reaches ``beside_mm`` beside a leaning thing is in the block, mm.

    Raises
    ------
    PocketError
        If the body is not known all around up to the block's top.
    """
    rim_mm = top_rim_height_mm(body.mesh, lean_deg=block.lean_deg)
    if rim_mm < block.height_mm:
        raise PocketError(
            f"leaning back by {block.lean_deg:g}°, the body is known up to {rim_mm:.1f} mm all around, the block's"
            f" top is at {block.height_mm:g} mm",
            where="block.height",
            hint=f"make the block at most {floor(rim_mm * 10) / 10:.1f} mm high, or measure a section higher up",
        )
    held = highest_held_mm(
        body.mesh.vertices_mm[:, :2],
        high_mm=body.slopes.high_mm,
        stand_from_thing=stand_from_thing,
        top_mm=block.height_mm,
    )
    return held + beside_mm * float(np.tan(np.radians(abs(block.lean_deg))))


def _carried_mm(body: PreparedBody, direction: Floats) -> float:
    """How far a body moves sideways at most on its way out, mm."""
    steep = float(np.hypot(*direction[:2])) / float(direction[2])
    return steep * (body.slopes.high_mm - body.slopes.low_mm)


def _mouth(heights_mm: Floats, levels: Regions, *, lead_in_mm: float) -> Solid | None:
    """The lead-in: the pocket's outline widened at 45 degrees over its last part."""
    if lead_in_mm <= 0:
        return None
    top = float(heights_mm[-1])
    foot = levels[int(np.argmin(np.abs(heights_mm - (top - lead_in_mm))))]
    start, wide = offset(foot, -_UNDER_MM), offset(levels[-1], lead_in_mm)
    low = top - lead_in_mm
    if not empty(start):
        foot, low = start, low - _UNDER_MM
    heights = np.array([low, top, top + ABOVE_MM])
    return stack_solid(heights, np.array([foot, wide, wide], dtype=object), where="lead-in")
