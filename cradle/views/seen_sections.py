"""The sections as a view sees them: how much larger a near lens shows them, sideways and upwards.

From a lens at distance D from the thing's middle, and level with it, a point
(x, y, z), y away from the lens and z above the middle, is seen in the plane
through the middle at ``x D / (D + y)`` and ``z D / (D + y)``: a pinhole. So
the near edge of a flat foot is seen below the foot, that of a flat top above
it, and a thing looks taller than it is: one 90 mm high and 60 mm deep by
4.7 mm from 0.6 m.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.ring import size
from cradle.noun import noun
from cradle.project.side import Side
from cradle.project.view import ViewSpec
from cradle.sections.laid import Laid, heights_of
from cradle.sections.readings import size_along


@noun
class SeenLevel:
    """What a view shows of a level, mm: its width, where the rays past both its sides touch it on average, and its nearest point.

    ``touched_mm`` and ``nearest_mm`` count from the thing's middle, away from the lens.
    """

    width_mm: float
    touched_mm: float
    nearest_mm: float


def seen_level(ring: Floats, *, axis: int, distance_mm: float | None, outward: float) -> SeenLevel:
    """How a level looks across an axis, brought to the size at the thing's middle.

    Parameters
    ----------
    ring : (n, 2) float64, mm
        About the middle.
    axis : int
        0 for a view from the front or back, 1 from the left or right.
    distance_mm : float or None
        From the lens to the middle; None is far away.
    outward : float
        1 where the other axis grows away from the viewer, else -1.
    """
    away = outward * ring[:, 1 - axis]
    across = ring[:, axis]
    if distance_mm is not None:
        across = across * distance_mm / (distance_mm + away)
    sides = [int(across.argmin()), int(across.argmax())]
    return SeenLevel(
        width_mm=float(np.ptp(across)), touched_mm=float(away[sides].mean()), nearest_mm=float(away.min())
    )


def overhang_mm(inward_mm: Floats, across_mm: Floats, *, level: SeenLevel, distance_mm: float) -> float:
    """How far the near edge of a thing's foot or top is seen beyond the foot or top itself, mm.

    At a rounded end the silhouette is narrower, and the near edge lies further from
    the lens in proportion. The result is the greatest distance in from the end at
    which the silhouette is so wide that an edge of that width would be seen as far
    out.

    Parameters
    ----------
    inward_mm, across_mm : (n,) float64, mm
        Heights of the whole silhouette from that end on, and its widths there.
    level : SeenLevel
        The one nearest to that end.
    """
    like = np.minimum(across_mm / level.width_mm, 1.0)
    out = inward_mm[-1] / 2 * like * -level.nearest_mm / distance_mm
    return float(inward_mm[inward_mm <= out].max(initial=0.0))


def upright_mm(
    seen_mm: Floats, *, levels: Sequence[SeenLevel], heights_mm: Floats, distance_mm: float
) -> Floats:
    """The true heights, ``(n,)`` mm, of the points of a thing's sides that are seen at heights ``seen_mm``, from a lens half way up.

    Parameters
    ----------
    levels : sequence of SeenLevel
        Those at ``heights_mm``.
    """
    middle = (seen_mm[0] + seen_mm[-1]) / 2
    touched = [level.touched_mm for level in levels]
    true = seen_mm
    for _ in range(3):  # where the sides are touched follows from the true height
        nearer = 1 + np.interp(true, heights_mm, touched) / distance_mm
        true = middle + (seen_mm - middle) * nearer
    return true


@noun
class SeenSections:
    """Sections from the lowest up, ``(k,)`` each: their heights, true widths across the view's axis, and widths seen.

    ``levels`` says more of what is seen of each.
    """

    heights_mm: Floats
    true_mm: Floats
    widths_mm: Floats
    levels: tuple[SeenLevel, ...]


def seen_sections(laid: Sequence[Laid], *, axis: int, spec: ViewSpec) -> SeenSections:
    """The sections, scaled to their calipers, as a view sees them across an axis."""
    outward = 1.0 if spec.seen_from in (Side.FRONT, Side.LEFT) else -1.0
    true = [size_along(one, axis=axis) for one in laid]
    levels = [
        seen_level(
            width / size(one.ring)[axis] * one.ring, axis=axis, distance_mm=spec.distance_mm, outward=outward
        )
        for one, width in zip(laid, true, strict=True)
    ]
    return SeenSections(
        heights_mm=heights_of(laid),
        true_mm=np.array(true),
        widths_mm=np.array([level.width_mm for level in levels]),
        levels=tuple(levels),
    )
