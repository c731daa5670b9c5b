"""B-splines into points, clamped or not, with or without weights.

Every knot span is a Bezier curve of the same degree; without weights it is
turned into one exactly and flattened with a bound. With weights the steps are
halved until the polyline settles.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from cradle.drawings.flatten import bezier_points, check_span
from cradle.errors import OutlineError
from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.vectors import lengths

_HIGHEST_DEGREE: Final = 11
"""A spline of a higher degree is taken for damage (our own choice)."""
_MOST_HALVINGS: Final = 12


def spline_points(
    control: Floats, *, weights: Floats | None, knots: Floats, degree: int, chord_mm: float
) -> Floats:
    """Points on a B-spline from the start to the end of its domain, ``(m, 2)``, mm.

    Parameters
    ----------
    control : (n, 2) float64
        Control points, mm.
    weights : (n,) float64 or None
        Positive; None for all 1.
    knots : (n + degree + 1,) float64
        Not falling.
    chord_mm : float
        Largest distance between curve and polyline: a bound without weights,
        an estimate with them.

    Raises
    ------
    OutlineError
        If the numbers do not make a spline.

    Notes
    -----
    De Boor's algorithm; de Boor, "A Practical Guide to Splines", chapter X, from memory.
    """
    _check(control, weights=weights, knots=knots, degree=degree)
    count = len(control)
    weight = np.ones(count) if weights is None else weights / weights.max()
    lifted = np.column_stack([control * weight[:, None], weight])
    spans = degree + np.flatnonzero(knots[degree + 1 : count + 1] > knots[degree:count])
    nodes = 0.5 - 0.5 * np.cos(np.linspace(0.0, math.pi, degree + 1))
    bernstein = np.array(
        [[math.comb(degree, i) * t**i * (1 - t) ** (degree - i) for i in range(degree + 1)] for t in nodes]
    )
    pieces: list[Floats] = []
    at = knots[spans, None] + nodes * (knots[spans + 1] - knots[spans])[:, None]
    for bezier in np.linalg.solve(bernstein, _de_boor(lifted, knots, degree, spans, at)):
        if weights is None or np.ptp(weights) == 0.0:
            points = bezier_points(bezier[:, :2] / bezier[:, 2:], chord_mm=chord_mm)
        else:
            points = _settled(bezier, chord_mm=chord_mm)
        pieces.append(points if not pieces else points[1:])
    return np.concatenate(pieces)


def _check(control: Floats, *, weights: Floats | None, knots: Floats, degree: int) -> None:
    """Raise where the numbers do not make a spline."""
    check_span(control)
    count = len(control)
    if not 1 <= degree <= _HIGHEST_DEGREE or count <= degree:
        raise OutlineError(
            f"a spline of degree {degree} with {count} control points, degree 1 to {_HIGHEST_DEGREE} "
            "and more control points than that are read",
        )
    if len(knots) != count + degree + 1 or not np.isfinite(knots).all() or (np.diff(knots) < 0).any():
        raise OutlineError(f"expected {count + degree + 1} rising knots", hint="save the drawing again")
    if weights is not None and (
        len(weights) != count or not np.isfinite(weights).all() or (weights <= 0).any()
    ):
        raise OutlineError("expected a weight above 0 for every control point")
    if knots[degree] == knots[count]:
        raise OutlineError("all knots of the spline are the same")


def _de_boor(lifted: Floats, knots: Floats, degree: int, spans: Ints, at: Floats) -> Floats:
    """Values at ``(s, m)`` parameters, those of a row in its own knot span, ``(s, m, 3)``."""
    levels = [np.repeat(lifted[spans - degree + j, None], at.shape[1], axis=1) for j in range(degree + 1)]
    for level in range(1, degree + 1):
        for j in range(degree, level - 1, -1):
            low, high = knots[j + spans - degree, None], knots[j + 1 + spans - level, None]
            share = ((at - low) / (high - low))[..., None]
            levels[j] = (1 - share) * levels[j - 1] + share * levels[j]
    return np.asarray(levels[degree])


def _settled(bezier: Floats, *, chord_mm: float) -> Floats:
    """Points of a weighted Bezier curve at steps halved until new points lie near the old chords."""
    degree = len(bezier) - 1
    binomial = np.array([math.comb(degree, i) for i in range(degree + 1)])
    power = np.arange(degree + 1)

    def points(t: Floats) -> Floats:
        basis = binomial * t[:, None] ** power * (1 - t)[:, None] ** (degree - power)
        values = basis @ bezier
        return np.asarray(values[:, :2] / values[:, 2:])

    steps = 4
    for _ in range(_MOST_HALVINGS):
        fine = points(np.linspace(0.0, 1.0, 2 * steps + 1))
        check_span(fine)
        # at least the distance from the chord
        off = lengths(fine[1::2] - (fine[:-1:2] + fine[2::2]) / 2)
        if off.max() <= chord_mm / 2:
            return fine[::2]
        steps *= 2
    raise OutlineError("the weights of the spline differ too much", hint="save it as a polyline")
