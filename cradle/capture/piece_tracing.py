"""Edges of the pieces in a picture, each as an outline in mm with what is doubtful about it."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import replace
from itertools import compress
from typing import Final, NamedTuple

import numpy as np

from cradle.capture.edge_doubts import covered_doubt, edge_doubts, edge_uncertainty_mm, least_sure
from cradle.capture.left_out import (
    CRUMB_MM,
    SPECK_MM,
    SPECK_PART,
    STAIN_MM,
    THIN_MM,
    WORD_MM,
    cut_off_told,
    faint_told,
    letters_told,
    no_piece,
    pattern_told,
    shadows_told,
    slits_told,
    specks_told,
    spots_told,
    unclosed_told,
)
from cradle.capture.on_rule import told_on_rules, told_unread, without_ends_of_rules
from cradle.capture.scaled_picture import ScaledPicture
from cradle.capture.traced_picture import TracedPiece
from cradle.errors import CaptureError
from cradle.finding import Finding
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.ring import counter_clockwise, signed_area
from cradle.pictures.border_colours import unlike_border
from cradle.pictures.contour import PieceEdge, piece_contour
from cradle.pictures.faint_things import faint_things
from cradle.pictures.grain import Grain
from cradle.pictures.letters import letters_of_ground
from cradle.pictures.notch import notch_of
from cradle.pictures.pattern import pattern_px
from cradle.pictures.regions import Regions
from cradle.pictures.slits import without_slits
from cradle.pictures.smooth import fewer, smoothed
from cradle.pictures.touching_pattern import without_touching
from cradle.project.picture import PictureOfAnySize, PictureSource, Traced
from cradle.scale.view_uncertainty import scale_uncertainty

_BLURRED: Final = 1.8
_MOST_SOFT: Final = 0.3
"""A small thing is no piece if its edge is more than ``_BLURRED`` times as wide as the sharpest piece's, or more than this part of it
is soft."""
_FEW: Final = 8
"""With more things in a picture, the ground may have a pattern (common practice, no source)."""
_LETTER_MM: Final = 7.0
"""Greatest height of printed letters."""


def traced_pieces(seen: ScaledPicture, regions: Regions) -> tuple[list[TracedPiece], tuple[Finding, ...]]:
    """The pieces in reading order, and what is told of those left out; of a picked one, that one alone.

    Things hardly of another colour than the ground are traced where nothing else is seen, or a point picks one; else told.

    Raises
    ------
    CaptureError
        If there are none.
    """
    spec = seen.spec
    found = _traced(seen, _on_many_grounds(seen, regions))
    by_number = spec.pick is not None or spec.back is not None
    if found.pieces and (by_number or _picked_in(regions, spec)):
        return found.pieces, tuple(found.left_out)
    faint = faint_things(regions, keep_out=seen.scales.keep_out, inside=seen.scales.inside)
    if faint.boxes and (not found.pieces or _picked_in(faint, spec)):
        found = _traced(seen, faint)
    elif spec.point_px is None:
        found.left_out.extend(faint_told(faint, seen))
    if not found.pieces:
        raise no_piece(seen, crumb_mm=found.crumb_mm, left_out=found.left_out)
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
    letters, pattern = ([], []) if _picks(seen.spec) else _of_ground(regions, grain.mm)
    left_out = [
        *letters_told(letters, regions, grain, seen.name),
        *pattern_told(pattern, regions, grain, seen.name),
        *shadows_told(regions, grain, seen.name),
    ]
    found: list[tuple[TracedPiece, PieceEdge]] = []
    crumb_mm = 0.0
    for number in _wanted(seen.spec, regions, {*letters, *pattern}):
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
            left_out += unclosed_told(regions, number, grain, seen.name)
            continue
        edge, slits_px = without_slits(edge, grain_mm=grain.mm)
        ring = smoothed(seen.to_mm(edge.ring_px), grain_mm=grain.mm)
        long = float(max(np.ptp(ring, axis=0)))
        if long < CRUMB_MM or abs(signed_area(ring)) < THIN_MM * long:
            crumb_mm = max(crumb_mm, long)
            continue
        shown = fewer(ring)
        doubts = [*edge_doubts(edge, shown, regions, number, grain=grain, inside_px=scales.inside)]
        if not isinstance(seen.spec, PictureOfAnySize):  # a thing seen from the side stands on a table
            doubts += covered_doubt(regions, number)
        piece = _piece(seen, number, ring, shown, findings=(*doubts, *slits_told(slits_px)))
        unsure = np.hypot(edge_uncertainty_mm(edge, grain_mm=grain.mm), seen.by_height_mm(piece.ring_mm))
        piece = replace(
            piece,
            edge_mm=float(unsure),
            unsure_px=least_sure(edge),
            cut_off_at=regions.borders_of(number),
        )
        found.append((piece, edge))
    pieces, spots = _without_spots(found, grain, seen.name)
    specks: list[Finding] = []
    if not _picks(seen.spec):
        pieces, specks = _without_specks(pieces, grain, seen.name)
    pieces, ends = without_ends_of_rules(pieces, scales.rules_px, grain_mm=grain.mm, where=seen.name)
    pieces = told_on_rules(pieces, scales.keep_out, grain=grain)
    pieces = told_unread(pieces, scales.unread_px)
    left_out += [*ends, *spots, *specks, *cut_off_told(regions, seen, pattern)]
    return _Found(pieces=pieces, left_out=left_out, crumb_mm=crumb_mm)


def _wanted(spec: PictureSource, regions: Regions, of_ground: Set[int]) -> Sequence[int]:
    """Numbers of the regions to trace: those picked where all of them are there, else all that are not of the ground."""
    every = [number for number in range(1, len(regions.boxes) + 1) if number not in of_ground]
    if spec.point_px is not None:
        on = int(regions.numbers_at(np.array([spec.point_px]))[0])
        return [on] if on else every
    if spec.pick is None and spec.back is None:
        return every
    picked = sorted({spec.pick or 1, *([] if spec.back is None else [spec.back])})
    return picked if picked[-1] <= len(regions.boxes) else every


def _picks(spec: PictureSource) -> bool:
    """Whether a piece is picked."""
    return spec.point_px is not None or spec.pick is not None or spec.back is not None


def _on_many_grounds(seen: ScaledPicture, regions: Regions) -> Regions:
    """The things told from each of the ground's colours, if it seems to have several: a pattern, many things, or none that lies whole in the picture."""
    letters, pattern = _of_ground(regions, seen.grain.mm)
    if not (pattern or len(regions.boxes) - len(letters) > _FEW or all(regions.cut_off)):
        return regions
    things = unlike_border(
        regions,
        of_ground={*letters, *pattern},
        keep_out=seen.scales.keep_out,
        inside=seen.scales.inside,
    )
    if things is regions and pattern:
        things = without_touching(regions, pattern)
    return things if seen.spec.point_px is None or _picked_in(things, seen.spec) else regions


def _of_ground(regions: Regions, grain_mm: float) -> tuple[list[int], list[int]]:
    """Numbers of the regions that are letters of what the pieces lie on, and of those that are its pattern."""
    letters = letters_of_ground(regions, high_px=_LETTER_MM / grain_mm, long_px=WORD_MM / grain_mm)
    rest = {number: box for number, box in enumerate(regions.boxes, start=1) if number not in letters}
    limit = pattern_px(list(rest.values()))
    return letters, [number for number, box in rest.items() if max(box[2:]) <= limit]


def _without_spots(
    found: Sequence[tuple[TracedPiece, PieceEdge]], grain: Grain, where: str
) -> tuple[list[TracedPiece], list[Finding]]:
    """The pieces without small things whose edges are far less sharp than the sharpest one's, and what is told of those."""
    widths = [float(np.median(edge.width_px)) for _, edge in found]
    sharpest = min(widths, default=0.0)
    sizes = [max(piece.size_mm) for piece, _ in found]
    spots = [
        size < STAIN_MM and (width > _BLURRED * sharpest or float(edge.soft.mean()) > _MOST_SOFT)
        for size, width, (_, edge) in zip(sizes, widths, found, strict=True)
    ]
    if all(spots) or not any(spots):
        return [piece for piece, _ in found], []
    kept = [piece for (piece, _), spot in zip(found, spots, strict=True) if not spot]
    return kept, spots_told(list(compress(sizes, spots)), grain, where)


def _without_specks(
    pieces: Sequence[TracedPiece], grain: Grain, where: str
) -> tuple[list[TracedPiece], list[Finding]]:
    """The pieces without small things beside a far larger one, and what is told of those."""
    sizes = [max(piece.size_mm) for piece in pieces]
    limit = min(SPECK_MM, SPECK_PART * max(sizes, default=0.0))
    small = [size for size in sizes if size < limit]
    kept = [piece for piece, size in zip(pieces, sizes, strict=True) if size >= limit]
    return kept, specks_told(small, grain, where) if small else []


def _piece(
    seen: ScaledPicture, number: int, ring: Floats, shown: Floats, *, findings: tuple[Finding, ...]
) -> TracedPiece:
    """A piece by its smoothed edge, ``(n, 2)`` mm, and by fewer points of it, without what its thickness adds; of a cut-out its notch."""
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
        findings=findings,
    )


def _quarters(along: Floats) -> int:
    """How many quarter turns a direction is from x, to the nearest."""
    return round(float(np.arctan2(along[1], along[0])) / (np.pi / 2))
