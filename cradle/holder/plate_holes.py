"""The holes of a wall plate: what each cuts through and its screw's head covers, and where they lie."""

from __future__ import annotations

from itertools import combinations
from typing import Final

import numpy as np

from cradle.errors import HolderError
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import Region, offset, outer_rings, region, union, without
from cradle.geometry.region_measures import area_mm2, bounds, distance_mm
from cradle.holder.face import disc
from cradle.holder.recesses import HEAD_ROOM_MM, keyhole_radii, upright_slot
from cradle.noun import record
from cradle.project.block import PlateHole, PlateSpec
from cradle.project.fasteners import screw_of
from cradle.units import tenths_up

_LEAST_LEFT_MM: Final = 2.0
"""What is left between holes, and between a hole and the plate's edge (common practice, no source)."""
_BESIDE_MM: Final = 0.1
"""By how much a plate is advised to be wider than would have its screws' heads touch the block."""
_FACET_MM: Final = 0.05
"""What facets round a hole may take of what is left beside it."""


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


def hole_places(
    spec: PlateSpec, hole: HoleShape, *, middle_mm: float, foot_mm: float, plate: Region, hidden: Region
) -> Floats:
    """Where the holes lie, x and z, ``(k, 2)``; ``hidden`` is what the block covers.

    Raises
    ------
    HolderError
        If a hole asked for is covered, lies at the plate's edge, or too near to another.
    """
    places = _laid_out(spec, hole, middle_mm=middle_mm, foot_mm=foot_mm, plate=plate)
    clear = [float(distance_mm(_at(hole.covered, place), hidden)) > 0 for place in places]
    if not any(clear) or (spec.spacing_mm is not None and not all(clear)):
        place = places[clear.index(False)]
        x0, _, x1, _ = bounds(hidden)
        free = max(middle_mm - x0, x1 - middle_mm) + hole.reach_mm + _edge_mm(spec, hole)
        wider = "wider" if spec.spacing_mm else f"wider, {tenths_up(2 * free + _BESIDE_MM)} mm or more,"
        raise HolderError(
            f"the block covers the head of the screw at {_words(place, foot_mm=foot_mm)}",
            hint=f"make the plate {wider} or higher, or move the holes outwards with spacing and edge",
        )
    places = places[clear]
    for place in places:
        around = offset(_at(region(hole.ring), place), _LEAST_LEFT_MM - _FACET_MM)
        if area_mm2(without(around, plate)) > 1e-6:
            raise HolderError(
                f"the hole at {_words(place, foot_mm=foot_mm)} leaves less than {_LEAST_LEFT_MM:g} mm to the plate's edge",
                hint="make the plate wider or higher, or move the holes inwards with spacing and edge",
            )
    for one, other in combinations(places, 2):
        if float(distance_mm(_at(hole.covered, one), _at(hole.covered, other))) <= 0:
            apart, reach = float(np.hypot(*(one - other))), hole.reach_mm
            raise HolderError(
                f"the heads of two screws would touch: their middles are {apart:.1f} mm apart; more than"
                f" {2 * reach:g} mm is needed beside each other, {2 * reach + hole.drop_mm:g} mm above each other",
                hint="put the holes further apart with spacing, or take a smaller screw",
            )
    return places


def _edge_mm(spec: PlateSpec, hole: HoleShape) -> float:
    """From a plate's edges to the middles of its holes."""
    return spec.edge_mm or hole.reach_mm + _LEAST_LEFT_MM


def _laid_out(spec: PlateSpec, hole: HoleShape, *, middle_mm: float, foot_mm: float, plate: Region) -> Floats:
    """The middles of a plate's holes, ``(k, 2)`` mm: spaced as asked for, else one in each corner that has room for it."""
    edge = _edge_mm(spec, hole)
    tall = float(np.ptp(bounds(plate)[1::2]))
    top = foot_mm + tall - edge
    free = (spec.width_mm - 2 * edge, tall - 2 * edge - hole.drop_mm)
    beside = 2 * hole.reach_mm + _LEAST_LEFT_MM
    least = (beside, beside + hole.drop_mm)
    across, up = spec.spacing_mm or (v if v >= w else 0.0 for v, w in zip(free, least, strict=True))
    columns = [middle_mm - across / 2, middle_mm + across / 2] if across > 0 else [middle_mm]
    rows = [top, top - up] if up > 0 else [top]
    return np.array([[x, z] for z in rows for x in columns])


def _words(place: Floats, *, foot_mm: float) -> str:
    x, z = place.tolist()
    return f"x {x:z.1f} mm, {z - foot_mm:z.1f} mm above the foot"


def _at(area: Region, place: Floats) -> Region:
    return region(outer_rings(area)[0] + place)
