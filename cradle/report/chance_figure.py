"""The chance of fit over the clearance, as a figure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from cradle.report.figure import WIDTH

_LEFT, _RIGHT, _TOP, _HEIGHT = 46.0, 12.0, 10.0, 150.0
_BELOW: Final = 40.0


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
    y = at(0, goal)[1]
    parts.append(f'<path class="level" d="M{_LEFT} {y:.1f}H{WIDTH - _RIGHT}"/>')
    parts.append(f'<text x="{_LEFT + 5}" y="{y + 13:.1f}">aim {100 * goal:.0f} %</text>')
    trail = "L".join(f"{x:.1f} {y:.1f}" for x, y in (at(*point) for point in curve))
    parts.append(f'<path class="curve" d="M{trail}"/>')
    x, y = at(asked_mm, chance)
    parts.append(
        f'<path class="asked" d="M{x:.1f} {base}V{y:.1f}"/><circle class="dot" cx="{x:.1f}" cy="{y:.1f}" r="4.5"/>'
    )
    left = x > _LEFT + room * 0.6
    anchor, dx = ("end", -9) if left else ("start", 9)
    drop = 14 if chance > 0.5 else -4
    parts.append(
        f'<text class="halo" x="{x + dx:.1f}" y="{y + drop:.1f}" text-anchor="{anchor}">{asked_mm:g} mm: {100 * chance:.0f} %</text>'
    )
    label = f"chance of fit over clearance: {100 * chance:.0f} % at {asked_mm:g} mm per side"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {base + _BELOW:g}" role="img"'
        f' aria-label="{label}">{"".join(parts)}</svg>'
    )
