"""The chance of fit over the clearance, as a figure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from typing import Final

import numpy as np

from cradle.drawing.labels import Label, Point, Taken
from cradle.fit.chance_words import percent, percent_asked
from cradle.noun import record
from cradle.report.figure import WIDTH, svg_element

_LEFT, _RIGHT, _TOP, _HEIGHT = 46.0, 12.0, 10.0, 150.0
_BASE: Final = _TOP + _HEIGHT
_END: Final = WIDTH - _RIGHT
_BELOW: Final = 40.0
_BESIDE: Final = 9.0
_LETTER: Final = 9.0
"""Height of capitals in letters of 12 units."""
_SHARES: Final = (0.0, 0.5, 1.0)
"""Chances with a line across the figure."""
_FARTHEST_MM: Final = 3.0
"""Half as much again as is ever advised: the figure goes no further, unless more was asked for."""


@record
class _Axes:
    """From a clearance, mm, and a chance to a place in the figure, y down."""

    most_mm: float

    def at(self, clearance_mm: float, chance: float) -> Point:
        return _LEFT + (_END - _LEFT) * clearance_mm / self.most_mm, _BASE - _HEIGHT * chance

    def across(self, chance: float) -> list[Point]:
        y = self.at(0, chance)[1]
        return [(_LEFT, y), (_END, y)]


def chance_figure(
    curve: Sequence[tuple[float, float]], *, asked_mm: float, told: str, chance: float, goal: float
) -> str:
    """The curve, with the clearance asked for and the goal marked.

    Parameters
    ----------
    curve : sequence of (float, float)
        Clearances, mm, rising, and the chance at each.
    asked_mm : float
        Least clearance asked for.
    told : str
        The same as it is told.
    """
    shown = [point for point in curve if point[0] <= max(_FARTHEST_MM, asked_mm)]
    axes = _Axes(most_mm=max(shown[-1][0], asked_mm, 0.1))
    trail = [axes.at(*point) for point in shown]
    x, y = axes.at(asked_mm, chance)
    aim = axes.at(0, goal)[1]
    taken = Taken(
        np.array(line) * (1, -1)
        for line in (*map(axes.across, _SHARES), axes.across(goal), [(x, _BASE), (x, y)], trail)
    )
    parts = [
        *_scales(axes),
        f'<path class="level" d="M{_LEFT} {aim:.1f}H{_END}"/>',
        f'<path class="curve" d="M{"L".join(f"{px:.1f} {py:.1f}" for px, py in trail)}"/>',
        f'<path class="asked" d="M{x:.1f} {_BASE}V{y:.1f}"/><circle class="dot" cx="{x:.1f}" cy="{y:.1f}" r="4.5"/>',
        _labelled(
            f"{told} mm: {percent(chance, goal=goal).replace('more than', 'over')}",
            taken,
            near=[(x, y)],
            kind=' class="asked-words"',
        ),
        _labelled(f"aim {percent_asked(goal)}", taken, near=[(_LEFT - 5 + 40.0 * k, aim) for k in range(7)]),
    ]
    label = f"chance of fit over clearance: {percent(chance, goal=goal)} at {told} mm per side"
    return svg_element(parts, label=label, height=f"{_BASE + _BELOW:g}")


def _scales(axes: _Axes) -> Iterator[str]:
    """Lines and figures of both axes."""
    for share in _SHARES:
        y = axes.at(0, share)[1]
        yield f'<path class="lead" d="M{_LEFT} {y:.1f}H{_END}"/>'
        yield f'<text x="{_LEFT - 5}" y="{y + 4:.1f}" text-anchor="end">{100 * share:.0f} %</text>'
    most = axes.most_mm
    step = next(s for s in (0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 5.0, most) if most / s <= 8)
    for k in range(int(most / step + 1e-9) + 1):
        x = axes.at(k * step, 0)[0]
        yield f'<path class="lead" d="M{x:.1f} {_BASE}v4"/>'
        yield f'<text x="{x:.1f}" y="{_BASE + 17}" text-anchor="middle">{k * step:.3g}</text>'
    middle = _LEFT + (_END - _LEFT) / 2
    yield f'<text x="{middle}" y="{_BASE + 34}" text-anchor="middle">clearance per side, mm</text>'


def _labelled(text: str, taken: Taken, *, near: Sequence[Point], kind: str = "") -> str:
    """A label in the first free place near one of its points; empty where there is none."""
    found = taken.first_free(list(_places(text, near)))
    if found is None:
        return ""
    return f'<text{kind} x="{found.at[0]:.1f}" y="{-found.at[1]:.1f}">{text}</text>'


def _places(text: str, points: Sequence[Point]) -> Iterator[Label]:
    """Where a label may stand: beside one of its points, then ever further above and below; y grows upwards."""
    label = Label(text=text, at=(0.0, 0.0), height_mm=_LETTER, anchor=0.0)
    sides = (_BESIDE, -_BESIDE - label.width_mm)
    for away, near, way, right in product(range(0, 160, 6), points, (1, -1), sides):
        x, y = near[0] + right, near[1] + way * away + _LETTER / 2
        if _LEFT < x < _END - label.width_mm and _TOP + _LETTER < y < _BASE - 3:
            yield label.moved((x, -y))
