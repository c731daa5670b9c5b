"""Sections known by caliper readings alone: box, ellipse, superellipse, their middle at the origin."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from cradle.capture.clean import SMALLEST_MM
from cradle.drawings.flatten import arc_points
from cradle.errors import OutlineError
from cradle.geometry.arrays import Floats, frozen, preceding
from cradle.project.convert import LARGEST_MM
from cradle.project.section import Form, MeasuredSource
from cradle.tolerances import TOLERANCES

_LEAST_EXPONENT: Final = 1.0
_MOST_EXPONENT: Final = 100.0
"""Beyond it the corners are sharper than the chord error shows: a box in all but name."""


def measured_points(source: MeasuredSource, *, where: str = "measured") -> Floats:
    """The outline of a measured section, ``(n, 2)`` mm, counter-clockwise.

    Parameters
    ----------
    where : str
        For messages.

    Raises
    ------
    OutlineError
        If a side is too short, or no superellipse has the diagonal; the possible range is told.

    Notes
    -----
    The points furthest along x and y are among the points, so that the polygon
    is exactly as wide and as deep as measured.
    """
    half = np.array([source.width_mm, source.depth_mm]) / 2
    for name, size in (("width", source.width_mm), ("depth", source.depth_mm)):
        if size < SMALLEST_MM:
            raise OutlineError(
                f"the {name} is {size:g} mm, {SMALLEST_MM:g} to {LARGEST_MM:g} mm allowed",
                where=where,
                hint="check the unit; of a thin edge, measure further up where it is thicker",
            )
    if source.form is Form.RECTANGLE:
        return frozen(_box(half, radius=source.corner_mm))
    if source.diagonal_mm is None:
        return frozen(_ellipse(half))
    exponent = exponent_from_diagonal(
        width_mm=source.width_mm, depth_mm=source.depth_mm, diagonal_mm=source.diagonal_mm, where=where
    )
    return frozen(_superellipse(exponent, *half.tolist()))


def exponent_from_diagonal(
    *, width_mm: float, depth_mm: float, diagonal_mm: float, where: str = "measured"
) -> float:
    """The exponent n of the superellipse with the given extents, a pure number.

    Parameters
    ----------
    width_mm, depth_mm : float
        2 a and 2 b of ``|x/a|^n + |y/b|^n = 1`` (Lamé's curve).
    diagonal_mm : float
        Distance between the two points of the outline that lie on the diagonal
        of its width x depth box: the calipers held from corner to corner.
    where : str
        For messages.

    Notes
    -----
    The point on the diagonal is t (a, b), so that 2 tⁿ = 1 and t = 2^(-1/n).
    The diagonal is 2 t √(a² + b²), which gives
    n = ln 2 / ln(√(width² + depth²) / diagonal). A diamond has n = 1 and half
    the box's diagonal, an ellipse n = 2 and 0.7071 of it, a box all of it.

    Raises
    ------
    OutlineError
        If no superellipse with n from 1 to 100 has this diagonal.

    Examples
    --------
    >>> round(exponent_from_diagonal(width_mm=40, depth_mm=30, diagonal_mm=50 / 2**0.5), 9)
    2.0
    """
    box_mm = math.hypot(width_mm, depth_mm)
    low, high = box_mm * 2 ** (-1 / _LEAST_EXPONENT), box_mm * 2 ** (-1 / _MOST_EXPONENT)
    if not low - 1e-9 <= diagonal_mm <= high + 1e-9:
        raise OutlineError(
            f"a diagonal of {diagonal_mm:g} mm is impossible for {width_mm:g} x {depth_mm:g} mm; it must be "
            f"{math.ceil(low * 100) / 100:.2f} to {math.floor(high * 100) / 100:.2f} mm "
            f"({box_mm / math.sqrt(2):.2f} mm for an ellipse)",
            where=where,
            hint="measure from corner to corner through the middle",
        )
    return math.log(2) / math.log(box_mm / min(max(diagonal_mm, low), high))


def _box(half: Floats, *, radius: float) -> Floats:
    signs = np.array([[1, 1], [-1, 1], [-1, -1], [1, -1]])
    if radius == 0.0:
        return np.asarray(half * signs)
    axes = np.array([[radius, 0.0], [0.0, radius]])
    corners = [
        arc_points(
            centre,
            axes[0],
            axes[1],
            start_rad=k * math.pi / 2,
            sweep_rad=math.pi / 2,
            chord_mm=TOLERANCES.chord_mm,
        )
        for k, centre in enumerate((half - radius) * signs)
    ]
    for k, corner in enumerate(corners):  # the ends lie on the sides, whatever cos(90 deg) rounds to
        corner[0, k % 2] = half[k % 2] * signs[k, k % 2]
        corner[-1, 1 - k % 2] = half[1 - k % 2] * signs[k, 1 - k % 2]
    ring = np.concatenate(corners)
    return np.asarray(ring[np.hypot(*(ring - preceding(ring)).T) > 1e-9 * half.max()])


def _ellipse(half: Floats) -> Floats:
    first, second = np.diag(half)
    ring = arc_points(
        np.zeros(2), first, second, start_rad=0.0, sweep_rad=2 * math.pi, chord_mm=TOLERANCES.chord_mm
    )
    return ring[:-1]


def _superellipse(exponent: float, a: float, b: float) -> Floats:
    """Points of a superellipse, ``(n, 2)``: those of its first quarter, mirrored."""
    if exponent - 1.0 < 1e-9:
        return np.array([[a, 0.0], [0.0, b], [-a, 0.0], [0.0, -b]])
    upper = _eighth(exponent, a, b)
    lower = _eighth(exponent, b, a)[:, ::-1]
    quarter = np.concatenate([lower, upper[-2::-1]])  # (a, 0) to the diagonal to (0, b)
    left = quarter[-2::-1] * [-1, 1]
    upper_half = np.concatenate([quarter, left])
    return np.concatenate([upper_half, upper_half[-2:0:-1] * [1, -1]])


def _eighth(exponent: float, a: float, b: float) -> Floats:
    """Points from (0, b) to the diagonal's point, where y is a concave function of x.

    Each step goes as far as the chord error allows: the error over a step is
    largest where the slope equals the chord's, which the formula gives exactly.
    """

    def y(x: float) -> float:
        return b * (1.0 - (x / a) ** exponent) ** (1 / exponent)

    def error(x0: float, x1: float) -> float:
        rise = (y(x1) - y(x0)) / (x1 - x0)
        if rise >= 0.0:
            return 0.0
        s = (-rise * a / b) ** (1 / (exponent - 1))  # s = (x/a) / (y/b) where the slope is the chord's
        norm = (1.0 + s**exponent) ** (1 / exponent)
        x, top = a * s / norm, b / norm
        return (top - y(x0) - rise * (x - x0)) / math.hypot(1.0, rise)

    end = a * 2 ** (-1 / exponent)
    xs = [0.0]
    while xs[-1] < end:
        low, high = xs[-1], end
        if error(low, high) > TOLERANCES.chord_mm:
            for _ in range(40):
                middle = (low + high) / 2
                low, high = (middle, high) if error(xs[-1], middle) <= TOLERANCES.chord_mm else (low, middle)
            high = max(low, xs[-1] + 1e-9 * a)
        xs.append(min(high, end))
    return np.array([[x, y(x)] for x in xs])
