"""Edges of a piece to a small part of a pixel.

The full picture is turned into a field that is 0 on the ground and 1 on the
piece, both taken from next to the edge; its level line at one half leads to the
edge, which is where the field falls most steeply nearby. Where a piece has a colour of its own, the field is made blind to
brightness, and with it to the shadow beside a cut edge; on a mat it is made
blind to the colour of the mat's lines, and where these are of the piece's own
colour its edge is carried on across them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from cradle.errors import CaptureError
from cradle.geometry.level_lines import closed_level_lines
from cradle.pictures.ground_lines import line_width, lines_of_ground, shows_lines
from cradle.pictures.hidden_edges import bridged, strips
from cradle.pictures.steepest import SteepestEdge, steepest
from cradle.pictures.unclear_edge import glare_places, soft_places

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Floats
    from cradle.pictures.image import Picture
    from cradle.pictures.regions import Regions

_BAND: Final = 3
"""Half width of the band in which the edge is looked for, small px."""
_AROUND_PX: Final = 48
"""Full px looked at round a region at least: lines of the ground must be long enough there to tell where they run."""
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
_LEAST_SHARE: Final = 0.2
_BLUR_PX: Final = 0.8


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
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
    """

    ring_px: Floats
    contrast: float
    lines_alike: bool
    along_lines: int
    width_px: Floats
    unsure_px: Floats
    soft: Bools
    glaring: float


@dataclass(frozen=True, slots=True, eq=False)
class _Crop:
    """The part of a picture round a piece: full levels, and the small copy's mask, levels and ground there."""

    levels: NDArray[np.uint8]
    mask: NDArray[np.uint8]
    small: NDArray[np.float32]
    ground: NDArray[np.float32]
    corner_px: tuple[int, int]
    full_from_small: Floats

    def enlarged(self, array: NDArray[np.float32]) -> NDArray[np.float32]:
        """An array of the small copy at every full pixel."""
        import cv2

        h, w = self.levels.shape[:2]
        flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        return np.asarray(
            cv2.warpAffine(array, self.full_from_small, (w, h), flags=flags, borderMode=cv2.BORDER_REPLICATE)
        )

    def shows(self, part: NDArray[np.uint8]) -> Bools:
        """Full pixels that a part of the small copy covers."""
        return np.asarray(self.enlarged(part.astype(np.float32)) > 0.5)


def piece_contour(
    picture: Picture,
    regions: Regions,
    number: int,
    *,
    keep_out: Sequence[Floats] = (),
    grain_mm: float | None = None,
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

    Raises
    ------
    CaptureError
        If no closed edge is found.
    """
    grain_mm = grain_mm or _PAPER_MM / max(picture.size_px)
    crop = _crop(picture, regions, number)
    colours = _Colours(crop)
    field = colours.field(colours.weight)
    core = _core(crop.mask, round(_SHADOW_MM / (grain_mm * regions.shrink)))
    lines = _lines_seen(crop, colours, field, core, regions.shrink)
    field = lines.field
    ring = largest_ring(_forced(crop, field, core=lines.core, keep_out=keep_out), level=0.5)
    if ring is None:
        raise CaptureError(f"piece {number} has no closed edge", where=picture.file)
    along_lines = 0
    if lines.hidden is not None:
        x, y = np.rint(ring).astype(np.int64).T
        ring, along_lines = bridged(ring, lines.hidden[y, x], most_px=lines.width_px + 1.5)
    edge = _edge(field, ring, grain_mm=grain_mm)
    soft = soft_places(edge)
    ground = np.asarray(np.median(crop.ground[colours.rim], axis=0), dtype=np.float64)
    glare = glare_places(
        crop.levels,
        edge.ring_px,
        soft=soft,
        piece=ground + colours.step,
        ground=ground,
        reach_px=_GLARE_MM / grain_mm,
    )
    soft |= glare
    return PieceEdge(
        ring_px=edge.ring_px + crop.corner_px,
        contrast=float(np.linalg.norm(colours.step)),
        lines_alike=lines.hidden is not None,
        along_lines=along_lines,
        width_px=edge.width_px,
        unsure_px=edge.unsure_px,
        soft=soft,
        glaring=float(glare.sum()) / max(1, int(soft.sum())),
    )


def _edge(field: NDArray[np.float32], ring: Floats, *, grain_mm: float) -> SteepestEdge:
    """The steepest edge near a level line; further from it where a shadow has led the line astray."""
    look = max(_LOOK_PX, _LOOK_MM / grain_mm)
    edge = steepest(field, ring, reach_px=max(4.0, _REACH_MM / grain_mm), look_px=look)
    soft = float(soft_places(edge).mean())
    if soft < _SOFT_PART:
        return edge
    further = steepest(field, ring, reach_px=max(8.0, _FAR_REACH_MM / grain_mm), look_px=look)
    return further if float(soft_places(further).mean()) < soft else edge


def _crop(picture: Picture, regions: Regions, number: int) -> _Crop:
    import cv2

    shrink = regions.shrink
    x, y, w, h = regions.boxes[number - 1]
    sh, sw = regions.labels.shape
    pad = max(2 * _BAND + 2, round(_AROUND_PX / shrink))
    x0, y0, x1, y1 = max(0, x - pad), max(0, y - pad), min(sw, x + w + pad), min(sh, y + h + pad)
    width, height = picture.size_px
    fx0, fy0 = int(np.floor(x0 * shrink)), int(np.floor(y0 * shrink))
    fx1, fy1 = min(width, int(np.ceil(x1 * shrink))), min(height, int(np.ceil(y1 * shrink)))
    levels = picture.levels[fy0:fy1, fx0:fx1]
    small = cv2.resize(levels, (x1 - x0, y1 - y0), interpolation=cv2.INTER_AREA).astype(np.float32)
    return _Crop(
        levels=levels,
        mask=_filled((regions.labels[y0:y1, x0:x1] == number).astype(np.uint8)),
        small=small.reshape(y1 - y0, x1 - x0, -1),
        ground=regions.ground[y0:y1, x0:x1],
        corner_px=(fx0, fy0),
        full_from_small=np.array(
            [
                [1 / shrink, 0, (fx0 + 0.5) / shrink - 0.5 - x0],
                [0, 1 / shrink, (fy0 + 0.5) / shrink - 0.5 - y0],
            ]
        ),
    )


class _Colours:
    """What tells a piece from its ground in a crop: levels of both near the edge, and how to weigh the channels."""

    def __init__(self, crop: _Crop) -> None:
        self.crop = crop
        self.own = _spread_out(crop.small, _shrunk_by(crop.mask, 1), 2.0 * _BAND)
        rim = (crop.mask > 0) & (_shrunk_by(crop.mask, _BAND) == 0)
        self.rim = rim if rim.any() else crop.mask > 0
        self.step = np.median((self.own - crop.ground)[self.rim], axis=0)
        self.weight = _weight(self.step, np.median(crop.ground[self.rim], axis=0))

    def field(self, weight: Floats) -> NDArray[np.float32]:
        """0 on the ground, 1 on the piece, its channels weighted, ``(h, w)``."""
        import cv2

        crop = self.crop
        rise = ((self.own - crop.ground) @ weight).astype(np.float32)
        typical = float(np.median(rise[self.rim]))
        rise = np.clip(rise, 0.4 * typical, 2.5 * typical)
        seen = np.zeros(crop.levels.shape[:2], np.float32)
        for channel, share in enumerate(weight.tolist()):
            seen += np.float32(share) * crop.levels[..., channel]
        blurred = cv2.GaussianBlur(seen, (0, 0), _BLUR_PX) - crop.enlarged(
            (crop.ground @ weight).astype(np.float32)
        )
        return np.asarray(blurred / crop.enlarged(rise))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _LinesSeen:
    """The field once thin lines of the ground are dealt with, what is surely the piece, and what lines hide."""

    field: NDArray[np.float32]
    core: NDArray[np.uint8]
    hidden: Bools | None = None
    width_px: float = 0.0


def _lines_seen(
    crop: _Crop,
    colours: _Colours,
    field: NDArray[np.float32],
    core: NDArray[np.uint8],
    shrink: float,
) -> _LinesSeen:
    """The field made blind to the colour of the ground's lines, or with them taken away."""
    import cv2

    deep = _shrunk_by(crop.mask, _DEEP)
    far = _grown_by(crop.mask, _BAND - 1) == 0
    inside, beyond = crop.shows(deep), crop.shows(far.astype(np.uint8))
    lines = lines_of_ground(field, own=inside, far=beyond, shrink=shrink)
    if lines is None:
        thin = shows_lines(crop.small, ground=crop.ground, step=colours.step, far=far)
        return _LinesSeen(field=field, core=deep if thin else core)
    at, opened = lines
    seen_as = np.median(crop.levels[at & beyond], axis=0) - np.median(crop.ground[far], axis=0)
    blind = colours.step - (colours.step @ seen_as) * seen_as / max(float(seen_as @ seen_as), 1e-6)
    strength = float(np.linalg.norm(blind))
    if len(blind) == 3 and strength > _LEAST_COLOUR:
        return _LinesSeen(field=colours.field(blind / strength), core=deep)
    wide = cv2.dilate(at.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    width = line_width(at)
    return _LinesSeen(
        field=np.where(wide & ~inside, opened, field),
        core=deep,
        hidden=strips(at, wide_px=width + 4.0),
        width_px=width,
    )


def _forced(
    crop: _Crop, field: NDArray[np.float32], *, core: NDArray[np.uint8], keep_out: Sequence[Floats]
) -> NDArray[np.float32]:
    """The field with what is surely the piece at 1, and what is surely not at 0."""
    import cv2

    field = field.copy()
    field[crop.shows(core)] = 1.0
    field[~crop.shows(_grown_by(crop.mask, _BAND))] = 0.0
    for polygon in keep_out:
        cv2.fillPoly(field, [np.rint(polygon - np.array(crop.corner_px)).astype(np.int32)], 0.0)
    field[[0, -1]] = 0.0
    field[:, [0, -1]] = 0.0
    return field


def _core(mask: NDArray[np.uint8], shadow: int) -> NDArray[np.uint8]:
    """What is surely the piece: further inside than a shadow can reach, or at least inside."""
    for by in (max(shadow, _BAND), _BAND):
        core = _shrunk_by(mask, by)
        if core.any():
            return core
    return _shrunk_by(mask, 1)


def _shrunk_by(mask: NDArray[np.uint8], by: int) -> NDArray[np.uint8]:
    import cv2

    return np.asarray(
        cv2.erode(mask, np.ones((2 * by + 1, 2 * by + 1), np.uint8), borderValue=0), dtype=np.uint8
    )


def _grown_by(mask: NDArray[np.uint8], by: int) -> NDArray[np.uint8]:
    import cv2

    return np.asarray(cv2.dilate(mask, np.ones((2 * by + 1, 2 * by + 1), np.uint8)), dtype=np.uint8)


def largest_ring(field: NDArray[np.float32], *, level: float) -> Floats | None:
    """The closed level line that encloses most, ``(n, 2)`` px, or None."""
    rings = closed_level_lines(field, level=level)
    return max(rings, key=lambda ring: abs(_area(ring)), default=None)


def _area(ring: Floats) -> float:
    x, y = ring[:, 0], ring[:, 1]
    return 0.5 * float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum())


def _weight(step: Floats, ground: Floats) -> Floats:
    """What the channels count for: the direction from ground to piece, without brightness if colour will do.

    A shadow scales the ground's colour; a direction square to it does not see shadows.
    """
    size = float(np.linalg.norm(step))
    if len(step) < 3:
        return np.sign(step) if size else np.ones(1)
    bright = ground / max(float(np.linalg.norm(ground)), 1e-6)
    colour = step - (step @ bright) * bright
    strength = float(np.linalg.norm(colour))
    used = colour if strength > _LEAST_COLOUR and strength > _LEAST_SHARE * size else step
    return np.asarray(used / max(float(np.linalg.norm(used)), 1e-6))


def _spread_out(levels: NDArray[np.float32], mask: NDArray[np.uint8], sigma: float) -> NDArray[np.float32]:
    """The piece's levels near each place, carried on beyond its edge."""
    import cv2

    weight = mask.astype(np.float32)
    total = cv2.GaussianBlur(weight, (0, 0), sigma)
    summed = cv2.GaussianBlur(levels * weight[..., None], (0, 0), sigma).reshape(levels.shape)
    middle = np.median(levels[mask > 0], axis=0) if mask.any() else np.median(levels, axis=(0, 1))
    return np.asarray((summed + 1e-3 * middle) / (total + 1e-3)[..., None], dtype=np.float32)


def _filled(mask: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The mask with its holes filled: what lies on a piece belongs to it."""
    import cv2

    rings, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    out = np.zeros_like(mask)
    cv2.drawContours(out, rings, -1, 1, cv2.FILLED)
    return out
