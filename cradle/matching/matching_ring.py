"""Rings made ready for matching.

Terms: a *trace* is a ring that starts at its point farthest from its centroid
and carries its arc length as a *position* from 0 to 1. In the *plain* frame
place, size and stretch are taken away, by the second moments of the area and
their symmetric root, so that a turn of the ring turns its plain form alike.
"""

from __future__ import annotations

import numpy as np

from cradle.geometry import ring as plane
from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.vectors import lengths, turn_rad, unit
from cradle.noun import noun

_CORNER_DEG = 30.0
_CORNER_REACH = 0.0075
"""Part of the perimeter on either side over which a corner has to turn."""


@noun
class Trace:
    """A ring made ready for matching.

    Attributes
    ----------
    points_mm : (n, 2) float64
        Counter-clockwise, the point farthest from the centroid first.
    positions : (n + 1,) float64
        Arc length from the first point as a part of the perimeter, 0 to 1.
    plain : (n + 1, 2) float64
        The closed ring without place, size and stretch: an ellipse becomes the unit circle.
    corners : (c,) int64
        Indices of the corners.
    turns_deg : (c,) float64
        How far each corner turns, positive to the left.
    headings : (c, 2) float64
        Unit vectors along the ring at the corners, in the plain frame.
    """

    points_mm: Floats
    positions: Floats
    plain: Floats
    corners: Ints
    turns_deg: Floats
    headings: Floats


def trace(ring_mm: Floats) -> Trace:
    """A simple ring, ``(n, 2)`` mm, made ready for matching, whatever its first point and direction."""
    ring = plane.counter_clockwise(ring_mm)
    ring = np.roll(ring, -_start(ring), axis=0)
    arcs = plane.arc_positions(ring)
    positions = arcs / arcs[-1]
    positions[-1] = 1.0
    plain = (ring - plane.centroid(ring)) @ _unstretch(ring)
    closed = np.concatenate([plain, plain[:1]])
    corners, turns = _corners(ring, positions)
    ahead = along(closed, positions, positions[corners] + _CORNER_REACH)
    behind = along(closed, positions, positions[corners] - _CORNER_REACH)
    return Trace(
        points_mm=ring,
        positions=positions,
        plain=closed,
        corners=corners,
        turns_deg=turns,
        headings=unit(unit(ahead - plain[corners]) + unit(plain[corners] - behind)),
    )


def along(closed: Floats, positions: Floats, at: Floats) -> Floats:
    """Points of a closed ring ``(n + 1, 2)`` at positions of period 1, ``(m, 2)``."""
    wanted = np.mod(at, 1.0)
    return np.column_stack([np.interp(wanted, positions, closed[:, axis]) for axis in (0, 1)])


def samples(one: Trace, count: int) -> tuple[Floats, Floats]:
    """``count`` evenly spaced points in the plain frame, and the directions there."""
    at = np.arange(count) / count
    points = along(one.plain, one.positions, at)
    ahead = along(one.plain, one.positions, at + 0.5 / count)
    behind = along(one.plain, one.positions, at - 0.5 / count)
    return points, unit(ahead - behind)


def _start(ring: Floats) -> int:
    """Index of the point farthest from the centroid; among equals the first by angle from x."""
    out = ring - plane.centroid(ring)
    reach = lengths(out)
    far = np.flatnonzero(reach >= reach.max() * (1 - 1e-7))
    angle = np.mod(np.arctan2(out[far, 1], out[far, 0]) + 1e-7, 2 * np.pi)
    return int(far[np.argmin(angle)])


def _unstretch(ring: Floats) -> Floats:
    """The symmetric matrix that turns the ring's second moments of area into the unit circle's."""
    values, axes = np.linalg.eigh(plane.second_moments(ring))
    values = np.maximum(values, values.max() * 1e-6)
    return np.asarray((axes / (2 * np.sqrt(values))) @ axes.T)


def _corners(ring: Floats, positions: Floats) -> tuple[Ints, Floats]:
    """Indices of the corners and how far they turn, degrees: the local greatest turns above a limit."""
    closed = np.concatenate([ring, ring[:1]])
    at = positions[:-1]
    after = along(closed, positions, at + _CORNER_REACH) - ring
    before = ring - along(closed, positions, at - _CORNER_REACH)
    turn = np.degrees(turn_rad(before, after))
    sharp = np.flatnonzero(np.abs(turn) >= _CORNER_DEG)
    kept = []
    for index in sharp:
        apart = np.abs(at[sharp] - at[index])
        near = np.minimum(apart, 1 - apart) < _CORNER_REACH
        if abs(turn[index]) >= np.abs(turn[sharp[near]]).max() - 1e-6:
            kept.append(index)
    chosen = np.array(kept, dtype=np.int64)
    return chosen, turn[chosen]
