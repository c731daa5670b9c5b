"""What is doubtful about a piece's edge, and how surely its place is known."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.finding import Finding, Severity, doubt
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.planar import region, simplified
from cradle.geometry.region_measures import deepest_point, distances_to_boundary, inside
from cradle.geometry.ring import along, arc_positions, edge_lengths
from cradle.names import listed
from cradle.pictures.hollow import like_ground
from cradle.pictures.slits import hollows
from cradle.pictures.touching_pieces import neck_doubt

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cradle.geometry.arrays import Bools
    from cradle.pictures.border import Border
    from cradle.pictures.contour import PieceEdge
    from cradle.pictures.grain import Grain
    from cradle.pictures.regions import Regions

_FAINT: Final = 30.0
"""Levels of contrast below which an edge is doubtful."""
_SOFT_MM: Final = 3.0
_SOFT_PART: Final = 0.03
"""Length, and part of the edge, that may show no step; more than both is told."""
_UNSURE_MM: Final = 0.1
_UNSURE_PX: Final = 0.75
"""Standard uncertainty of an edge's place that is told: usual are 0.03 to 0.06 mm."""
_BLUR_MM: Final = 0.65
_BLUR_PX: Final = 4.5
"""Width of a blurred edge that is told: a sharp one has about three pixels."""
_SHARPEST: Final = 0.4
"""Part of an edge by which blur is judged: a shadow widens one side of a piece, being out of focus all of them."""
_LEAST_EDGE_MM: Final = 0.02
_EDGE_PX: Final = 0.15
"""Least uncertainty of an edge's place, the larger of both: paper's own, and a part of a pixel."""
_BEND_PX: Final = 5.0
_BEND_COSINE: Final = 0.8
_BEND_UNSURE_PX: Final = 0.6
"""Where an edge turns by more than 37 degrees, by its cosine, over this many pixels to either side, pixels round it off by about the
last (rendered gears at 65 to 75 dpi)."""
_PLACES: Final = 3
_TIP_MM: Final = 0.4
"""An uncertainty of how far a tip reaches is told from here on: a thing seldom rests on so little of a tip."""
_LINE_MM: Final = 2.5
"""A drawn line is no wider (`cradle.pictures.drawn_line`)."""
_HOLLOW: Final = 0.5
"""It is told if more than this part of a piece's inside looks like what lies around it: in rendered pictures all of it within a
drawn line, nothing within a piece, an eighth of a thing that shines."""
_CLEAR_MM: Final = 0.3
_CLEAR_PX: Final = 3.0
"""A piece does not touch the sheet's marks if its edge lies further from them than the larger of these: their own edges are this wide."""
_HOLLOW_MM: Final = 8.0
_HOLLOW_MM2: Final = 6.0
"""In a piece of several colours a hollow up to this width and of at least this area may be print of the ground's colour: letters and
stripes of a box."""
_EVEN_MM: Final = 0.1
_BESIDE_MM: Final = 2.0
"""A part that was left out beside a piece is told from this length on."""


def edge_doubts(
    edge: PieceEdge,
    ring_mm: Floats,
    regions: Regions,
    number: int,
    *,
    grain: Grain,
    inside_px: Floats | None = None,
) -> Iterator[Finding]:
    """The findings on what to look at along a piece's edge.

    Parameters
    ----------
    ring_mm : (n, 2)
        That edge, smoothed; a few hundred points are enough.
    inside_px : (n, 2), optional
        The capture sheet's empty middle.
    """
    unclear = [*_soft_doubt(edge, grain), *_blur_doubt(edge, grain)]
    yield from unclear
    unsure = edge_uncertainty_mm(edge, grain_mm=grain.mm)
    if unsure > max(_UNSURE_MM, _UNSURE_PX * grain.mm) and not unclear:
        yield doubt(
            "edge-unsure",
            f"the edge is uncertain by {grain.length(unsure):.2f}: a deep shadow or a second edge runs beside it",
            "look at its enlarged places (cradle trace draws them), or take the picture again in softer light",
            **grain.figures(unsure, limit_mm=_UNSURE_MM),
        )
    borders = regions.borders_of(number)
    over_rim = not regions.many_grounds and _over_marks(edge.ring_px, inside_px, grain)
    if regions.cut_off[number - 1] and (borders or over_rim):
        yield _cut_off(borders)
    yield from _tip_doubt(edge, grain)
    neck = tuple(neck_doubt(ring_mm, grain=grain))
    if edge.many_coloured and not neck:  # else a gap beside it is no print
        yield from _printed_doubt(edge, grain)
    yield from _beside_doubt(edge, grain)
    if like_ground(regions, number, rim_px=_LINE_MM / grain.mm) > _HOLLOW:
        yield doubt(
            "piece-hollow",
            "inside its edge the piece looks like what lies around it: it seems to be a drawn line, of which this is the"
            " outer edge, or a ring",
            'of a drawn line say shape = "line"; else lay the piece on something of another colour',
        )
    if edge.lines_alike:
        yield _lines_alike(edge)
    if edge.contrast < _FAINT:
        yield doubt(
            "edge-faint",
            f"the piece hardly differs from what it lies on: by {edge.contrast:.0f} of 255 levels",
            "lay it on paper of another colour",
            measured=edge.contrast,
            limit=_FAINT,
        )
    yield from neck


def edge_uncertainty_mm(edge: PieceEdge, *, grain_mm: float) -> float:
    """Standard uncertainty of an edge's place, mm: what its noise shows, what is soft or turns, and what no picture shows."""
    seen = np.where(edge.soft, edge.unsure_px + edge.width_px / 2, edge.unsure_px)
    seen = np.hypot(seen, np.where(_turns(edge.ring_px), _BEND_UNSURE_PX, 0.0)) * grain_mm
    return float(np.hypot(np.sqrt((seen**2).mean()), max(_LEAST_EDGE_MM, _EDGE_PX * grain_mm)))


def _turns(ring: Floats) -> Bools:
    """Where a closed ring ``(n, 2)`` px turns too sharply for its pixels, ``(n,)``."""
    places = arc_positions(ring)[:-1]
    before, after = ring - along(ring, places - _BEND_PX), along(ring, places + _BEND_PX) - ring
    lengths = np.hypot(*before.T) * np.hypot(*after.T)
    return np.asarray((before * after).sum(axis=1) < _BEND_COSINE * lengths)


def least_sure(edge: PieceEdge) -> Floats:
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


def _over_marks(ring_px: Floats, inside_px: Floats | None, grain: Grain) -> bool:
    """Whether an edge, found to a part of a pixel, reaches the marks that its piece came near to in the small copy."""
    if inside_px is None:
        return True
    middle = region(inside_px)
    clear_px = max(_CLEAR_MM / grain.mm, _CLEAR_PX)
    clear = inside(ring_px, middle) & (distances_to_boundary(ring_px, middle) > clear_px)
    return not bool(clear.all())


def _cut_off(borders: Sequence[Border]) -> Finding:
    """The doubt that part of a piece is missing."""
    if not borders:
        return doubt(
            "piece-cut-off",
            "the piece is cut off by the picture's edge, or lies over the marks of the capture sheet",
            "take in all of it, and keep it within the sheet's empty middle",
        )
    cut_off = f"the piece is cut off by the picture's {listed(borders)} edge"
    if len(borders) > 2:
        return doubt(
            "piece-cut-off",
            f"{cut_off}: it seems to be what the piece lies on or stands before, such as a table or a wall, or to be"
            " joined to that",
            "put the piece on and before one plain colour unlike its own",
        )
    return doubt("piece-cut-off", cut_off, "take in all of it")


def covered_doubt(regions: Regions, number: int) -> Iterator[Finding]:
    """The doubt that a hand, or what else runs out of the picture, lies over a piece on ground of several colours."""
    if regions.many_grounds and regions.cut_off[number - 1] and not regions.borders_of(number):
        yield doubt(
            "piece-covered",
            "the piece touches something that runs out of the picture: part of it is missing if that lies over it, as a hand"
            " does",
            "look at the check picture; take hands away, and lay the piece on one plain thing",
        )


def _lines_alike(edge: PieceEdge) -> Finding:
    """The note that an edge was carried on across lines, or the doubt that part of it lies along one."""
    return Finding(
        code="lines-like-piece",
        severity=Severity.WARN if edge.along_lines else Severity.NOTE,
        message="thin lines of the piece's own colour run up to it; its edge was continued across them"
        + (", but a side that lies along one cannot be told from it" if edge.along_lines else ""),
        advice="lay it on something plain, or on a mat whose lines have another colour",
    )


def _soft_doubt(edge: PieceEdge, grain: Grain) -> Iterator[Finding]:
    """The doubt that part of an edge is glare or shadow."""
    lengths = edge_lengths(edge.ring_px) * grain.mm
    soft = float(lengths[edge.soft].sum())
    if soft < max(_SOFT_MM, _SOFT_PART * float(lengths.sum())):
        return
    x, y = edge.ring_px[edge.soft][int(edge.soft.sum()) // 2]
    glare = edge.glaring > 0.3
    yield doubt(
        "edge-glare" if glare else "edge-soft",
        f"{grain.length(soft):.0f} of the edge cannot be seen clearly, for instance near ({x:.0f}, {y:z.0f}) px: "
        + (
            "glare lies over it"
            if glare
            else "a shadow, a reflection or something of the same colour lies at it"
        ),
        "take the picture again with the light from elsewhere"
        if glare
        else "take the picture again in softer light, on something of another colour",
        **grain.figures(soft, limit_mm=_SOFT_MM),
    )


def _tip_doubt(edge: PieceEdge, grain: Grain) -> Iterator[Finding]:
    """The doubt that sharp tips reach further than can be seen."""
    short = [tip for tip in edge.unclear_tips if tip.unsure_px * grain.mm > _TIP_MM]
    if not short:
        return
    worst = max(short, key=lambda tip: tip.unsure_px)
    (x, y), unsure_mm = worst.at_px, worst.unsure_px * grain.mm
    yield doubt(
        "tip-unclear",
        f"how far {'a sharp tip' if len(short) == 1 else f'{len(short)} sharp tips'} of the edge"
        f" reach{'es' if len(short) == 1 else ''} is unsure by {grain.length(unsure_mm):.1f}, near ({x:.0f}, {y:.0f}) px",
        "scan at a higher resolution, or go nearer with the camera",
        **grain.figures(unsure_mm, limit_mm=_TIP_MM),
    )


def _printed_doubt(edge: PieceEdge, grain: Grain) -> Iterator[Finding]:
    """The doubt that a hollow in the edge of a piece of several colours is print of the ground's colour."""
    piece = simplified(region(edge.ring_px * grain.mm), within_mm=_EVEN_MM)
    for worst in hollows(piece, wide_mm=_HOLLOW_MM, least_mm2=_HOLLOW_MM2)[:1]:
        x, y = deepest_point(worst) / grain.mm
        yield doubt(
            "piece-printed",
            f"the piece has several colours, and its edge runs inwards near ({x:.0f}, {y:.0f}) px: print of the same colour"
            " as what it lies on would look so",
            "look at that place (cradle trace draws the edge), or lay the piece on paper of a colour that it does not have",
        )


def _beside_doubt(edge: PieceEdge, grain: Grain) -> Iterator[Finding]:
    """The doubt that something of the piece, or another piece, was left out."""
    sizes = [float(np.ptp(part, axis=0).max()) * grain.mm for part in edge.beside_px]
    if max(sizes, default=0.0) < _BESIDE_MM:
        return
    largest = int(np.argmax(sizes))
    x, y = edge.beside_px[largest].mean(axis=0)
    yield doubt(
        "piece-in-parts",
        f"a part {grain.length(sizes[largest]):.0f} long near ({x:.0f}, {y:z.0f}) px was left out: no clear edge joins"
        " it to the piece",
        "take the picture again in softer light, on something of another colour; pick it by a point on it"
        " if it is a piece of its own",
        **grain.figures(sizes[largest], limit_mm=_BESIDE_MM),
    )


def _blur_doubt(edge: PieceEdge, grain: Grain) -> Iterator[Finding]:
    """The doubt that the whole picture is out of focus."""
    width_px = float(np.quantile(edge.width_px, _SHARPEST))
    wide_mm = width_px * grain.mm
    if width_px < _BLUR_PX or wide_mm < _BLUR_MM:
        return
    yield doubt(
        "picture-blurred",
        f"the picture is blurred: edges are {grain.length(wide_mm):.1f} wide",
        "lay the piece flat on the glass, or hold the camera still and focus on the paper",
        **grain.figures(wide_mm, limit_mm=_BLUR_MM),
    )
