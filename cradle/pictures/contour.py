"""Edges of a piece to a small part of a pixel.

The full picture is turned into a field that is 0 on the ground and 1 on the
piece, both taken from next to the edge; its level line at one half leads to the
edge, the place nearby where the light falls most steeply. Where a piece has a
colour of its own, the field is made blind to brightness, and with it to the
shadow beside a cut edge; on a mat it is made blind to the colour of the mat's
lines, and where these are of the piece's own colour its edge is carried on
across them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final, NamedTuple

import numpy as np

from cradle.errors import CaptureError
from cradle.geometry.arrays import Floats, frozen
from cradle.noun import noun
from cradle.pictures.blurred_edge import blurred_edge
from cradle.pictures.colours import BAND, LEAST_COLOUR, LUMA, Colours, colours_of, may_be_shadow
from cradle.pictures.crop import Crop, crop_of
from cradle.pictures.lines_seen import LinesSeen, lines_seen
from cradle.pictures.masks import filled, grown_by, opened, parts_holding, shrunk_by
from cradle.pictures.parts import holding, parts_above
from cradle.pictures.second_step import inner_step_px
from cradle.pictures.steepest import SteepestEdge
from cradle.pictures.thin_tips import thin_tips
from cradle.pictures.tips import UnclearTip, with_tips
from cradle.pictures.unclear_edge import bright_places, brighter_by, glare_places, soft_places

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Bytes, Singles
    from cradle.pictures.image import Picture
    from cradle.pictures.regions import Regions

_SHADOW_MM: Final = 4.0
"""How far inside a region its piece surely is: a deep shadow counts as the piece at first."""
_LUMP_PX: Final = 2 * BAND + 1
"""Least width of ground in a shadow that is taken out of a piece's mask, small px: narrower, it is the piece's own blurred edge."""
_SHADED: Final = 0.93
"""Such ground has less than this part of the ground's light; gleams on a piece, which may have its colour too, have more."""
_REACH_MM: Final = 1.2
"""How far from the level line the step of the edge may lie."""
_FAR_REACH_MM: Final = 5.0
"""The same where much of the line lies on no step."""
_LOOK_MM: Final = 0.35
_LOOK_PX: Final = 4.0
"""How far to either side of an edge a step's width is measured: the longer of both."""
_SOFT_PART: Final = 0.03
"""An edge is looked for further off if more than this part of it shows no step."""
_SOFT_AGAIN: Final = 0.01
"""If more than this part of an edge shows no step, a shadow may hide it, and it is looked for once more."""
_UNSURE_PX: Final = 0.2
"""It is also looked for once more if its place is less sure than this, as beside a shadow; in rendered scans without one it is sure
to 0.05 px."""
_HALF: Final = 0.5
"""The piece's part of the light at which an edge is looked for ..."""
_LEVELS_BESIDE_SHADOW: Final = (0.75, 0.9)
"""... and those tried where the piece is told from a shadow by its light alone."""
_GLARE_MM: Final = 2.5
"""How far from where it is white the rim of glare may be taken for an edge."""
_BRIGHT_MM: Final = 1.2
"""Something brighter than the ground counts where it is at least this wide, and nearer to an edge than this."""
_FINE_MM: Final = 0.2
_FINE_PX: Final = 2.5
"""How far from the edge of the colours, which is seen coarsely, that of the brightness may lie: the longer of both."""
_COARSE_PX: Final = 0.4
_COARSE_WIDTH_PX: Final = 4.0
"""Standard uncertainty of an edge between colours of which the file keeps every second pixel, mixed as levels, and what
that adds to its width (measured on painted scenes of 150 to 300 dpi, saved both ways)."""


@noun
class PieceEdge:
    """The outer edge of a piece.

    Attributes
    ----------
    ring_px : (n, 2) float64
        Closed without repeating its first point.
    contrast : float
        How far piece and ground are apart, levels.
    lines_alike : bool
        Lines of the ground run up to the edge, and nothing tells them from the piece.
    along_lines : int
        Stretches of the edge that lie along such lines, as far as can be seen.
    many_coloured : bool
        Whether the piece has several colours next to its edge, as a printed card has.
    width_px, unsure_px : (n,) float64
        Width of the step at each point, 10 to 90 %; standard uncertainty of each point square to the edge.
    soft : (n,) bool
        Where the picture shows no step: glare, a shadow, or out of focus.
    glaring : float
        Part of the soft places at which the picture is white with light.
    unclear_tips : tuple of UnclearTip
        Sharp tips of which the picture does not tell how far they reach.
    beside_px : tuple of (m, 2) float64
        Other parts of what was taken for one piece, which nothing joins to this one.
    """

    ring_px: Floats
    contrast: float
    lines_alike: bool
    along_lines: int
    many_coloured: bool
    width_px: Floats
    unsure_px: Floats
    soft: Bools
    glaring: float
    unclear_tips: tuple[UnclearTip, ...]
    beside_px: tuple[Floats, ...]


def piece_contour(
    picture: Picture,
    regions: Regions,
    number: int,
    *,
    grain_mm: float,
    keep_out: Sequence[Floats] = (),
    point_px: tuple[float, float] | None = None,
) -> PieceEdge:
    """The outer edge of a piece.

    Parameters
    ----------
    number : int
        From 1.
    grain_mm : float
        Length of a pixel, mm.
    keep_out : sequence of (n, 2)
        Polygons in px that count as ground.
    point_px : (2,), optional
        Where what was taken for one piece falls apart, the part that holds this point is it; else the largest.

    Raises
    ------
    CaptureError
        If no closed edge is found.
    """
    crop = crop_of(picture, regions, number, grain_mm=grain_mm, least_pad=2 * BAND + 2)
    colours = colours_of(crop, colour_px=picture.colour_px)
    if colours.weight_is_colour and (shaded := _shaded_ground(crop)).any():
        crop = replace(crop, mask=crop.mask & (1 - shaded))
        colours = colours_of(crop, colour_px=picture.colour_px)
    point = None if point_px is None else crop.from_picture(np.array(point_px))
    seen = _seen(colours, keep_out=keep_out, point=point)
    if seen is None:
        raise CaptureError(f"piece {number} has no closed edge", where=picture.file)
    hidden = float(seen.soft.mean()) > _SOFT_AGAIN
    if (hidden or seen.unsure_px > _UNSURE_PX) and not (seen.colours.weight_is_colour or seen.colours.many):
        again = [
            _seen(colours, keep_out=keep_out, point=point, level=level)
            for colours, level in _beside_shadow(crop, picture.colour_px)
            if hidden or colours.weight_is_colour
        ]
        seen = min((seen, *filter(None, again)), key=lambda each: each.unsure_px)
    colours, lines, soft = seen.colours, seen.lines, seen.soft
    edge, tips = with_tips(seen.edge, seen.field, mixed=lines.mixed)
    glare = _glare(colours, edge.ring_px, soft=soft)
    soft = soft | glare
    return PieceEdge(
        ring_px=crop.in_picture(edge.ring_px),
        contrast=float(np.linalg.norm(colours.step)),
        lines_alike=lines.hidden is not None,
        along_lines=seen.along_lines,
        many_coloured=colours.many,
        width_px=edge.width_px * crop.times,
        unsure_px=np.hypot(edge.unsure_px, seen.inner_px / 2) * crop.times,
        soft=soft,
        glaring=float(glare.sum()) / max(1, int(soft.sum())),
        unclear_tips=tuple(
            UnclearTip(at_px=frozen(crop.in_picture(tip.at_px)), unsure_px=tip.unsure_px * crop.times)
            for tip in tips
        ),
        beside_px=tuple(frozen(crop.in_picture(part)) for part in seen.beside),
    )


def _glare(colours: Colours, ring_px: Floats, *, soft: Bools) -> Bools:
    """Where light lies over an edge, ``(n,)``: glare or, on a ground lighter than the piece, something brighter than that."""
    crop = colours.crop
    glare = glare_places(
        crop.levels,
        ring_px,
        soft=soft,
        piece=colours.under + colours.step,
        ground=colours.under,
        reach_px=_GLARE_MM / crop.grain_mm,
    )
    if float(colours.step.max()) < 0:
        glare |= bright_places(
            crop.enlarged(brighter_by(crop.small, crop.ground)),
            ring_px,
            own=filled(ring_px, crop.levels.shape) > 0,
            least_px=_BRIGHT_MM / crop.grain_mm,
            reach_px=_BRIGHT_MM / crop.grain_mm,
        )
    return glare


class _Seen(NamedTuple):
    """An edge before its tips are fitted, in px of the crop.

    ``field (h, w)`` is the field that shows it, ``soft (n,)`` where it shows no step, ``inner_px (n,)`` how far inside it another
    step lies, as behind a shadow's rim; ``beside`` are other parts that nothing joins to this one.
    """

    colours: Colours
    lines: LinesSeen
    edge: SteepestEdge
    field: Singles
    soft: Bools
    inner_px: Floats
    along_lines: int
    beside: list[Floats]

    @property
    def unsure_px(self) -> float:
        """Root mean square uncertainty of the edge's place; where it shows no step, half the step's width is added."""
        seen = self.edge.unsure_px + np.where(self.soft, self.edge.width_px / 2, 0.0)
        return float(np.sqrt((np.hypot(seen, self.inner_px / 2) ** 2).mean()))


def _seen(
    colours: Colours, *, keep_out: Sequence[Floats], point: Floats | None, level: float = _HALF
) -> _Seen | None:
    """The edge near a level line of the field that the colours give; None where that does not close."""
    crop = colours.crop
    lines = lines_seen(crop, colours, field=colours.first_field(), core=_core(crop))
    parts = parts_above(
        _forced(crop, lines.field - np.float32(level - _HALF), core=lines.core, keep_out=keep_out)
    )
    if not parts:
        return None
    ring, along_lines = lines.bridged(parts.pop(holding(parts, point)))
    edge, field, soft = _placed(colours, lines, ring)
    inner = inner_step_px(crop.levels, edge.ring_px, reach_mm=_SHADOW_MM, grain_mm=crop.grain_mm)
    return _Seen(colours, lines, edge, field, soft, inner, along_lines, parts)


def _beside_shadow(crop: Crop, colour_px: int) -> Iterator[tuple[Colours, float]]:
    """The colours and levels that may tell a piece from a shadow beside it: colour alone; where there is little, higher levels of light."""
    shaded = colours_of(crop, colour_px=colour_px, beyond_shadow=_core(crop))
    if shaded.weight_is_colour:
        yield shaded, _HALF
    if not shaded.weight_is_colour or shaded.faint_colour:
        yield from ((shaded.by_all(), level) for level in _LEVELS_BESIDE_SHADOW)


def _placed(colours: Colours, lines: LinesSeen, ring: Floats) -> tuple[SteepestEdge, Singles, Bools]:
    """The steepest edge near a level line, the field that shows it, and where it shows no step, ``(n,)``.

    Colours that the file keeps coarser than brightness were mixed as levels; where there were lines, only they
    tell the piece from these.
    """
    grain_mm = colours.crop.grain_mm
    coarse = colours.colour_px > 1 and lines.by_colour
    if colours.by_place:
        seen = lines.taken_from(colours.unlikeness(in_light=True))
    else:
        seen = lines.field if coarse else lines.taken_from(colours.part_of_light(lines.weight))
    edge = _edge(seen, ring, grain_mm=grain_mm)
    if coarse and lines.lines is None and (fine := _by_brightness(colours, edge)):
        (edge, seen), coarse = fine, False
    return _seen_coarsely(edge) if coarse else edge, seen, soft_places(edge)


def _edge(field: Singles, ring: Floats, *, grain_mm: float) -> SteepestEdge:
    """The steepest edge near a level line; further from it where a shadow has led the line astray."""
    look = _look_px(grain_mm)
    edge = blurred_edge(field, ring, reach_px=max(4.0, _REACH_MM / grain_mm), look_px=look)
    soft = float(soft_places(edge).mean())
    if soft < _SOFT_PART:
        return edge
    further = blurred_edge(field, ring, reach_px=max(8.0, _FAR_REACH_MM / grain_mm), look_px=look)
    return further if float(soft_places(further).mean()) < soft else edge


def _by_brightness(colours: Colours, edge: SteepestEdge) -> tuple[SteepestEdge, Singles] | None:
    """An edge that was found by colours, of which the file keeps every second pixel, as found by brightness, and its field.

    None where piece and ground are nearly as bright, or where a shadow takes the brightness's step away.
    """
    if abs(float(colours.step @ LUMA)) < LEAST_COLOUR:
        return None
    field, grain_mm = colours.part_of_light(LUMA), colours.crop.grain_mm
    reach_px = max(_FINE_PX, _FINE_MM / grain_mm)
    fine = blurred_edge(field, edge.ring_px, reach_px=reach_px, look_px=_look_px(grain_mm))
    softer = float(soft_places(fine).mean()) - float(soft_places(edge).mean())
    return (fine, field) if softer < _SOFT_PART else None


def _seen_coarsely(edge: SteepestEdge) -> SteepestEdge:
    """An edge found by colours of half the resolution: its uncertainty grows, and its width loses what that made of it."""
    own = np.sqrt(np.maximum(edge.width_px**2 - _COARSE_WIDTH_PX**2, 1.0))
    return replace(edge, width_px=frozen(own), unsure_px=frozen(np.hypot(edge.unsure_px, _COARSE_PX)))


def _look_px(grain_mm: float) -> float:
    return max(_LOOK_PX, _LOOK_MM / grain_mm)


def _forced(crop: Crop, field: Singles, *, core: Bytes, keep_out: Sequence[Floats]) -> Singles:
    """The field with what is surely the piece at 1, and what is surely not at 0."""
    import cv2

    reached = crop.shows(grown_by(crop.mask, BAND))
    tips = thin_tips(field, reached=reached, shrink=crop.shrink, grain_mm=crop.grain_mm)
    field = np.where(reached | tips, field, np.float32(0.0))
    field[crop.shows(core)] = 1.0
    for polygon in keep_out:
        cv2.fillPoly(field, [np.rint(crop.from_picture(polygon)).astype(np.int32)], 0.0)
    field[[0, -1]] = 0.0
    field[:, [0, -1]] = 0.0
    return field


def _core(crop: Crop) -> Bytes:
    """What is surely the piece: further inside than a shadow can reach, or at least inside."""
    shadow = round(_SHADOW_MM / (crop.grain_mm * crop.shrink))
    cores = (shrunk_by(crop.mask, by) for by in (max(shadow, BAND), BAND))
    return next((core for core in cores if core.any()), shrunk_by(crop.mask, 1))


def _shaded_ground(crop: Crop) -> Bytes:
    """1 where the mask of a piece that its colour tells holds ground in a shadow, ``(h, w)``; nowhere unless some would be taken for surely the piece.

    Such ground lacks light, else it were in no mask, and nothing else; and it is joined to what lies beside the mask.
    """
    outside = crop.mask == 0
    shaded = may_be_shadow(crop.small, crop.ground)
    shaded &= crop.small.sum(axis=2) < _SHADED * crop.ground.sum(axis=2)
    ground = opened((outside | shaded).astype(np.uint8), _LUMP_PX)
    found = parts_holding(ground, outside) & ~outside
    counts = found[_core(crop) > 0].any() and 2 * found.sum() < crop.mask.sum()
    return (found & counts).astype(np.uint8)
