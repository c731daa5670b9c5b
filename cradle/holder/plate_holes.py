"""The holes of a wall plate: what each cuts through and its screw's head covers, and where they lie beside or above the block."""

from __future__ import annotations

from itertools import combinations
from typing import Final

import numpy as np

from cradle.errors import HolderError
from cradle.geometry.arrays import Bools, Floats
from cradle.geometry.planar import Region, offset, outer_rings, region, union, without
from cradle.geometry.region_measures import area_mm2, bounds, distance_mm
from cradle.geometry.shapes import rectangle, rounded_rectangle
from cradle.holder.face import disc
from cradle.holder.plate_remedy import remedy
from cradle.holder.recesses import HEAD_ROOM_MM, keyhole_radii, upright_slot
from cradle.noun import noun, record
from cradle.project.block import PlateHole, PlateSpec
from cradle.project.fasteners import screw_of

_LEAST_LEFT_MM: Final = 2.0
"""What is left between holes, and between a hole and the plate's edge (common practice, no source)."""
_FACET_MM: Final = 0.05
"""What facets round a hole may take of what is left beside it."""
_ARC_STEPS: Final = 24
"""Chords to a quarter circle of the plate's corners."""


@record
class HoleShape:
    """A hole about its screw's middle: its outline as cut through, and what the head covers, mm."""

    ring: Floats
    covered: Region
    radius_mm: float
    drop_mm: float = 0.0
    """How far below the screw's place the hole goes on."""

    @property
    def reach_mm(self) -> float:
        """How far its screw's head covers the plate to a side."""
        return float(bounds(self.covered)[2])


def hole_shape(spec: PlateSpec) -> HoleShape:
    """What each of a plate's holes is like."""
    if spec.hole is PlateHole.KEYHOLE:
        neck, room = keyhole_radii(spec)
        entry = np.array([0.0, -2 * room])
        slot = union([region(upright_slot(neck, np.zeros(2), entry)), region(disc(room) + entry)])
        covered = region(upright_slot(room, np.zeros(2), entry))
        (ring,) = outer_rings(slot)
        return HoleShape(ring=ring, covered=covered, radius_mm=neck, drop_mm=2 * room)
    screw = screw_of(spec)
    narrow = screw.hole_mm / 2
    head = screw.pan_head_mm if spec.hole is PlateHole.PLAIN else screw.sunk_head_mm
    return HoleShape(ring=disc(narrow), covered=region(disc(head / 2 + HEAD_ROOM_MM)), radius_mm=narrow)


@noun
class BlockBack:
    """The flat back of a block, which a plate stands in: its sides, its foot and its rim, x and z, mm."""

    left_mm: float
    right_mm: float
    foot_mm: float
    rim_mm: float

    @property
    def middle_mm(self) -> float:
        """Half way between its sides."""
        return (self.left_mm + self.right_mm) / 2

    @property
    def area(self) -> Region:
        """What it covers of a plate."""
        return region(rectangle((self.left_mm, self.foot_mm), (self.right_mm, self.rim_mm)))

    def tall_mm(self, spec: PlateSpec) -> float:
        """How high a plate is."""
        return self.rim_mm - self.foot_mm if spec.height_mm is None else spec.height_mm


def plate_outline(spec: PlateSpec, back: BlockBack) -> Floats:
    """A plate seen from the front, x and z, ``(n, 2)`` mm, counter-clockwise."""
    half, tall = spec.width_mm / 2, back.tall_mm(spec)
    corner = min(spec.corner_mm, tall)
    low = np.array([back.middle_mm - half, back.foot_mm])
    high = np.array([back.middle_mm + half, back.foot_mm + tall])
    return rounded_rectangle(low, high, radii_mm=[0.0, 0.0, corner, corner], steps=_ARC_STEPS)


def hole_places(spec: PlateSpec, hole: HoleShape, *, back: BlockBack) -> Floats:
    """Where the holes lie that the block does not cover, x and z, ``(k, 2)``.

    Raises
    ------
    HolderError
        If the plate hides behind the block; if a hole asked for is covered, lies at
        the plate's edge, or too near to another.
    """
    fault = _fault(spec, hole, back)
    if fault is not None:
        hint = remedy(
            spec,
            tall_mm=back.tall_mm(spec),
            block_mm=back.rim_mm - back.foot_mm,
            fits=lambda other: _fault(other, hole, back) is None,
        )
        raise HolderError(fault, hint=hint)
    places = _laid_out(spec, hole, back)
    return places[_clear(places, hole, back)]


def _fault(spec: PlateSpec, hole: HoleShape, back: BlockBack) -> str | None:
    """What is wrong with a plate's holes; None where nothing is."""
    wide, tall = back.right_mm - back.left_mm, back.rim_mm - back.foot_mm
    if spec.width_mm <= wide + 1e-6 and back.tall_mm(spec) <= tall + 1e-6:
        return (
            f"a plate of {spec.width_mm:.1f} × {back.tall_mm(spec):.1f} mm hides behind the block,"
            f" {wide:.1f} × {tall:.1f} mm, and so do its screws"
        )
    places = _laid_out(spec, hole, back)
    clear = _clear(places, hole, back)
    if not clear.any() or (spec.spacing_mm is not None and not clear.all()):
        return f"the block covers the head of the screw at {_words(places[clear.argmin()], back)}"
    plate = region(plate_outline(spec, back))
    for place in places[clear]:
        around = offset(_at(region(hole.ring), place), _LEAST_LEFT_MM - _FACET_MM)
        if area_mm2(without(around, plate)) > 1e-6:
            return f"the hole at {_words(place, back)} leaves less than {_LEAST_LEFT_MM:g} mm to the plate's edge"
    for one, other in combinations(places[clear], 2):
        if float(distance_mm(_at(hole.covered, one), _at(hole.covered, other))) <= 0:
            apart, reach = float(np.hypot(*(one - other))), hole.reach_mm
            return (
                f"the heads of two screws would touch: their middles are {apart:.1f} mm apart; more than"
                f" {2 * reach:g} mm is needed beside each other, {2 * reach + hole.drop_mm:g} mm above each other"
            )
    return None


def _clear(places: Floats, hole: HoleShape, back: BlockBack) -> Bools:
    """Which screws' heads the block does not cover, ``(k,)``."""
    hidden = back.area
    return np.array([float(distance_mm(_at(hole.covered, place), hidden)) > 0 for place in places])


def _edge_mm(spec: PlateSpec, hole: HoleShape) -> float:
    """From a plate's edges to the middles of its holes."""
    return spec.edge_mm or hole.reach_mm + _LEAST_LEFT_MM


def _laid_out(spec: PlateSpec, hole: HoleShape, back: BlockBack) -> Floats:
    """The middles of a plate's holes, ``(k, 2)`` mm: spaced as asked for, else one in each corner that has room for it."""
    edge, tall, middle = _edge_mm(spec, hole), back.tall_mm(spec), back.middle_mm
    top = back.foot_mm + tall - edge
    free = (spec.width_mm - 2 * edge, tall - 2 * edge - hole.drop_mm)
    beside = 2 * hole.reach_mm + _LEAST_LEFT_MM
    least = (beside, beside + hole.drop_mm)
    across, up = spec.spacing_mm or (v if v >= w else 0.0 for v, w in zip(free, least, strict=True))
    columns = [middle - across / 2, middle + across / 2] if across > 0 else [middle]
    rows = [top, top - up] if up > 0 else [top]
    return np.array([[x, z] for z in rows for x in columns])


def _words(place: Floats, back: BlockBack) -> str:
    x, z = place.tolist()
    return f"x {x:z.1f} mm, {z - back.foot_mm:z.1f} mm above the foot"


def _at(area: Region, place: Floats) -> Region:
    return region(outer_rings(area)[0] + place)
