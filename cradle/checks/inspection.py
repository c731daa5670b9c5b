"""Inspection dimensions: what calipers should read on the printed holder, before the thing goes near it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import chain
from typing import Final, TypeVar

import numpy as np

from cradle.geometry.arrays import Floats, following
from cradle.geometry.mesh import bounds_mm
from cradle.geometry.planar import Region, common, outer_rings, region
from cradle.geometry.region_measures import bounds
from cradle.geometry.shapes import rectangle
from cradle.geometry.solid import cut_regions
from cradle.holder.holder import Holder
from cradle.pocket.pocket import Pocket
from cradle.project.block import BlockSpec
from cradle.project.convert import Pair
from cradle.project.side import PAIRS, Side
from cradle.result.measurements import InspectionDimension
from cradle.result.seated_thing import SeatedThing

_BELOW_MOUTH_MM = 2.0
_SLIT_MM = 0.01
_MEETS_MM = 0.05
_FACING_MM = 5.0
"""Less of two pockets beside each other is no wall that calipers close on (our own choice)."""
_TRIED = 43
"""Places at which two pockets beside each other are looked at."""
_SAME_MM = 0.005
"""Sizes that differ by less read the same."""
_Item = TypeVar("_Item")
SOURCE: Final = "Limits: ± half of IT13 (ISO 286-1). A guide only; printers differ."
_UP_TO_MM: Final = np.array(
    [3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000]
)
_BAND_MM: Final = np.array(
    [
        *(0.14, 0.18, 0.22, 0.27, 0.33, 0.39, 0.46, 0.54, 0.63, 0.72),
        *(0.81, 0.89, 0.97, 1.10, 1.25, 1.40, 1.65, 1.95, 2.30),
    ]
)
"""Full tolerance bands of ISO 286-1, grade 13, by nominal size: half to each side says what is worth a second look
with the calipers, not what a printer holds. Sizes above 18 up to 120 mm as in a published extract; the others from memory.
"""


def band_mm(length_mm: float) -> float:
    """The full tolerance band of ISO 286-1 grade 13 for a length, mm; a size on a limit counts below it."""
    step = int(np.searchsorted(_UP_TO_MM, length_mm))
    return float(_BAND_MM[min(step, len(_BAND_MM) - 1)])


def inspection_dimensions(
    holder: Holder,
    row: Sequence[tuple[Pocket, SeatedThing]],
    *,
    block: BlockSpec,
    inside_error_mm: float,
) -> tuple[InspectionDimension, ...]:
    """What to measure: pockets at each section, walls, floor, the outside, the wall plate, the openings.

    Of pockets for the same thing, which are alike, the first stands for all.

    Parameters
    ----------
    row : sequence of (Pocket, SeatedThing)
        The pockets from left to right, each with its thing.
    inside_error_mm : float
        How much smaller, per side, the printer makes an inside wall: the file
        is wider by that, the print is not.

    Notes
    -----
    A pocket may be smaller by the yardstick, but by no more than one side's
    clearance, so that the other half of the gap is left.
    """
    alike = _firsts(row, key=lambda one: one[1].words)
    found: list[InspectionDimension] = []
    for pocket, thing in alike:
        found += _across(pocket, thing, holder, block=block, inside_error_mm=inside_error_mm)
    found += _walls(holder, row, block=block, inside_error_mm=inside_error_mm)
    for pocket, thing in alike:
        deep, low = pocket.top_mm - pocket.bottom_mm, pocket.bottom_mm + holder.lift_mm
        found += [
            _reading(thing.named("pocket depth below the rim"), deep),
            _reading(thing.named("floor"), low),
        ]
    found += [_reading(name, length) for name, length in _outside(holder)]
    for opening in holder.openings:
        place = opening.words
        found += [_reading(f"{place}, {what}", size) for what, size in opening.sizes]
    return tuple(_firsts(found, key=lambda reading: reading.name))


def _outside(holder: Holder) -> list[tuple[str, float]]:
    """Sizes over all; with a plate the block's own width and what of the plate's sizes these do not say already."""
    over_all = dict(
        zip(("width", "depth", "height"), np.ptp(bounds_mm(holder.mesh), axis=0).tolist(), strict=True)
    )
    sizes = [(f"outside {what}", size) for what, size in over_all.items()]
    if holder.plate is not None:
        x0, _, x1, _ = bounds(holder.foot).tolist()
        if over_all["width"] - (x1 - x0) > _SAME_MM:
            sizes.append(("block width", x1 - x0))
        sizes += [
            (f"plate {what}", size)
            for what, size in holder.plate.sizes
            if abs(size - over_all.get(what, -1.0)) > _SAME_MM
        ]
    return sizes


def _firsts(items: Iterable[_Item], *, key: Callable[[_Item], str]) -> list[_Item]:
    """The first of those with the same key."""
    firsts: dict[str, _Item] = {}
    for item in items:
        firsts.setdefault(key(item), item)
    return list(firsts.values())


def _across(
    pocket: Pocket, thing: SeatedThing, holder: Holder, *, block: BlockSpec, inside_error_mm: float
) -> Iterator[InspectionDimension]:
    """Width and depth of a pocket at its sections' heights."""
    heights = thing.heights_mm(pocket.stand_from_thing)
    within = [(name, z) for name, z in heights if pocket.bottom_mm < z < pocket.top_mm - block.lead_in_mm]
    cuts = cut_regions(pocket.solid, np.array([z for _, z in within]))
    room = max(pocket.clearance.least_mm - inside_error_mm, 0.0)
    for (name, z), cut in zip(within, cuts, strict=True):
        x0, y0, x1, y1 = bounds(cut).tolist()
        for what, size in (("width", x1 - x0), ("depth", y1 - y0)):
            length, height = size - 2 * inside_error_mm, z + holder.lift_mm
            name_of = thing.named(f"pocket {what} at {name}")
            yield _reading(name_of, length, height_mm=height, less_mm=room)


def _reading(
    name: str, length_mm: float, *, height_mm: float | None = None, less_mm: float | None = None
) -> InspectionDimension:
    half = band_mm(length_mm) / 2
    below = half if less_mm is None else min(half, less_mm)
    return InspectionDimension(
        name=name,
        height_mm=height_mm,
        length_mm=length_mm,
        low_mm=length_mm - below,
        high_mm=length_mm + half,
    )


def _walls(
    holder: Holder, row: Sequence[tuple[Pocket, SeatedThing]], *, block: BlockSpec, inside_error_mm: float
) -> Iterator[InspectionDimension]:
    """The walls just below the mouth, each where its pocket reaches furthest out, or two are nearest; openings skip theirs."""
    cavity, last = holder.cavity, len(row) - 1
    deep = max(block.lead_in_mm, block.chamfer_mm) + _BELOW_MOUTH_MM
    z = max(cavity.top_mm - deep, 0.5 * (cavity.top_mm + cavity.bottom_mm))
    level = cut_regions(holder.solid, np.array([z + holder.lift_mm]))[0]
    rings = [outer_rings(cut_regions(pocket.solid, np.array([z]))[0])[0] for pocket, _ in row]
    for k, (ring, (_, thing)) in enumerate(zip(rings, row, strict=True)):
        for side in chain.from_iterable(PAIRS):
            if side is Side.LEFT and k > 0:
                continue
            axis, inner = side.axis, side is Side.RIGHT and k < last
            where = _nearest(ring, rings[k + 1]) if inner else _furthest(ring, side)
            if where is None:
                continue
            across, edge = where
            thickness = _thickness(level, axis=axis, sign=side.outward, across_mm=across, inner_mm=edge)
            if thickness is None:
                continue
            if inner:
                name = f"wall between pockets {k + 1} and {k + 2}"
            else:
                name = f"wall, {side}" if axis == 0 else thing.named(f"wall, {side}")
            more = 2 * inside_error_mm if inner else inside_error_mm
            yield _reading(name, thickness + more, height_mm=z + holder.lift_mm)


def _furthest(ring: Floats, side: Side) -> Pair:
    """Where a pocket reaches furthest to a side: the coordinate across, and how far that is, mm outward."""
    reach = side.outward * ring[:, side.axis]
    return float(ring[reach > reach.max() - 1e-6, 1 - side.axis].mean()), float(reach.max())


def _nearest(left: Floats, right: Floats) -> Pair | None:
    """Where along y two pockets come nearest to one another along x, and how far the left one reaches there, mm; None where they hardly face each other."""
    low, high = max(left[:, 1].min(), right[:, 1].min()), min(left[:, 1].max(), right[:, 1].max())
    if high - low < _FACING_MM:
        return None
    widest = [_furthest(left, Side.RIGHT)[0], _furthest(right, Side.LEFT)[0]]
    tried = [y for y in (*widest, *np.linspace(low, high, _TRIED)[1:-1].tolist()) if low < y < high]
    ends = {y: (_extent_at(left, y)[1], _extent_at(right, y)[0]) for y in tried}
    y = min(tried, key=lambda y: round(ends[y][1] - ends[y][0], 6))
    return y, ends[y][0]


def _extent_at(ring: Floats, y: float) -> Pair:
    """From where to where a ring reaches along x at a height y that it crosses."""
    ahead = following(ring)
    crosses = (ring[:, 1] <= y) != (ahead[:, 1] <= y)
    a, b = ring[crosses], ahead[crosses]
    x = a[:, 0] + (y - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0])
    return float(x.min()), float(x.max())


def _thickness(level: Region, *, axis: int, sign: int, across_mm: float, inner_mm: float) -> float | None:
    """Thickness of the wall outside the pocket's furthest point along an axis; None when it is cut away there."""
    x0, y0, x1, y1 = bounds(level).tolist()
    low, high = (x0 - 1, x1 + 1) if axis == 0 else (y0 - 1, y1 + 1)
    a, b = across_mm - _SLIT_MM, across_mm + _SLIT_MM
    slit = rectangle((low, a), (high, b))
    cut = common(level, region(slit if axis == 0 else slit[:, ::-1]))
    for piece in outer_rings(cut):
        along = sign * piece[:, axis]
        if abs(along.min() - inner_mm) < _MEETS_MM:
            return float(along.max() - along.min())
    return None
