"""Edges of the pieces in a picture, each as an outline in mm with what is doubtful about it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import compress
from typing import Final, NamedTuple

import numpy as np

from cradle.calibration.scale import ScaleKind
from cradle.capture.edge_doubts import edge_doubts, edge_uncertainty_mm, least_sure
from cradle.capture.on_rule import told_on_rules, told_unread, without_ends_of_rules
from cradle.capture.scaled_picture import ScaledPicture
from cradle.capture.traced_picture import TracedPiece
from cradle.errors import CaptureError
from cradle.finding import Finding, doubt, note
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.ring import counter_clockwise
from cradle.names import listed
from cradle.pictures.contour import PieceEdge, piece_contour
from cradle.pictures.faint_things import faint_things
from cradle.pictures.grain import Grain, LengthUnit
from cradle.pictures.letters import letters_of_ground
from cradle.pictures.notch import notch_of
from cradle.pictures.regions import Box, Regions
from cradle.pictures.smooth import fewer, smoothed
from cradle.pictures.touching_pieces import neck_doubt
from cradle.project.picture import PictureSource, Traced
from cradle.scale.view_uncertainty import scale_uncertainty

_STAIN_MM: Final = 20.0
_BLURRED: Final = 1.8
_MOST_SOFT: Final = 0.3
"""What is smaller, and has edges so many times as wide as the sharpest piece's, or that part of them soft, is no piece."""
_CRUMB_MM: Final = 2.0
_SPOT_MM: Final = 10.0
"""What is smaller and has no closed edge is a spot, not a piece that somebody laid down."""
_LETTER_MM: Final = 7.0
_WORD_MM: Final = 40.0
"""Print is no higher, and no longer where its letters run together."""


def traced_pieces(seen: ScaledPicture, regions: Regions) -> tuple[list[TracedPiece], tuple[Finding, ...]]:
    """The pieces in reading order, and what is told of those left out; of a picked one, that one alone.

    Things hardly of another colour than the ground are traced where nothing else is seen, or a point picks one; else told.

    Raises
    ------
    CaptureError
        If there are none.
    """
    spec = seen.spec
    found = _traced(seen, regions)
    by_number = spec.pick is not None or spec.back is not None
    if found.pieces and (by_number or _picked_in(regions, spec)):
        return found.pieces, tuple(found.left_out)
    faint = faint_things(regions, keep_out=seen.scales.keep_out, inside=seen.scales.inside)
    if faint.boxes and (not found.pieces or _picked_in(faint, spec)):
        found = _traced(seen, faint)
    elif spec.point_px is None:
        found.left_out.extend(_faint_told(faint, seen))
    if not found.pieces:
        raise _no_piece(seen, found)
    return found.pieces, tuple(found.left_out)


class _Found(NamedTuple):
    """The pieces among things, what is told of those left out, and how long the longest is that was too small."""

    pieces: list[TracedPiece]
    left_out: list[Finding]
    crumb_mm: float


def _picked_in(regions: Regions, spec: PictureSource) -> bool:
    """Whether a point picks one of the things."""
    return spec.point_px is not None and bool(regions.numbers_at(np.array([spec.point_px])).any())


def _traced(seen: ScaledPicture, regions: Regions) -> _Found:
    """The pieces among the things of a picture."""
    scales, grain = seen.scales, seen.grain
    letters = _letters(seen.spec, regions, grain.mm)
    left_out = list(_letters_told(letters, regions, grain, seen.name))
    found: list[tuple[TracedPiece, PieceEdge]] = []
    crumb_mm = 0.0
    for number in _wanted(seen.spec, regions, letters):
        try:
            edge = piece_contour(
                seen.picture,
                regions,
                number,
                grain_mm=grain.mm,
                keep_out=scales.keep_out,
                point_px=seen.spec.point_px,
            )
        except CaptureError:
            left_out += _unclosed(regions, number, grain, seen.name)
            continue
        ring = smoothed(seen.to_mm(edge.ring_px), grain_mm=grain.mm)
        if (long := float(max(np.ptp(ring, axis=0)))) < _CRUMB_MM:
            crumb_mm = max(crumb_mm, long)
            continue
        piece = _piece(seen, number, ring, [*edge_doubts(edge, regions, number, grain=grain)])
        unsure = np.hypot(edge_uncertainty_mm(edge, grain_mm=grain.mm), seen.by_height_mm(piece.ring_mm))
        piece = replace(
            piece,
            edge_mm=float(unsure),
            unsure_px=least_sure(edge),
            cut_off_at=regions.borders_of(number),
        )
        found.append((piece, edge))
    pieces, spots = _without_spots(found, grain, seen.name)
    pieces, ends = without_ends_of_rules(pieces, scales.rules_px, grain_mm=grain.mm, where=seen.name)
    pieces = told_on_rules(pieces, scales.keep_out, grain=grain)
    pieces = told_unread(pieces, scales.unread_px)
    left_out += [*ends, *spots, *_cut_alike(seen, regions)]
    return _Found(pieces=pieces, left_out=left_out, crumb_mm=crumb_mm)


def _no_piece(seen: ScaledPicture, found: _Found) -> CaptureError:
    """The error where nothing is left to be a piece."""
    if found.crumb_mm:
        long, least = seen.grain.length(found.crumb_mm), seen.grain.length(_CRUMB_MM)
        return CaptureError(
            f"no piece was found; the longest thing is {long:.2g} long (scale: {seen.scales.used.told}),"
            f" a piece is at least {least:g}",
            where=seen.name,
            hint="check what tells the scale: lengths are in mm"
            if long.unit is LengthUnit.MM
            else "show it larger",
        )
    card = any(scale.kind is ScaleKind.BANK_CARD for scale in seen.scales.found)
    return CaptureError(
        "no piece was found"
        + "".join(f"; {finding.message}" for finding in found.left_out[:1])
        + ("; what has a bank card's form was taken for one" if card else ""),
        where=seen.name,
        hint="give the piece another colour than what it lies on, and keep it clear of the picture's edge;"
        ' of a drawn line say shape = "line"' + ("; beside a card-like piece lay a ruler" if card else ""),
    )


def _wanted(spec: PictureSource, regions: Regions, letters: Sequence[int]) -> Sequence[int]:
    """Numbers of the regions to trace: those picked where all of them are there, else all that are no letters."""
    every = [number for number in range(1, len(regions.boxes) + 1) if number not in letters]
    if spec.point_px is not None:
        on = int(regions.numbers_at(np.array([spec.point_px]))[0])
        return [on] if on else every
    if spec.pick is None and spec.back is None:
        return every
    picked = sorted({spec.pick or 1, *([] if spec.back is None else [spec.back])})
    return picked if picked[-1] <= len(regions.boxes) else every


def _letters(spec: PictureSource, regions: Regions, grain_mm: float) -> list[int]:
    """Numbers of the regions that are letters of what the pieces lie on; none where a piece is picked."""
    if spec.point_px is not None or spec.pick is not None or spec.back is not None:
        return []
    return letters_of_ground(regions, high_px=_LETTER_MM / grain_mm, long_px=_WORD_MM / grain_mm)


def _letters_told(letters: Sequence[int], regions: Regions, grain: Grain, where: str) -> Iterator[Finding]:
    """The note that letters were left out."""
    if not letters:
        return
    long_mm = max(_long_mm(regions.boxes[number - 1], regions, grain) for number in letters)
    yield note(
        "letters-left-out",
        f"{len(letters)} small things among finer print, up to {grain.length(long_mm):.0f} long, left out: letters on what"
        " the piece lies on",
        "pick it by a point on it if one is a piece",
        where=where,
        **grain.figures(long_mm, limit_mm=_WORD_MM),
    )


def _long_mm(box: Box, regions: Regions, grain: Grain) -> float:
    """The longer side of one of the regions' boxes."""
    return max(box[2:]) * regions.shrink * grain.mm


def _without_spots(
    found: Sequence[tuple[TracedPiece, PieceEdge]], grain: Grain, where: str
) -> tuple[list[TracedPiece], tuple[Finding, ...]]:
    """The pieces without small things whose edges are far less sharp than the sharpest one's, and what is told of those."""
    widths = [float(np.median(edge.width_px)) for _, edge in found]
    sharpest = min(widths, default=0.0)
    sizes = [max(piece.size_mm) for piece, _ in found]
    spots = [
        size < _STAIN_MM and (width > _BLURRED * sharpest or float(edge.soft.mean()) > _MOST_SOFT)
        for size, width, (_, edge) in zip(sizes, widths, found, strict=True)
    ]
    if all(spots) or not any(spots):
        return [piece for piece, _ in found], ()
    largest_mm = max(compress(sizes, spots))
    return [piece for (piece, _), spot in zip(found, spots, strict=True) if not spot], (
        note(
            "spots-left-out",
            f"{sum(spots)} spot{'s' if sum(spots) > 1 else ''} with blurred edges, up to {grain.length(largest_mm):.0f} long,"
            " left out as grain or stains of what the piece lies on",
            "pick it by a point on it if it is a piece",
            where=where,
            **grain.figures(largest_mm, limit_mm=_STAIN_MM),
        ),
    )


def _unclosed(regions: Regions, number: int, grain: Grain, where: str) -> Iterator[Finding]:
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


def _cut_alike(seen: ScaledPicture, regions: Regions) -> Iterator[Finding]:
    """The doubt that a piece was left out as the picture's edge cuts it off; none where a piece is picked."""
    if not regions.cut_alike or seen.spec.point_px is not None or seen.spec.pick is not None:
        return
    sizes = [_long_mm(box, regions, seen.grain) for box in regions.cut_alike]
    borders = regions.borders_at(regions.cut_alike[int(np.argmax(sizes))])
    yield doubt(
        "piece-left-out",
        f"something {seen.grain.length(max(sizes)):.0f} long that looks like a piece was left out: the picture's {listed(borders)} edge cuts it off"
        + (f"; {len(sizes) - 1} more like it too" if len(sizes) > 1 else ""),
        "take in all of it if it is one; else lay the pieces on something plain",
        where=seen.name,
        **seen.grain.figures(max(sizes)),
    )


def _faint_told(faint: Regions, seen: ScaledPicture) -> Iterator[Finding]:
    """The doubt that things hardly of another colour than the ground were left out."""
    sizes = [_long_mm(box, faint, seen.grain) for box in faint.boxes]
    if not sizes:
        return
    largest = int(np.argmax(sizes))
    x, y = faint.point_on(largest + 1)
    yield doubt(
        "piece-left-out",
        f"something {seen.grain.length(sizes[largest]):.0f} long at ({x:.0f}, {y:.0f}) px, hardly of another colour than"
        " what it lies on, was left out" + (f"; {len(sizes) - 1} more like it too" if len(sizes) > 1 else ""),
        "pick it by a point on it if it is a piece, or lay it on something of another colour",
        where=seen.name,
        **seen.grain.figures(sizes[largest]),
    )


def _piece(seen: ScaledPicture, number: int, ring: Floats, doubts: Sequence[Finding]) -> TracedPiece:
    """A piece by its smoothed edge, ``(n, 2)`` mm, without what its thickness adds; of a cut-out its notch."""
    shown = fewer(ring)
    whole = shown if seen.above is None else fewer(seen.above.lowered_piece(ring))
    cut = no_notch = None
    if seen.spec.shape is Traced.CUT_OUT:
        where = f"{seen.name}: piece {number}"
        try:
            lies = notch_of(shown, where=where)
            level = lies if seen.above is None else notch_of(whole, where=where)
            whole, cut = level[0], lies[1]
        except CaptureError as error:
            no_notch = error
    shown_px = seen.to_px(shown)
    return TracedPiece(
        number=number,
        ring_mm=frozen(counter_clockwise(whole) if cut is None else whole),
        ring_px=frozen(shown_px),
        quarters=0 if cut is None else _quarters(cut[-1] - cut[0]),
        chord_px=None if cut is None else frozen(seen.to_px(cut[[0, -1]])),
        cut_px=None if cut is None else frozen(seen.to_px(cut)),
        open_ends=cut is not None,
        no_notch=no_notch,
        scale_share=scale_uncertainty(seen.scales, ring_px=shown_px).share,
        findings=(*doubts, *neck_doubt(shown, grain=seen.grain)),
    )


def _quarters(along: Floats) -> int:
    """How many quarter turns a direction is from x, to the nearest."""
    return round(float(np.arctan2(along[1], along[0])) / (np.pi / 2))
