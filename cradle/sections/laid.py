"""A drawing as a whole ring, and that ring placed by given values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.ring import box_middle
from cradle.geometry.vectors import lengths
from cradle.noun import noun
from cradle.project.section import SectionSpec
from cradle.sections.mirror import MirrorLine
from cradle.sections.posterior import PARAMETERS, SCALE_X, TURN, X

_NEAR_END: Final = 4.0
"""Points within this many spreads of tracing from an end of the outline tell the line about which it wavers there."""
_FEWEST: Final = 6
"""Fewer points than this tell no such line."""


@noun
class Laid:
    """A whole ring, the right way round but for a small turn.

    Attributes
    ----------
    ring : (n, 2) float64, mm
        Counter-clockwise, about ``middle_mm``: the middle of its width and depth is the origin.
    middle_mm : (2,) float64
        That middle in the drawing.
    settled_rad : float
        Spread of the small turn that is still to be found.
    lines : tuple of MirrorLine
        About which the ring is nearly symmetric, in its frame.
    exact : bool
        The ring consists of readings: it was not traced.
    scale_share : float
        Relative standard uncertainty of its size that its source states; 0 where it states none.
    """

    spec: SectionSpec
    ring: Floats
    middle_mm: Floats
    settled_rad: float
    lines: tuple[MirrorLine, ...]
    exact: bool
    scale_share: float = 0.0

    @property
    def where(self) -> str:
        """The section, for messages."""
        return self.spec.where

    @property
    def across_half(self) -> int | None:
        """The axis across the mirror line of a half; None of what is no half."""
        if not self.spec.half:
            return None
        return 0 if abs(self.lines[0].angle_deg % 180.0 - 90.0) < 45.0 else 1


def heights_of(laid: Sequence[Laid]) -> Floats:
    """The heights of sections, ``(k,)`` mm."""
    return np.array([one.spec.height_mm for one in laid])


@dataclass(slots=True, eq=False)
class Lying:
    """A ring placed with given x, y, turn, scale x, scale y (`cradle.sections.posterior`), and how these move it.

    ``points_mm`` (n, 2), ``plain`` (n, 2) the turned ring before scaling;
    ``ends`` the points at the least and greatest x and y.
    """

    laid: Laid
    values: Floats
    over_mm: Floats
    """How far the ends stand out by the unsteadiness of tracing alone (`unsteadiness_mm`)."""
    points_mm: Floats = field(init=False)
    plain: Floats = field(init=False)
    ends: tuple[int, int, int, int] = field(init=False)

    def __post_init__(self) -> None:
        self.plain = self.laid.ring @ self.turning
        self.points_mm = self.plain * self.scale + self.values[:TURN]
        low, high = self.points_mm.argmin(axis=0), self.points_mm.argmax(axis=0)
        self.ends = (int(low[0]), int(high[0]), int(low[1]), int(high[1]))

    @property
    def turning(self) -> Floats:
        """The matrix ``(2, 2)`` that turns the ring: its points, as rows, times it."""
        cos, sin = np.cos(self.values[TURN]), np.sin(self.values[TURN])
        return np.array([[cos, sin], [-sin, cos]])

    @property
    def scale(self) -> Floats:
        """Along x and along y, ``(2,)``."""
        return self.values[SCALE_X:]

    def slope(self, index: int, axis: int) -> Floats:
        """The derivative of a point's coordinate along an axis by each of the five values, ``(5,)``."""
        out = np.zeros(PARAMETERS)
        out[X + axis] = 1.0
        x, y = self.plain[index]
        out[TURN] = (-y, x)[axis] * self.scale[axis]
        out[SCALE_X + axis] = (x, y)[axis]
        return out

    def end_mm(self, end: int) -> float:
        """Where the outline ends, less `over_mm`, mm: 0 least x, 1 greatest x, 2 least y, 3 greatest y."""
        out = -1.0 if end % 2 == 0 else 1.0
        return float(self.points_mm[self.ends[end], end // 2] - out * self.over_mm[end])

    def ends_at(self, ends: tuple[int, ...]) -> Floats:
        """The points at some of the ends, ``(e, 2)``."""
        return self.points_mm[[self.ends[end] for end in ends]].reshape(-1, 2)

    def middle_mm(self) -> Floats:
        """Middle of the width and depth, ``(2,)``."""
        return box_middle(self.points_mm)


def unsteadiness_mm(lying: Lying, *, trace_mm: float) -> Floats:
    """How far tracing error alone makes the outline stand out at its four ends, ``(4,)``.

    The extreme of many unsteady points lies outside the line they waver about:
    on a long straight side by about the spread of the tracing error. That line is
    taken as a parabola fitted to all points within four spreads of the extreme.
    """
    if lying.laid.exact or trace_mm <= 0:
        return np.zeros(4)
    return np.array([_standing_out_mm(lying, end, trace_mm=trace_mm) for end in range(4)])


def _standing_out_mm(lying: Lying, end: int, *, trace_mm: float) -> float:
    """How far one end of the outline stands out beyond the parabola through the points around it, mm; 0 where these are few."""
    points, axis, out = lying.points_mm, end // 2, (-1.0 if end % 2 == 0 else 1.0)
    middle = len(points) // 2
    around = np.roll(points, middle - lying.ends[end], axis=0)  # with the end in the middle
    reach = out * around[:, axis]
    far = np.flatnonzero(reach < reach[middle] - _NEAR_END * trace_mm)
    low = far[far < middle].max(initial=-1) + 1
    high = far[far > middle].min(initial=len(points))
    if high - low < _FEWEST:
        return 0.0
    along = np.concatenate([[0.0], np.cumsum(lengths(np.diff(around[low:high], axis=0)))])
    if along[-1] <= 0:
        return 0.0
    s = 2.0 * along / along[-1] - 1.0
    basis = np.column_stack([np.ones_like(s), s, s**2])
    root = np.sqrt(np.maximum(np.gradient(along), 0.0))[:, None]
    fit = basis @ np.linalg.lstsq(basis * root, reach[low:high] * root[:, 0], rcond=None)[0]
    return float(np.clip(reach[middle] - fit.max(), 0.0, 2.0 * trace_mm))
