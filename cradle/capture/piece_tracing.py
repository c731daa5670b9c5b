"""Edges of pieces and drawn lines of a picture, each as an outline in mm with what is doubtful about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from cradle.capture.edge_doubts import doubt, edge_doubts, edge_uncertainty_mm, least_sure
from cradle.capture.on_rule import marks_of_end, told_on_rules, told_unread, without_ends_of_rules
from cradle.capture.thickness import Raised
from cradle.capture.traced_picture import TracedPiece
from cradle.errors import CaptureError
from cradle.finding import Finding, Severity
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.ring import counter_clockwise
from cradle.pictures.contour import piece_contour
from cradle.pictures.drawn_line import WIDEST_MM, find_lines
from cradle.pictures.image import Picture
from cradle.pictures.letters import letters_of_ground
from cradle.pictures.line_middle import middle_of
from cradle.pictures.notch import notch_of
from cradle.pictures.regions import Box, Regions
from cradle.pictures.smooth import fewer, smoothed
from cradle.pictures.touching_pieces import neck_doubt
from cradle.project.picture import LineEdge, PictureSource, Traced
from cradle.scale.calibration import mm_per_px, to_mm, to_px
from cradle.scale.scale import ScaleKind
from cradle.scale.scale_choice import Scales
from cradle.scale.view_uncertainty import scale_uncertainty

_OF_A_HALF: Final = "of one side alone draw the straight line between its ends too, and say half = true"
_LINE_SHARE: Final = 0.1
"""The same of a drawn line's middle, as part of the line's width."""
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


def traced_pieces(
    picture: Picture, spec: PictureSource, scales: Scales, regions: Regions, above: Raised | None
) -> tuple[list[TracedPiece], tuple[Finding, ...]]:
    """The pieces in reading order, and what is told of those left out; of a picked one, that one alone.

    Raises
    ------
    CaptureError
        If there are none.
    """
    grain = grain_mm(picture, scales)
    pieces: list[TracedPiece] = []
    letters = _letters(spec, regions, grain)
    left_out = list(_letters_told(letters, regions, grain, picture.file))
    blurs: list[tuple[float, float]] = []
    crumb_mm = 0.0
    for number in _wanted(spec, regions, letters):
        name = f"{picture.file}: piece {number}"
        try:
            edge = piece_contour(
                picture,
                regions,
                number,
                keep_out=scales.keep_out,
                grain_mm=grain,
                point_px=spec.point_px,
            )
        except CaptureError as error:
            left_out += _unclosed(regions, number, grain, name, error)
            continue
        ring = smoothed(to_mm(scales.calibration, edge.ring_px), grain_mm=grain)
        if (long := float(max(np.ptp(ring, axis=0)))) < _CRUMB_MM:
            crumb_mm = max(crumb_mm, long)
            continue
        doubts = edge_doubts(edge, regions, number, grain=grain)
        piece = _piece(number, ring, spec, scales, above, doubts, name)
        sure = scale_uncertainty(scales, ring_px=piece.ring_px)
        blurs.append((float(np.median(edge.width_px)), float(edge.soft.mean())))
        pieces.append(
            replace(
                piece,
                edge_mm=float(
                    np.hypot(edge_uncertainty_mm(edge, grain), _by_height_mm(above, piece.ring_mm))
                ),
                scale_share=sure.share,
                unsure_px=least_sure(edge),
            )
        )
    pieces, spots = _without_spots(pieces, blurs, picture.file)
    pieces, ends = without_ends_of_rules(pieces, scales.rules_px, grain=grain, where=picture.file)
    pieces = told_on_rules(pieces, scales.keep_out, grain=grain)
    pieces = told_unread(pieces, scales.unread_px)
    left_out += [*ends, *spots]
    if not pieces:
        raise _no_piece(scales, left_out, crumb_mm=crumb_mm, where=picture.file)
    return pieces, tuple(left_out)


def _no_piece(scales: Scales, left_out: Sequence[Finding], *, crumb_mm: float, where: str) -> CaptureError:
    """The error where nothing is left to be a piece; ``crumb_mm`` is how long the longest thing is that was too small."""
    if crumb_mm:
        return CaptureError(
            f"no piece was found; the longest thing is {crumb_mm:.2g} mm long (scale: {scales.used.told}),"
            f" a piece is at least {_CRUMB_MM:g} mm",
            where=where,
            hint="check what tells the scale: lengths are in mm",
        )
    card = any(scale.kind is ScaleKind.BANK_CARD for scale in scales.found)
    return CaptureError(
        "no piece was found"
        + "".join(f"; {finding.message}" for finding in left_out[:1])
        + ("; what has a bank card's form was taken for one" if card else ""),
        where=where,
        hint="give the piece another colour than what it lies on, and keep it clear of the picture's edge;"
        ' of a drawn line say shape = "line"' + ("; beside a card-like piece lay a ruler" if card else ""),
    )


def traced_lines(
    picture: Picture, spec: PictureSource, scales: Scales, above: Raised | None
) -> tuple[list[TracedPiece], tuple[Finding, ...]]:
    """The closed lines in reading order, and what is told of those that do not close.

    Raises
    ------
    CaptureError
        If there are none.
    """
    across = mm_per_px(scales.calibration, at_px=middle_px(picture))
    lines = find_lines(picture, px_per_mm=1 / max(across), keep_out=scales.keep_out, inside=scales.inside)
    unclosed = tuple(
        _open_line(box, max(across), picture.file)
        for box in lines.open_px
        if not marks_of_end(box, scales.rules_px, grain=max(across))
    )
    if not lines.closed:
        raise CaptureError(
            "no closed line was found" + "".join(f"; {finding.message}" for finding in unclosed[:1]),
            where=picture.file,
            hint="draw it once more over its faint places, on plain paper, and keep it clear of the picture's edge;"
            f" {_OF_A_HALF}",
        )
    pieces = []
    for number, line in enumerate(lines.closed, start=1):
        outside, inside = (to_mm(scales.calibration, ring) for ring in (line.outside_px, line.inside_px))
        middle, width = middle_of(outside, inside)
        ring = {LineEdge.MIDDLE: middle, LineEdge.INSIDE: inside, LineEdge.OUTSIDE: outside}[spec.edge]
        whole = fewer(smoothed(ring, grain_mm=max(across)))
        pieces.append(
            TracedPiece(
                number=number,
                ring_mm=frozen(counter_clockwise(whole if above is None else above.lowered_line(whole))),
                ring_px=frozen(to_px(scales.calibration, whole)),
                line_width_mm=width,
                edge_mm=float(np.hypot(_LINE_SHARE * width, _by_height_mm(above, whole))),
                scale_share=scale_uncertainty(scales, ring_px=line.outside_px).share,
                findings=(
                    Finding(
                        code="line-width",
                        severity=Severity.NOTE,
                        message=f"the line is {width:.2f} mm wide; its {spec.edge.value} was taken",
                        measured=width,
                        unit="mm",
                    ),
                ),
            )
        )
    return pieces, unclosed


def grain_mm(picture: Picture, scales: Scales) -> float:
    """Length of a pixel in the picture's middle, the longer way, mm."""
    return max(mm_per_px(scales.calibration, at_px=middle_px(picture)))


def middle_px(picture: Picture) -> tuple[float, float]:
    """The picture's middle."""
    width, height = picture.size_px
    return (width - 1) / 2, (height - 1) / 2


def _by_height_mm(above: Raised | None, ring: Floats) -> float:
    """What a thickness that is not known exactly adds to the uncertainty of an edge's place."""
    return 0.0 if above is None else above.uncertainty_mm(ring)


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


def _letters(spec: PictureSource, regions: Regions, grain: float) -> list[int]:
    """Numbers of the regions that are letters of what the pieces lie on; none where a piece is picked."""
    if spec.point_px is not None or spec.pick is not None or spec.back is not None:
        return []
    return letters_of_ground(regions, high_px=_LETTER_MM / grain, long_px=_WORD_MM / grain)


def _letters_told(letters: Sequence[int], regions: Regions, grain: float, where: str) -> tuple[Finding, ...]:
    """The note that letters were left out."""
    if not letters:
        return ()
    longest = max(max(regions.boxes[number - 1][2:]) for number in letters) * regions.shrink * grain
    return (
        Finding(
            code="letters-left-out",
            severity=Severity.NOTE,
            message=f"{len(letters)} small things among finer print, up to {longest:.0f} mm long, left out: letters on what"
            " the piece lies on",
            where=where,
            measured=longest,
            limit=_WORD_MM,
            unit="mm",
            advice="pick it by a point on it if one is a piece",
        ),
    )


def _without_spots(
    pieces: Sequence[TracedPiece], blurs: Sequence[tuple[float, float]], where: str
) -> tuple[list[TracedPiece], tuple[Finding, ...]]:
    """The pieces without small things whose edges are far less sharp than the sharpest one's, and what is told of those."""
    sharpest = min((width for width, _ in blurs), default=0.0)
    spots = [
        max(piece.size_mm) < _STAIN_MM and (width > _BLURRED * sharpest or soft > _MOST_SOFT)
        for piece, (width, soft) in zip(pieces, blurs, strict=True)
    ]
    if all(spots) or not any(spots):
        return list(pieces), ()
    largest = max(max(p.size_mm) for p, spot in zip(pieces, spots, strict=True) if spot)
    return [p for p, spot in zip(pieces, spots, strict=True) if not spot], (
        Finding(
            code="spots-left-out",
            severity=Severity.NOTE,
            message=f"{sum(spots)} spot{'s' if sum(spots) > 1 else ''} with blurred edges, up to {largest:.0f} mm"
            " long, left out as grain or stains of what the piece lies on",
            where=where,
            measured=largest,
            limit=_STAIN_MM,
            unit="mm",
            advice="pick it by a point on it if it is a piece",
        ),
    )


def _unclosed(
    regions: Regions, number: int, grain: float, name: str, error: CaptureError
) -> tuple[Finding, ...]:
    """What is told of a region that has no closed edge; nothing of a spot."""
    size = max(regions.boxes[number - 1][2:]) * regions.shrink * grain
    if size < _SPOT_MM:
        return ()
    return (
        doubt(
            "piece-left-out",
            f"something {size:.0f} mm long has no closed edge, so it was left out ({error.found})",
            "lay it on something plain of another colour",
            where=name,
        ),
    )


def _open_line(box: Box, grain: float, where: str) -> Finding:
    w, h = (side * grain for side in box[2:])
    return doubt(
        "line-open",
        f"a line {w:.0f} x {h:.0f} mm was left out: it does not close, or its edges are more than"
        f" {WIDEST_MM:g} mm apart",
        f"draw it once more over its faint places; {_OF_A_HALF}",
        where=where,
        limit=WIDEST_MM,
        unit="mm",
    )


def _piece(
    number: int,
    ring: Floats,
    spec: PictureSource,
    scales: Scales,
    above: Raised | None,
    doubts: Sequence[Finding],
    name: str,
) -> TracedPiece:
    open_ends = spec.shape is Traced.CUT_OUT
    seen = whole = fewer(ring)
    if above is not None:
        whole = fewer(above.lowered_piece(ring))
    cut = None
    if open_ends:
        try:
            whole, cut = notch_of(whole, where=name)
            cut = cut if above is None else notch_of(seen, where=name)[1]
        except CaptureError:
            open_ends = False
            doubts = [*doubts, doubt("no-notch", "the piece has no hollow", "")]
    return TracedPiece(
        number=number,
        ring_mm=frozen(whole if open_ends else counter_clockwise(whole)),
        ring_px=frozen(to_px(scales.calibration, seen)),
        quarters=0 if cut is None else _quarters(cut[-1] - cut[0]),
        chord_px=None if cut is None else frozen(to_px(scales.calibration, cut[[0, -1]])),
        cut_px=None if cut is None else frozen(to_px(scales.calibration, cut)),
        open_ends=open_ends,
        findings=(*doubts, *neck_doubt(seen)),
    )


def _quarters(along: Floats) -> int:
    """How many quarter turns a direction is from x, to the nearest."""
    return round(float(np.arctan2(along[1], along[0])) / (np.pi / 2))
