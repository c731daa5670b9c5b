"""Mirror lines of whole outlines that are nearly symmetric.

A closed curve ``z(s)`` (complex, centroid at 0, s the arc length) is
symmetric about a line at angle t when ``z(c - s) = exp(2it) conj(z(s))`` for
some c. So ``A(c) = sum z(s) z(c - s)`` has the magnitude ``sum |z|^2`` there
and the phase 2t; its Fourier transform is the square of that of z, which
tests all lines in O(n log n). The best are refined by least squares on the
distances between the outline and its mirror image.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from cradle.geometry.arrays import Floats, following, preceding
from cradle.noun import noun
from cradle.sections.likeness import STILL
from cradle.sections.unit_curve import SAMPLES, UnitCurve, distances, nearest

_OWN: Final = 0.02
"""Share of its size by which a nearly symmetric thing may lie off its mirror image."""
_TRACED: Final = 2.4 * np.sqrt(2.0)
"""Its drawing may lie off by this many tracing errors besides: √2, as both halves have one, times 2.4. Of 20 outlines
100 to 150 mm long whose error keeps its direction over some 12 mm, 18 or 19 lie nowhere farther off (simulated)."""
_AS_GOOD: Final = 0.0025
"""Two lines are equally good when their mean distances differ by less than this share of the size."""
_SEVERAL_DEG: Final = 5.0
"""Lines near one axis that spread over more than this are several."""
_PASSES: Final = 10


@noun
class MirrorLine:
    """A line about which an outline is nearly symmetric.

    ``point_mm`` (2,) is its point nearest the centroid, ``angle_deg`` its
    direction in (0, 180], counter-clockwise from x; ``asymmetry_mm`` is the
    largest distance between the outline and its mirror image (the Hausdorff
    distance: reflection makes both directed distances equal).
    """

    point_mm: Floats
    angle_deg: float
    asymmetry_mm: float


def turn_from_axis(angle_deg: Floats | float, *, axis_deg: float) -> Any:
    """From an axis to a line, or to each of many, degrees: at most 90 to either side, since a line has no sense.

    Examples
    --------
    >>> turn_from_axis(170.0, axis_deg=0.0), turn_from_axis(100.0, axis_deg=90.0)
    (-10.0, 10.0)
    """
    return (angle_deg - axis_deg + 90.0) % 180.0 - 90.0


def mirror_lines(curve: UnitCurve, *, trace_mm: float) -> tuple[MirrorLine, ...]:
    """Up to two equally good mirror lines: within 45° of vertical, then of horizontal.

    Examples
    --------
    >>> import numpy as np
    >>> from cradle.sections.unit_curve import curve_of
    >>> (line,) = mirror_lines(
    ...     curve_of(np.array([[1.0, 0], [9, 0], [10, 4], [5, 20], [0, 4]])), trace_mm=0.1
    ... )
    >>> round(line.angle_deg, 6), round(float(line.point_mm[0]), 6)
    (90.0, 5.0)
    """
    angles, error = _candidates(curve)
    allowed = float(np.hypot(_OWN, _TRACED * trace_mm / curve.size_mm))
    least = float(error.min())
    if least > 2 * allowed:
        return ()
    usable = error <= least + max(2 * _AS_GOOD, allowed / 2)
    found = [
        (axis_deg, *_refined(curve, angle_deg=start))
        for axis_deg in (90.0, 0.0)
        for start in _starts(angles[usable], error[usable], axis_deg=axis_deg)
    ]
    best = min((rms for *_, rms in found), default=np.inf)
    lines = []
    for axis_deg in (90.0, 0.0):
        good = [
            (angle, off) for axis, angle, off, rms in found if axis == axis_deg and rms <= best + _AS_GOOD
        ]
        if good:
            angle, off = min(good, key=lambda line: abs(turn_from_axis(line[0], axis_deg=axis_deg)))
            line = _measured(curve, angle_deg=angle, distance=off)
            if line.asymmetry_mm <= allowed * curve.size_mm:
                lines.append(line)
    return tuple(lines)


def _candidates(curve: UnitCurve) -> tuple[Floats, Floats]:
    """Angles, degrees, and root-mean-square errors of the lines worth refining, each ``(k,)``.

    They are the local minima of the error by arc length, and the vertical and the
    horizontal through the centroid, whose error is measured in the same unit.
    """
    mean = curve.samples.mean(axis=0)
    z = (curve.samples - mean) @ np.array([1.0, 1.0j])
    self_match = np.fft.ifft(np.fft.fft(z) ** 2)
    power = float((np.abs(z) ** 2).sum())
    error = np.sqrt(np.maximum(2.0 * (power - np.abs(self_match)), 0.0) / SAMPLES)
    angle = np.degrees(np.angle(self_match)) / 2.0 % 180.0
    peak = (error <= preceding(error)) & (error <= following(error))
    angles, errors = angle[peak], error[peak]
    axes = np.array([90.0, 0.0])
    at_axes = [_rms(curve, normal_deg=axis + 90.0, distance=0.0) for axis in axes]
    return np.concatenate([angles, axes]), np.concatenate([errors, at_axes])


def _starts(angles: Floats, errors: Floats, *, axis_deg: float) -> list[float]:
    """Angles from which the line near an axis is refined, degrees: the best within 45°, and where several lie there also the one nearest to the axis."""
    off_axis = np.abs(turn_from_axis(angles, axis_deg=axis_deg))
    near = off_axis <= 45.0
    if not near.any():
        return []
    starts = {float(angles[near][np.argmin(errors[near])])}
    if np.ptp(angles[near]) > _SEVERAL_DEG:
        starts.add(float(angles[near][np.argmin(off_axis[near])]))
    return sorted(starts)


def _refined(curve: UnitCurve, *, angle_deg: float) -> tuple[float, float, float]:
    """Angle (deg), distance and root-mean-square error of the best line near ``angle_deg``.

    Gauss-Newton on the distances along the normals from the mirrored samples
    to the outline. A direction that the shape does not settle (a circle's
    turn) stays as it is: small singular values are left out.
    """
    points = curve.samples
    normal_deg, distance = angle_deg + 90.0, 0.0
    for _ in range(_PASSES):
        image = _reflected(points, normal_deg=normal_deg, distance=distance)
        feet, normals = nearest(curve, image)
        u, v = _directions(normal_deg)
        along = points @ u - distance
        by_turn = -2.0 * ((points @ v)[:, None] * u + along[:, None] * v)
        slope = np.stack([2.0 * (normals @ u), (normals * by_turn).sum(axis=1)], axis=1)
        residual = ((feet - image) * normals).sum(axis=1)
        step = np.linalg.lstsq(slope, residual, rcond=2e-3)[0]
        distance += float(np.clip(step[0], -0.1, 0.1))
        normal_deg += float(np.degrees(np.clip(step[1], -0.1, 0.1)))
        if np.abs(step).max() < STILL:
            break
    return normal_deg - 90.0, distance, _rms(curve, normal_deg=normal_deg, distance=distance)


def _rms(curve: UnitCurve, *, normal_deg: float, distance: float) -> float:
    """Root-mean-square distance between a curve and its image in a line."""
    image = _reflected(curve.samples, normal_deg=normal_deg, distance=distance)
    return float(np.sqrt(np.mean(distances(curve, image) ** 2)))


def _measured(curve: UnitCurve, *, angle_deg: float, distance: float) -> MirrorLine:
    """The line in mm, with its asymmetry.

    ``distance`` is its signed distance from the centroid in units of
    ``curve.size_mm``, positive to the left of the direction ``angle_deg``.
    """
    u, _ = _directions(angle_deg + 90.0)
    image = _reflected(curve.points, normal_deg=angle_deg + 90.0, distance=distance)
    angle = angle_deg % 180.0
    return MirrorLine(
        point_mm=curve.centroid_mm + distance * curve.size_mm * u,
        angle_deg=angle if angle > 0.0 else 180.0,
        asymmetry_mm=float(distances(curve, image).max()) * curve.size_mm,
    )


def _directions(normal_deg: float) -> tuple[Floats, Floats]:
    """Unit vectors along a line's normal and a quarter turn on from it."""
    cos, sin = np.cos(np.radians(normal_deg)), np.sin(np.radians(normal_deg))
    return np.array([cos, sin]), np.array([-sin, cos])


def _reflected(points: Floats, *, normal_deg: float, distance: float) -> Floats:
    """Points mirrored in the line ``u . p = distance``, u at ``normal_deg``."""
    u, _ = _directions(normal_deg)
    return points - 2.0 * (points @ u - distance)[:, None] * u
