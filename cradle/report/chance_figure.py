"""The chance of fit over the clearance, as a figure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from typing import Final

import numpy as np

from cradle.drawing.labels import Label, Point, Taken
from cradle.report.figure import WIDTH

_LEFT, _RIGHT, _TOP, _HEIGHT = 46.0, 12.0, 10.0, 150.0
_BELOW: Final = 40.0
_BESIDE: Final = 9.0
_LETTER: Final = 9.0
"""Height of capitals in letters of 12 units."""


def chance_figure(
    curve: Sequence[tuple[float, float]], *, asked_mm: float, chance: float, goal: float
) -> str:
    """The curve, with the clearance asked for and the goal marked.

    Parameters
    ----------
    curve : sequence of (float, float)
        Clearances, mm, rising, and the chance at each.
    asked_mm : float
        Least clearance asked for.
    chance : float
        The chance there.
    goal : float
        Chance aimed at.
    """
    most = max(curve[-1][0], asked_mm, 0.1)
    room, base = WIDTH - _LEFT - _RIGHT, _TOP + _HEIGHT

    def at(clearance: float, share: float) -> tuple[float, float]:
        return _LEFT + room * clearance / most, base - _HEIGHT * share

    parts = []
    for share in (0.0, 0.5, 1.0):
        y = at(0, share)[1]
        parts.append(f'<path class="lead" d="M{_LEFT} {y:.1f}H{WIDTH - _RIGHT}"/>')
        parts.append(f'<text x="{_LEFT - 5}" y="{y + 4:.1f}" text-anchor="end">{100 * share:.0f} %</text>')
    step = next(s for s in (0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 5.0, most) if most / s <= 8)
    for k in range(int(most / step + 1e-9) + 1):
        x = at(k * step, 0)[0]
        parts.append(f'<path class="lead" d="M{x:.1f} {base}v4"/>')
        parts.append(f'<text x="{x:.1f}" y="{base + 17}" text-anchor="middle">{k * step:.2g}</text>')
    parts.append(
        f'<text x="{_LEFT + room / 2}" y="{base + 34}" text-anchor="middle">clearance per side, mm</text>'
    )
    trail = [at(*point) for point in curve]
    x, y = at(asked_mm, chance)
    aim = at(0, goal)[1]
    lines = [[(_LEFT, at(0, share)[1]), (WIDTH - _RIGHT, at(0, share)[1])] for share in (0.0, 0.5, 1.0)]
    lines += [[(_LEFT, aim), (WIDTH - _RIGHT, aim)], [(x, base), (x, y)], trail]
    taken = Taken(np.array(line) * (1, -1) for line in lines)
    parts.append(f'<path class="level" d="M{_LEFT} {aim:.1f}H{WIDTH - _RIGHT}"/>')
    parts.append(f'<path class="curve" d="M{"L".join(f"{px:.1f} {py:.1f}" for px, py in trail)}"/>')
    parts.append(
        f'<path class="asked" d="M{x:.1f} {base}V{y:.1f}"/><circle class="dot" cx="{x:.1f}" cy="{y:.1f}" r="4.5"/>'
    )
    for text, kind, near in (
        (f"{asked_mm:g} mm: {100 * chance:.0f} %", "halo", [(x, y)]),
        (f"aim {100 * goal:.0f} %", "", [(_LEFT - 5 + 40.0 * k, aim) for k in range(7)]),
    ):
        found = taken.first_free(_places(text, near, most=WIDTH - _RIGHT))
        if found is not None:
            parts.append(
                f'<text class="{kind}" x="{found.at[0]:.1f}" y="{-found.at[1]:.1f}">{text}</text>'.replace(
                    ' class=""', ""
                )
            )
    label = f"chance of fit over clearance: {100 * chance:.0f} % at {asked_mm:g} mm per side"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {base + _BELOW:g}" role="img"'
        f' aria-label="{label}">{"".join(parts)}</svg>'
    )


def _places(text: str, points: Sequence[Point], *, most: float) -> Iterator[Label]:
    """Where a label may stand: beside one of its points, then ever further above and below; up is up, as for all labels."""
    label = Label(text=text, at=(0.0, 0.0), height_mm=_LETTER, anchor=0.0)
    for away in range(0, 160, 6):
        for near, down in product(points, (away, -away)):
            for right in (_BESIDE, -_BESIDE - label.width_mm):
                x, y = near[0] + right, near[1] + down + _LETTER / 2
                if _LEFT < x < most - label.width_mm and _TOP + _LETTER < y < _TOP + _HEIGHT - 3:
                    yield label.moved((x, -y))
