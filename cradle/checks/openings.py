"""What is doubtful about openings: too near the rim, the pocket or each other, out of a driver's reach, letters too small."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np

from cradle.finding import About, Finding, doubt, in_mm, note
from cradle.geometry.lettering import lettering
from cradle.geometry.planar import hull_ring, region
from cradle.geometry.region_measures import area_mm2, bounds, perimeter_mm
from cradle.geometry.solid import (
    Solid,
    between_points,
    box_mm,
    difference,
    gap_mm,
    mesh_of,
    moved,
    overlap_mm3,
    volume_mm3,
)
from cradle.holder.holder import Holder
from cradle.holder.opening import Opening
from cradle.project.block import BlockForm, BlockSpec
from cradle.project.opening import LabelSpec, OpeningKind, Through
from cradle.project.printer import PrinterSpec
from cradle.units import tenths_up

_LEAST_BAR_MM = 2.0
"""A bar above an opening thinner than this breaks easily (common practice, no source)."""
_FROM_RIM = frozenset({OpeningKind.NOTCH, OpeningKind.FINGER})
_INSTEAD = {
    **dict.fromkeys(
        (OpeningKind.ROUND, OpeningKind.SLOT, OpeningKind.WINDOW),
        ', or open it to the rim with kind = "notch"',
    ),
    OpeningKind.LABEL: ", or make its letters lower",
}
"""A further remedy for an opening that is too near the rim, by its kind."""
_PLAIN = frozenset(
    {
        OpeningKind.DRAIN,
        OpeningKind.ROUND,
        OpeningKind.SLOT,
        OpeningKind.WINDOW,
        OpeningKind.NOTCH,
        OpeningKind.FINGER,
    }
)
"""Openings that only let something through: two of them may be one."""
_TOLD_MM = 0.01
"""What is left behind a recess is told in steps of this: a rough pocket and the finished one differ by less there."""
_HOLD_BACK_MM3 = 1.0
"""More than this in the way of a screwdriver holds it back."""
_NOTHING_MM3 = 1e-3
"""A cut that takes away less than this takes nothing."""


def opening_findings(holder: Holder, *, block: BlockSpec, printer: PrinterSpec) -> Iterator[Finding]:
    """Doubts about the openings; places are in the print frame."""
    for opening in holder.openings:
        yield from _put(opening)
        yield from _bar(opening, holder, block=block)
        yield from _behind(opening, holder, printer=printer)
        yield from _mount(opening, holder, block=block)
        yield from _strokes(opening, printer=printer)
    for one, other in combinations(holder.openings, 2):
        yield from _web(one, other, holder=holder, printer=printer)


def _put(opening: Opening) -> Iterator[Finding]:
    """Where an opening was put that would have missed the pocket."""
    if opening.put_mm is None:
        return
    x, y = (f"{mm:z.1f} mm" for mm in opening.put_mm.tolist())
    through = opening.spec.through
    along = f"{'x' if through in (Through.FRONT, Through.BACK) else 'y'} = {x}"
    yield note(
        "opening-put-aside",
        f"in the middle the {opening.spec.kind.words} would miss the pocket or reach beside it: it lies at "
        + (f"x = {x}, y = {y}" if through is Through.FLOOR else along),
        "give its place (at) if it should lie elsewhere",
        about=About.HOLDER,
        where=opening.where,
    )


def _bar(opening: Opening, holder: Holder, *, block: BlockSpec) -> Iterator[Finding]:
    """The bar between an opening in a wall and the rim."""
    if opening.spec.kind in _FROM_RIM or opening.spec.through is Through.FLOOR:
        return
    low, high = box_mm(opening.cuts[0])
    left = holder.height_mm - block.chamfer_mm - (float(high[2]) + holder.lift_mm)
    if left >= _LEAST_BAR_MM:
        return
    x, y = ((low + high) / 2)[:2].tolist()
    yield doubt(
        "opening-near-rim",
        f"only {max(left, 0.0):.1f} mm is left between the {opening.spec.kind.words} and the rim",
        "move it down" + _INSTEAD.get(opening.spec.kind, ""),
        about=About.HOLDER,
        where=opening.where,
        place_mm=(x, y, float(high[2]) + holder.lift_mm),
        **in_mm(left, limit=_LEAST_BAR_MM),
    )


def _behind(opening: Opening, holder: Holder, *, printer: PrinterSpec) -> Iterator[Finding]:
    """What is left between a recess and the pocket."""
    enough = 2 * printer.line_mm
    left = min((gap_mm(cut, holder.cavity.solid, within_mm=enough) for cut in opening.blind), default=enough)
    if left >= enough - _TOLD_MM:
        return
    what = "floor" if opening.spec.through is Through.FLOOR else "wall"
    yield doubt(
        "recess-near-pocket",
        f"only {left:.2f} mm is left between the {opening.spec.kind.words} and the pocket",
        f"make the {what} at the {opening.spec.kind.words} {tenths_up(enough - left - _TOLD_MM)} mm thicker",
        about=About.HOLDER,
        where=opening.where,
        **in_mm(left, limit=enough),
    )


def _mount(opening: Opening, holder: Holder, *, block: BlockSpec) -> Iterator[Finding]:
    """A back that is not flat, and a screw that no driver reaches."""
    spec = opening.spec
    if opening.fixes_to_wall and (block.wider_mm > 0 or block.form is not BlockForm.BOX):
        yield doubt(
            "mount-not-flat",
            f"the {spec.through} wall of the block is not flat and upright: it will not lie against a wall",
            'use form = "box" and flare = 0',
            about=About.HOLDER,
            where=opening.where,
        )
    if (driver := opening.driver) is not None:
        far = driver.head_at_mm + driver.towards * _far(holder)
        way = between_points(driver.head_at_mm, far, radius_mm=driver.head_mm / 2)
        stands = overlap_mm3(holder.solid, moved(way, (0.0, 0.0, holder.lift_mm)))
        if stands > _HOLD_BACK_MM3:
            yield doubt(
                "driver-out-of-reach",
                "a screwdriver cannot reach the screw: the holder is in the way",
                f"cut a round opening of {np.ceil(driver.head_mm + 1):.0f} mm through the opposite wall at the"
                " same place, or hang the holder on a keyhole",
                about=About.HOLDER,
                where=opening.where,
            )


def _strokes(opening: Opening, *, printer: PrinterSpec) -> Iterator[Finding]:
    """Letters whose strokes are narrower than a printed line (common practice, no source): they close, or cannot be read."""
    spec = opening.spec
    if not isinstance(spec, LabelSpec):
        return
    letters = lettering(spec.text, height_mm=spec.height_mm)
    wide = 2 * float(area_mm2(letters)) / float(perimeter_mm(letters))
    if wide >= printer.line_mm:
        return
    yield doubt(
        "letters-thin",
        f"the strokes of letters {spec.height_mm:g} mm high are about {wide:.2f} mm wide, less than a printed line"
        f" ({printer.line_mm:g} mm): they may close in the print",
        f"make their height {tenths_up(spec.height_mm * printer.line_mm / wide)} mm or more",
        about=About.LOOKS,
        where=opening.where,
        **in_mm(wide, limit=printer.line_mm),
    )


def _web(one: Opening, other: Opening, *, holder: Holder, printer: PrinterSpec) -> Iterator[Finding]:
    """Two openings with too little of the block between them, or that run into one another there."""
    enough = 2 * printer.line_mm
    left = _least_gap_mm(one.cuts, other.cuts, within_mm=enough)
    if left >= enough - 1e-6:
        return
    pocket = holder.cavity.solid
    left = _least_gap_mm(_outside(one.cuts, pocket), _outside(other.cuts, pocket), within_mm=enough)
    if left >= enough - 1e-6:
        return
    if left <= 0:
        yield from _overlap(one, other)
        return
    yield doubt(
        "openings-near",
        f"only {left:.2f} mm is left between the {one.spec.kind.words} and the {other.spec.kind.words}",
        "move them apart, each to its own place (at), or make them one",
        about=About.HOLDER,
        where=f"{one.where}, {other.where}",
        **in_mm(left, limit=enough),
    )


def _least_gap_mm(cuts: Sequence[Solid], others: Sequence[Solid], *, within_mm: float) -> float:
    return min((gap_mm(a, b, within_mm=within_mm) for a in cuts for b in others), default=within_mm)


def _outside(cuts: Sequence[Solid], pocket: Solid) -> list[Solid]:
    """What cuts take from the block itself: in the pocket there is nothing to take."""
    left = [cut for cut in cuts if volume_mm3(cut) - overlap_mm3(cut, pocket) > _NOTHING_MM3]
    return [difference(cut, [pocket]) for cut in left]


def _overlap(one: Opening, other: Opening) -> Iterator[Finding]:
    """Two openings that take part of one another away; two that only let something through may be one."""
    if {one.spec.kind, other.spec.kind} <= _PLAIN:
        return
    yield doubt(
        "openings-overlap",
        f"the {one.spec.kind.words} and the {other.spec.kind.words} run into one another: part of what one of them"
        " needs is cut away",
        "give one of them a place of its own (at), or another side",
        about=About.HOLDER,
        where=f"{one.where}, {other.where}",
    )


def _far(holder: Holder) -> float:
    x0, y0, x1, y1 = bounds(region(hull_ring(mesh_of(holder.solid).vertices_mm[:, :2]))).tolist()
    return float(np.hypot(x1 - x0, y1 - y0)) + holder.height_mm
