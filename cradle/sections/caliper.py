"""Caliper readings against the trace: the outline is scaled to what the calipers read.

Width is read along x and depth along y, in the thing's frame. With both, x
and y are scaled each by its own factor; with one, both axes take the same
factor, because a wrong resolution is the likeliest cause and keeps the shape.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from cradle.errors import SectionError
from cradle.finding import Finding, Severity
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import hull_ring
from cradle.geometry.ring import extents, perimeter, size
from cradle.units import MM_PER_INCH

DOUBTFUL_SHARE: Final = 0.03
"""A correction above this is a finding: careful tracing is better, by common practice."""
IMPOSSIBLE_SHARE: Final = 0.10
"""A correction above this is no tracing error but a wrong unit or resolution."""
GIRTH_SHARE: Final = 0.02
"""A girth that differs by more than this is a finding: about what a string stretches."""
TOLD_MM: Final = 0.01
"""Residuals below this are not worth a line."""
_RESOLUTIONS: Final = (300, 72, 96, 600, 150, 200, 400, 1200)
"""Dots per inch that scanners and drawing programs assume, likeliest first."""
_NEAR: Final = 0.03
"""A factor this near a known one is taken for it."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Reconciled:
    """An outline scaled to its caliper readings.

    Attributes
    ----------
    points_mm : (n, 2) float64
        Scaled about the middle of its width and depth, which stays in place.
    traced_mm, scale : (float, float)
        Width and depth before, and the factors along x and y.
    findings : tuple of Finding
    """

    points_mm: Floats
    traced_mm: tuple[float, float]
    scale: tuple[float, float]
    findings: tuple[Finding, ...] = ()


def reconcile(
    ring: Floats,
    *,
    width_mm: float | None = None,
    depth_mm: float | None = None,
    girth_mm: float | None = None,
    where: str = "section",
) -> Reconciled:
    """Return the ring scaled to the readings, with what was residual.

    Parameters
    ----------
    ring : (n, 2) float64, mm
        In the thing's frame: already turned.
    width_mm, depth_mm : float or None
        Largest extent along x and y.
    girth_mm : float or None
        Length of a taut string round the section; only compared.

    Raises
    ------
    SectionError
        If a factor differs from 1 by more than `IMPOSSIBLE_SHARE`; the
        likeliest cause is told.
    """
    traced = size(ring)
    readings = (width_mm, depth_mm)
    for word, reading in zip(("width", "depth", "girth"), (*readings, girth_mm), strict=True):
        if reading is not None and not (np.isfinite(reading) and reading > 0):
            raise SectionError(f"the {word} is {reading:g} mm, which is not above 0", where=where)
    factors = [
        reading / found if reading is not None else None
        for reading, found in zip(readings, traced, strict=True)
    ]
    x = factors[0] if factors[0] is not None else factors[1]
    y = factors[1] if factors[1] is not None else factors[0]
    scale = (1.0, 1.0) if x is None or y is None else (x, y)
    if max(abs(factor - 1.0) for factor in scale) > IMPOSSIBLE_SHARE:
        raise _wrong_scale(traced, readings=readings, scale=scale, where=where)
    x0, y0, x1, y1 = extents(ring)
    middle = np.array([x0 + x1, y0 + y1]) / 2
    scaled = ring if scale == (1.0, 1.0) else (ring - middle) * np.array(scale) + middle
    findings = (
        *_residuals(traced, readings=readings, scale=scale, where=where),
        *_girth(scaled, girth_mm=girth_mm, where=where),
    )
    return Reconciled(points_mm=scaled, traced_mm=traced, scale=scale, findings=findings)


def girth(ring: Floats) -> float:
    """Return the length of a taut string round a ring, mm: the perimeter of its convex hull."""
    return perimeter(hull_ring(ring))


def likely_cause(scale: tuple[float, float]) -> str:
    """Return what most likely made the scale wrong, with advice; empty when nothing known fits."""
    x, y = scale
    if abs(x / y - 1.0) > _NEAR:
        if (abs(x / 2 - 1.0) <= _NEAR and abs(y - 1.0) <= _NEAR) or (
            abs(y / 2 - 1.0) <= _NEAR and abs(x - 1.0) <= _NEAR
        ):
            return "the drawing shows one side only: set half = true"
        return ""
    factor = float(np.sqrt(x * y))
    known = [
        (MM_PER_INCH, "the drawing is in inches and was read as mm: state its unit"),
        (1 / MM_PER_INCH, "the calipers read inches: write the readings in mm (1 in = 25.4 mm)"),
        (10.0, "the drawing is in cm and was read as mm: state its unit"),
        (0.1, "the readings are in cm: write them in mm"),
        (1000.0, "the drawing is in m and was read as mm: state its unit"),
    ]
    known += [
        (
            placed / scanned,
            f"as if a {scanned}-dpi scan had been placed at {placed} dpi: "
            f"scale the drawing to {100 * placed / scanned:.4g} %",
        )
        for scanned in _RESOLUTIONS
        for placed in _RESOLUTIONS
        if scanned != placed
    ]
    off = [abs(factor / value - 1.0) for value, _ in known]
    nearest = min(range(len(known)), key=lambda k: (round(off[k], 3), k))
    return known[nearest][1] if off[nearest] <= _NEAR else ""


def _wrong_scale(
    traced: tuple[float, float],
    *,
    readings: tuple[float | None, float | None],
    scale: tuple[float, float],
    where: str,
) -> SectionError:
    """The error for a factor that no tracing explains."""
    told = [
        f"{word} {found:.2f} mm traced, {reading:g} mm by caliper ({100 * factor:.4g} %)"
        for word, found, reading, factor in zip(("width", "depth"), traced, readings, scale, strict=True)
        if reading is not None
    ]
    width, depth = readings
    cause = likely_cause(scale)
    if width is not None and depth is not None and not cause:
        crossed = max(abs(width / traced[1] - 1.0), abs(depth / traced[0] - 1.0))
        if crossed <= DOUBTFUL_SHARE:
            cause = "width and depth are exchanged: set turn = 90 or -90, or exchange the readings"
    return SectionError(
        f"{'; '.join(told)}: more than the {100 * IMPOSSIBLE_SHARE:g} % that a trace can be off",
        where=where,
        hint=cause
        or "check the drawing's resolution and unit, and that the readings were taken at this height",
    )


def _residuals(
    traced: tuple[float, float],
    *,
    readings: tuple[float | None, float | None],
    scale: tuple[float, float],
    where: str,
) -> tuple[Finding, ...]:
    """One finding for each reading that differs from the trace, and one if there is none."""
    if readings == (None, None):
        return (
            Finding(
                code="no-caliper-reading",
                severity=Severity.NOTE,
                where=where,
                message="no width or depth by caliper: the drawing's scale is trusted",
            ),
        )
    findings = []
    for word, found, reading, factor in zip(("width", "depth"), traced, readings, scale, strict=True):
        if reading is None or abs(reading - found) <= TOLD_MM:
            continue
        doubtful = abs(factor - 1.0) > DOUBTFUL_SHARE
        findings.append(
            Finding(
                code="trace-off-caliper" if doubtful else "trace-scaled",
                severity=Severity.WARN if doubtful else Severity.NOTE,
                where=where,
                message=f"{word} {found:.2f} mm traced, {reading:.2f} mm by caliper: "
                f"scaled to {100 * factor:.2f} %",
                measured=reading - found,
                limit=DOUBTFUL_SHARE * reading,
                unit="mm",
                advice=f"measure the {word} again and check the scan's resolution" if doubtful else "",
            )
        )
    return tuple(findings)


def _girth(ring: Floats, *, girth_mm: float | None, where: str) -> tuple[Finding, ...]:
    """A finding if a string round the scaled section would have another length."""
    if girth_mm is None:
        return ()
    found = girth(ring)
    if abs(found / girth_mm - 1.0) <= GIRTH_SHARE:
        return ()
    return (
        Finding(
            code="girth-disagrees",
            severity=Severity.WARN,
            where=where,
            message=f"a string round the section would be {found:.2f} mm long, "
            f"but {girth_mm:.2f} mm was measured",
            measured=found - girth_mm,
            limit=GIRTH_SHARE * girth_mm,
            unit="mm",
            advice="the shape or a caliper reading is wrong; measure both again",
        ),
    )
