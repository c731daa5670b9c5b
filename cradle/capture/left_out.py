"""What is told of things in a picture that were left out, or that were all too little to be a piece."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from cradle.calibration.scale import ScaleKind
from cradle.capture.scaled_picture import ScaledPicture
from cradle.errors import CaptureError, ScaleError
from cradle.finding import Finding, doubt, note
from cradle.geometry.arrays import Floats
from cradle.names import counted, listed
from cradle.pictures.grain import Grain, LengthUnit
from cradle.pictures.regions import Box, Regions

STAIN_MM: Final = 20.0
"""Blurred things no longer than this are no pieces."""
WORD_MM: Final = 40.0
"""Print is no longer, even where its letters run together."""
CRUMB_MM: Final = 2.0
"""Least length of a piece, ..."""
THIN_MM: Final = 0.8
"""... and least mean width: what is narrower is a stroke, a hair or a scratch."""
SPECK_MM: Final = 10.0
"""Beside a piece more than five times as long (`SPECK_PART`) what is shorter is a crumb, a staple or a screw rather than a piece (our own
choice): makers hold things where they are wide."""
SPECK_PART: Final = 0.2
_SPOT_MM: Final = 10.0
"""What is smaller and has no closed edge is a spot, not a piece that somebody laid down."""


def letters_told(letters: Sequence[int], regions: Regions, grain: Grain, where: str) -> Iterator[Finding]:
    """The note that regions of such numbers, if any, were left out as letters."""
    if not letters:
        return
    long_mm = _longest_mm(letters, regions, grain)
    yield note(
        "letters-left-out",
        f"{len(letters)} small things among finer print, up to {grain.length(long_mm):.0f} long, left out: letters on what"
        " the piece lies on",
        "pick it by a point on it if one is a piece",
        where=where,
        **grain.figures(long_mm, limit_mm=WORD_MM),
    )


def pattern_told(pattern: Sequence[int], regions: Regions, grain: Grain, where: str) -> Iterator[Finding]:
    """The doubt that regions of such numbers, if any, were left out as a pattern: other parts of it may touch the piece."""
    if not pattern:
        return
    long_mm = _longest_mm(pattern, regions, grain)
    yield doubt(
        "pattern-left-out",
        f"{len(pattern)} things of about one size, up to {grain.length(long_mm):.0f} long, were left out as a pattern of what"
        " the piece lies on; where such a thing touches the piece, the edge may run round both",
        "look at the check picture, or lay the piece on something plain; pick one by a point on it if it is a piece",
        where=where,
        **grain.figures(long_mm),
    )


def spots_told(sizes_mm: Sequence[float], grain: Grain, where: str) -> list[Finding]:
    """The note that things so long were left out as spots."""
    largest_mm = max(sizes_mm)
    return [
        note(
            "spots-left-out",
            f"{counted(len(sizes_mm), 'spot')} with blurred edges, up to {grain.length(largest_mm):.0f} long,"
            " left out as grain or stains of what the piece lies on",
            "pick it by a point on it if it is a piece",
            where=where,
            **grain.figures(largest_mm, limit_mm=STAIN_MM),
        )
    ]


def specks_told(sizes_mm: Sequence[float], grain: Grain, where: str) -> list[Finding]:
    """The note that things so long were left out beside a far larger one."""
    largest_mm = max(sizes_mm)
    return [
        note(
            "specks-left-out",
            f"{counted(len(sizes_mm), 'small thing')}, up to {grain.length(largest_mm):.0f} long, left out beside a piece far larger",
            "pick it by a point on it if it is a piece",
            where=where,
            **grain.figures(largest_mm, limit_mm=SPECK_MM),
        )
    ]


def slits_told(places_px: Floats) -> Iterator[Finding]:
    """The note that an edge was carried on across slits that run in to such places, if there are any."""
    for x, y in places_px[:1].tolist():
        slits = "a slit was" if len(places_px) == 1 else f"{len(places_px)} slits were"
        yield note(
            "line-over-edge",
            f"{slits} closed in the edge, near ({x:.0f}, {y:.0f}) px, narrower than anybody cuts: a line or writing that"
            " reaches the edge looks so",
            "look at the check picture",
        )


def shadows_told(regions: Regions, grain: Grain, where: str) -> Iterator[Finding]:
    """The note that soft shadows were taken for what the pieces lie on."""
    longest_mm = max((_long_mm(box, regions, grain) for box in regions.shadows), default=0.0)
    if longest_mm:
        yield note(
            "shadow-left-out",
            f"something with soft edges, {grain.length(longest_mm):.0f} long, was taken for a shadow on what the piece lies on",
            "if it is a piece, lay it flat and take the picture in focus",
            where=where,
            **grain.figures(longest_mm),
        )


def unclosed_told(regions: Regions, number: int, grain: Grain, where: str) -> Iterator[Finding]:
    """What is told of a region that has no closed edge; nothing of a spot."""
    size = _long_mm(regions.boxes[number - 1], regions, grain)
    if size < _SPOT_MM:
        return
    yield doubt(
        "piece-left-out",
        f"something {grain.length(size):.0f} long has no closed edge, so it was left out",
        "lay it on something plain of another colour",
        where=f"{where}: piece {number}",
    )


def cut_off_told(regions: Regions, seen: ScaledPicture, pattern: Sequence[int]) -> Iterator[Finding]:
    """The doubt that a piece was left out as an edge cuts it off, the picture's or the sheet's.

    None where a piece is picked, nor of what is no longer than regions of such numbers, which are a pattern.
    """
    if seen.spec.point_px is not None or seen.spec.pick is not None:
        return
    usual = max((max(regions.boxes[number - 1][2:]) for number in pattern), default=0)
    longer = [box for box in regions.cut_alike if max(box[2:]) > usual]
    for box, size, others in _largest(longer, regions, seen.grain):
        borders = regions.borders_at(box)
        why = (
            f"the picture's {listed(borders)} edge cuts it off"
            if borders
            else "it lies over the edge of the sheet, or over its marks"
        )
        yield doubt(
            "piece-left-out",
            f"something {seen.grain.length(size):.0f} long that looks like a piece was left out: {why}{others}",
            "take in all of it if it is one; else lay the pieces on something plain",
            where=seen.name,
            **seen.grain.figures(size),
        )


def faint_told(faint: Regions, seen: ScaledPicture) -> Iterator[Finding]:
    """The doubt that things hardly of another colour than the ground were left out."""
    for box, size, others in _largest(faint.boxes, faint, seen.grain):
        x, y = faint.point_on(faint.boxes.index(box) + 1)
        yield doubt(
            "piece-left-out",
            f"something {seen.grain.length(size):.0f} long at ({x:.0f}, {y:.0f}) px, hardly of another colour than"
            f" what it lies on, was left out{others}",
            "pick it by a point on it if it is a piece, or lay it on something of another colour",
            where=seen.name,
            **seen.grain.figures(size),
        )


def no_piece(seen: ScaledPicture, *, crumb_mm: float, left_out: Sequence[Finding]) -> CaptureError:
    """The error where nothing is left to be a piece; a `ScaleError` where what has a bank card's form may be the piece itself.

    Parameters
    ----------
    crumb_mm : float
        How long the longest thing is that was too small; 0 without one.
    left_out : sequence of Finding
        What is told of things left out.
    """
    card = any(scale.kind is ScaleKind.BANK_CARD for scale in seen.scales.found)
    kind = ScaleError if card else CaptureError
    if crumb_mm >= CRUMB_MM:
        long, least = seen.grain.length(crumb_mm), seen.grain.length(THIN_MM)
        return kind(
            f"no piece was found; the longest thing is {long:.2g} long and in the mean narrower than {least:g}: a stroke, or"
            " the rim of something that one sees through or that has nearly the colour of what lies behind it",
            where=seen.name,
            hint='give the piece another colour than what it lies on; of a drawn line say shape = "line"',
        )
    if crumb_mm:
        long, least = seen.grain.length(crumb_mm), seen.grain.length(CRUMB_MM)
        return kind(
            f"no piece was found; the longest thing is {long:.2g} long (scale: {seen.scales.used.told}),"
            f" a piece is at least {least:g}",
            where=seen.name,
            hint="check what tells the scale: lengths are in mm"
            if long.unit is LengthUnit.MM
            else "show it larger",
        )
    return kind(
        "no piece was found"
        + "".join(f"; {finding.message}" for finding in left_out[:1])
        + ("; what has a bank card's form was taken for one" if card else ""),
        where=seen.name,
        hint="give the piece another colour than what it lies on, and keep it clear of the picture's edge;"
        ' of a drawn line say shape = "line"' + ("; beside a card-like piece lay a ruler" if card else ""),
    )


def _largest(boxes: Sequence[Box], regions: Regions, grain: Grain) -> Iterator[tuple[Box, float, str]]:
    """The largest of several regions' boxes, how long it is, mm, and in words how many more there are; nothing of none."""
    if boxes:
        sizes = [_long_mm(box, regions, grain) for box in boxes]
        largest = int(np.argmax(sizes))
        others = f"; {len(boxes) - 1} more like it too" if len(boxes) > 1 else ""
        yield boxes[largest], sizes[largest], others


def _longest_mm(numbers: Sequence[int], regions: Regions, grain: Grain) -> float:
    """The longer side of the largest of the numbered regions."""
    return max(_long_mm(regions.boxes[number - 1], regions, grain) for number in numbers)


def _long_mm(box: Box, regions: Regions, grain: Grain) -> float:
    """The longer side of one of the regions' boxes."""
    return max(box[2:]) * regions.shrink * grain.mm
