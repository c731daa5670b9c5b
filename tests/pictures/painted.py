"""A painted table top, and how a scanner or a camera sees it: pictures whose truth is known, made to be hard.

Unlike the pictures of the examples, things are painted into one large raster in mm, with light, grain,
shadows that reach far, and glare, and only then seen. x to the right, y up, mm.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import cv2
import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from numpy.typing import ArrayLike, NDArray

Colour = tuple[float, float, float]
WHITE: Colour = (244, 244, 241)
LID: Colour = (251, 251, 251)
INK: Colour = (28, 28, 32)
KRAFT: Colour = (176, 138, 98)
GREY: Colour = (150, 150, 152)
BLACK: Colour = (34, 33, 35)
OAK: Colour = (168, 124, 82)


@dataclass(eq=False)
class Table:
    """What lies on a table: an image ``(h, w, 3)`` of levels, its lower left corner at the origin."""

    width_mm: float
    height_mm: float
    per_mm: float
    colour: Colour = LID
    seed: int = 0
    levels: NDArray[np.float32] = field(init=False)

    def __post_init__(self) -> None:
        size = (round(self.height_mm * self.per_mm), round(self.width_mm * self.per_mm))
        self.levels = np.ones((*size, 3), np.float32) * np.array(self.colour, np.float32)
        self.random = np.random.default_rng(self.seed)

    def px(self, points_mm: ArrayLike) -> NDArray[np.float64]:
        """Raster places of points in mm."""
        xy = np.asarray(points_mm, dtype=np.float64).reshape(-1, 2)
        return np.column_stack(
            [xy[:, 0] * self.per_mm - 0.5, (self.height_mm - xy[:, 1]) * self.per_mm - 0.5]
        )

    def cover(self, *rings_mm: ArrayLike) -> NDArray[np.float32]:
        """How much of each pixel rings cover, 0 to 1 (odd-even), by exact area."""
        from matplotlib.backends.backend_agg import RendererAgg
        from matplotlib.path import Path as Curve
        from matplotlib.transforms import IdentityTransform

        mask = np.zeros(self.levels.shape[:2], np.float32)
        at = [self.px(ring) + 0.5 for ring in rings_mm]
        every = np.concatenate(at)
        (x0, y0), (x1, y1) = (every.min(axis=0).astype(int) - 2).clip(0), every.max(axis=0).astype(int) + 3
        x1, y1 = min(x1, mask.shape[1]), min(y1, mask.shape[0])
        if x1 <= x0 or y1 <= y0:
            return mask
        renderer = RendererAgg(x1 - x0, y1 - y0, 72)
        gc = renderer.new_gc()
        gc.set_linewidth(0)
        corners, codes = [], []
        for ring in at:
            own = ring - [x0, y0]
            own[:, 1] = (y1 - y0) - own[:, 1]  # Agg counts upwards
            corners += [own, own[:1]]
            codes += [[Curve.MOVETO], [Curve.LINETO] * (len(own) - 1), [Curve.CLOSEPOLY]]
        path = Curve(np.concatenate(corners), np.concatenate(codes))
        path.should_simplify = False
        renderer.draw_path(gc, path, IdentityTransform(), (0.0, 0.0, 0.0))
        mask[y0:y1, x0:x1] = np.asarray(renderer.buffer_rgba())[..., 3].astype(np.float32) / 255
        return mask

    def paint(
        self, *rings_mm: ArrayLike, colour: Colour, alpha: float = 1.0, texture: Any = None
    ) -> NDArray[np.float32]:
        """Fill rings, return their cover."""
        cover = self.cover(*rings_mm)
        x, y, w, h = cv2.boundingRect((cover > 0).astype(np.uint8))
        part = (slice(y, y + h), slice(x, x + w))
        over = np.ones((h, w, 3), np.float32) * np.array(colour, np.float32)
        if texture is not None:
            over += texture((h, w), self.per_mm, self.random)[..., None]
        share = (cover[part] * alpha)[..., None]
        self.levels[part] = self.levels[part] * (1 - share) + over * share
        return cover

    def shade(self, ring_mm: ArrayLike, *, by_mm: tuple[float, float], soft_mm: float, depth: float) -> None:
        """Darken by ``depth`` (0 to 1) where a thing's shadow, moved and softened, falls; paint the thing afterwards."""
        cover = self.cover(np.asarray(ring_mm, dtype=np.float64) + by_mm)
        step = max(1, int(soft_mm * self.per_mm / 4))
        small = cv2.resize(cover, None, fx=1 / step, fy=1 / step, interpolation=cv2.INTER_AREA)
        small = cv2.GaussianBlur(small, (0, 0), max(0.3, soft_mm * self.per_mm / step))
        soft = cv2.resize(small, cover.shape[::-1], interpolation=cv2.INTER_LINEAR)
        self.levels *= (1 - depth * soft)[..., None]

    def line(
        self, ring_mm: ArrayLike, *, width_mm: float, colour: Colour, darkness: Any = 0.8, closed: bool = True
    ) -> None:
        """A stroke along a ring; ``darkness`` a number, or one for each point."""
        ring = np.asarray(ring_mm, dtype=np.float64)
        mask = np.zeros(self.levels.shape[:2], np.float32)
        stops = np.concatenate([ring, ring[:1]]) if closed else ring
        strengths = np.broadcast_to(darkness, len(stops) if np.ndim(darkness) == 0 else len(ring))
        wide = max(1, round(width_mm * self.per_mm))
        at = np.rint(self.px(stops) * 256).astype(np.int64)
        for k in range(len(stops) - 1):
            part = np.zeros_like(mask, dtype=np.uint8) if np.ndim(darkness) else None
            if part is None:
                continue
            x0, y0 = (at[[k, k + 1]].min(axis=0) // 256 - wide - 2).clip(0)
            x1, y1 = at[[k, k + 1]].max(axis=0) // 256 + wide + 3
            tile = np.zeros(mask[y0:y1, x0:x1].shape, np.uint8)
            if tile.size:
                a, b = (at[j] - np.array([x0, y0]) * 256 for j in (k, k + 1))
                cv2.line(tile, a.tolist(), b.tolist(), 255, wide, cv2.LINE_AA, 8)
                seen = tile.astype(np.float32) / 255 * float(strengths[k % len(strengths)])
                mask[y0:y1, x0:x1] = np.maximum(mask[y0:y1, x0:x1], seen)
        if not np.ndim(darkness):
            whole = np.zeros(mask.shape, np.uint8)
            cv2.polylines(whole, [at.astype(np.int32)], False, 255, wide, cv2.LINE_AA, 8)
            mask = whole.astype(np.float32) / 255 * float(darkness)
        self.levels = self.levels * (1 - mask[..., None]) + np.array(colour, np.float32) * mask[..., None]

    def glare(self, at_mm: tuple[float, float], *, radius_mm: float, strength: float = 260.0) -> None:
        """A reflection of a lamp: levels rise until they are white."""
        y, x = np.mgrid[0 : self.levels.shape[0], 0 : self.levels.shape[1]].astype(np.float32)
        cx, cy = self.px([at_mm])[0]
        away2 = ((x - cx) ** 2 + (y - cy) ** 2) / (radius_mm * self.per_mm) ** 2
        self.levels += (strength * np.exp(-0.5 * away2 * away2))[..., None]

    def wood(self, *, turn_deg: float = 0.0, strength: float = 22.0) -> None:
        """Grain of boards: noise drawn out along one direction."""
        h, w = self.levels.shape[:2]
        side = int(1.5 * max(h, w) / max(1.0, self.per_mm / 4)) + 8
        grain = np.zeros((side, side), np.float32)
        for wide, share in ((0.6, 0.35), (2.5, 0.5), (9.0, 0.6)):
            noise = self.random.standard_normal((side, side // 12 + 2)).astype(np.float32)
            noise = cv2.resize(noise, (side, side), interpolation=cv2.INTER_CUBIC)
            noise = cv2.GaussianBlur(noise, (0, 0), sigmaX=0.1, sigmaY=wide * 4)
            grain += share * noise / max(float(noise.std()), 1e-6)
        turn = cv2.getRotationMatrix2D((side / 2, side / 2), turn_deg, max(1.0, self.per_mm / 4))
        turn[:, 2] += np.array([w / 2, h / 2]) - side / 2
        self.levels += (
            strength * 0.6 * cv2.warpAffine(grain, turn, (w, h), borderMode=cv2.BORDER_REFLECT)[..., None]
        )

    def mat(self, *, line: Colour, pitch_mm: float = 10.0, width_mm: float = 0.3) -> None:
        """A grid of thin lines."""
        for x in np.arange(0, self.width_mm, pitch_mm).tolist():
            self.paint(box(x, 0, x + width_mm, self.height_mm), colour=line)
        for y in np.arange(0, self.height_mm, pitch_mm).tolist():
            self.paint(box(0, y, self.width_mm, y + width_mm), colour=line)

    def light(self, fall: float) -> None:
        """Light that falls off from the upper left corner to the lower right one."""
        h, w = self.levels.shape[:2]
        across, down = (
            np.linspace(0, 1, w, dtype=np.float32)[None],
            np.linspace(0, 1, h, dtype=np.float32)[:, None],
        )
        self.levels *= (1 - fall * (0.5 * across + 0.5 * down))[..., None]


@dataclass(frozen=True, eq=False)
class Seen:
    """A picture, and where on it places of the table are."""

    image: NDArray[np.uint8]
    px_from_mm: Callable[[ArrayLike], NDArray[np.float64]]
    dpi: float | None = None

    def save(self, path: Path) -> Path:
        """Write it as PNG (the resolution with it, if it has one)."""
        from PIL import Image

        tag = {} if self.dpi is None else {"dpi": (self.dpi, self.dpi)}
        Image.fromarray(self.image).save(path, compress_level=1, **tag)
        return path


def scanned(
    table: Table,
    *,
    dpi: float = 300.0,
    stretch: tuple[float, float] = (1.0, 1.0),
    blur_mm: float = 0.05,
    noise: float = 2.0,
    tag: bool = True,
) -> Seen:
    """What a flatbed sees of the table; ``stretch`` is true pixels per mm over what the tag says, along x and y."""
    sx, sy = dpi / 25.4 * stretch[0], dpi / 25.4 * stretch[1]
    size = (round(table.width_mm * sx), round(table.height_mm * sy))
    soft = cv2.GaussianBlur(table.levels, (0, 0), max(0.3, blur_mm * table.per_mm))
    matrix = np.array(
        [
            [table.per_mm / sx, 0, 0.5 * table.per_mm / sx - 0.5],
            [0, table.per_mm / sy, 0.5 * table.per_mm / sy - 0.5],
        ]
    )
    shrunk = cv2.warpAffine(
        soft, matrix, size, flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP, borderMode=cv2.BORDER_REPLICATE
    )

    def px_from_mm(points_mm: ArrayLike) -> NDArray[np.float64]:
        xy = np.asarray(points_mm, dtype=np.float64).reshape(-1, 2)
        return np.column_stack([xy[:, 0] * sx - 0.5, (table.height_mm - xy[:, 1]) * sy - 0.5])

    return Seen(_noisy(shrunk, noise, table.random), px_from_mm, dpi if tag else None)


def photographed(
    table: Table,
    *,
    size_px: tuple[int, int] = (1500, 2000),
    at_mm: tuple[float, float] | None = None,
    distance_mm: float = 400.0,
    tilt_deg: float = 0.0,
    azimuth_deg: float = 270.0,
    roll_deg: float = 0.0,
    focal_share: float = 0.6,
    k1: float = 0.0,
    blur_px: float = 0.8,
    noise: float = 3.0,
) -> Seen:
    """What a camera sees; ``focal_share`` of the picture's diagonal (26 mm in 35 mm film: 0.60).

    ``k1`` moves a point at the corner of the picture by that part of its radius.
    """
    tilt, azimuth, roll = np.radians([tilt_deg, azimuth_deg, roll_deg])
    target = np.array([*(at_mm or (table.width_mm / 2, table.height_mm / 2)), 0.0])
    out = np.array([np.cos(azimuth), np.sin(azimuth), 0.0])
    up0 = np.array([0.0, 0.0, 1.0])
    eye = target + distance_mm * (np.sin(tilt) * out + np.cos(tilt) * up0)
    ahead = (target - eye) / distance_mm
    up = -np.cos(tilt) * out + np.sin(tilt) * up0
    right = np.cross(ahead, up)
    right, down = np.cos(roll) * right - np.sin(roll) * up, -(np.sin(roll) * right + np.cos(roll) * up)
    centre, radius = (np.array(size_px) - 1) / 2, float(np.hypot(*size_px)) / 2
    focal = focal_share * 2 * radius
    axes = np.array([right, down, ahead])

    def ideal_to_seen(ideal: NDArray[np.float64]) -> NDArray[np.float64]:
        r2 = (ideal**2).sum(axis=1, keepdims=True) * (focal / radius) ** 2
        return ideal * (1 + k1 * r2) * focal + centre

    def px_from_mm(points_mm: ArrayLike) -> NDArray[np.float64]:
        xy = np.asarray(points_mm, dtype=np.float64).reshape(-1, 2)
        seen = (np.column_stack([xy, np.zeros(len(xy))]) - eye) @ axes.T
        return ideal_to_seen(seen[:, :2] / seen[:, 2:])

    x, y = ((np.arange(n) - middle) / focal for n, middle in zip(size_px, centre, strict=True))
    x, y = x[None], y[:, None]
    straight: Any = 1.0  # what an ideal lens would show at a place lies at so many times its place
    if k1:
        r2 = k1 * (x**2 + y**2) * (focal / radius) ** 2
        for _ in range(6):
            straight = 1 / (1 + r2 * straight**2)
    away_x, away_y, away_z = ((x * right[k] + y * down[k]) * straight + ahead[k] for k in range(3))
    share = -eye[2] / away_z
    map_x = ((eye[0] + share * away_x) * table.per_mm - 0.5).astype(np.float32)
    map_y = ((table.height_mm - (eye[1] + share * away_y)) * table.per_mm - 0.5).astype(np.float32)
    shrink = table.per_mm * distance_mm / focal
    soft = cv2.GaussianBlur(table.levels, (0, 0), max(0.3, blur_px * shrink))
    seen = cv2.remap(soft, map_x, map_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return Seen(_noisy(seen, noise, table.random), px_from_mm)


def _noisy(levels: NDArray[np.float32], noise: float, random: np.random.Generator) -> NDArray[np.uint8]:
    grain = random.standard_normal(levels.shape[:2], dtype=np.float32)
    grain *= noise
    seen = levels + grain[..., None]
    return np.clip(np.rint(seen, out=seen), 0, 255, out=seen).astype(np.uint8)


def box(x0: float, y0: float, x1: float, y1: float) -> NDArray[np.float64]:
    """A rectangle, counter-clockwise."""
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], dtype=np.float64)


def paper_grain(levels: float) -> Callable[..., NDArray[np.float32]]:
    """A texture of fibres for `Table.paint`."""

    def texture(size: tuple[int, int], per_mm: float, random: np.random.Generator) -> NDArray[np.float32]:
        fine = random.standard_normal(
            (max(2, round(size[0] / per_mm * 4)), max(2, round(size[1] / per_mm * 4)))
        )
        smooth = cv2.resize(fine.astype(np.float32), size[::-1], interpolation=cv2.INTER_LINEAR)
        return np.asarray(smooth * levels, dtype=np.float32)

    return texture
