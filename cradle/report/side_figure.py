"""The thing in its holder from the front and from the right, with the measured heights."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.drawing.view import View
from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import moved_points
from cradle.holder.holder import Holder, PrintFromThing
from cradle.names import shortened
from cradle.noun import noun
from cradle.report.figure import WIDTH, Figure
from cradle.result.seated_thing import SeatedThing

_LINE: Final = 13.0
"""From one line of words to the next, figure units."""
_ARROW, _HEAD = 40.0, 10.0
"""Length of the arrow along the way out, and of its head, figure units."""
_MARGINS: Final = (10.0, 100.0, 12.0 + _ARROW, 12.0)


def side_figures(thing: SeatedThing, *, holder: Holder, views: Sequence[View]) -> list[tuple[str, str]]:
    """Caption and figure: from the front, from the right; both at one scale.

    Parameters
    ----------
    thing : SeatedThing
        Shown in all its pockets; its heights at the last one.
    views : (View, View)
        Cuts through the holder from the front and from the right.
    """
    places = thing.places(holder)
    sides = [
        _side(thing, material=views[axis].material, places=places if axis == 0 else places[:1], axis=axis)
        for axis in (0, 1)
    ]
    widest = max(float(np.ptp(side.every[:, 0])) for side in sides)
    scale = (WIDTH - _MARGINS[0] - _MARGINS[1]) / widest
    return [
        ("From the front", _figure(thing, sides[0], axis=0, seen="front", scale=scale)),
        (
            "From the right: the front of the thing is on the left",
            _figure(thing, sides[1], axis=1, seen="right", scale=scale),
        ),
    ]


@noun
class _Side:
    """What is drawn of one side, print frame, mm.

    ``every`` holds all its points together; ``last`` is the place of the thing beside which the measured heights stand.
    """

    material: tuple[Floats, ...]
    things: list[Floats]
    bars: list[Floats]
    beyond: list[Floats]
    every: Floats
    last: PrintFromThing


def silhouette(rings_mm: Floats, heights_mm: Floats, *, matrix: PrintFromThing, axis: int) -> Floats:
    """How far every ring reaches as seen along the other axis, a closed ring ``(2 m, 2)``: across, height.

    A thing that leans towards the viewer is cut through its middle: a foot that lies level across stays so.

    Parameters
    ----------
    rings_mm : (m, n, 2) float64
    heights_mm : (m,) float64
        In the thing's frame.
    axis : int
        0: x runs across; 1: y does.
    """
    ends = np.array([_ends(ring, axis=axis) for ring in rings_mm])
    sides = [_seen(np.column_stack([ends[:, n], heights_mm]), matrix=matrix, axis=axis) for n in (0, 1)]
    return np.concatenate([sides[0], sides[1][::-1]])


def _ends(ring_mm: Floats, *, axis: int) -> Floats:
    """How far a ring reaches along an axis, down and up, half way along the other one, ``(2, 2)``, mm."""
    low, high = ring_mm.min(axis=0), ring_mm.max(axis=0)
    ends = np.tile((low + high) / 2, (2, 1))
    ends[:, axis] = low[axis], high[axis]
    return ends


def _seen(points: Floats, *, matrix: PrintFromThing, axis: int) -> Floats:
    return moved_points(points, matrix)[:, [axis, 2]]


def _side(
    thing: SeatedThing, *, material: tuple[Floats, ...], places: Sequence[PrintFromThing], axis: int
) -> _Side:
    body, last = thing.model.body, places[-1]
    things = [silhouette(body.rings_mm, body.heights_mm, matrix=matrix, axis=axis) for matrix in places]
    bars = []
    for section in thing.model.sections:
        ends = np.column_stack([_ends(section.points_mm, axis=axis), [section.height_mm] * 2])
        bars.append(_seen(ends, matrix=last, axis=axis))
    beyond = [line for matrix in places for line in _beyond(thing, matrix=matrix, axis=axis)]
    every = np.concatenate([*things, *material, *bars, *beyond])
    return _Side(material=material, things=things, bars=bars, beyond=beyond, every=every, last=last)


def _figure(thing: SeatedThing, side: _Side, *, axis: int, seen: str, scale: float) -> str:
    bars, beyond = side.bars, side.beyond
    low, high = side.every.min(axis=0), side.every.max(axis=0)
    names = ", ".join(f"{s.name} at {s.height_mm:g} mm" for s in thing.model.sections)
    figure = Figure(
        (float(low[0]), float(low[1])),
        (float(high[0]), float(high[1])),
        title=f"the thing in its holder, from the {seen}; measured heights: {names}",
        margins=_MARGINS,
        scale=scale,
    )
    figure.path(side.material, "wood", closed=True)
    if len(beyond):
        figure.path(beyond, "guess", closed=False)
    figure.path(side.things, "thing", closed=True)
    middles = np.array([bar.mean(axis=0) for bar in bars])
    if len(middles) > 1:
        figure.path([middles], "axis", closed=False)
    _label_heights(figure, thing, bars, right=float(high[0]))
    _mark_balance(figure, thing, matrix=side.last, axis=axis)
    _mark_way_out(figure, thing, middles[-1], axis=axis)
    figure.line((float(low[0]), 0.0), (float(high[0]), 0.0), "ground")
    return figure.svg()


def _beyond(thing: SeatedThing, *, matrix: PrintFromThing, axis: int) -> list[Floats]:
    """Dashed lines from the lofted part up to the thing's stated height: its shape there is not known."""
    overall = thing.model.project.thing.height_mm
    top = float(thing.model.body.heights_mm[-1])
    if overall is None or overall <= top + 1.0:
        return []
    last = thing.model.body.rings_mm[-1]
    middle = last.mean(axis=0)
    lines = []
    for end in _ends(last, axis=axis):
        inner = middle + (end - middle) * 0.8
        lines.append(np.array([[*end, top], [*inner, overall]]))
    lines.append(np.array([lines[0][1], lines[1][1]]))
    return [_seen(line, matrix=matrix, axis=axis) for line in lines]


def _label_heights(figure: Figure, thing: SeatedThing, bars: list[Floats], *, right: float) -> None:
    """Names and heights to the right, spread so that they do not touch."""
    placed = []
    for section, bar in zip(thing.model.sections, bars, strict=True):
        figure.line(tuple(bar[0].tolist()), tuple(bar[1].tolist()), "level")
        placed.append((figure.place(right, float(bar[1, 1]))[1], section, bar))
    placed.sort(key=lambda item: -item[0])
    last = float("inf")
    for y, section, bar in placed:
        at = min(y, last - _LINE)
        if y - at > 2 * _LINE:  # too crowded: this one stays without words
            continue
        last = at
        x_end, y_end = figure.place(*bar[1].tolist())
        x = figure.place(right, 0.0)[0] + 6
        figure.raw(f'<path class="lead" d="M{x_end:.1f} {y_end:.1f}L{x - 2:.1f} {at:.1f}"/>')
        name = shortened(section.name, 9)
        figure.words(
            f"{section.height_mm:g} {name}", (right, 0.0), shift=(6, at + 4 - figure.place(right, 0.0)[1])
        )


def _mark_way_out(figure: Figure, thing: SeatedThing, start: Floats, *, axis: int) -> None:
    """An arrow from the highest measured section along the way out."""
    way = thing.pocket.direction[[axis, 2]]
    x, y = figure.place(*start.tolist())
    dx, dy = _ARROW * float(way[0]), -_ARROW * float(way[1])
    tip, half = (x + dx, y + dy), _HEAD / 3
    length = float(np.hypot(dx, dy))
    ux, uy = dx / length, dy / length
    back = (tip[0] - _HEAD * ux, tip[1] - _HEAD * uy)
    figure.raw(
        f'<path class="way" d="M{x:.1f} {y:.1f}L{back[0]:.1f} {back[1]:.1f}"/>'
        f'<path class="wayhead" d="M{tip[0]:.1f} {tip[1]:.1f}L{back[0] - half * uy:.1f} {back[1] + half * ux:.1f}'
        f'L{back[0] + half * uy:.1f} {back[1] - half * ux:.1f}z"/>'
    )


def _mark_balance(figure: Figure, thing: SeatedThing, *, matrix: PrintFromThing, axis: int) -> None:
    balance = thing.model.project.thing.balance_mm
    if balance is None:
        return
    point = _seen(np.array([balance]), matrix=matrix, axis=axis)[0]
    x, y = figure.place(float(point[0]), float(point[1]))
    figure.raw(
        f'<circle class="ball" cx="{x:.1f}" cy="{y:.1f}" r="5"/>'
        f'<path class="balled" d="M{x:.1f} {y:.1f}v-5a5 5 0 0 1 5 5zM{x:.1f} {y:.1f}v5a5 5 0 0 1 -5 -5z"/>'
    )
