"""Drawn lines of a picture, each as an outline in mm with what is doubtful about it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import numpy as np

from cradle.capture.on_rule import marks_of_end
from cradle.capture.scaled_picture import ScaledPicture
from cradle.capture.traced_picture import TracedPiece
from cradle.errors import CaptureError
from cradle.finding import Finding, doubt, note
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.ring import counter_clockwise
from cradle.pictures.drawn_line import WIDEST_MM, DrawnLine, find_lines
from cradle.pictures.grain import Grain
from cradle.pictures.line_middle import middle_of
from cradle.pictures.regions import Box
from cradle.pictures.smooth import fewer, smoothed
from cradle.project.picture import LineEdge
from cradle.scale.view_uncertainty import scale_uncertainty

_OF_A_HALF: Final = "of one side alone draw the straight line between its ends too, and say half = true"
_LINE_SHARE: Final = 0.1
"""Standard uncertainty of a drawn line's middle, as part of the line's width."""

_STAINED: Final = doubt(
    "line-stained",
    "no line closed but for what runs into it and is less than half as dark, as the rim of a stain: that was left out",
    "look at the check picture; draw it on clean paper, of one darkness",
)


def traced_lines(seen: ScaledPicture) -> tuple[list[TracedPiece], tuple[Finding, ...]]:
    """The closed lines in reading order, and findings on what was left out: open lines, lines across outlines, crowds of marks.

    Raises
    ------
    CaptureError
        If there are none.
    """
    scales, grain = seen.scales, seen.grain
    lines = find_lines(seen.picture, px_per_mm=1 / grain.mm, keep_out=scales.keep_out, inside=scales.inside)
    unclosed = tuple(
        _open_line(box, grain, where=seen.name)
        for box in lines.open_px
        if not marks_of_end(box, scales.rules_px, grain_mm=grain.mm)
    )
    if not lines.closed:
        beyond = "the picture's edge" if scales.inside is None else "the capture sheet's marks"
        raise CaptureError(
            "no closed line was found" + "".join(f"; {finding.message}" for finding in unclosed[:1]),
            where=seen.name,
            hint=f"draw it once more over its faint places, on plain paper, and keep it clear of {beyond}; {_OF_A_HALF}",
        )
    across = tuple(_across(ends, grain, where=seen.name) for ends in lines.across_px)
    told = (
        *unclosed,
        *across,
        *_crowded(lines.crowded, where=seen.name),
        *((replace(_STAINED, where=seen.name),) if lines.stained else ()),
    )
    return [_line(seen, number, line) for number, line in enumerate(lines.closed, start=1)], told


def _line(seen: ScaledPicture, number: int, line: DrawnLine) -> TracedPiece:
    """A closed line as an outline."""
    outside, inside = seen.to_mm(line.outside_px), seen.to_mm(line.inside_px)
    middle, width = middle_of(outside, inside)
    edge = seen.spec.edge
    ring = {LineEdge.MIDDLE: middle, LineEdge.INSIDE: inside, LineEdge.OUTSIDE: outside}[edge]
    whole = fewer(smoothed(ring, grain_mm=seen.grain.mm))
    lowered = whole if seen.above is None else seen.above.lowered_line(whole)
    told = note(
        "line-width",
        f"the line is {seen.grain.length(width):.2f} wide; its {edge.value} was taken",
        **seen.grain.figures(width),
    )
    return TracedPiece(
        number=number,
        ring_mm=frozen(counter_clockwise(lowered)),
        ring_px=frozen(seen.to_px(whole)),
        line_width_mm=width,
        edge_mm=float(np.hypot(_LINE_SHARE * width, seen.by_height_mm(whole))),
        scale_share=scale_uncertainty(seen.scales, ring_px=line.outside_px).share,
        findings=(told, *_left_out(line)),
    )


def _left_out(line: DrawnLine) -> Iterator[Finding]:
    """The note that arrows, words or ends of the line itself were left out."""
    count = len(line.left_out_px)
    if not count:
        return
    x, y = line.left_out_px[0]
    yield note(
        "line-spurs",
        f"what runs up to the line {'at one place' if count == 1 else f'at {count} places'}, near"
        f" ({x:.0f}, {y:.0f}) px, was left out: an arrow, a word, or an end drawn too far",
        "look at the check picture",
    )


def _across(ends: Floats, grain: Grain, *, where: str) -> Finding:
    """The note that a straight line through an outline was left out."""
    (x, y), length = ends.mean(axis=0), float(np.hypot(*(ends[1] - ends[0]))) * grain.mm
    return note(
        "line-across",
        f"a straight line {grain.length(length):.0f} long through ({x:.0f}, {y:.0f}) px was left out: it runs through an"
        " outline and past it on both sides, as a margin or a middle line does",
        "look at the check picture",
        where=where,
        **grain.figures(length),
    )


def _crowded(count: int, *, where: str) -> Iterator[Finding]:
    """The note that marks were left out as print or grain, if any were."""
    if count:
        yield note(
            "print-left-out",
            f"{count} marks among many others were left out: print, grain or a weave of what the paper lies on",
            "draw the line clear of them if it is missing",
            where=where,
            measured=float(count),
        )


def _open_line(box: Box, grain: Grain, *, where: str) -> Finding:
    w, h = (grain.length(side * grain.mm) for side in box[2:])
    return doubt(
        "line-open",
        f"a line {w:.0f} by {h:.0f} was left out: it does not close, or its edges are more than {grain.length(WIDEST_MM):g} apart",
        f"draw it once more over its faint places; {_OF_A_HALF}",
        where=where,
        **grain.figures(limit_mm=WIDEST_MM),
    )
