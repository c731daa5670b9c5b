"""What would be printed on air: overhangs and bridges, for a holder printed as it stands.

The *overhang* of a face is its angle from upright: 0 is a wall, 90 a level
ceiling. Up to 45 degrees each layer rests on enough of the one below (rule of
thumb, O'Reilly book on printing; an overhang angle of at most 45 degrees also
in Mazlan et al., J. Adv. Ind. Technol. Appl. 1, 2020). A level ceiling between
two supports is a *bridge*: a printed line spans some millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cradle.checks.place_words import Corner, place_words
from cradle.finding import About, Finding, Severity, in_unit
from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.mesh import TriMesh, area_normals, connected, corners, edges_of
from cradle.noun import record
from cradle.project.printer import PrinterSpec

STEEPEST_DEG = 45.0
"""From upright; up to this prints without support (rule of thumb)."""
_LONGEST_BRIDGE_MM = 10.0
"""A bridge up to this long prints without support (common practice, no source)."""
_SLACK_DEG = 1.0
"""Chamfers of exactly 45 degrees, cut into facets, stay allowed."""
_LEANS = 0.3
"""Faces that lean this much to one side, on the whole, jut out rather than span."""
_ON_BED_MM = 1e-3
_SMALL_MM = 2.0
"""What juts out no further droops by little (our own choice)."""


@record
class Overhang:
    """One patch of faces over the limit.

    Attributes
    ----------
    steepest_deg : float
        Largest angle from upright in the patch.
    span_mm : float
        The smaller side of the patch seen from above: what a bridge must span.
    width_mm : float
        Its mean width, twice the area over the way round it: that of a long strip.
    spans : bool
        Whether it spans from side to side, as a level ceiling or the crown of an arch does; else it juts out.
    place_mm : (3,)
        Its middle, print frame.
    """

    steepest_deg: float
    area_mm2: float
    span_mm: float
    width_mm: float
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
    around = _ways_round(mesh.vertices_mm, faces, patch=patch)
    return tuple(
        Overhang(
            steepest_deg=float(steepest[k]),
            area_mm2=float(area[k]),
            span_mm=float((high[k] - low[k]).min()),
            width_mm=float(2 * area[k] / around[k]),
            spans=bool(np.hypot(*aside[k]) < _LEANS * area[k]),
            place_mm=_triple(middle[k] / area[k]),
        )
        for k in np.lexsort((np.arange(count), -area)).tolist()
    )


def _ways_round(vertices_mm: Floats, faces: Ints, *, patch: Ints) -> Floats:
    """Length of the border of each patch of faces, ``(p,)``, mm: of the edges that only one of its faces has."""
    edges = np.sort(edges_of(faces), axis=1)
    _, first, count = np.unique(edges, axis=0, return_index=True, return_counts=True)
    border = first[count == 1]
    length = np.linalg.norm(np.diff(vertices_mm[edges[border]], axis=1)[:, 0], axis=1)
    return np.asarray(
        np.bincount(patch[border // 3], weights=length, minlength=int(patch.max()) + 1), dtype=float
    )


def overhang_findings(
    patches: Sequence[Overhang], *, openings: Sequence[str], printer: PrinterSpec, corner_mm: Corner
) -> tuple[Finding, ...]:
    """Overhangs that reach out further than printed lines bear.

    Those in one opening are told as one, and so are all that print as bridges.

    Parameters
    ----------
    patches : sequence of Overhang
        In the print frame.
    openings : sequence of str
        The opening that each lies in, in words; "" for none.
    corner_mm : (float, float)
        From which places are told.
    """
    told: dict[tuple[object, ...], list[_Lying]] = {}
    for patch, opening in zip(patches, openings, strict=True):
        if patch.span_mm >= 2 * printer.line_mm and patch.width_mm >= printer.line_mm:
            one = _Lying(patch=patch, opening=opening)
            told.setdefault(one.told_with, []).append(one)
    return tuple(_finding(own, corner_mm=corner_mm) for own in told.values())


@record
class _Lying:
    """A patch, and the opening that it lies in, in words; "" for none."""

    patch: Overhang
    opening: str

    @property
    def bridged(self) -> bool:
        """Whether it prints without support."""
        return self.patch.spans and self.patch.span_mm <= _LONGEST_BRIDGE_MM

    @property
    def severity(self) -> Severity:
        """How grave it is."""
        return Severity.NOTE if self.bridged or self.patch.span_mm <= _SMALL_MM else Severity.WARN

    @property
    def told_with(self) -> tuple[object, ...]:
        """The key of patches that are told together: the same for all that print as bridges, else for those alike in one opening."""
        if self.bridged:
            return (True,)
        return self.patch.spans, self.severity, self.opening or str(self)

    def __str__(self) -> str:
        """The patch in words, without its place on the holder."""
        patch = self.patch
        kind = "a ceiling" if patch.spans else f"an overhang of {patch.steepest_deg:.0f}° from upright,"
        return f"{kind} {patch.span_mm:.1f} mm across ({patch.area_mm2:.0f} mm²)" + (
            f" in {self.opening}," if self.opening else ""
        )


def _finding(told: Sequence[_Lying], *, corner_mm: Corner) -> Finding:
    """What is told of patches, with the place of the widest."""
    widest = max(told, key=lambda one: one.patch.span_mm)
    patch = widest.patch
    x, y, z = patch.place_mm
    return Finding(
        code="bridge" if patch.spans else "overhang",
        about=About.LOOKS,
        severity=widest.severity,
        message=f"{widest} {place_words(x, y, corner_mm=corner_mm)}, {z:z.0f} mm above the bed{_others(told, widest)}",
        place_mm=patch.place_mm,
        advice=_advice(told),
        **in_unit(
            "mm" if patch.spans else "deg",
            patch.span_mm if patch.spans else patch.steepest_deg,
            limit=_LONGEST_BRIDGE_MM if patch.spans else STEEPEST_DEG,
        ),
    )


def _advice(told: Sequence[_Lying]) -> str:
    if not told[0].bridged:
        return "print it with support there, or make the opening narrower or its top pointed"
    if len(told) > 1:
        return "they print as bridges; print them slowly"
    return "it prints as a bridge; print it slowly"


def _others(told: Sequence[_Lying], widest: _Lying) -> str:
    """How many more there are, like the widest or narrower."""
    if len(told) == 1:
        return ""
    like = "like it" if len({str(one) for one in told}) == 1 else "no wider"
    return f", and {len(told) - 1} more {like}"


def _triple(point: Floats) -> tuple[float, float, float]:
    return float(point[0]), float(point[1]), float(point[2])
