"""Curves into points, never further from the curve than a given chord error.

Extreme points in x and y are always among the points, so that the width and
the depth of a flattened curve are those of the curve itself.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Final

import numpy as np

from cradle.errors import OutlineError
from cradle.geometry.arrays import Floats
from cradle.geometry.vectors import left_of, lengths

_LARGEST_SPAN_MM: Final = 20_000.0
"""A curve larger than ten times the largest outline is a slip of units and not worth its points."""

_FARTHEST_MM: Final = 1e7
"""What lies farther from the origin is a slip, and is rounded too coarsely."""

_SLENDEST: Final = 1e6
"""A larger bulge is no arc any more: its ends lie 1e-6 of its diameter apart."""
_STRAIGHT_MM: Final = 1e-7
"""An arc no higher than this is a straight line; its centre would be lost in rounding."""

CHECK_UNIT: Final = "check the unit of the drawing"
"""What helps a drawing that is absurdly large."""


def check_span(points: Floats) -> None:
    """Raise unless points are finite, and not absurdly far from the origin or apart.

    Raises
    ------
    OutlineError
        If they are not.
    """
    low, high = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    if not all(map(math.isfinite, (*low, *high))):
        raise OutlineError("a coordinate is not a finite number", hint="save the drawing again")
    # halves, as the largest numbers' difference is none
    span = 2.0 * max(most / 2.0 - least / 2.0 for least, most in zip(low, high, strict=True))
    if span > _LARGEST_SPAN_MM:
        raise OutlineError(
            f"the curve is {span:.6g} mm large, up to {_LARGEST_SPAN_MM:g} mm are read",
            hint=CHECK_UNIT,
        )
    farthest = max(map(abs, (*low, *high)))
    if farthest > _FARTHEST_MM:
        raise OutlineError(
            f"a coordinate is {farthest:.6g} mm, up to {_FARTHEST_MM:.0f} mm are read",
            hint="move the drawing to its origin",
        )


def bezier_points(control: Floats, *, chord_mm: float) -> Floats:
    """Points on a Bezier curve from its first to its last control point, ``(m, 2)``, mm.

    Parameters
    ----------
    control : (n + 1, 2) float64
        Control points, mm; n is the degree, at least 1.

    Notes
    -----
    A function and its chord over a step h differ by at most h²/8 max|f''|; the
    second derivative of a Bezier curve of degree n is at most n (n - 1) times
    the longest second difference of its control points (both in Farin,
    "Curves and Surfaces for CAGD", from memory). Extremes are the roots of the
    first derivative in x and in y.

    Examples
    --------
    >>> arch = np.array([[0.0, 0.0], [5.0, 8.0], [10.0, 0.0]])
    >>> float(bezier_points(arch, chord_mm=0.01)[:, 1].max())
    4.0
    """
    check_span(control)
    degree = len(control) - 1
    if degree < 2:
        return np.array(control[[0, -1]])
    bend = degree * (degree - 1) * float(lengths(np.diff(control, n=2, axis=0)).max())
    step = math.sqrt(8 * chord_mm / bend) if bend > 0 else 1.0
    t = _stepped(np.array([0.0, *_stationary(control), 1.0]), step=step)
    points = _de_casteljau(control, t)
    points[0], points[-1] = control[0], control[-1]
    return points


def arc_points(
    centre: Floats,
    first_axis: Floats,
    second_axis: Floats,
    *,
    start_rad: float,
    sweep_rad: float,
    chord_mm: float,
) -> Floats:
    """Points on an elliptic arc, both ends included, ``(m, 2)``, mm.

    Parameters
    ----------
    centre, first_axis, second_axis : (2,) float64
        The arc is ``centre + first_axis cos t + second_axis sin t``, mm; the
        axes need not be at right angles.
    start_rad, sweep_rad : float
        t runs from the start by the sweep, at most one turn either way.

    Notes
    -----
    The unit circle and its chord over a step h differ by 1 - cos(h/2); the
    axes stretch that by at most their matrix's largest singular value.
    """
    axes = np.array([first_axis, second_axis], dtype=np.float64)
    if not (np.isfinite(axes).all() and np.isfinite(centre).all()):
        raise OutlineError("a coordinate of the arc is not a finite number")
    if not (math.isfinite(start_rad) and math.isfinite(sweep_rad)):
        raise OutlineError("an angle of the arc is not a finite number")
    radius = float(np.linalg.norm(axes, ord=2))
    span = radius * min(2.0, abs(sweep_rad))
    check_span(np.array([[0.0, 0.0], [span, 0.0]]))
    step = 4 * math.asin(math.sqrt(chord_mm / (2 * radius))) if radius > chord_mm else math.pi / 2
    low, high = sorted((start_rad, start_rad + sweep_rad))
    turns = []
    for along_cos, along_sin in axes.T:
        first = math.atan2(along_sin, along_cos)
        k = np.arange(math.ceil((low - first) / math.pi), math.floor((high - first) / math.pi) + 1)
        turns.append(first + k * math.pi)
    inner = np.concatenate(turns)
    inner = inner[(inner > low + 1e-12) & (inner < high - 1e-12)]
    t = _stepped(np.unique(np.concatenate([[low, high], inner])), step=step)
    if sweep_rad < 0:
        t = t[::-1]
    return np.asarray(centre + np.cos(t)[:, None] * axes[0] + np.sin(t)[:, None] * axes[1])


def bulge_points(start: Floats, end: Floats, *, bulge: float, chord_mm: float) -> Floats:
    """Points on the arc between two points, both included, ``(m, 2)``, mm.

    ``bulge`` is the tangent of a quarter of the included angle, positive when
    the arc runs counter-clockwise; 0 is a straight line (DXF Reference, LWPOLYLINE group 42).
    """
    chord = end - start
    check_span(np.array([start, end]))
    if abs(bulge) * float(np.hypot(*chord)) / 2 < _STRAIGHT_MM:  # the arc's height
        return np.array([start, end])
    if abs(bulge) > _SLENDEST:
        raise OutlineError(
            f"an arc with a bulge of {bulge:.4g} is all but a full circle", hint="draw a circle"
        )
    sweep = 4 * math.atan(bulge)
    centre = start + chord / 2 + left_of(chord) * ((1 - bulge * bulge) / (4 * bulge))
    out = start - centre
    points = arc_points(centre, out, left_of(out), start_rad=0.0, sweep_rad=sweep, chord_mm=chord_mm)
    points[0], points[-1] = start, end
    return points


def _stepped(breaks: Floats, *, step: float) -> Floats:
    """The breaks with equal steps, none longer than ``step``, between them."""
    ends = breaks.tolist()
    parts = [
        np.linspace(low, high, max(1, math.ceil((high - low) / step - 1e-9)), endpoint=False)
        for low, high in pairwise(ends)
    ]
    return np.concatenate([*parts, breaks[-1:]])


def _stationary(control: Floats) -> list[float]:
    """Parameters in (0, 1) where a Bezier curve runs along x or along y, rising."""
    slope = control[1:] - control[:-1]
    degree = len(slope) - 1
    found: list[float] = []
    for values in slope.T.tolist():
        least, most = min(values), max(values)
        scale = max(-least, most)
        if scale == 0.0 or least > 0.0 or most < 0.0:  # the hull of the slope holds no 0
            continue
        powers = np.zeros(degree + 1)
        for k, value in enumerate(value / scale for value in values):  # Bernstein to powers of t
            for j in range(degree - k + 1):
                powers[k + j] += value * math.comb(degree, k) * math.comb(degree - k, j) * (-1) ** j
        powers[np.abs(powers) < 1e-12] = 0.0
        roots = np.roots(powers[::-1])
        real = roots.real[np.abs(roots.imag) < 1e-9]
        found += [float(t) for t in real if 1e-9 < t < 1 - 1e-9]
    return sorted(set(found))


def _de_casteljau(control: Floats, t: Floats) -> Floats:
    """Points of a Bezier curve at the parameters t, ``(m, 2)``."""
    levels, after, before = control[:, None, :], t[:, None], (1 - t)[:, None]
    while len(levels) > 1:
        levels = levels[:-1] * before + levels[1:] * after
    return levels[0]
