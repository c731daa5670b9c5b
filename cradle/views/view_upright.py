"""A silhouette set upright by the line on which it rests and by a straight top, and how sure that is."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, following, preceding
from cradle.geometry.planar import hull_ring
from cradle.geometry.ring import turned
from cradle.noun import noun
from cradle.pictures.border import Border
from cradle.project.side import Side
from cradle.sections.adjustment import student_t_cost
from cradle.sections.reading_spreads import VIEW_MM
from cradle.views.silhouette import Silhouette

TILT_DEG: Final = 1.5
"""How far a picture taken by hand is tilted where nothing tells it (common practice, no source)."""
_TILT_FREEDOM: Final = 4.0
"""Degrees of freedom of that tilt (Student's t): some hands are off by far more."""
_TURNS_RAD: Final = np.radians(np.arange(-6.0, 6.01, 0.05))
"""Leans of lines under the thing that are tried; one that leans more is no resting line."""
_ACROSS: Final = 400
"""Places across a silhouette where its underside is looked at."""
_NEAR_LINE_MM: Final = 0.5
"""What lies nearer than about this to a line under the thing rests on it."""
_RESTS: Final = 8.0
"""By how much, as a natural logarithm, a line near all of the underside is likelier than one near hardly any of it.

Views of 44 scanned household things from the front and from the right, every
millimetre up, tilted by 1 degree: the turn found is off by 0.85 degrees (by
1.24 where the lowest edge of the hull was believed), 78 and 95 of 100 within
one and two of the spreads stated.
"""
_EDGE: Final = 0.4
"""A flat base or top is one straight edge, longer than this share of the thing's width."""
_HIGH: Final = 0.5
"""A straight edge counts as a flat top only above this part of the thing's height; lower down it is a leaning side."""
_CORNER_RAD: Final = np.radians(10.0)
"""At both ends of a flat base the underside rises by more than this; of a flat top the upper side falls."""
_TOP_DEG: Final = 0.5
"""Scale of how far flat tops, and things cut off straight, are from level; some are far from it, so Cauchy (common practice, no source)."""


@noun
class Upright:
    """A silhouette to the thing's right and up, resting on 0, in the view's unit.

    Attributes
    ----------
    points : (n, 2) float64
    turn_rad, spread_rad : float
        The turn that set it upright, counter-clockwise, and its spread.
    sides_to : float
        How far up it shows both sides of the thing; what is above is ended by one straight edge.
    """

    points: Floats
    turn_rad: float
    spread_rad: float
    sides_to: float


def upright(view: Silhouette, *, mm: float) -> Upright:
    """The silhouette set upright.

    Parameters
    ----------
    mm : float
        Length of 1 mm of the thing in the view's unit.
    """
    points = np.array(view.points_mm)
    if view.spec.seen_from in (Side.BACK, Side.LEFT):
        points = points * [-1.0, 1.0]
    top = _flat_top(points)
    turn, spread = 0.0, float(np.radians(TILT_DEG))
    if view.spec.bottom_mm == 0.0:
        cut_off = Border.UPPER in view.cut_off_at
        turn, spread = _to_rest(points, top=None if cut_off else top, mm=mm)
    standing = turned(points, angle_deg=float(np.degrees(turn)))
    sides_to = (
        standing[:, 1].max() if top is None else turned(top, angle_deg=float(np.degrees(turn)))[:, 1].min()
    )
    lowest = float(standing[:, 1].min())
    return Upright(
        points=standing - [0.0, lowest], turn_rad=turn, spread_rad=spread, sides_to=float(sides_to) - lowest
    )


def _to_rest(points: Floats, *, top: Floats | None, mm: float) -> tuple[float, float]:
    """The turn by which a silhouette stands on its lowest edge, and its spread, rad.

    A line under it is the likelier the resting line the more of the silhouette's
    underside lies near it, the less the picture was tilted then, and the less a
    flat top leans then: one that is round or rises from a small foot hardly
    tells the turn. A flat base between two corners does.
    """
    base = _flat_base(points)
    if base is not None:
        return -_slope_rad(base), float(np.sqrt(2.0) * VIEW_MM * mm / (base[1, 0] - base[0, 0]))
    hull = hull_ring(points)
    hull = np.roll(hull, -int(hull[:, 0].argmin()), axis=0)
    under = hull[: int(hull[:, 0].argmax()) + 1]
    across = np.linspace(under[0, 0], under[-1, 0], _ACROSS)
    up = np.interp(across, *under.T)
    away = up - np.tan(_TURNS_RAD)[:, None] * across
    near = np.exp(-(away - away.min(axis=1, keepdims=True)) / (_NEAR_LINE_MM * mm)).mean(axis=1)
    likely = _RESTS * near - student_t_cost(_TURNS_RAD / np.radians(TILT_DEG), freedom=_TILT_FREEDOM)
    if top is not None:
        likely -= student_t_cost((_TURNS_RAD - _slope_rad(top)) / np.radians(_TOP_DEG), freedom=1.0)
    weights = np.exp(likely - likely.max())
    weights /= weights.sum()
    leans = float(weights @ _TURNS_RAD)
    return -leans, float(np.sqrt(weights @ (_TURNS_RAD - leans) ** 2))


def _flat_base(points: Floats) -> Floats | None:
    """The left and the right end of a silhouette's one long edge below, between two corners, ``(2, 2)``; None where it has none."""
    hull = hull_ring(points)
    ends = np.stack([hull, following(hull)], axis=1)
    edges = ends[:, 1] - ends[:, 0]
    slopes = np.arctan2(edges[:, 1], edges[:, 0])
    turns = (slopes - preceding(slopes)) % (2 * np.pi)
    flat = (
        (edges[:, 0] >= _EDGE * np.ptp(hull[:, 0]))
        & (np.abs(slopes) <= _TURNS_RAD[-1])
        & (np.minimum(turns, following(turns)) >= _CORNER_RAD)
    )
    return ends[int(flat.argmax())] if flat.any() else None


def _flat_top(points: Floats) -> Floats | None:
    """The left and the right end of a silhouette's one long edge above, ``(2, 2)``; None where it has none."""
    edge = _flat_base(-points)  # of it upside down
    if edge is None:
        return None
    ends = -edge[::-1]
    lowest, highest = points[:, 1].min(), points[:, 1].max()
    return ends if ends[:, 1].min() > lowest + _HIGH * (highest - lowest) else None


def _slope_rad(edge: Floats) -> float:
    """How steeply an edge rises from its first end to its second."""
    across, rise = edge[1] - edge[0]
    return float(np.arctan2(rise, across))
