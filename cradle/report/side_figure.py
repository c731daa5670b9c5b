"""The thing in its holder, both cut by one plane, from the front and from the right, with the measured heights."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.drawing.holder_views import cut_through
from cradle.drawing.view import Cut, SeenFrom, View
from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import moved_points
from cradle.geometry.planar import boundary_rings
from cradle.geometry.ring import box_middle, extents
from cradle.geometry.solid import Solid, solid, transformed
from cradle.holder.holder import Holder, PrintFromThing
from cradle.names import shortened
from cradle.noun import noun
from cradle.report.figure import WIDTH, Figure, fitting_scale
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
    body = solid(thing.model.body.mesh)
    front = _side(thing, body, view=views[0], places=places)
    right = _side(thing, body, view=views[1], places=places[:1])
    widest, tallest = np.max([np.ptp(side.every, axis=0) for side in (front, right)], axis=0)
    scale = fitting_scale(widest, tallest, room=WIDTH - _MARGINS[0] - _MARGINS[1])
    return [
        ("From the front", _figure(thing, front, seen=SeenFrom.FRONT, scale=scale)),
        (
            "From the right: the front of the thing is on the left",
            _figure(thing, right, seen=SeenFrom.RIGHT, scale=scale),
        ),
    ]


@noun
class _Side:
    """What is drawn of one side, mm, in the frame of its view: the holder and the thing cut by one plane.

    ``bars`` holds of each section where the plane crosses its outline, ``(n, 2)`` from left to right, ``middles`` the
    middle of each; they lie in the last of the thing's places, which ``view_from_thing`` leads to. ``every`` holds all
    points together.
    """

    material: tuple[Floats, ...]
    things: list[Floats]
    bars: list[Floats]
    middles: Floats
    beyond: list[Floats]
    every: Floats
    view_from_thing: Floats


def _side(thing: SeatedThing, body: Solid, *, view: View, places: Sequence[PrintFromThing]) -> _Side:
    cut, sections = view.cut, thing.model.sections
    assert cut is not None  # only the plan has none
    matrices = [cut.seen_from.view_from_print @ place for place in places]
    last = matrices[-1]
    solids = (transformed(body, place) for place in places)
    things = [ring for solid in solids for ring in boundary_rings(cut_through(solid, cut))]
    bars = [_crossed(s.points_mm, s.height_mm, view_from_thing=last, cut=cut)[:, :2] for s in sections]
    middles = np.array([[*box_middle(s.points_mm), s.height_mm] for s in sections])
    middles = moved_points(middles, last)[:, :2]
    beyond = [line for matrix in matrices for line in _beyond(thing, view_from_thing=matrix, cut=cut)]
    return _Side(
        material=view.material,
        things=things,
        bars=bars,
        middles=middles,
        beyond=beyond,
        every=np.concatenate([*things, *view.material, middles, *beyond]),
        view_from_thing=last,
    )


def _crossed(ring_mm: Floats, height_mm: float, *, view_from_thing: Floats, cut: Cut) -> Floats:
    """Where the plane of a cut crosses a level outline of the thing, from left to right, ``(n, 3)``, mm, in the view's frame."""
    points = moved_points(np.column_stack([ring_mm, np.full(len(ring_mm), height_mm)]), view_from_thing)
    after = np.roll(points, -1, axis=0)
    before_mm, after_mm = points[:, 2] - cut.at_mm, after[:, 2] - cut.at_mm
    k = np.flatnonzero((before_mm < 0) != (after_mm < 0))
    part = before_mm[k] / (before_mm[k] - after_mm[k])
    met = points[k] + part[:, None] * (after[k] - points[k])
    return met[np.argsort(met[:, 0])]


def _figure(thing: SeatedThing, side: _Side, *, seen: SeenFrom, scale: float) -> str:
    left, low, right, high = extents(side.every)
    names = ", ".join(f"{s.name} at {s.height_mm:g} mm" for s in thing.model.sections)
    figure = Figure(
        (left, low),
        (right, high),
        title=f"the thing in its holder, from the {seen}; measured heights: {names}",
        margins=_MARGINS,
        scale=scale,
    )
    figure.path(side.material, "wood", closed=True)
    if side.beyond:
        figure.path(side.beyond, "guess", closed=False)
    figure.path(side.things, "thing", closed=True)
    if len(side.middles) > 1:
        figure.path([side.middles], "axis", closed=False)
    _label_heights(figure, thing, side, right=right)
    _mark_balance(figure, thing, view_from_thing=side.view_from_thing)
    _mark_way_out(figure, (seen.view_from_print[:3, :3] @ thing.pocket.direction)[:2], start=side.middles[-1])
    figure.line((left, 0.0), (right, 0.0), "ground")
    return figure.svg()


def _beyond(thing: SeatedThing, *, view_from_thing: Floats, cut: Cut) -> list[Floats]:
    """Dashed lines from the lofted part up to the thing's stated height: its shape there is not known."""
    overall, body = thing.model.project.thing.height_mm, thing.model.body
    above_mm = 0.0 if overall is None else overall - float(body.heights_mm[-1])
    ends = _crossed(body.rings_mm[-1], float(body.heights_mm[-1]), view_from_thing=view_from_thing, cut=cut)
    if above_mm <= 1.0 or not len(ends):
        return []
    low = ends[[0, -1], :2]
    high = low.mean(axis=0) + (low - low.mean(axis=0)) * 0.8 + above_mm * view_from_thing[:2, 2]
    return [np.array([low[0], high[0], high[1], low[1]])]


def _label_heights(figure: Figure, thing: SeatedThing, side: _Side, *, right: float) -> None:
    """Names and heights to the right, spread so that they do not touch."""
    placed = []
    for section, bar, middle in zip(thing.model.sections, side.bars, side.middles, strict=True):
        if len(bar):
            figure.path(list(bar.reshape(-1, 2, 2)), "level", closed=False)
        end = bar[-1] if len(bar) else middle
        placed.append((figure.place(right, float(end[1]))[1], section, end))
    placed.sort(key=lambda item: -item[0])
    last = float("inf")
    for y, section, end in placed:
        at = min(y, last - _LINE)
        if y - at > 2 * _LINE:  # too crowded: this one stays without words
            continue
        last = at
        x_end, y_end = figure.place(*end.tolist())
        x = figure.place(right, 0.0)[0] + 6
        figure.raw(f'<path class="lead" d="M{x_end:.1f} {y_end:.1f}L{x - 2:.1f} {at:.1f}"/>')
        name = shortened(section.name, 9)
        figure.words(
            f"{section.height_mm:g} {name}", (right, 0.0), shift=(6, at + 4 - figure.place(right, 0.0)[1])
        )


def _mark_way_out(figure: Figure, way: Floats, *, start: Floats) -> None:
    """An arrow from the highest measured section along the way out, as the view shows it, ``(2,)``."""
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


def _mark_balance(figure: Figure, thing: SeatedThing, *, view_from_thing: Floats) -> None:
    balance = thing.model.project.thing.balance_mm
    if balance is None:
        return
    across, up, _ = moved_points(np.array([balance]), view_from_thing)[0].tolist()
    x, y = figure.place(across, up)
    figure.raw(
        f'<circle class="ball" cx="{x:.1f}" cy="{y:.1f}" r="5"/>'
        f'<path class="balled" d="M{x:.1f} {y:.1f}v-5a5 5 0 0 1 5 5zM{x:.1f} {y:.1f}v5a5 5 0 0 1 -5 -5z"/>'
    )
