"""The block: its plan around the pocket, and the solid on that plan."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from cradle.errors import HolderError
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import Region, hull_ring, offset, outer_rings, region, union, without
from cradle.geometry.region_measures import area_mm2, bounds
from cradle.geometry.shapes import CORNERS, circle_inside, rectangle, rounded_rectangle
from cradle.geometry.solid import Solid
from cradle.geometry.stack import stack_solid
from cradle.project.block import LEAST_RIM_MM, BlockForm, BlockSpec, CornerForm
from cradle.tolerances import TOLERANCES
from cradle.units import tenths_up

_ARC_DEG = 4.0
"""Steps of the block's round corners: few enough to print smooth (our own choice)."""
_CORNER_CHORDS = int(np.ceil(90 / _ARC_DEG))
_OVAL_POINTS = 180
"""Of the oval: its sides then lie within 0.01 mm of an ellipse 120 mm long."""
_DISC_POINTS = 48
"""Of the disc that the block is laid around a centre of mass."""
_CORNER_STEPS = 17
"""Corner radii that are tried, from the one asked for to none, until the wall is whole."""
_UNDER_MM = 6.0
"""The block is laid around this much about the points under the things, or around a wall where that is less."""
_FACET_MM = 0.01
"""What the facets of round corners may cost the wall."""


def block_plan(pocket_plan: Region, spec: BlockSpec, *, under: Floats) -> Region:
    """The block's outline above the foot, seen from above.

    Parameters
    ----------
    pocket_plan : Region
        The pocket seen from above, or the pockets of a row.
    under : (n, 2) float64
        The points under the things' centres of mass: the block reaches under
        them even where a pocket does not.

    Raises
    ------
    HolderError
        If a box is to be smaller than its pocket and its walls.
    """
    around = min(spec.wall_mm, _UNDER_MM)
    covered = union(
        [pocket_plan, *(region(point + circle_inside(around, points=_DISC_POINTS)) for point in under)]
    )
    if len(outer_rings(covered)) > 1:
        covered = region(hull_ring(np.concatenate(outer_rings(covered))))
    ring = outer_rings(covered)[0]
    return _PLANS[spec.form](ring, spec)


def check_rim(spec: BlockSpec, *, between_mm: float | None) -> None:
    """Raise unless lead-in and chamfer leave a rim.

    Parameters
    ----------
    between_mm : float or None
        What is left between neighbouring pockets of a row below their mouths.

    Raises
    ------
    HolderError
        If they do not.
    """
    rim = spec.wall_mm - spec.lead_in_mm - spec.chamfer_mm
    least = LEAST_RIM_MM - TOLERANCES.rounding
    if rim < least:
        raise HolderError(
            f"a wall of {spec.wall_mm:g} mm less the lead-in ({spec.lead_in_mm:g} mm) and the chamfer"
            f" ({spec.chamfer_mm:g} mm) leaves a rim of {rim:g} mm; {LEAST_RIM_MM:g} mm or more is needed",
            where="block.wall",
            hint=f"make the wall thicker or the {'chamfer' if spec.chamfer_mm > spec.lead_in_mm else 'lead-in'} smaller",
        )
    ridge = LEAST_RIM_MM if between_mm is None else between_mm - 2 * spec.lead_in_mm
    if ridge < least:
        raise HolderError(
            f"{between_mm:g} mm between pockets less a lead-in ({spec.lead_in_mm:g} mm) on either side"
            f" leaves a ridge of {ridge:g} mm; {LEAST_RIM_MM:g} mm or more is needed",
            where="row.gap",
            hint="make the gap wider or the lead-in smaller",
        )


def block_solid(plan: Region, spec: BlockSpec, *, height_mm: float) -> Solid:
    """The block standing on z = 0, flared to the foot, its outer edges chamfered.

    Raises
    ------
    HolderError
        If the chamfers leave no block.
    """
    if height_mm <= 2 * spec.chamfer_mm:
        raise HolderError(
            f"two chamfers of {spec.chamfer_mm:g} mm do not fit on a block {height_mm:g} mm high: each must be less than"
            f" {height_mm / 2:g} mm",
            where="block.chamfer",
            hint="make the chamfer smaller or the block higher",
        )
    edge = spec.chamfer_mm
    heights = np.array([0.0, edge, height_mm - edge, height_mm]) if edge > 0 else np.array([0.0, height_mm])
    wider = spec.wider_mm * (1 - heights / height_mm)
    wider[[0, -1]] -= edge
    levels = [widened_plan(plan, by) for by in wider.tolist()]
    return stack_solid(heights, levels, where="block")


def widened_plan(plan: Region, by_mm: float) -> Region:
    """A block's outline moved outward by a distance, or inward, its corners round as the block's are."""
    return offset(plan, by_mm, arc_deg=_ARC_DEG) if abs(by_mm) > 1e-12 else plan


def _box(ring: Floats, spec: BlockSpec) -> Region:
    """The rectangle round the pocket, as large as asked for, its corners rounded or cut as far as the wall allows."""
    x0, y0, x1, y1 = bounds(region(ring))
    around = rectangle((x0, y0), (x1, y1))
    beyond = spec.wall_mm + _room_to_spare(np.array([x1 - x0, y1 - y0]) + 2 * spec.wall_mm, spec) / 2
    # arcs around a thick wall stand out past their circle by no more than their facets may cost it
    arc_deg = min(_ARC_DEG, 2 * float(np.degrees(np.arccos(max(0.0, 1.0 - _FACET_MM / spec.wall_mm)))))
    outside = offset(region(ring), spec.wall_mm - _FACET_MM, arc_deg=arc_deg)
    largest = min(spec.corner_mm, (x1 - x0) / 2 + beyond[0] - 1e-3, (y1 - y0) / 2 + beyond[1] - 1e-3)
    for corner in np.linspace(largest, 0.0, _CORNER_STEPS).tolist():
        inner = around + (beyond - corner) * CORNERS
        box = region(_CORNERS[spec.corner_form](inner, corner) if corner > 0 else inner)
        if area_mm2(without(outside, box)) < 1e-6:
            return box
    return box


def _room_to_spare(needed_mm: Floats, spec: BlockSpec) -> Floats:
    """By how much a box is wider and deeper than its pocket and its walls need, ``(2,)``, mm: as asked for, else nothing."""
    spare = np.zeros(2)
    for axis, (name, asked) in enumerate((("width", spec.width_mm), ("depth", spec.depth_mm))):
        if asked is None:
            continue
        spare[axis] = asked - needed_mm[axis]
        if spare[axis] < 0:
            raise HolderError(
                f"found {asked:g} mm; the pocket and the walls need {tenths_up(float(needed_mm[axis]))} mm",
                where=f"block.{name}",
                hint="allowed is that or more; make it larger or the wall, of a row also the gap, smaller; or leave it out",
            )
    return spare


def _oval(ring: Floats, spec: BlockSpec) -> Region:
    """The ellipse of the box's proportions that leaves a wall everywhere."""
    outside = outer_rings(offset(region(ring), spec.wall_mm, arc_deg=_ARC_DEG))[0]
    x0, y0, x1, y1 = bounds(region(outside))
    middle, half = np.array([x0 + x1, y0 + y1]) / 2, np.array([x1 - x0, y1 - y0]) / 2
    scale = np.sqrt((((outside - middle) / half) ** 2).sum(axis=1).max()) / np.cos(np.pi / _OVAL_POINTS)
    return region(middle + scale * half * circle_inside(1.0, points=_OVAL_POINTS))


def _hug(ring: Floats, spec: BlockSpec) -> Region:
    """The pocket's outline at one wall's distance, hollows narrower than two corners bridged."""
    outside = offset(region(ring), spec.wall_mm + spec.corner_mm, arc_deg=_ARC_DEG)
    whole = region(outer_rings(outside)[0])
    closed = offset(whole, -spec.corner_mm, arc_deg=_ARC_DEG) if spec.corner_mm > 0 else whole
    return region(outer_rings(closed)[0])


_PLANS: Mapping[BlockForm, Callable[[Floats, BlockSpec], Region]] = {
    BlockForm.BOX: _box,
    BlockForm.OVAL: _oval,
    BlockForm.HUG: _hug,
}


def _with_cut_corners(inner: Floats, corner_mm: float) -> Floats:
    """The rectangle's sides moved outward, joined by straight lines at 45 degrees."""
    outward = np.array([[-1, 0], [0, -1], [0, -1], [1, 0], [1, 0], [0, 1], [0, 1], [-1, 0]])
    return np.repeat(inner, 2, axis=0) + corner_mm * outward


def _with_round_corners(inner: Floats, corner_mm: float) -> Floats:
    """The rectangle's sides moved outward, joined by quarter circles about its corners."""
    return rounded_rectangle(
        inner[0] - corner_mm, inner[2] + corner_mm, radii_mm=[corner_mm] * 4, steps=_CORNER_CHORDS
    )


_CORNERS: Mapping[CornerForm, Callable[[Floats, float], Floats]] = {
    CornerForm.ROUND: _with_round_corners,
    CornerForm.CUT: _with_cut_corners,
}
