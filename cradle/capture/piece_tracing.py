"""Edges of pieces and drawn lines of a picture, each as an outline in mm with what is doubtful about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from cradle.capture.thickness import Raised
from cradle.capture.traced_picture import TracedPiece
from cradle.errors import CaptureError
from cradle.finding import Finding, Severity
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.ring import counter_clockwise
from cradle.pictures.contour import PieceEdge, piece_contour
from cradle.pictures.drawn_line import WIDEST_MM, find_lines, middle_of
from cradle.pictures.image import Picture
from cradle.pictures.notch import notch_of
from cradle.pictures.regions import Regions
from cradle.pictures.smooth import fewer, smoothed
from cradle.pictures.touching_pieces import neck_doubt
from cradle.project.picture import LineEdge, PictureSource, Traced
from cradle.scale.calibration import mm_per_px, to_mm, to_px
from cradle.scale.scale_choice import Scales
from cradle.scale.view_uncertainty import scale_uncertainty

_FAINT: Final = 30.0
"""Levels of contrast below which an edge is doubtful."""
_SOFT_MM: Final = 3.0
_SOFT_PART: Final = 0.03
"""Length, and part of the edge, that may show no step before it is told."""
_UNSURE_MM: Final = 0.1
_UNSURE_PX: Final = 0.5
"""Standard uncertainty of an edge's place that is told: usual are 0.03 to 0.06 mm."""
_BLUR_MM: Final = 0.65
_BLUR_PX: Final = 4.5
"""Width of a blurred edge that is told: a sharp one has about three pixels."""
_LEAST_EDGE_MM: Final = 0.02
_EDGE_PX: Final = 0.15
"""What an edge's place is uncertain by at best: paper's own, and a part of a pixel."""
_LINE_SHARE: Final = 0.1
"""The same of a drawn line's middle, as part of the line's width."""
_PLACES: Final = 3
_STAIN_MM: Final = 20.0
_BLURRED: Final = 1.8
_MOST_SOFT: Final = 0.3
"""What is smaller, and has edges so many times as wide as the sharpest piece's, or that part of them soft, is no piece."""
_CRUMB_MM: Final = 2.0
_SPOT_MM: Final = 10.0
"""What is smaller and has no closed edge is a spot, not a piece that somebody laid down."""


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
    left_out: list[Finding] = []
    blurs: list[tuple[float, float]] = []
    for number in _wanted(spec, regions):
        name = f"{picture.file}: piece {number}"
        try:
            edge = piece_contour(picture, regions, number, keep_out=scales.keep_out, grain_mm=grain)
        except CaptureError as error:
            left_out += _unclosed(regions, number, grain, name, error)
            continue
        ring = smoothed(to_mm(scales.calibration, edge.ring_px), grain_mm=grain)
        if max(np.ptp(ring, axis=0)) < _CRUMB_MM:
            continue
        doubts = _edge_doubts(edge, regions, number, name, grain=grain)
        piece = _piece(number, ring, spec, scales, above, doubts, name)
        sure = scale_uncertainty(scales, ring_px=piece.ring_px)
        blurs.append((float(np.median(edge.width_px)), float(edge.soft.mean())))
        pieces.append(
            replace(
                piece,
                edge_mm=_edge_uncertainty_mm(edge, grain),
                scale_share=sure.share,
                unsure_px=_least_sure(edge),
            )
        )
    pieces, spots = _without_spots(pieces, blurs, picture.file)
    left_out += spots
    if not pieces:
        raise CaptureError(
            "no piece was found" + "".join(f"; {finding.message}" for finding in left_out[:1]),
            where=picture.file,
            hint="give the piece another colour than what it lies on, and keep it clear of the picture's edge",
        )
    return pieces, tuple(left_out)


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
    unclosed = tuple(_open_line(box, max(across), picture.file) for box in lines.open_px)
    if not lines.closed:
        raise CaptureError(
            "no closed line was found" + "".join(f"; {finding.message}" for finding in unclosed[:1]),
            where=picture.file,
            hint="draw it once more over its faint places, on plain paper, and keep it clear of the picture's edge",
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
                edge_mm=_LINE_SHARE * width,
                scale_share=scale_uncertainty(scales, ring_px=line.outside_px).share,
                findings=(
                    Finding(
                        code="line-width",
                        severity=Severity.NOTE,
                        message=f"the line is {width:.2f} mm wide; its {spec.edge.value} was taken",
                        where=f"{picture.file}: line {number}",
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


def doubt(
    code: str,
    message: str,
    where: str,
    advice: str,
    *,
    measured: float | None = None,
    limit: float | None = None,
    unit: str = "",
) -> Finding:
    """A finding to look at."""
    return Finding(
        code=code,
        severity=Severity.WARN,
        message=message,
        where=where,
        advice=advice,
        measured=measured,
        limit=limit,
        unit=unit,
    )


def _wanted(spec: PictureSource, regions: Regions) -> Sequence[int]:
    """Numbers of the regions to trace: those picked where all of them are there, else all."""
    every = range(1, len(regions.boxes) + 1)
    if spec.point_px is not None:
        x, y = ((v + 0.5) / regions.shrink - 0.5 for v in spec.point_px)
        h, w = regions.labels.shape
        on = int(regions.labels[min(max(round(y), 0), h - 1), min(max(round(x), 0), w - 1)])
        return [on] if on else every
    if spec.pick is None and spec.back is None:
        return every
    picked = sorted({spec.pick or 1, *([] if spec.back is None else [spec.back])})
    return picked if picked[-1] <= len(regions.boxes) else every


def _without_spots(
    pieces: Sequence[TracedPiece], blurs: Sequence[tuple[float, float]], where: str
) -> tuple[list[TracedPiece], tuple[Finding, ...]]:
    """The pieces without small things whose edges are far less sharp than the sharpest one's, and what is told of those."""
    sharpest = min((width for width, _ in blurs), default=0.0)
    spots = [
        max(piece.size_mm) < _STAIN_MM and (width > _BLURRED * sharpest or soft > _MOST_SOFT)
        for piece, (width, soft) in zip(pieces, blurs, strict=True)
    ]
    if all(spots):
        return list(pieces), ()
    if not any(spots):
        return list(pieces), ()
    largest = max(max(p.size_mm) for p, spot in zip(pieces, spots, strict=True) if spot)
    return [p for p, spot in zip(pieces, spots, strict=True) if not spot], (
        Finding(
            code="spots-left-out",
            severity=Severity.NOTE,
            message=f"{sum(spots)} spot{'s' if sum(spots) > 1 else ''} without sharp edges, up to {largest:.0f} mm"
            " long, left out: grain or stains of what the piece lies on",
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
            f"something {size:.0f} mm long has no closed edge and was left out ({error.found})",
            name,
            "lay it on something plain of another colour",
        ),
    )


def _open_line(box: tuple[int, int, int, int], grain: float, where: str) -> Finding:
    w, h = (side * grain for side in box[2:])
    return doubt(
        "line-open",
        f"a line {w:.0f} x {h:.0f} mm was left out: it does not close, or its edges are more than"
        f" {WIDEST_MM:g} mm apart",
        where,
        "draw it once more over its faint places",
        limit=WIDEST_MM,
        unit="mm",
    )


def _edge_doubts(edge: PieceEdge, regions: Regions, number: int, name: str, *, grain: float) -> list[Finding]:
    doubts = [*_soft_doubt(edge, name, grain), *_blur_doubt(edge, name, grain)]
    unsure = _edge_uncertainty_mm(edge, grain)
    if unsure > max(_UNSURE_MM, _UNSURE_PX * grain) and not doubts:
        doubts.append(
            doubt(
                "edge-unsure",
                f"the edge's place is uncertain by {unsure:.2f} mm: a deep shadow or a second edge lies beside it",
                name,
                "look at the enlarged places in the check picture, or take the picture again in softer light",
                measured=unsure,
                limit=_UNSURE_MM,
                unit="mm",
            )
        )
    if regions.cut_off[number - 1]:
        doubts.append(
            doubt(
                "piece-cut-off",
                "the piece is cut off by the picture's edge, or lies over the marks of the capture sheet",
                name,
                "take in all of it, and keep it within the sheet's empty middle",
            )
        )
    if edge.lines_alike:
        doubts.append(_lines_alike(edge, name))
    if edge.contrast < _FAINT:
        doubts.append(
            doubt(
                "edge-faint",
                f"the piece differs from what it lies on by {edge.contrast:.0f} levels of 255",
                name,
                "lay it on paper of another colour",
                measured=edge.contrast,
                limit=_FAINT,
            )
        )
    return doubts


def _lines_alike(edge: PieceEdge, name: str) -> Finding:
    """The note that an edge was carried on across lines, or the doubt that part of it lies along one."""
    found = doubt(
        "lines-like-piece",
        "thin lines of the piece's own colour run up to it; its edge was carried on across them"
        + (", but a side that lies along one cannot be told from it" if edge.along_lines else ""),
        name,
        "lay it on something plain, or on a mat whose lines have another colour",
    )
    return found if edge.along_lines else replace(found, severity=Severity.NOTE)


def _edge_uncertainty_mm(edge: PieceEdge, grain: float) -> float:
    """Standard uncertainty of an edge's place, mm: what its noise shows, what is soft, and what no picture shows."""
    seen = np.where(edge.soft, edge.unsure_px + edge.width_px / 2, edge.unsure_px) * grain
    return float(np.hypot(np.sqrt((seen**2).mean()), max(_LEAST_EDGE_MM, _EDGE_PX * grain)))


def _least_sure(edge: PieceEdge) -> Floats:
    """Up to three places on an edge, far from one another, that are least sure, ``(k, 2)`` px."""
    doubtful = edge.unsure_px + np.where(edge.soft, edge.width_px, 0.0)
    size = float(np.ptp(edge.ring_px, axis=0).max())
    places: list[Floats] = []
    for k in np.argsort(-doubtful, kind="stable").tolist():
        at = edge.ring_px[k]
        if all(np.hypot(*(at - other)) > 0.25 * size for other in places):
            places.append(at)
        if len(places) == _PLACES:
            break
    return frozen(places)


def _soft_doubt(edge: PieceEdge, name: str, grain: float) -> tuple[Finding, ...]:
    """The doubt that part of an edge is glare or shadow."""
    closed = np.concatenate([edge.ring_px, edge.ring_px[:1]])
    lengths = np.hypot(*np.diff(closed, axis=0).T) * grain
    soft = float(lengths[edge.soft].sum())
    if soft < max(_SOFT_MM, _SOFT_PART * float(lengths.sum())):
        return ()
    x, y = edge.ring_px[edge.soft][int(edge.soft.sum()) // 2]
    glare = edge.glaring > 0.3
    return (
        doubt(
            "edge-glare" if glare else "edge-soft",
            f"over {soft:.0f} mm the edge shows no step, among others near ({x:.0f}, {y:.0f}) px: "
            + ("glare lies over it" if glare else "a shadow or something of the same colour lies at it"),
            name,
            "take the picture again with the light from elsewhere"
            if glare
            else "take the picture again in softer light, on something of another colour",
            measured=soft,
            limit=_SOFT_MM,
            unit="mm",
        ),
    )


def _blur_doubt(edge: PieceEdge, name: str, grain: float) -> tuple[Finding, ...]:
    """The doubt that the whole picture is out of focus."""
    width = float(np.median(edge.width_px))
    if width < _BLUR_PX or width * grain < _BLUR_MM:
        return ()
    return (
        doubt(
            "picture-blurred",
            f"edges are {width * grain:.1f} mm wide",
            name,
            "lay the piece flat on the glass, or hold the camera still and focus on the paper",
            measured=width * grain,
            limit=_BLUR_MM,
            unit="mm",
        ),
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
            doubts = [*doubts, doubt("no-notch", "the piece has no hollow", name, "")]
    return TracedPiece(
        number=number,
        ring_mm=frozen(whole if open_ends else counter_clockwise(whole)),
        ring_px=frozen(to_px(scales.calibration, seen)),
        chord_px=None if cut is None else frozen(to_px(scales.calibration, cut[[0, -1]])),
        cut_px=None if cut is None else frozen(to_px(scales.calibration, cut)),
        open_ends=open_ends,
        findings=(*doubts, *neck_doubt(seen, where=name)),
    )
