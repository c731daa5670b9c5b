"""What would be printed on air: overhangs and bridges, for a holder printed as it stands.

The *overhang* of a face is its angle from upright: 0 is a wall, 90 a level
ceiling. Up to 45 degrees each layer rests on enough of the one below (rule of
thumb, O'Reilly book on printing; an overhang angle of at most 45 degrees also
in Mazlan et al., J. Adv. Ind. Technol. Appl. 1, 2020). A level ceiling between
two supports is a *bridge*: a printed line spans some millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cradle.checks.place_words import Corner, place_words
from cradle.finding import Finding, Severity
from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import TriMesh, area_normals, connected, corners
from cradle.project.printer import PrinterSpec

STEEPEST_DEG = 45.0
"""From upright; up to this prints without support (rule of thumb)."""
LONGEST_BRIDGE_MM = 10.0
"""A bridge up to this long prints without support (common practice, no source)."""
_SLACK_DEG = 1.0
"""Chamfers of exactly 45 degrees, cut into facets, stay allowed."""
_LEANS = 0.3
"""Faces that lean this much to one side, on the whole, jut out rather than span."""
_ON_BED_MM = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Overhang:
    """One patch of faces over the limit.

    Attributes
    ----------
    steepest_deg : float
        Largest angle from upright in the patch.
    area_mm2 : float
    span_mm : float
        The smaller side of the patch seen from above: what a bridge must span.
    spans : bool
        Whether it spans from side to side, as a level ceiling or the crown of an arch does; else it juts out.
    place_mm : (3,)
        Its middle, print frame.
    """

    steepest_deg: float
    area_mm2: float
    span_mm: float
    spans: bool
    place_mm: tuple[float, float, float]


def overhangs(mesh: TriMesh) -> tuple[Overhang, ...]:
    """Patches of neighbouring faces that hang over by more than `STEEPEST_DEG`, largest first.

    Parameters
    ----------
    mesh : TriMesh
        In the print frame; faces lying on the bed (z = 0) rest on it and do not count.
    """
    normals = area_normals(mesh)
    twice = np.linalg.norm(normals, axis=1)
    down = np.divide(-normals[:, 2], twice, out=np.zeros_like(twice), where=twice > 0)
    angle = np.degrees(np.arcsin(np.clip(down, -1, 1)))
    points = corners(mesh)
    on_bed = points[:, :, 2].max(axis=1) < _ON_BED_MM
    over = np.flatnonzero((angle > STEEPEST_DEG + _SLACK_DEG) & ~on_bed)
    if not len(over):
        return ()
    faces = mesh.faces[over]
    label = connected(faces[:, [0, 1, 1, 2]].reshape(-1, 2), count=len(mesh.vertices_mm))[faces[:, 0]]
    _, patch = np.unique(label, return_inverse=True)
    count = int(patch.max()) + 1
    area = np.bincount(patch, weights=twice[over] / 2, minlength=count)
    middle = np.column_stack(
        [np.bincount(patch, weights=twice[over] / 2 * points[over].mean(axis=1)[:, k]) for k in range(3)]
    )
    aside = np.column_stack([np.bincount(patch, weights=normals[over, k] / 2) for k in range(2)])
    low, high = np.full((count, 2), np.inf), np.full((count, 2), -np.inf)
    np.minimum.at(low, patch, points[over, :, :2].min(axis=1))
    np.maximum.at(high, patch, points[over, :, :2].max(axis=1))
    steepest = np.zeros(count)
    np.maximum.at(steepest, patch, angle[over])
    return tuple(
        Overhang(
            steepest_deg=float(steepest[k]),
            area_mm2=float(area[k]),
            span_mm=float((high[k] - low[k]).min()),
            spans=bool(np.hypot(*aside[k]) < _LEANS * area[k]),
            place_mm=_triple(middle[k] / area[k]),
        )
        for k in np.lexsort((np.arange(count), -area)).tolist()
    )


def overhang_findings(
    patches: tuple[Overhang, ...], *, printer: PrinterSpec, corner_mm: Corner
) -> tuple[Finding, ...]:
    """Overhangs that reach out further than printed lines bear; places are in the print frame."""
    found = []
    for patch in patches:
        if patch.span_mm < 2 * printer.line_mm:
            continue
        x, y, z = patch.place_mm
        bridged = patch.spans and patch.span_mm <= LONGEST_BRIDGE_MM
        what = (
            f"a ceiling {patch.span_mm:.1f} mm across"
            if patch.spans
            else f"an overhang of {patch.steepest_deg:.0f}° from upright, {patch.span_mm:.1f} mm across,"
        )
        found.append(
            Finding(
                code="bridge" if patch.spans else "overhang",
                severity=Severity.NOTE if bridged or patch.span_mm <= 2.0 else Severity.WARN,
                message=(
                    f"{what} ({patch.area_mm2:.0f} mm²) {place_words(x, y, corner_mm=corner_mm)},"
                    f" {z:z.0f} mm above the bed"
                ),
                measured=patch.span_mm if patch.spans else patch.steepest_deg,
                limit=LONGEST_BRIDGE_MM if patch.spans else STEEPEST_DEG,
                unit="mm" if patch.spans else "deg",
                place_mm=patch.place_mm,
                advice="it prints as a bridge; print it slowly"
                if bridged
                else "print it with support there, or make the opening narrower or its top pointed",
            )
        )
    return tuple(found)


def _triple(point: Floats) -> tuple[float, float, float]:
    return float(point[0]), float(point[1]), float(point[2])
