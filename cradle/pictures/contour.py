"""Edges of a piece to a small part of a pixel.

The full picture is turned into a field that is 0 on the ground and 1 on the
piece, both taken from next to the edge; its level line at one half is the
edge. Where a piece has a colour of its own, the field is made blind to
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

if TYPE_CHECKING:
    from cradle.geometry.arrays import Floats
    from cradle.pictures.image import Picture
    from cradle.pictures.regions import Regions

_BAND: Final = 3
"""Half width of the band in which the edge is looked for, small px."""
_DEEP: Final = 10
"""The same where lines of the ground run up to the piece: where they cross, the mask takes in what lies between."""
_LEAST_COLOUR: Final = 45.0
"""Levels by which colours must differ, brightness aside, to be used alone."""
_LEAST_SHARE: Final = 0.2
_BLUR_PX: Final = 0.8


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PieceEdge:
    """The outer edge of a piece.

    ``ring_px (n, 2)`` is closed without repeating its first point; ``contrast``
    is how far piece and ground are apart, levels. ``lines_alike``: lines of the
    ground run up to the edge, and nothing tells them from the piece.
    """

    ring_px: Floats
    contrast: float
    lines_alike: bool


def piece_contour(
    picture: Picture, regions: Regions, number: int, *, keep_out: Sequence[Floats] = ()
) -> PieceEdge:
    """Return the outer edge of a piece.

    Parameters
    ----------
    picture : Picture
    regions : Regions
    number : int
        From 1.
    keep_out : sequence of (n, 2)
        Polygons in px that count as ground.

    Raises
    ------
    CaptureError
        If no closed edge is found.
    """
    import cv2

    shrink = regions.shrink
    x, y, w, h = regions.boxes[number - 1]
    sh, sw = regions.labels.shape
    pad = 2 * _BAND + 2
    x0, y0, x1, y1 = max(0, x - pad), max(0, y - pad), min(sw, x + w + pad), min(sh, y + h + pad)
    mask = (regions.labels[y0:y1, x0:x1] == number).astype(np.uint8)
    mask = _filled(mask)
    width, height = picture.size_px
    fx0, fy0 = int(np.floor(x0 * shrink)), int(np.floor(y0 * shrink))
    fx1, fy1 = min(width, int(np.ceil(x1 * shrink))), min(height, int(np.ceil(y1 * shrink)))
    # where full pixel centres lie in the small crop
    matrix = np.array(
        [
            [1 / shrink, 0, (fx0 + 0.5) / shrink - 0.5 - x0],
            [0, 1 / shrink, (fy0 + 0.5) / shrink - 0.5 - y0],
        ]
    )
    size = (fx1 - fx0, fy1 - fy0)

    def enlarged(array: NDArray[np.float32]) -> NDArray[np.float32]:
        flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        return np.asarray(cv2.warpAffine(array, matrix, size, flags=flags, borderMode=cv2.BORDER_REPLICATE))

    kernel = np.ones((2 * _BAND + 1, 2 * _BAND + 1), np.uint8)
    core = cv2.erode(mask, kernel, borderValue=0)
    around = cv2.dilate(mask, kernel)
    if not core.any():
        core = cv2.erode(mask, np.ones((3, 3), np.uint8), borderValue=0)
    far = cv2.dilate(mask, np.ones((2 * _BAND - 1, 2 * _BAND - 1), np.uint8)) == 0
    levels = picture.levels[fy0:fy1, fx0:fx1]
    near_core = np.asarray(cv2.erode(mask, np.ones((3, 3), np.uint8), borderValue=0), dtype=np.uint8)
    small = cv2.resize(levels, (x1 - x0, y1 - y0), interpolation=cv2.INTER_AREA).astype(np.float32)
    small = small.reshape(y1 - y0, x1 - x0, -1)
    ground = regions.ground[y0:y1, x0:x1]
    own = _spread_out(small, near_core, 2.0 * _BAND)
    rim = (mask > 0) & (core == 0)
    step = (
        np.median((own - ground)[rim], axis=0) if rim.any() else np.median((own - ground)[mask > 0], axis=0)
    )
    weight = _weight(step, np.median(ground[rim if rim.any() else mask > 0], axis=0))

    def field_by(weight: Floats) -> NDArray[np.float32]:
        """0 on the ground, 1 on the piece, its channels weighted."""
        rise = ((own - ground) @ weight).astype(np.float32)
        typical = float(np.median(rise[rim if rim.any() else mask > 0]))
        rise = np.clip(rise, 0.4 * typical, 2.5 * typical)
        seen = np.tensordot(levels.astype(np.float32), weight.astype(np.float32), axes=([2], [0]))
        blurred = cv2.GaussianBlur(seen, (0, 0), _BLUR_PX)
        return np.asarray((blurred - enlarged((ground @ weight).astype(np.float32))) / enlarged(rise))

    field = field_by(weight)
    lines_alike, hidden, line_px = False, None, 0.0
    deep = cv2.erode(mask, np.ones((2 * _DEEP + 1, 2 * _DEEP + 1), np.uint8), borderValue=0)
    inside, beyond = (enlarged(part.astype(np.float32)) > 0.5 for part in (deep, far))
    lines = lines_of_ground(field, own=inside, far=beyond, shrink=shrink)
    if lines is not None:
        at, opened = lines
        seen_as = np.median(levels[at & beyond], axis=0) - np.median(ground[far], axis=0)
        blind = step - (step @ seen_as) * seen_as / max(float(seen_as @ seen_as), 1e-6)
        strength = float(np.linalg.norm(blind))
        if len(step) == 3 and strength > _LEAST_COLOUR:
            field = field_by(blind / strength)
        else:
            lines_alike = True
            line_px = line_width(at)
            hidden = strips(at, wide_px=line_px + 4.0)
            wide = cv2.dilate(at.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
            field = np.where(wide & ~inside, opened, field)
    if lines is not None or shows_lines(small, ground=ground, step=step, far=far):
        core = deep
    field[enlarged(core.astype(np.float32)) > 0.5] = 1.0
    field[enlarged(around.astype(np.float32)) < 0.5] = 0.0
    for polygon in keep_out:
        corner = np.rint(polygon - [fx0, fy0]).astype(np.int32)
        cv2.fillPoly(field, [corner], 0.0)
    field[[0, -1]] = 0.0
    field[:, [0, -1]] = 0.0
    ring = largest_ring(field, level=0.5)
    if ring is None:
        raise CaptureError(f"piece {number} has no closed edge", where=picture.file)
    if hidden is not None:
        x, y = np.rint(ring).astype(np.int64).T
        ring = bridged(ring, hidden[y, x], most_px=line_px + 1.5)
    return PieceEdge(ring_px=ring + [fx0, fy0], contrast=float(np.linalg.norm(step)), lines_alike=lines_alike)


def largest_ring(field: NDArray[np.float32], *, level: float) -> Floats | None:
    """Return the closed level line that encloses most, ``(n, 2)`` px, or None."""
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
