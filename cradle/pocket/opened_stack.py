"""The grown body opened along the way out, at heights so close that the straight wall between them keeps the gap."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cradle.geometry.arrays import Bools, Floats, Ints
from cradle.geometry.planar import Regions, area_mm2, boundary_gaps, covers, empty, widened
from cradle.geometry.solid import Solid
from cradle.geometry.stack import Joining, Walls, like_half_way_mm2, stack_solid
from cradle.noun import noun
from cradle.pocket.grow import GrownBody
from cradle.pocket.sweep import Sweep
from cradle.pocket.wall_depth import reached_into

CLOSEST_MM = 0.01
"""Levels are not put nearer to each other than this."""
TALL_MM = 0.5
"""Slabs taller than this are looked at a quarter of the way up and three quarters too: the body may bend in them."""
_STEP_MM = 0.5
"""A step no taller than this is widened by all that lies between its levels, not divided: where fine corners of the
outline wander along it as it rises, each half of a step would be cut by half as much, again and again."""
_WITHIN = (0.25, 0.5, 0.75)
"""Shares of a step's height at which what lies between its levels is taken."""
_LOOSE_MM2 = 1.0
"""Room, as area half way up a slab, that its wall may leave beyond what is needed: 5 mm of an outline 0.2 mm too wide.
Not looked for where the grown body's own section half way up falls short of like outlines by less."""
_LOOSE_MM = 0.1
"""The wall of a slab no taller than this may leave any amount."""
HALVINGS = 8
"""Most halvings of a slab between two sweeps of what comes up from below."""
_SWEEPS = 4
"""Most sweeps: a wall that a sweep widened seldom wants more levels."""


@noun
class OpenedStack:
    """The grown body and the opened one, a region each at each of ``(m,)`` rising heights.

    Attributes
    ----------
    heights_mm : (m,) float64
    grown, opened : (m,) regions
    upright : (m - 1,) bool
        Between which of them the wall is a step over both levels.
    sweep : Sweep
        What opens it.
    joining : Joining
        What joins its opened levels.
    """

    heights_mm: Floats
    grown: Regions
    opened: Regions
    upright: Bools
    sweep: Sweep
    joining: Joining

    def solid_up_to(self, top_mm: float) -> Solid:
        """The opened body, its highest level going on up to ``top_mm``."""
        return stack_solid(
            np.append(self.heights_mm, top_mm),
            np.append(self.opened, self.opened[-1]),
            upright=np.append(self.upright, False),
            joining=self.joining,
            where="pocket",
        )

    def some(self, *, most: int) -> OpenedStack:
        """At most this many of the levels, spread evenly, the lowest and the highest among them; at least 2."""
        count = len(self.heights_mm)
        if count <= most:
            return self
        kept = np.linspace(0, count - 1, most).round().astype(np.int64)
        return replace(
            self,
            heights_mm=self.heights_mm[kept],
            grown=self.grown[kept],
            opened=self.opened[kept],
            upright=np.logical_or.reduceat(self.upright, kept[:-1]),
        )


def begun_stack(grown: GrownBody, *, heights_mm: Floats, direction: Floats) -> OpenedStack:
    """The opened body at the given heights alone: between them the straight wall may cut the grown body.

    Parameters
    ----------
    heights_mm : (m,) float64
        Rising; those that miss the grown body are left out.
    direction : (3,) float64
        Way out.
    """
    levels = grown.levels(heights_mm)
    there = ~empty(levels)
    sweep = Sweep.along(direction, budget=grown.budget)
    return stack_of(levels[there], heights_mm=heights_mm[there], sweep=sweep)


def stack_of(levels: Regions, *, heights_mm: Floats, sweep: Sweep) -> OpenedStack:
    """The opened body at ``(m,)`` levels of the grown one that are known already, none of them empty; else as `begun_stack`."""
    return OpenedStack(
        heights_mm=heights_mm,
        grown=levels,
        opened=sweep.opened(levels, heights_mm=heights_mm),
        upright=np.zeros(len(heights_mm) - 1, dtype=bool),
        sweep=sweep,
        joining=Joining(aside=sweep.aside),
    )


def finished_stack(grown: GrownBody, begun: OpenedStack) -> OpenedStack:
    """A begun stack with levels between wherever its straight wall would cut the grown body."""
    stack, unsure = begun, np.ones(len(begun.heights_mm), dtype=bool)
    for _ in range(_SWEEPS):
        stack, stale = _divided(grown, stack, unsure=unsure)
        if not stale.any():
            break
        opened, unsure = stack.sweep.swept_on(stack.opened, stale=stale, heights_mm=stack.heights_mm)
        stack = replace(stack, opened=opened)
    thin = _slabs(stack, np.flatnonzero(np.diff(stack.heights_mm) <= 2 * CLOSEST_MM))
    upright = stack.upright.copy()
    half_way = thin.walls.sections(0.5), grown.levels(thin.heights_at(0.5))
    # too low to be divided: what lies below a ledge at one of their ends is cut twice as deep as half way up
    upright[thin.below] = thin.cut(*half_way, share=0.5, ledge=0.5)
    return replace(stack, upright=upright)


def _divided(grown: GrownBody, stack: OpenedStack, *, unsure: Bools) -> tuple[OpenedStack, Bools]:
    """The stack with levels put where the wall beside an unsure level would cut the grown body; and which are new or wider.

    A new level includes what the one below carries up, but is not carried up itself yet. Low steps are widened instead.
    """
    stale = np.zeros(len(stack.heights_mm), dtype=bool)
    for _ in range(HALVINGS):
        wanted = (unsure[1:] | unsure[:-1]) & (np.diff(stack.heights_mm) > 2 * CLOSEST_MM)
        slabs = _slabs(stack, np.flatnonzero(wanted))
        wall, between = slabs.walls.sections(0.5), grown.levels(slabs.heights_at(0.5))
        cut = slabs.cut(wall, between, share=0.5)
        whole = np.flatnonzero(~cut & (slabs.rises_mm > TALL_MM))
        tall = slabs.some(whole)
        for share in (0.25, 0.75):
            cut[whole] |= tall.cut(
                tall.walls.sections(share), grown.levels(tall.heights_at(share)), share=share
            )
        cut |= slabs.loose(wall, between)
        if not cut.any():
            break
        low_steps = cut & slabs.walls.steps & (slabs.rises_mm <= _STEP_MM)
        wider = slabs.some(np.flatnonzero(low_steps))
        opened = stack.opened.copy()
        opened[wider.below + 1] = wider.with_all_between(grown)
        stale[wider.below + 1] = True
        cut &= ~low_steps
        halved = slabs.some(np.flatnonzero(cut))
        above, middles, between = halved.below + 1, halved.heights_at(0.5), between[cut]
        more = stack.sweep.with_what_is_below(
            between, opened[halved.below], rises_mm=middles - halved.lows_mm
        )
        stack = replace(
            stack,
            heights_mm=np.insert(stack.heights_mm, above, middles),
            grown=np.insert(stack.grown, above, between),
            opened=np.insert(opened, above, more),
            upright=np.insert(stack.upright, above, values=False),
        )
        unsure = np.insert(np.zeros(len(opened), dtype=bool), above, values=True)
        stale = np.insert(stale, above, values=True)
    return stack, stale


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

    stack: OpenedStack
    below: Ints
    lows_mm: Floats
    rises_mm: Floats
    walls: Walls
    lean: Floats

    def some(self, which: Ints) -> _Slabs:
        """Those with the given numbers."""
        return replace(
            self,
            below=self.below[which],
            lows_mm=self.lows_mm[which],
            rises_mm=self.rises_mm[which],
            walls=self.walls.some(which),
            lean=self.lean[which],
        )

    def heights_at(self, share: float) -> Floats:
        """The height so far up each slab, ``(n,)``, mm."""
        return self.lows_mm + share * self.rises_mm

    def cut(self, wall: Regions, grown: Regions, *, share: float, ledge: float = 1.0) -> Bools:
        """Whether the wall cuts the grown body, both given as ``(n,)`` regions so far up each slab.

        What reaches into it by no more than the budget's bulge, as if it leaned everywhere as little as it does somewhere,
        does not count. Where more reaches into a tiled wall the lean of each facet decides, and ``ledge`` bulges are allowed.
        """
        within = self.stack.sweep.budget.bulge_mm
        # the grown body is made narrower rather than the wall wider, which would close slits in it
        cut = np.asarray(~covers(wall, widened(grown, -within * np.hypot(1.0, self.lean))))
        tiled = np.flatnonzero(cut & ~self.walls.steps)
        some = self.some(tiled)
        cut[tiled] = reached_into(
            some.walls, grown[tiled], share=share, rises_mm=some.rises_mm, within_mm=ledge * within
        )
        return cut

    def loose(self, wall: Regions, between: Regions) -> Bools:
        """Whether the wall leaves far more room than the way out needs, as below a ledge, judged by it and the grown body half way up."""
        levels, opened = self.stack.grown, self.stack.opened
        sag = like_half_way_mm2(levels[self.below], levels[self.below + 1]) - area_mm2(between)
        bent = np.flatnonzero((sag > _LOOSE_MM2) & (self.rises_mm > _LOOSE_MM))
        some = self.some(bent)
        needed = self.stack.sweep.with_what_is_below(
            between[bent], opened[some.below], rises_mm=some.rises_mm / 2
        )
        loose = np.zeros(len(self.below), dtype=bool)
        loose[bent] = area_mm2(wall[bent]) - area_mm2(needed) > _LOOSE_MM2
        return loose

    def with_all_between(self, grown: GrownBody) -> Regions:
        """The opened levels above the slabs, with what of the grown body lies in them, ``(n,)`` regions."""
        sweep = self.stack.sweep
        out = self.stack.opened[self.below + 1]
        for share in _WITHIN:
            between = widened(grown.levels(self.heights_at(share)), sweep.budget.bulge_mm)
            out = sweep.with_what_is_below(out, between, rises_mm=(1 - share) * self.rises_mm)
        return out


def _slabs(stack: OpenedStack, below: Ints) -> _Slabs:
    """The slabs of a stack above the levels with the given numbers."""
    lows, highs = stack.opened[below], stack.opened[below + 1]
    rises = stack.heights_mm[below + 1] - stack.heights_mm[below]
    return _Slabs(
        stack=stack,
        below=below,
        lows_mm=stack.heights_mm[below],
        rises_mm=rises,
        walls=stack.joining.walls(lows, highs, rises_mm=rises),
        lean=boundary_gaps(lows, highs) / rises,
    )
