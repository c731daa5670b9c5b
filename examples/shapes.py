"""The invented things of the demos, exactly, as functions of height.

Frame: x to the right, y away from the viewer, z up from the plane the thing
rests on; mm. Nobody made or measured these things: the formulas are the truth
that the demo's "measurements" are taken from, and that a loft can be compared
with.

A *piece* is a smooth stretch of an outline: a function of u in [0, 1] that
returns (n, 2) points. Corners lie only where two pieces meet. The pieces of an
outline run counter-clockwise and close.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Piece = Callable[[Floats], Floats]

OCARINA_LEAN = 0.16
"""How far the ocarina's middle moves back for each mm of height."""
SMALLER = 0.7
"""The small ocarina beside the big one."""
_JOIN = np.pi - 0.36
"""Angle on the egg, from the front, where the mouthpiece begins."""


def straight(a: Floats, b: Floats) -> Piece:
    """A straight piece from a to b."""
    return lambda u: a + np.asarray(u, dtype=float)[..., None] * (b - a)


def ocarina_size_mm(height_mm: float) -> tuple[float, float, float, float]:
    """Half width and half depth of the egg, y of its middle, and how far the mouthpiece stands out."""
    swell = float(np.sqrt(1.0 - ((height_mm - 50.0) / 54.0) ** 2))
    return 31.0 * swell, 22.3 * swell, OCARINA_LEAN * height_mm, 0.8 + 0.06 * height_mm


def ocarina_sides(height_mm: float) -> tuple[tuple[Piece, ...], tuple[Piece, ...]]:
    """The right side from front to back and the left side from back to front.

    An egg, fuller at the front, with a flat-ended mouthpiece at the back. The
    right side is a little fuller higher up, as hands make things.
    """
    half_width, half_depth, middle, stands_out = ocarina_size_mm(height_mm)
    fuller = 1.0 + 0.008 * max(0.0, height_mm - 4.0) / 40.0

    def egg(angle: Floats, stretch: float) -> Floats:
        x = stretch * half_width * np.sin(angle) * (1.0 + 0.10 * np.cos(angle))
        return np.stack([x, middle - half_depth * np.cos(angle)], axis=-1)

    def side(stretch: float) -> tuple[Piece, Piece, Piece]:
        join = egg(np.array(_JOIN), stretch)
        flat = middle + half_depth + stands_out
        corner = np.array([0.72 * join[0], flat])
        shell: Piece = lambda u: egg(_JOIN * np.asarray(u, dtype=float), stretch)  # noqa: E731
        return shell, straight(join, corner), straight(corner, np.array([0.0, flat]))

    right, left = side(fuller), side(-1.0)
    return right, tuple(_backwards(piece) for piece in reversed(left))


def small_ocarina_outline(height_mm: float) -> Floats:
    """The outline of the small ocarina: the big one made smaller all over."""
    return SMALLER * ocarina_outline(height_mm / SMALLER)


def ocarina_profile_mm(height_mm: float) -> tuple[float, float]:
    """Least and greatest y: the front and back profiles."""
    _, half_depth, middle, stands_out = ocarina_size_mm(height_mm)
    return middle - half_depth, middle + half_depth + stands_out


def nozzle_size_mm(height_mm: float) -> tuple[float, float, float, float, float]:
    """Half width, depth behind and before the middle, exponent, and y of the middle."""
    swell = float(np.sin(np.radians(1.7 * height_mm)))
    flatter = 1.0 - 0.16 * (max(0.0, height_mm - 4.0) / 48.0) ** 2
    behind = 14.5 + 5.2 * swell
    return (
        14.5 + 7.0 * swell,
        behind,
        behind * flatter,
        2.0 + 0.026 * max(0.0, height_mm - 4.0),
        0.05 * height_mm,
    )


def nozzle_pieces(height_mm: float) -> tuple[Piece, ...]:
    """Round at the outlet, squarer towards the grip, flatter in front where the lever lies."""
    half_width, behind, before, exponent, middle = nozzle_size_mm(height_mm)

    def half(depth: float, start: float) -> Piece:
        def points(u: Floats) -> Floats:
            angle = start + np.pi * np.asarray(u, dtype=float)
            away = np.abs(np.cos(angle) / half_width) ** exponent + np.abs(np.sin(angle) / depth) ** exponent
            reach = away ** (-1.0 / exponent)
            return np.stack([reach * np.cos(angle), middle + reach * np.sin(angle)], axis=-1)

        return points

    return half(behind, 0.0), half(before, np.pi)


def ocarina_outline(height_mm: float, *, per_piece: int = 120) -> Floats:
    """The ocarina's exact outline at a height, counter-clockwise, ``(n, 2)``."""
    return sampled([piece for side in ocarina_sides(height_mm) for piece in side], per_piece=per_piece)


def nozzle_outline(height_mm: float, *, per_piece: int = 180) -> Floats:
    """The nozzle's exact outline at a height, counter-clockwise, ``(n, 2)``."""
    return sampled(nozzle_pieces(height_mm), per_piece=per_piece)


def sampled(pieces: Sequence[Piece], *, per_piece: int) -> Floats:
    """Points along closed pieces, corners included, each once."""
    u = np.arange(per_piece) / per_piece
    return np.concatenate([piece(u) for piece in pieces])


def size_mm(outline: Floats) -> tuple[float, float]:
    """Width and depth of an outline."""
    width, depth = np.ptp(outline, axis=0)
    return float(width), float(depth)


def _backwards(piece: Piece) -> Piece:
    return lambda u: piece(1.0 - np.asarray(u, dtype=float))
