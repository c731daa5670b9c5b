"""What of a holder lies on the wall behind it, and where its screws go."""

from __future__ import annotations

from collections import Counter

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.planar import outer_rings, region, union
from cradle.geometry.region_measures import bounds
from cradle.geometry.shapes import rectangle
from cradle.holder.holder import Holder
from cradle.holder.recesses import HEAD_ROOM_MM
from cradle.project.block import PlateHole, PlateSpec
from cradle.project.fasteners import ScrewChoice, screw_of
from cradle.project.opening import CountersunkSpec, KeyholeSpec, ScrewSpec


def wall_places_mm(holder: Holder) -> Floats:
    """Where screws go into the wall, ``(k, 2)``: x and z, stand frame; of keyholes where the screws end up."""
    places = [opening.wall_mm for opening in holder.openings if opening.wall_mm is not None]
    on_plate = () if holder.plate is None else holder.plate.places_mm
    return np.array([*places, *on_plate]).reshape(-1, 2)


def back_outline_mm(holder: Holder) -> Floats:
    """Outline of block and plate as seen from the front, ``(n, 2)``: x and z, stand frame."""
    x0, _, x1, _ = bounds(holder.foot).tolist()
    low, high = -holder.lift_mm, holder.height_mm - holder.lift_mm
    block = region(rectangle((x0, low), (x1, high)))
    parts = [block] if holder.plate is None else [block, region(holder.plate.outlines_mm[0])]
    return outer_rings(union(parts))[0]


def screw_words(holder: Holder) -> tuple[str, ...]:
    """Which screws go into the wall, a sentence for each kind: how many, their size, and how far a keyhole's stand out."""
    found: Counter[str] = Counter()
    for opening in holder.openings:
        spec = opening.spec
        if opening.wall_mm is not None and isinstance(spec, ScrewSpec | CountersunkSpec | KeyholeSpec):
            found[_words_of(spec)] += 1
    if holder.plate is not None:
        found[_words_on_plate(holder.plate.spec)] += len(holder.plate.places_mm)
    return tuple(f"{count} × {words}" for words, count in found.items())


def _words_of(spec: ScrewSpec | CountersunkSpec | KeyholeSpec) -> str:
    if isinstance(spec, KeyholeSpec):
        return _hung(spec, under_mm=spec.lip_mm)
    return _through(spec, sunk=isinstance(spec, CountersunkSpec))


def _words_on_plate(spec: PlateSpec) -> str:
    if spec.hole is PlateHole.KEYHOLE:
        return _hung(spec, under_mm=spec.thickness_mm)
    return _through(spec, sunk=spec.hole is PlateHole.COUNTERSUNK)


def _through(spec: ScrewChoice, *, sunk: bool) -> str:
    screw = screw_of(spec)
    kind, hole = " countersunk" if sunk else "", _size(screw.hole_mm)
    size = f"{spec.screw}{kind} screw" if spec.screw else f"screw{kind}, up to {hole} thick"
    return f"{size}, hole {hole}{f', head up to {_size(screw.sunk_head_mm)}' if sunk else ''}."


def _hung(spec: ScrewChoice, *, under_mm: float) -> str:
    """The screw of a keyhole: what its head hangs behind needs so much room between it and the wall."""
    screw = screw_of(spec)
    own = f"screw {_size(screw.nominal_mm)} thick, head {_size(screw.pan_head_mm)}"
    size = f"{spec.screw} pan head screw" if spec.screw else own
    return f"{size} for a keyhole: leave {under_mm:.1f} to {under_mm + HEAD_ROOM_MM:.1f} mm between wall and head."


def _size(size_mm: float) -> str:
    """A size as a shop reads it off calipers, in hundredths: 9/32 in have four decimals more."""
    return f"{round(size_mm, 2):g} mm"
