"""Drawings, lists of points, pictures and plain measurements: what a section's or a view's source says, as an Outline."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Final, Protocol

import numpy as np

from cradle.capture.clean import clean_outline
from cradle.capture.measured_form import measured_points
from cradle.capture.odd_points import odd_points
from cradle.capture.outline import Outline
from cradle.capture.texture import without_texture
from cradle.drawings.curves import Curve, Drawing, Ends, names_apart, picked, the_one
from cradle.drawings.drawing_reader import read_drawing
from cradle.drawings.file_unit import UNIT_UNKNOWN
from cradle.drawings.joining import joined_curves
from cradle.errors import CaptureError, OutlineError, ScaleError
from cradle.finding import Finding, in_mm, note
from cradle.geometry.arrays import Floats
from cradle.names import first_of, point_words
from cradle.project.picture import PictureSource
from cradle.project.section import DrawingSource, MeasuredSource, SectionSpec, outline_place
from cradle.project.view import ViewScale, ViewSpec
from cradle.tolerances import TOLERANCES

if TYPE_CHECKING:
    from cradle.capture.tracing import TracePicture

_NO_LAYERS: Final = (".csv", ".json")
_OPEN_HINT: Final = "close the outline, or say half = true if it is one side of the thing"


def read_outline(spec: SectionSpec, *, folder: Path, trace: TracePicture | None = None) -> Outline:
    """The outline of a section as its source gives it, in mm.

    Parameters
    ----------
    spec : SectionSpec
        ``source`` says where from; ``half`` whether an open curve is meant.
    folder : Path
        Relative paths start here.
    trace : callable, optional
        What traces pictures, where `cradle.capture.tracing.trace_picture` is not to.

    Raises
    ------
    CaptureError
        If the file cannot be read.
    OutlineError
        If it holds no single, simple, closed curve.
    """
    return judged(source_outline(spec, folder=folder, trace=trace), spec)


def source_outline(spec: SectionSpec, *, folder: Path, trace: TracePicture | None = None) -> Outline:
    """The outline that a section's source gives by itself, in mm, whatever the section's readings say.

    Its depth counts only where it joins two half cut-outs. The rest is as for `read_outline`.
    """
    match spec.source:
        case DrawingSource() as source:
            return _from_drawing(spec, source, folder)
        case MeasuredSource() as source:
            return _from_measured(spec, source)
        case PictureSource() as source:
            from cradle.capture.tracing import trace_outline, trace_picture

            return trace_outline(
                folder, source, half=spec.half, depth_mm=spec.depth_mm, trace=trace or trace_picture
            )


def judged(outline: Outline, spec: SectionSpec) -> Outline:
    """A source's outline, its findings as the section's caliper readings leave them."""
    if isinstance(spec.source, PictureSource):
        from cradle.capture.by_readings import judged_by_calipers

        told = judged_by_calipers(outline.size_findings, width_mm=spec.width_mm, depth_mm=spec.depth_mm)
        return replace(outline, size_findings=told)
    if spec.width_mm is None and spec.depth_mm is None:
        return outline
    # a reading settles a drawing's unit: one that is not of what was drawn is refused when the section is placed
    known = tuple(f for f in outline.size_findings if f.code != UNIT_UNKNOWN)
    return replace(outline, size_findings=known)


class ReadOutline(Protocol):
    """A function that reads the outline of a section: `read_outline`, or one that keeps those read before."""

    def __call__(self, spec: SectionSpec, *, folder: Path) -> Outline:
        """The outline, in mm; errors as for `read_outline`."""


def read_view(spec: ViewSpec, *, folder: Path, read: ReadOutline = read_outline) -> Outline:
    """The silhouette of a view as its source gives it, in mm: x to the viewer's right, y up.

    A picture that tells no scale is of any size where the view's size is found from the sections;
    what is doubtful of its scale is then left out. Else the sections' widths check it (`cradle.views.silhouette.check_widths`).

    Parameters
    ----------
    folder : Path
        Relative paths start here.
    read : callable
        What reads its outline.

    Raises
    ------
    CaptureError, OutlineError
        As `read_outline`.
    """
    seen = SectionSpec(name=spec.where, height_mm=0.0, source=spec.source)
    try:
        shown = read(seen, folder=folder)
        return replace(shown, size_findings=_checked_by_widths(shown.size_findings, spec))
    except ScaleError as error:
        if not isinstance(spec.source, PictureSource):
            raise
        if spec.scale is not ViewScale.FREE:
            hint = f'say scale = "{ViewScale.FREE}" in [[view]]: the sections then tell its size; or {error.hint}'
            raise error.advising(hint) from error
    return replace(read(replace(seen, source=spec.source.of_any_size), folder=folder), size_findings=())


def _checked_by_widths(findings: tuple[Finding, ...], spec: ViewSpec) -> tuple[Finding, ...]:
    """The findings on a view's size that are left where it is compared with the sections', or found from them."""
    if spec.scale is ViewScale.FREE:
        return ()
    if not isinstance(spec.source, PictureSource):
        return findings
    from cradle.capture.by_readings import checked

    return checked(findings)


def _from_drawing(spec: SectionSpec, source: DrawingSource, folder: Path) -> Outline:
    where = source.path
    ending = PurePosixPath(source.path).suffix.lower()
    if source.layer is not None and ending in _NO_LAYERS:
        raise CaptureError("a list of points has no layers", where=where, hint="leave the layer out")
    drawing = read_drawing(folder / source.path, where=where, unit=source.unit)
    curve, findings = _single(drawing, layer=source.layer, where=where)
    points, open_ends, closed = _closed(curve, half=spec.half, where=where)
    findings += closed
    if ending in _NO_LAYERS:
        findings += tuple(odd_points(points, closed=not open_ends, where=where))
    outline = without_texture(clean_outline(points, source=where, open_ends=open_ends), source=where)
    return replace(outline, size_findings=drawing.findings, form_findings=findings + outline.form_findings)


def _closed(curve: Curve, *, half: bool, where: str) -> tuple[Floats, bool, tuple[Finding, ...]]:
    """The points of a curve, whether its ends are open as a half's may be, and what is told where a small gap was closed."""
    points = curve.points_mm
    if curve.ends is Ends.UNSAID:
        return points, half, ()
    if curve.ends is not Ends.OPEN or len(points) < 2:
        return points, False, ()
    start, end = points[0], points[-1]
    gap = float(np.hypot(*(end - start)))
    if gap <= TOLERANCES.duplicate_mm:
        return points[:-1], False, ()
    if gap <= TOLERANCES.gap_mm:
        told = note(
            "end-gap",
            f"the ends are {gap:.3g} mm apart at {point_words(end)}; it was closed",
            where=where,
            **in_mm(gap, limit=TOLERANCES.gap_mm),
        )
        return points, False, (told,)
    if half:
        return points, True, ()
    raise OutlineError(
        f"the outline is open: its ends {point_words(start)} and {point_words(end)} "
        f"are {gap:.3g} mm apart, up to {TOLERANCES.gap_mm:g} mm is closed",
        where=where,
        hint=_OPEN_HINT,
    )


def _from_measured(spec: SectionSpec, source: MeasuredSource) -> Outline:
    where = outline_place(source, name=spec.name)
    return clean_outline(measured_points(source, where=where), source=where)


def _single(drawing: Drawing, *, layer: str | None, where: str) -> tuple[Curve, tuple[Finding, ...]]:
    """The only curve on the layer, its pieces joined."""
    curves, findings = joined_curves(picked(drawing, layer=layer, where=where), where=where)
    apart = [f'"{name}"' for name in names_apart(curves)]
    ways = f"say by layer which one is meant: {first_of(apart)}" if apart else "give it a layer of its own"
    return the_one(curves, where=where, hint=f"keep only the outline in the drawing, or {ways}"), findings
