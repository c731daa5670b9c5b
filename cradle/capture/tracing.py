"""From a picture to outlines in mm: scale, pieces, edges, one after the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np

from cradle.capture.clean import clean_outline
from cradle.capture.outline import Outline
from cradle.capture.piece_selection import picked, the_only
from cradle.capture.thickness import Raised, raised
from cradle.capture.traced_picture import TracedPicture, TracedPiece
from cradle.errors import CaptureError
from cradle.finding import Finding, Severity
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.ring import counter_clockwise
from cradle.pictures.contour import piece_contour
from cradle.pictures.drawn_line import find_lines, middle_of
from cradle.pictures.image import Picture, read_picture
from cradle.pictures.notch import joined, notch_of
from cradle.pictures.regions import Regions
from cradle.pictures.smooth import fewer, smoothed
from cradle.pictures.touching_pieces import neck_doubt
from cradle.project.picture_spec import LineEdge, PictureSource, Traced
from cradle.scale.calibration import mm_per_px, to_mm, to_px
from cradle.scale.scale_search import find_scales
from cradle.scale.scale_sources import Scales
from cradle.scale.unverified_axis import judged_by_calipers
from cradle.tolerances import DEFAULT, Tolerances

_FAINT: Final = 30.0
"""Levels of contrast below which an edge is doubtful."""
_COARSE_MM: Final = 0.2
"""Pixels larger than this give up the accuracy that a fit needs."""


def trace_picture(path: Path, spec: PictureSource, *, where: str | None = None) -> TracedPicture:
    """Return all outlines of the asked-for shape in a picture, in mm, in reading order.

    Parameters
    ----------
    path : Path
    spec : PictureSource
        ``pick`` and ``point_px`` narrow the pieces down to one, ``back`` adds a second.
    where : str, optional
        The picture's name for messages.

    Raises
    ------
    CaptureError
        If the picture cannot be read, nothing tells its scale, or it shows no such outline.
    """
    name = where if where is not None else spec.file
    picture = read_picture(path, where=name)
    scales, regions = find_scales(picture, spec)
    above, remarks = raised(picture, spec, scales)
    found = (_lines if spec.shape is Traced.LINE else _edges)(picture, spec, scales, regions, above)
    if not found:
        thing = "closed line" if spec.shape is Traced.LINE else "piece"
        raise CaptureError(
            f"no {thing} was found",
            where=name,
            hint="give the piece another colour than what it lies on, and keep it clear of the picture's edge",
        )
    pieces = picked(found, spec, where=name)
    findings = (
        *scales.findings,
        *remarks,
        *_grain(scales, picture, name),
        *(f for p in pieces for f in p.findings),
    )
    return TracedPicture(picture=picture, scales=scales, pieces=pieces, findings=findings)


def trace_outline(
    folder: Path,
    spec: PictureSource,
    *,
    half: bool = False,
    width_mm: float | None = None,
    depth_mm: float | None = None,
    tolerances: Tolerances = DEFAULT,
) -> Outline:
    """Return the one outline that a section takes from a picture.

    Parameters
    ----------
    folder : Path
        The pictures' paths start here.
    spec : PictureSource
    half : bool
        The outline is one side of the section; a notch stays open along its mouth.
    width_mm, depth_mm : float, optional
        The section's, by calipers: together they check the scale both ways; the depth joins a front
        and a back notch.

    Raises
    ------
    CaptureError
        If the picture gives no outline, or several and none is picked.
    OutlineError
        If the outline crosses itself.
    """
    traced = trace_picture(folder / spec.file, spec if spec.back_file is None else replace(spec, back=None))
    findings = traced.findings
    open_ends = False
    if spec.back is not None or spec.back_file is not None:
        if depth_mm is None:
            raise CaptureError(
                "a front and a back notch need the depth between them",
                where=spec.file,
                hint="give the section's depth, measured with calipers",
            )
        front, back, more = _pair(folder, spec, traced)
        points, remarks = joined(front.ring_mm, back.ring_mm, depth_mm=depth_mm, where=spec.file)
        findings = (*findings, *more, *remarks)
    else:
        piece = the_only(traced, where=spec.file)
        points, open_ends = piece.ring_mm, half and piece.open_ends
    outline = clean_outline(points, source=spec.file, open_ends=open_ends, tolerances=tolerances)
    repairs = tuple(f for f in outline.findings if f.code != "turned-round")
    findings = judged_by_calipers(findings, width_mm=width_mm, depth_mm=depth_mm)
    return replace(outline, findings=(_scale_note(traced.scales, spec.file), *findings, *repairs))


def _pair(
    folder: Path, spec: PictureSource, traced: TracedPicture
) -> tuple[TracedPiece, TracedPiece, tuple[Finding, ...]]:
    """The pieces with the notches of the front and the back, and what is told of a second picture."""
    if spec.back_file is None:
        return traced.pieces[0], traced.pieces[1], ()
    other = replace(spec, file=spec.back_file, pick=spec.back, back=None, back_file=None, point_px=None)
    second = trace_picture(folder / spec.back_file, other)
    more = (_scale_note(second.scales, spec.back_file), *second.findings)
    return the_only(traced, where=spec.file), the_only(second, where=spec.back_file), more


def _scale_note(scales: Scales, where: str) -> Finding:
    also = "; ".join(s.told for s in scales.found[1:])
    return Finding(
        code="picture-scale",
        severity=Severity.NOTE,
        message=f"scale from the {scales.used.told}" + (f" (also found: {also})" if also else ""),
        where=where,
    )


def _edges(
    picture: Picture, spec: PictureSource, scales: Scales, regions: Regions, above: Raised | None
) -> list[TracedPiece]:
    pieces = []
    grain = max(mm_per_px(scales.calibration, at_px=_middle(picture)))
    for number in range(1, len(regions.boxes) + 1):
        doubts: list[Finding] = []
        name = f"{picture.file}: piece {number}"
        edge = piece_contour(picture, regions, number, keep_out=scales.keep_out)
        ring = smoothed(to_mm(scales.calibration, edge.ring_px), grain_mm=grain)
        if max(np.ptp(ring, axis=0)) < 2.0:
            continue  # a crumb
        if regions.cut_off[number - 1]:
            doubts.append(
                _doubt("piece-cut-off", "the piece runs out of the picture", name, "take in all of it")
            )
        if edge.lines_alike:
            doubts.append(
                _doubt(
                    "lines-like-piece",
                    "thin lines of the piece's own colour run up to it; its edge was carried on across them,"
                    " but a side that lies along one cannot be told from it",
                    name,
                    "lay it on something plain, or on a mat whose lines have another colour",
                )
            )
        if edge.contrast < _FAINT:
            doubts.append(
                replace(
                    _doubt(
                        "edge-faint",
                        f"the piece differs from what it lies on by {edge.contrast:.0f} levels of 255",
                        name,
                        "lay it on paper of another colour",
                    ),
                    measured=edge.contrast,
                    limit=_FAINT,
                )
            )
        pieces.append(_piece(number, ring, spec, scales, above, doubts, name))
    return pieces


def _piece(
    number: int,
    ring: Floats,
    spec: PictureSource,
    scales: Scales,
    above: Raised | None,
    doubts: Sequence[Finding],
    name: str,
) -> TracedPiece:
    open_ends = spec.shape is Traced.NOTCH
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
            doubts = [*doubts, _doubt("no-notch", "the piece has no hollow", name, "")]
    return TracedPiece(
        number=number,
        ring_mm=frozen(whole if open_ends else counter_clockwise(whole)),
        ring_px=frozen(to_px(scales.calibration, seen)),
        chord_px=None if cut is None else frozen(to_px(scales.calibration, cut[[0, -1]])),
        cut_px=None if cut is None else frozen(to_px(scales.calibration, cut)),
        open_ends=open_ends,
        findings=(*doubts, *neck_doubt(seen, where=name)),
    )


def _lines(
    picture: Picture, spec: PictureSource, scales: Scales, _regions: Regions, above: Raised | None
) -> list[TracedPiece]:
    across = mm_per_px(scales.calibration, at_px=_middle(picture))
    pieces = []
    lines = find_lines(picture, px_per_mm=1 / max(across), keep_out=scales.keep_out, inside=scales.inside)
    for number, line in enumerate(lines, start=1):
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
    return pieces


def _grain(scales: Scales, picture: Picture, where: str) -> tuple[Finding, ...]:
    grain = max(mm_per_px(scales.calibration, at_px=_middle(picture)))
    if grain <= _COARSE_MM:
        return ()
    return (
        replace(
            _doubt(
                "picture-coarse",
                f"a pixel is {grain:.2f} mm",
                where,
                "scan at 300 dpi, or go nearer with the camera",
            ),
            measured=grain,
            limit=_COARSE_MM,
            unit="mm",
        ),
    )


def _doubt(code: str, message: str, where: str, advice: str) -> Finding:
    return Finding(code=code, severity=Severity.WARN, message=message, where=where, advice=advice)


def _middle(picture: Picture) -> tuple[float, float]:
    width, height = picture.size_px
    return (width - 1) / 2, (height - 1) / 2
