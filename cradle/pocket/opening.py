"""The grown body opened along the way out, at heights so close that the straight wall between them keeps the gap."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cradle.geometry.arrays import Bools, Floats, Ints
from cradle.geometry.planar import Regions, area_mm2, boundary_gaps, covers, empty, widened
from cradle.geometry.solid import Solid
from cradle.geometry.stack import Walls, like_half_way_mm2, stack_solid, walls_between
from cradle.noun import noun
from cradle.pocket.budget import FINEST, ErrorBudget
from cradle.pocket.grow import grown_levels
from cradle.pocket.withdrawal import opened_levels, swept_on, with_what_is_below

CLOSEST_MM = 0.01
"""Levels are not put nearer to each other than this."""
TALL_MM = 0.5
"""Slabs taller than this are looked at a quarter of the way up and three quarters too: the body may bend in them."""
_STEP_MM = 0.5
"""A step no taller than this is widened by all that lies between its levels rather than divided: where fine corners
of the outline wander along it as it rises, each half of a step is cut by half as much, again and again."""
_WITHIN = (0.25, 0.5, 0.75)
"""What lies between is taken at these shares of a step's height."""
_LOOSE_MM2 = 1.0
"""A wall half way up a slab may leave so much more room than is needed, about as 5 mm of an outline that is 0.2 mm too wide.
Where the grown body's own area is by less than that too small half way up, it does not ..."""
_LOOSE_MM = 0.1
"""... and where the slab is no taller than this it may leave any amount."""
HALVINGS = 8
"""A slab is divided so often at most before what comes up from below is swept through it again."""
_SWEEPS = 4
"""So often at most: walls that became wider by a sweep seldom want more levels."""


@noun
class OpenedStack:
    """The grown body and the opened one, a region each at each of ``(m,)`` rising heights.

    ``upright (m - 1,)`` says between which of them the wall is a step over both levels.
    """

    heights_mm: Floats
    grown: Regions
    opened: Regions
    upright: Bools

    def solid_up_to(self, top_mm: float, *, direction: Floats) -> Solid:
        """The opened body, swept along a way out, its highest level going on up to ``top_mm``."""
        return stack_solid(
            np.append(self.heights_mm, top_mm),
            np.append(self.opened, self.opened[-1]),
            upright=np.append(self.upright, False),
            aside=direction[:2] / direction[2],
            where="pocket",
        )

    def some(self, *, most: int) -> OpenedStack:
        """About evenly so many of the levels at most, the lowest and the highest among them; at least 2."""
        count = len(self.heights_mm)
        if count <= most:
            return self
        kept = np.linspace(0, count - 1, most).round().astype(np.int64)
        return OpenedStack(
            heights_mm=self.heights_mm[kept],
            grown=self.grown[kept],
            opened=self.opened[kept],
            upright=np.logical_or.reduceat(self.upright, kept[:-1]),
        )


def begun_stack(
    grown: Solid, *, heights_mm: Floats, direction: Floats, budget: ErrorBudget = FINEST
) -> OpenedStack:
    """The opened body at the given heights alone: between them the straight wall may cut the grown body.

    Parameters
    ----------
    grown : Solid
        Raw offset of the body (`cradle.pocket.grow.grown_body`).
    heights_mm : (m,) float64
        Rising; those that miss the grown body are left out.
    direction : (3,) float64
        Way out.
    budget : ErrorBudget
        As the body was grown by.
    """
    levels = grown_levels(grown, heights_mm=heights_mm, budget=budget)
    there = ~empty(levels)
    heights, levels = heights_mm[there], levels[there]
    return stack_of(levels, heights_mm=heights, direction=direction, budget=budget)


def stack_of(
    levels: Regions, *, heights_mm: Floats, direction: Floats, budget: ErrorBudget = FINEST
) -> OpenedStack:
    """The opened body at ``(m,)`` levels of the grown one that are known already, none of them empty; else as `begun_stack`."""
    return OpenedStack(
        heights_mm=heights_mm,
        grown=levels,
        opened=opened_levels(levels, heights_mm=heights_mm, direction=direction, budget=budget),
        upright=np.zeros(len(heights_mm) - 1, dtype=bool),
    )


def finished_stack(
    grown: Solid, begun: OpenedStack, *, direction: Floats, budget: ErrorBudget = FINEST
) -> OpenedStack:
    """A begun stack with levels between wherever its straight wall would cut the grown body.

    Parameters
    ----------
    grown : Solid
        Raw offset of the body, as the stack was begun with.
    begun : OpenedStack
    direction : (3,) float64
        Way out.
    budget : ErrorBudget
        As the stack was begun with.
    """
    stack, unsure = begun, np.ones(len(begun.heights_mm), dtype=bool)
    for _ in range(_SWEEPS):
        stack, stale = _divided(grown, stack, unsure=unsure, direction=direction, budget=budget)
        if not stale.any():
            break
        opened, unsure = swept_on(
            stack.opened, stale=stale, heights_mm=stack.heights_mm, direction=direction, budget=budget
        )
        stack = replace(stack, opened=opened)
    heights, upright = stack.heights_mm, stack.upright.copy()
    thin = np.flatnonzero(np.diff(heights) <= 2 * CLOSEST_MM)
    slabs = _slabs(heights, stack.opened, thin, direction=direction)
    between = grown_levels(grown, heights_mm=slabs.heights_at(0.5), budget=budget)
    upright[thin] = slabs.cut(between, share=0.5, budget=budget)  # too low to be divided
    return replace(stack, upright=upright)


def _divided(
    grown: Solid, stack: OpenedStack, *, unsure: Bools, direction: Floats, budget: ErrorBudget
) -> tuple[OpenedStack, Bools]:
    """The stack with levels between wherever a wall at an unsure level would cut the grown body, and which are new or wider.

    A new level has what the one below it carries up, but nothing above it has yet what it carries up itself.
    Low steps are widened instead.
    """
    heights, levels, opened = stack.heights_mm, stack.grown, np.array(stack.opened, dtype=object)
    stale = np.zeros(len(heights), dtype=bool)
    for _ in range(HALVINGS):
        wanted = (unsure[1:] | unsure[:-1]) & (np.diff(heights) > 2 * CLOSEST_MM)
        slabs = _slabs(heights, opened, np.flatnonzero(wanted), direction=direction)
        middles = slabs.heights_at(0.5)
        between = grown_levels(grown, heights_mm=middles, budget=budget)
        cut = slabs.cut(between, share=0.5, budget=budget)
        tall = np.flatnonzero(~cut & (slabs.rises_mm > TALL_MM))
        for share in (0.25, 0.75):
            some = slabs.some(tall)
            there = grown_levels(grown, heights_mm=some.heights_at(share), budget=budget)
            cut[tall] |= some.cut(there, share=share, budget=budget)
        cut |= _loose(slabs, levels, opened, between, direction=direction, budget=budget)
        if not cut.any():
            break
        low_steps = cut & slabs.walls.steps & (slabs.rises_mm <= _STEP_MM)
        above = slabs.below[low_steps] + 1
        opened[above] = _with_all_between(
            grown, heights, opened, above=above, direction=direction, budget=budget
        )
        stale[above] = True
        cut &= ~low_steps
        below, middles, between = slabs.below[cut], middles[cut], between[cut]
        more = with_what_is_below(
            between, opened[below], rises_mm=middles - heights[below], direction=direction, budget=budget
        )
        above = below + 1
        unsure = np.insert(np.zeros(len(heights), dtype=bool), above, values=True)
        stale = np.insert(stale, above, values=True)
        heights, levels = np.insert(heights, above, middles), np.insert(levels, above, between)
        opened = np.insert(opened, above, more)
    upright = np.zeros(len(heights) - 1, dtype=bool)
    return OpenedStack(heights_mm=heights, grown=levels, opened=opened, upright=upright), stale


def _with_all_between(
    grown: Solid, heights_mm: Floats, opened: Regions, *, above: Ints, direction: Floats, budget: ErrorBudget
) -> Regions:
    """The opened levels above some slabs, with what of the grown body lies between them and the levels below."""
    out = opened[above]
    for share in _WITHIN:
        rises = (1 - share) * (heights_mm[above] - heights_mm[above - 1])
        between = widened(
            grown_levels(grown, heights_mm=heights_mm[above] - rises, budget=budget), budget.bulge_mm
        )
        out = with_what_is_below(out, between, rises_mm=rises, direction=direction, budget=budget)
    return out


@noun
class _Slabs:
    """Some slabs of a stack, ``(n,)``.

    Attributes
    ----------
    below : (n,) int64
        The number of the level below each.
    lows_mm, rises_mm : (n,) float64
        Where each begins, and how tall it is.
    walls : Walls
        What joins the opened levels below and above each.
    lean : (n,) float64
        The least that the wall leans anywhere, mm sideways per mm up.
    """

    below: Ints
    lows_mm: Floats
    rises_mm: Floats
    walls: Walls
    lean: Floats

    def some(self, which: Ints) -> _Slabs:
        """Those of the slabs with the given numbers."""
        return _Slabs(
            below=self.below[which],
            lows_mm=self.lows_mm[which],
            rises_mm=self.rises_mm[which],
            walls=self.walls.some(which),
            lean=self.lean[which],
        )

    def heights_at(self, share: float) -> Floats:
        """The height so far up each slab, ``(n,)``, mm."""
        return self.lows_mm + share * self.rises_mm

    def cut(self, grown: Regions, *, share: float, budget: ErrorBudget) -> Bools:
        """Whether the wall cuts the grown body, given as ``(n,)`` regions, so far up each slab."""
        # the grown body is made narrower rather than the wall wider, which would close slits in it
        least = widened(grown, -budget.bulge_mm * np.hypot(1.0, self.lean))
        return np.asarray(~covers(self.walls.sections(share), least))


def _slabs(heights_mm: Floats, opened: Regions, below: Ints, *, direction: Floats) -> _Slabs:
    """The slabs above the levels with the given numbers."""
    lows, highs = opened[below], opened[below + 1]
    rises = heights_mm[below + 1] - heights_mm[below]
    return _Slabs(
        below=below,
        lows_mm=heights_mm[below],
        rises_mm=rises,
        walls=walls_between(lows, highs, moves_mm=np.outer(rises, direction[:2] / direction[2])),
        lean=boundary_gaps(lows, highs) / rises,
    )


def _loose(
    slabs: _Slabs,
    levels: Regions,
    opened: Regions,
    between: Regions,
    *,
    direction: Floats,
    budget: ErrorBudget,
) -> Bools:
    """Whether the wall half way up each slab leaves much room that the way out does not ask for, as below a ledge.

    Parameters
    ----------
    slabs : _Slabs
    levels, opened : (m,) regions
        The grown body and the opened one at all levels of the stack.
    between : (n,) regions
        The grown body half way up each slab.
    direction : (3,) float64
        Way out.
    budget : ErrorBudget
    """
    sag = like_half_way_mm2(levels[slabs.below], levels[slabs.below + 1]) - area_mm2(between)
    bent = np.flatnonzero((sag > _LOOSE_MM2) & (slabs.rises_mm > _LOOSE_MM))
    some = slabs.some(bent)
    needed = with_what_is_below(
        between[bent], opened[some.below], rises_mm=some.rises_mm / 2, direction=direction, budget=budget
    )
    loose = np.zeros(len(slabs.below), dtype=bool)
    loose[bent] = area_mm2(some.walls.sections(0.5)) - area_mm2(needed) > _LOOSE_MM2
    return loose
