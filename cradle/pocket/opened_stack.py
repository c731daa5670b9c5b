"""The opened body as a stack of levels, close enough for the straight walls between them to keep the gap.

It is begun at heights that promise to be enough (`level_heights`). Then each
slab between two levels is looked at half way up: where its straight wall would
cut the grown body, or would leave much room that nothing asks for, a level is
put in between. A new level changes what is carried up to those above, so all
this goes on until nothing changes.

The grown body may change abruptly, as below a ledge. There the wall is a *step*,
upright over both of its levels. A low step is not divided but widened, by all of
the grown body that lies between its levels.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cradle.geometry.arrays import Bools, Floats, Ints
from cradle.geometry.planar import Regions, widened
from cradle.geometry.region_measures import area_mm2, boundary_gaps, covers, empty
from cradle.geometry.solid import Solid
from cradle.geometry.stack import Joining, Walls, like_half_way_mm2, stack_solid
from cradle.noun import noun
from cradle.pocket.grow import GrownBody
from cradle.pocket.sweep import Sweep
from cradle.pocket.wall_depth import reached_into

CLOSEST_MM = 0.01
"""Levels are not put nearer to each other than this."""
TALL_MM = 0.5
"""Slabs taller than this are looked at a quarter and three quarters of the way up too: the body may bend in them."""
_STEP_MM = 0.5
"""Steps no taller than this are widened, not divided: where fine corners wander along the outline as it rises, each half
of a step would again be cut, by half as much, without end."""
_WITHIN = (0.25, 0.5, 0.75)
"""How far up a low step the sections of the grown body lie that it is widened by, as shares of its height."""
_LOOSE_MM2 = 1.0
"""Area by which a wall may be too wide half way up its slab: 5 mm of outline that is 0.2 mm too wide. Only slabs are
looked at whose grown body half way up is smaller, by more than this, than if it went evenly from one like outline to another."""
_LOOSE_MM = 0.1
"""Walls of slabs no taller than this may be too wide by any amount."""
HALVINGS = 8
"""A slab is halved at most this often between two sweeps of what comes up from below."""
_SWEEPS = 4
"""Most sweeps: after one that widened walls more levels are seldom wanted."""


@noun
class OpenedStack:
    """The grown and the opened body, as a region at each of ``(m,)`` rising heights.

    Attributes
    ----------
    heights_mm : (m,) float64
    grown, opened : (m,) regions
    upright : (m - 1,) bool
        Whether the wall from each level to the next is a step.
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
        """The stack with at most this many of its levels, at least 2: the lowest, the highest and others spread evenly."""
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
    """The opened body at rising heights, ``(m,)``, alone, those that miss it left out, whose straight walls may still cut the grown body."""
    levels = grown.levels(heights_mm)
    there = ~empty(levels)
    sweep = Sweep.along(direction, budget=grown.budget)
    return stack_of(levels[there], heights_mm=heights_mm[there], sweep=sweep)


def stack_of(levels: Regions, *, heights_mm: Floats, sweep: Sweep) -> OpenedStack:
    """The opened body at the heights of ``(m,)`` levels of the grown body, none of them empty; its straight walls may still cut that."""
    return OpenedStack(
        heights_mm=heights_mm,
        grown=levels,
        opened=sweep.opened(levels, heights_mm=heights_mm),
        upright=np.zeros(len(heights_mm) - 1, dtype=bool),
        sweep=sweep,
        joining=Joining(aside=sweep.aside),
    )


def finished_stack(grown: GrownBody, begun: OpenedStack) -> OpenedStack:
    """A begun stack with as many more levels as it takes for no wall to cut the grown body."""
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
    """The stack with more levels, or wider ones, where a wall would cut the grown body or be too wide; and which are new or wider.

    Only walls beside an ``unsure`` level are looked at. A new level includes what
    the one below carries up to it, but is not carried up itself: the next sweep does that.
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
    """n slabs of a stack.

    Attributes
    ----------
    below : (n,) int64
        The number of the level below each.
    lows_mm, rises_mm : (n,) float64
        Where each begins, and how tall it is.
    walls : Walls
        What joins the opened levels below and above each.
    lean : (n,) float64
        How much the wall leans where it leans least, mm sideways per mm up.
    """

    stack: OpenedStack
    below: Ints
    lows_mm: Floats
    rises_mm: Floats
    walls: Walls
    lean: Floats

    def some(self, which: Ints) -> _Slabs:
        """The slabs with the given numbers."""
        return replace(
            self,
            below=self.below[which],
            lows_mm=self.lows_mm[which],
            rises_mm=self.rises_mm[which],
            walls=self.walls.some(which),
            lean=self.lean[which],
        )

    def heights_at(self, share: float) -> Floats:
        """The height a share of the way up each slab, ``(n,)``, mm."""
        return self.lows_mm + share * self.rises_mm

    def cut(self, wall: Regions, grown: Regions, *, share: float, ledge: float = 1.0) -> Bools:
        """Whether each wall cuts the grown body, both given as ``(n,)`` regions a share of the way up.

        The body may reach into the wall by the budget's bulge, measured square to the
        wall. That is judged quickly by the least lean of the whole wall; only where
        it fails, and the wall is no step, by the lean of each facet. Then ``ledge``
        bulges are allowed.
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
        """Whether each wall leaves far more room than the way out needs, as below a ledge, by wall and grown body half way up."""
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
        """The opened level above each slab, widened by all of the grown body that lies in the slab, ``(n,)`` regions."""
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
