"""Edges of a piece to a small part of a pixel.

The full picture is turned into a field that is 0 on the ground and 1 on the
piece, both taken from next to the edge; its level line at one half leads to the
edge, which is where the light that the field stands for falls most steeply nearby. Where a piece has a colour of its own, the field is made blind to
brightness, and with it to the shadow beside a cut edge; on a mat it is made
blind to the colour of the mat's lines, and where these are of the piece's own
colour its edge is carried on across them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from cradle.errors import CaptureError
from cradle.geometry.arrays import Floats, frozen
from cradle.noun import noun
from cradle.pictures.crop import Crop, crop_of
from cradle.pictures.ground_lines import GroundLines, line_width, lines_of_ground, shows_lines
from cradle.pictures.hidden_edges import bridged, strips
from cradle.pictures.light import light_scale
from cradle.pictures.masks import grown_by, shrunk_by
from cradle.pictures.parts import holding, parts_above
from cradle.pictures.second_step import inner_step_px
from cradle.pictures.steepest import SteepestEdge, steepest
from cradle.pictures.thin_tips import thin_tips
from cradle.pictures.tips import UnclearTip, with_tips
from cradle.pictures.unclear_edge import glare_places, soft_places

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools
    from cradle.pictures.image import Picture
    from cradle.pictures.regions import Regions

_BAND: Final = 3
"""Half width of the band in which the edge is looked for, small px."""
_SHADOW_MM: Final = 4.0
"""How far inside a region its piece surely is: a deep shadow counts as the piece at first."""
_PAPER_MM: Final = 297.0
_REACH_MM: Final = 1.2
"""How far from the level line the step of the edge may lie."""
_FAR_REACH_MM: Final = 5.0
"""The same where much of the line lies on no step."""
_LOOK_MM: Final = 0.35
_LOOK_PX: Final = 4.0
_SOFT_PART: Final = 0.03
_GLARE_MM: Final = 2.5
"""How far from where it is white the rim of glare may be taken for an edge."""
_DEEP: Final = 10
"""The same where lines of the ground run up to the piece: where they cross, the mask takes in what lies between."""
_LEAST_COLOUR: Final = 45.0
"""Levels by which colours must differ, brightness aside, to be used alone."""
_COLOUR_BESIDE_PRINT: Final = 20.0
"""The same beside letters, which hide more of an edge than noise does."""
_BESIDE_LETTER_PX: Final = 4
"""So near to a letter the edge is not seen."""
_LEAST_SHARE: Final = 0.2
_BLUR_PX: Final = 0.8
_LUMA: Final = frozen([0.299, 0.587, 0.114])
"""Brightness by channels, as files keep it (ITU-R BT.601)."""
_FINE_MM: Final = 0.2
_FINE_PX: Final = 2.5
"""How far from the edge of the colours, which is seen coarsely, that of the brightness may lie."""
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
    width_px, unsure_px : (n,) float64
        Of the step at each point, 10 to 90 %; standard uncertainty of each point square to the edge.
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
    width_px: Floats
    unsure_px: Floats
    soft: Bools
    glaring: float
    unclear_tips: tuple[UnclearTip, ...] = ()
    beside_px: tuple[Floats, ...] = ()


def piece_contour(
    picture: Picture,
    regions: Regions,
    number: int,
    *,
    keep_out: Sequence[Floats] = (),
    grain_mm: float | None = None,
    point_px: tuple[float, float] | None = None,
) -> PieceEdge:
    """The outer edge of a piece.

    Parameters
    ----------
    picture : Picture
    regions : Regions
    number : int
        From 1.
    keep_out : sequence of (n, 2)
        Polygons in px that count as ground.
    grain_mm : float, optional
        Length of a pixel, mm; left out, the picture is taken to be as wide as a sheet of paper.
    point_px : (2,), optional
        Where what was taken for one piece falls apart, the part that holds this point is it; else the largest.

    Raises
    ------
    CaptureError
        If no closed edge is found.
    """
    grain_mm = grain_mm or _PAPER_MM / max(picture.size_px)
    crop = crop_of(picture, regions, number, grain_mm=grain_mm, least_pad=2 * _BAND + 2)
    grain_mm *= crop.times
    shrink = regions.shrink / crop.times
    colours = _Colours(crop)
    field = colours.cautious(colours.weight) if picture.colour_px == 1 else colours.field(colours.weight)
    core = _core(crop.mask, round(_SHADOW_MM / (grain_mm * shrink)))
    lines = _lines_seen(crop, colours, field, core, shrink, grain_mm)
    parts = parts_above(
        _forced(crop, lines.field, core=lines.core, keep_out=keep_out, grain_mm=grain_mm), level=0.5
    )
    if not parts:
        raise CaptureError(f"piece {number} has no closed edge", where=picture.file)
    ring = parts.pop(holding(parts, None if point_px is None else crop.from_picture(np.array(point_px))))
    along_lines = 0
    if lines.hidden is not None:
        x, y = np.rint(ring).astype(np.int64).T
        ring, along_lines = bridged(ring, lines.hidden[y, x], most_px=lines.width_px + 1.5)
    coarse = picture.colour_px > 1 and (colours.weight_is_colour or lines.weight is not colours.weight)
    seen = lines.field if coarse else lines.taken_from(colours.part_of_light(lines.weight))
    edge = _edge(seen, ring, grain_mm=grain_mm)
    if coarse and lines.field is field and (fine := _by_brightness(colours, edge, grain_mm=grain_mm)):
        (edge, seen), coarse = fine, False
    soft = soft_places(edge)
    edge, tips = with_tips(_seen_coarsely(edge) if coarse else edge, seen)
    glare = glare_places(
        crop.levels,
        edge.ring_px,
        soft=soft,
        piece=colours.under + colours.step,
        ground=colours.under,
        reach_px=_GLARE_MM / grain_mm,
    )
    soft |= glare
    inner = inner_step_px(crop.levels, edge.ring_px, reach_mm=_SHADOW_MM, grain_mm=grain_mm)
    return PieceEdge(
        ring_px=crop.in_picture(edge.ring_px),
        contrast=float(np.linalg.norm(colours.step)),
        lines_alike=lines.hidden is not None,
        along_lines=along_lines,
        width_px=edge.width_px * crop.times,
        unsure_px=np.hypot(edge.unsure_px, inner / 2) * crop.times,
        soft=soft,
        glaring=float(glare.sum()) / max(1, int(soft.sum())),
        unclear_tips=tuple(
            UnclearTip(at_px=frozen(crop.in_picture(tip.at_px)), unsure_px=tip.unsure_px * crop.times)
            for tip in tips
        ),
        beside_px=tuple(frozen(crop.in_picture(part)) for part in parts),
    )


def _edge(field: NDArray[np.float32], ring: Floats, *, grain_mm: float) -> SteepestEdge:
    """The steepest edge near a level line; further from it where a shadow has led the line astray."""
    look = _look_px(grain_mm)
    edge = steepest(field, ring, reach_px=max(4.0, _REACH_MM / grain_mm), look_px=look)
    soft = float(soft_places(edge).mean())
    if soft < _SOFT_PART:
        return edge
    further = steepest(field, ring, reach_px=max(8.0, _FAR_REACH_MM / grain_mm), look_px=look)
    return further if float(soft_places(further).mean()) < soft else edge


def _by_brightness(
    colours: _Colours, edge: SteepestEdge, *, grain_mm: float
) -> tuple[SteepestEdge, NDArray[np.float32]] | None:
    """The edge of the brightness next to that of the colours, of which the file keeps every second pixel, and its field.

    None where piece and ground are nearly as bright, or where a shadow takes the brightness's step away.
    """
    if abs(float(colours.step @ _LUMA)) < _LEAST_COLOUR:
        return None
    field = colours.part_of_light(_LUMA)
    fine = steepest(
        field,
        edge.ring_px,
        reach_px=max(_FINE_PX, _FINE_MM / grain_mm),
        look_px=_look_px(grain_mm),
    )
    softer = float(soft_places(fine).mean()) - float(soft_places(edge).mean())
    return (fine, field) if softer < _SOFT_PART else None


def _seen_coarsely(edge: SteepestEdge) -> SteepestEdge:
    """An edge of coarse colours, which were mixed as levels: less sure for it, and without what made its step wider."""
    own = np.sqrt(np.maximum(edge.width_px**2 - _COARSE_WIDTH_PX**2, 1.0))
    return replace(edge, width_px=frozen(own), unsure_px=frozen(np.hypot(edge.unsure_px, _COARSE_PX)))


def _look_px(grain_mm: float) -> float:
    return max(_LOOK_PX, _LOOK_MM / grain_mm)


class _Colours:
    """What tells a piece from its ground in a crop: levels of both near the edge, and how to weigh the channels."""

    def __init__(self, crop: Crop) -> None:
        self.crop = crop
        self.own = _spread_out(crop.small, shrunk_by(crop.mask, 1), 2.0 * _BAND)
        rim = (crop.mask > 0) & (shrunk_by(crop.mask, _BAND) == 0)
        self.rim = rim if rim.any() else crop.mask > 0
        self.step = np.median((self.own - crop.ground)[self.rim], axis=0)
        self.under = np.asarray(np.median(crop.ground[self.rim], axis=0), dtype=np.float64)
        colour = _colour_alone(self.step, self.under)
        self.weight_is_colour = colour is not None
        used = self.step if colour is None else colour
        self.weight = np.asarray(used / max(float(np.linalg.norm(used)), 1e-6))

    def field(self, weight: Floats) -> NDArray[np.float32]:
        """0 on the ground, 1 on the piece, its channels weighted, ``(h, w)``."""
        return _blurred(self._seen(weight))

    def part_of_light(self, weight: Floats) -> NDArray[np.float32]:
        """The same of the light that the levels stand for, which is what an edge mixes, where they tell it."""
        seen = self._seen(weight)
        scale = light_scale(ground=self.under, piece=self.under + self.step, weight=weight)
        return _blurred(seen if scale is None else scale.light(seen))

    def cautious(self, weight: Floats) -> NDArray[np.float32]:
        """The field by light or by levels, whichever makes less of what is not the piece.

        In levels light lines swell, by light a shadow on the ground is nearer to a dark piece.
        """
        return self.part_of_light(weight) if float(self.step.sum()) > 0 else self.field(weight)

    def _seen(self, weight: Floats) -> NDArray[np.float32]:
        crop = self.crop
        rise = ((self.own - crop.ground) @ weight).astype(np.float32)
        typical = float(np.median(rise[self.rim]))
        rise = typical * np.clip(rise / typical, 0.4, 2.5)
        seen = np.zeros(crop.levels.shape[:2], np.float32)
        for channel, share in enumerate(weight.tolist()):
            seen += np.float32(share) * crop.levels[..., channel]
        seen -= crop.enlarged((crop.ground @ weight).astype(np.float32))
        seen /= crop.enlarged(rise)
        return seen


def _blurred(field: NDArray[np.float32]) -> NDArray[np.float32]:
    import cv2

    return np.asarray(cv2.GaussianBlur(field, (0, 0), _BLUR_PX))


@noun
class _LinesSeen:
    """The field once thin lines of the ground are dealt with, what is surely the piece, and what lines hide."""

    field: NDArray[np.float32]
    weight: Floats
    core: NDArray[np.uint8]
    lines: GroundLines | None = None
    away: Bools | None = None
    """Where lines were taken out of the field."""
    hidden: Bools | None = None
    width_px: float = 0.0

    def taken_from(self, field: NDArray[np.float32]) -> NDArray[np.float32]:
        """Another field of the same crop without the lines."""
        return field if self.lines is None or self.away is None else self.lines.taken_from(field, self.away)


def _lines_seen(
    crop: Crop,
    colours: _Colours,
    field: NDArray[np.float32],
    core: NDArray[np.uint8],
    shrink: float,
    grain_mm: float,
) -> _LinesSeen:
    """The field made blind to the colour of the ground's lines, or with them taken away."""
    import cv2

    deep = shrunk_by(crop.mask, _DEEP)
    far = grown_by(crop.mask, _BAND - 1) == 0
    inside, beyond = crop.shows(deep), crop.shows(far.astype(np.uint8))
    lines = lines_of_ground(field, own=inside, far=beyond, shrink=shrink, grain_mm=grain_mm)
    if lines is None:
        thin = shows_lines(crop.small, ground=crop.ground, step=colours.step, far=far)
        return _LinesSeen(field=field, weight=colours.weight, core=deep if thin else core)
    at = lines.at
    seen_as = np.median(crop.levels[at & beyond], axis=0) - np.median(crop.ground[far], axis=0)
    blind = colours.step - (colours.step @ seen_as) * seen_as / max(float(seen_as @ seen_as), 1e-6)
    strength = float(np.linalg.norm(blind))
    if len(blind) == 3 and strength > (_COLOUR_BESIDE_PRINT if lines.letters else _LEAST_COLOUR):
        return _LinesSeen(field=colours.field(blind / strength), weight=blind / strength, core=deep)
    wide = cv2.dilate(at.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    width = line_width(at)
    seen = _LinesSeen(
        field=field,
        weight=colours.weight,
        core=deep,
        lines=lines,
        away=wide & ~inside,
        hidden=grown_by(at.astype(np.uint8), _BESIDE_LETTER_PX) > 0
        if lines.letters
        else strips(at, wide_px=width + 4.0),
        width_px=width,
    )
    return replace(seen, field=seen.taken_from(field))


def _forced(
    crop: Crop,
    field: NDArray[np.float32],
    *,
    core: NDArray[np.uint8],
    keep_out: Sequence[Floats],
    grain_mm: float,
) -> NDArray[np.float32]:
    """The field with what is surely the piece at 1, and what is surely not at 0."""
    import cv2

    reached = crop.shows(grown_by(crop.mask, _BAND))
    field = np.where(reached | thin_tips(field, reached=reached, grain_mm=grain_mm), field, np.float32(0.0))
    field[crop.shows(core)] = 1.0
    for polygon in keep_out:
        cv2.fillPoly(field, [np.rint(crop.from_picture(polygon)).astype(np.int32)], 0.0)
    field[[0, -1]] = 0.0
    field[:, [0, -1]] = 0.0
    return field


def _core(mask: NDArray[np.uint8], shadow: int) -> NDArray[np.uint8]:
    """What is surely the piece: further inside than a shadow can reach, or at least inside."""
    for by in (max(shadow, _BAND), _BAND):
        core = shrunk_by(mask, by)
        if core.any():
            return core
    return shrunk_by(mask, 1)


def _colour_alone(step: Floats, ground: Floats) -> Floats | None:
    """The part of the step from ground to piece without brightness, levels; None where it will not do alone.

    A shadow scales the ground's colour; a direction square to it does not see shadows.
    """
    if len(step) < 3:
        return None
    bright = ground / max(float(np.linalg.norm(ground)), 1e-6)
    colour = step - (step @ bright) * bright
    strength = float(np.linalg.norm(colour))
    least = max(_LEAST_COLOUR, _LEAST_SHARE * float(np.linalg.norm(step)))
    return np.asarray(colour) if strength > least else None


def _spread_out(levels: NDArray[np.float32], mask: NDArray[np.uint8], sigma: float) -> NDArray[np.float32]:
    """The piece's levels near each place, carried on beyond its edge."""
    import cv2

    weight = mask.astype(np.float32)
    total = cv2.GaussianBlur(weight, (0, 0), sigma)
    summed = cv2.GaussianBlur(levels * weight[..., None], (0, 0), sigma).reshape(levels.shape)
    middle = np.median(levels[mask > 0], axis=0) if mask.any() else np.median(levels, axis=(0, 1))
    return np.asarray((summed + 1e-3 * middle) / (total + 1e-3)[..., None], dtype=np.float32)
