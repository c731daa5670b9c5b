"""From a picture to outlines in mm: scale, pieces, edges, one after the other."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final, TypeAlias

from cradle.capture.by_readings import COARSE
from cradle.capture.clean import clean_outline
from cradle.capture.line_tracing import traced_lines
from cradle.capture.outline import Outline
from cradle.capture.piece_selection import picked, the_only
from cradle.capture.piece_tracing import traced_pieces
from cradle.capture.scaled_picture import ScaledPicture
from cradle.capture.thickness import raised
from cradle.capture.told_once import pieces_named, told_once
from cradle.capture.traced_picture import TracedPicture, TracedPiece
from cradle.errors import CaptureError, OutlineError
from cradle.finding import Finding, doubt, in_mm, note
from cradle.geometry.arrays import Floats
from cradle.geometry.ring import turned
from cradle.noun import noun
from cradle.pictures.border import Border
from cradle.pictures.image import Picture, read_picture
from cradle.pictures.notch import joined_notches
from cradle.pictures.regions import Regions
from cradle.project.picture import PictureSource, Traced
from cradle.scale.scale_choice import Scales
from cradle.scale.scale_search import find_scales
from cradle.scale.view_uncertainty import scale_uncertainty, view_doubt

_AGAIN: Final = "check the scale and which piece is picked; else take the picture again in softer light, on something of another colour"
_COARSE_MM: Final = 0.3
_EDGE_MM: Final = 0.1
"""A picture is told to be coarse if its pixels are longer than the first and an edge's place is less sure than the second: smooth
edges still lie within 0.1 mm, those of gears are off by 0.2 (rendered pictures of 0.34 to 0.39 mm a pixel)."""
_MOST_PIECES: Final = 30
"""More pieces than this in one picture are doubted (common practice, no source)."""


def trace_picture(path: Path, spec: PictureSource) -> TracedPicture:
    """All outlines of the asked-for shape in a picture, in mm, in reading order.

    Parameters
    ----------
    spec : PictureSource
        ``pick`` and ``point_px`` narrow the pieces down to one, ``back`` adds a second.

    Raises
    ------
    CaptureError
        If the picture cannot be read, nothing tells its scale, or it shows no such outline.
    """
    return traced_in(look_at(path, spec), spec)


@noun
class LookedAt:
    """A picture, its scales, and what lies on its ground: the same whichever of its pieces are asked for."""

    picture: Picture
    scales: Scales
    regions: Regions


def look_at(path: Path, spec: PictureSource) -> LookedAt:
    """What a picture shows, before any edge in it is traced; errors as for `trace_picture`."""
    picture = read_picture(path, where=spec.file)
    scales, regions = find_scales(picture, spec)
    return LookedAt(picture=picture, scales=scales, regions=regions)


def traced_in(looked: LookedAt, spec: PictureSource) -> TracedPicture:
    """The outlines of a picture that was looked at; as for `trace_picture`."""
    name, picture, scales = spec.file, looked.picture, looked.scales
    above, remarks = raised(picture, spec, scales)
    seen = ScaledPicture(picture=picture, spec=spec, scales=scales, above=above)
    found, left_out = traced_lines(seen) if spec.shape is Traced.LINE else traced_pieces(seen, looked.regions)
    pieces = picked(found, spec, grain=seen.grain, where=name)
    views = [scale_uncertainty(scales, ring_px=piece.ring_px) for piece in pieces]
    return TracedPicture(
        picture=picture,
        scales=scales,
        pieces=pieces,
        grain=seen.grain,
        size_findings=(
            *view_doubt(scales, views, where=name),
            *remarks,
            *_grain_doubt(seen.grain.mm, pieces, name),
        ),
        form_findings=(
            *_many_doubt(pieces, name),
            *_frame_note(picture),
            *left_out,
            *told_once(((piece, piece.findings) for piece in pieces), where=name, named=pieces_named),
        ),
    )


TracePicture: TypeAlias = Callable[[Path, PictureSource], TracedPicture]
"""A function that traces a picture: `trace_picture`, or one that keeps what was traced before."""


def trace_outline(
    folder: Path,
    spec: PictureSource,
    *,
    half: bool = False,
    depth_mm: float | None = None,
    trace: TracePicture = trace_picture,
) -> Outline:
    """The one outline that a section takes from a picture.

    Parameters
    ----------
    folder : Path
        The pictures' paths start here.
    half : bool
        The outline is one side of the section; a notch stays open along its mouth, which lies
        along the nearer axis of the paper, on the side where it lay.
    depth_mm : float, optional
        The section's, by calipers: it joins a front and a back notch.
    trace : callable
        What traces a picture.

    Raises
    ------
    CaptureError
        If the picture gives no outline, or several and none is picked.
    OutlineError
        If the outline crosses itself.
    """
    traced = trace(folder / spec.file, spec if spec.back_file is None else replace(spec, back=None))
    two_notches = spec.back is not None or spec.back_file is not None
    taken = (
        _of_two_notches(traced, spec, folder=folder, depth_mm=depth_mm, trace=trace)
        if two_notches
        else _of_one_piece(traced, where=spec.file, half=half)
    )
    try:
        outline = clean_outline(taken.points_mm, source=spec.file, open_ends=taken.open_ends)
    except OutlineError as error:
        raise OutlineError(f"as traced, {error.found}", where=error.where, hint=_AGAIN) from error
    return replace(
        outline,
        edge_mm=max(piece.edge_mm for piece in traced.pieces),
        scale_share=max(share for piece in traced.pieces for share in piece.scale_share),
        cut_off_at=taken.cut_off_at,
        size_findings=(
            _scale_note(traced.scales, spec.file),
            _sureness(traced, spec.file),
            *traced.size_findings,
            *(f for o in taken.others for f in (_scale_note(o.scales, o.picture.file), *o.size_findings)),
        ),
        form_findings=(
            *traced.form_findings,
            *(f for other in taken.others for f in other.form_findings),
            *taken.remarks,
            *outline.form_findings,
        ),
    )


@noun
class _Taken:
    """What a section takes from traced pictures: its points, ``(n, 2)`` mm, and what else is known of them.

    ``others`` are the pictures beside the section's own.
    """

    points_mm: Floats
    open_ends: bool = False
    cut_off_at: tuple[Border, ...] = ()
    others: tuple[TracedPicture, ...] = ()
    remarks: tuple[Finding, ...] = ()


def _of_one_piece(traced: TracedPicture, *, where: str, half: bool) -> _Taken:
    """The only piece of a picture; a half with open ends is turned back to about how it lay."""
    piece = the_only(traced, where=where)
    if not (half and piece.open_ends):
        return _Taken(points_mm=piece.ring_mm, cut_off_at=piece.cut_off_at)
    points = turned(piece.ring_mm, angle_deg=90.0 * piece.quarters)
    return _Taken(points_mm=points, open_ends=True, cut_off_at=piece.cut_off_at)


def _of_two_notches(
    traced: TracedPicture,
    spec: PictureSource,
    *,
    folder: Path,
    depth_mm: float | None,
    trace: TracePicture,
) -> _Taken:
    """The notches of the front and the back joined; the back may have a picture of its own."""
    if depth_mm is None:
        raise CaptureError(
            "a front and a back cut-out need the depth between them",
            where=spec.file,
            hint="give the section's depth, measured with calipers",
        )
    others: tuple[TracedPicture, ...] = ()
    if spec.back_file is None:
        front, back = traced.pieces[:2]
    else:
        own = replace(spec, file=spec.back_file, pick=spec.back, back=None, back_file=None, point_px=None)
        others = (trace(folder / spec.back_file, own),)
        front, back = the_only(traced, where=spec.file), the_only(others[0], where=spec.back_file)
    points, remarks = joined_notches(front.ring_mm, back.ring_mm, depth_mm=depth_mm, where=spec.file)
    return _Taken(points_mm=points, others=others, remarks=remarks)


def _scale_note(scales: Scales, where: str) -> Finding:
    also = "; ".join(s.told for s in scales.others)
    return note(
        "picture-scale",
        f"scale from the {scales.used.told}" + (f" (also found: {also})" if also else ""),
        where=where,
    )


def _sureness(traced: TracedPicture, where: str) -> Finding:
    """The note of how surely the outline is known."""
    edge = max(piece.edge_mm for piece in traced.pieces)
    x, y = traced.pieces[0].scale_share
    return note(
        "picture-uncertainty",
        f"standard uncertainties: edge {edge:.2f} mm, lengths {100 * x:.2f} % along x"
        f" and {100 * y:.2f} % along y",
        where=where,
        **in_mm(edge),
    )


def _frame_note(picture: Picture) -> tuple[Finding, ...]:
    """A note of the frame round a picture, if it has one."""
    if not picture.framed:
        return ()
    return (
        note(
            "frame-left-out",
            "a frame of one colour round the picture was left out: what lies at its inner rim was carried on outwards",
            where=picture.file,
        ),
    )


def _many_doubt(pieces: Sequence[TracedPiece], where: str) -> Iterator[Finding]:
    """The doubt that most of the pieces are none."""
    if len(pieces) <= _MOST_PIECES:
        return
    yield doubt(
        "pieces-many",
        f"{len(pieces)} pieces were found: what they lie on seems to have a pattern, or print, that looks like pieces",
        "lay the piece on plain paper of another colour, or pick it by a point on it",
        where=where,
        measured=float(len(pieces)),
        limit=float(_MOST_PIECES),
    )


def _grain_doubt(grain: float, pieces: Sequence[TracedPiece], where: str) -> Iterator[Finding]:
    """The doubt that pixels are too coarse for edges as unsure as these."""
    edge = max(piece.edge_mm for piece in pieces)
    if grain <= _COARSE_MM or edge <= _EDGE_MM:
        return
    yield doubt(
        COARSE,
        f"the picture is coarse: a pixel covers {grain:.2f} mm, and edges are uncertain by {edge:.2f} mm",
        "scan at 300 dpi, or go nearer with the camera",
        where=where,
        **in_mm(grain, limit=_COARSE_MM),
    )
