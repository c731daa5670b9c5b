"""Render pictures of scenes in mm whose truth is known: flatbed scans and phone pictures.

Shapes are filled with exact pixel coverage and mixed as light, as a lens and a
scanner do, so an edge lies where it should to a few thousandths of a pixel. The
same seed gives the same picture.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.path import Path as Curve
from matplotlib.transforms import IdentityTransform
from numpy.typing import ArrayLike, NDArray

from cradle.geometry.arrays import Floats

if TYPE_CHECKING:
    from pathlib import Path

    from picture_scene import Colour, Scene

Projection = Callable[[ArrayLike, float], Floats]
_STEP_MM = 4.0
"""Straight edges are split into pieces no longer than this, so that a lens may bend them."""


@dataclass(frozen=True, kw_only=True)
class Rendered:
    """A picture and its truth.

    ``px_from_mm(points)`` gives the pixel (x right, y down, centres at whole
    numbers) of points on the paper; ``project(points, raised_mm)`` also of
    points above it. ``dpi`` is what the file's tag will say, or None.
    """

    image: NDArray[np.uint8]
    project: Projection
    dpi: tuple[float, float] | None = None

    def px_from_mm(self, points_mm: ArrayLike) -> Floats:
        """Pixels of points that lie on the paper, ``(n, 2)``."""
        return self.project(points_mm, 0.0)


def render_scan(
    scene: Scene,
    *,
    dpi: float = 300.0,
    page_mm: tuple[float, float] = (210.0, 297.0),
    background: Colour = (252, 252, 252),
    turn_deg: float = 0.0,
    stretch: tuple[float, float] = (1.0, 1.0),
    blur_px: float = 0.7,
    noise: float = 2.0,
    edge_shadow: float = 0.0,
    seed: int = 0,
) -> Rendered:
    """Return a flatbed scan of the page whose lower left corner is the origin.

    Parameters
    ----------
    scene : tuple of Shape
        What lies on the glass.
    dpi : float
        What the resolution tag says.
    turn_deg : float
        The scene lies skewed by this, counter-clockwise about the page's centre.
    stretch : tuple of float
        True pixels per mm along x and y over what ``dpi`` says.
    blur_px, noise : float
        Standard deviations: of the blur in pixels, of the noise in grey levels of 255.
    edge_shadow : float
        Darkening of the levels at the page's edges, 0 to 1, fading inwards over 15 mm.
    """
    sx, sy = dpi / 25.4 * stretch[0], dpi / 25.4 * stretch[1]
    width, height = round(page_mm[0] * sx), round(page_mm[1] * sy)
    cos, sin = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    turn, middle = np.array([[cos, sin], [-sin, cos]]), np.array(page_mm) / 2

    def project(points_mm: ArrayLike, raised_mm: float) -> Floats:
        del raised_mm  # a flatbed looks at the glass
        xy = (np.asarray(points_mm, dtype=np.float64).reshape(-1, 2) - middle) @ turn + middle
        return np.column_stack([xy[:, 0] * sx - 0.5, height - 0.5 - xy[:, 1] * sy])

    light = _painted(scene, project, size=(width, height), background=background)
    fade = None
    if edge_shadow > 0:
        x = np.minimum(np.arange(width), np.arange(width)[::-1])[None, :] / sx
        y = np.minimum(np.arange(height), np.arange(height)[::-1])[:, None] / sy
        fade = (1 - edge_shadow * np.exp(-np.minimum(x, y) / 5.0)).astype(np.float32)
    return Rendered(image=_seen(light, fade, blur_px, noise, seed), project=project, dpi=(dpi, dpi))


def render_photo(
    scene: Scene,
    *,
    look_at_mm: tuple[float, float] = (105.0, 148.5),
    distance_mm: float = 400.0,
    tilt_deg: float = 0.0,
    azimuth_deg: float = 270.0,
    roll_deg: float = 0.0,
    size_px: tuple[int, int] = (3000, 4000),
    focal_px: float = 3000.0,
    lens: tuple[float, float] = (0.0, 0.0),
    background: Colour = (110, 92, 78),
    light: float = 0.3,
    blur_px: float = 1.0,
    noise: float = 3.0,
    seed: int = 0,
) -> Rendered:
    """Return a phone picture of the scene on a table.

    Parameters
    ----------
    look_at_mm : tuple of float
        Point on the paper in the picture's centre, ``distance_mm`` from the lens.
    tilt_deg, azimuth_deg, roll_deg : float
        How far the view is off vertical; from which side the camera looks
        (270: from below the page, as one stands); turn about the view.
    focal_px : float
        Focal length; 3000 for 4000 px is about what a 26 mm equivalent gives.
    lens : tuple of float
        k1 and k2 of Brown's radial model on normalised coordinates, ideal to distorted
        (Brown, "Close-range camera calibration", 1971); negative k1 is barrel.
    light : float
        Levels fall off by this ratio from one corner to the opposite one, with a soft shadow.
    """
    tilt, azimuth, roll = np.radians([tilt_deg, azimuth_deg, roll_deg])
    outward = np.array([np.cos(azimuth), np.sin(azimuth), 0.0])
    eye = np.array([*look_at_mm, 0.0]) + distance_mm * (
        np.sin(tilt) * outward + np.cos(tilt) * np.array([0, 0, 1])
    )
    ahead = np.array([*look_at_mm, 0.0]) - eye
    ahead /= np.linalg.norm(ahead)
    up = -np.cos(tilt) * outward + np.sin(tilt) * np.array([0.0, 0.0, 1.0])
    right = np.cross(ahead, up)
    right, down = np.cos(roll) * right - np.sin(roll) * up, -(np.sin(roll) * right + np.cos(roll) * up)
    axes = np.array([right, down, ahead])
    centre = (np.array(size_px) - 1) / 2

    def project(points_mm: ArrayLike, raised_mm: float) -> Floats:
        xy = np.asarray(points_mm, dtype=np.float64).reshape(-1, 2)
        seen = (np.column_stack([xy, np.full(len(xy), raised_mm)]) - eye) @ axes.T
        if (seen[:, 2] <= 0).any():
            raise ValueError("a point of the scene lies behind the camera")
        ideal = seen[:, :2] / seen[:, 2:]
        r2 = (ideal * ideal).sum(axis=1, keepdims=True)
        return np.asarray(ideal * (1 + r2 * (lens[0] + r2 * lens[1])) * focal_px + centre)

    painted = _painted(scene, project, size=size_px, background=background)
    width, height = size_px
    x, y = (
        np.linspace(-1, 1, width, dtype=np.float32)[None, :],
        np.linspace(-1, 1, height, dtype=np.float32)[:, None],
    )
    slope = 1 - light * (0.5 + 0.25 * x - 0.25 * y) - 0.5 * light / (1 + np.exp(-12 * (x + 0.6 * y - 0.55)))
    return Rendered(image=_seen(painted, slope, blur_px, noise, seed), project=project)


def _painted(
    scene: Scene, project: Projection, *, size: tuple[int, int], background: Colour
) -> NDArray[np.float32]:
    """The sharp picture, ``(h, w, 3)`` float32: light from 0 to 1."""
    width, height = size
    canvas = np.empty((height, width, 3), dtype=np.float32)
    canvas[:] = _light_of(np.array(background, dtype=np.float32))
    for shape in scene:
        pieces = [project(_split(ring), shape.raised_mm) for ring in shape.rings_mm]
        everything = np.concatenate(pieces)
        x0, y0 = np.maximum(np.floor(everything.min(axis=0)).astype(int) - 1, 0).tolist()
        x1, y1 = np.minimum(np.ceil(everything.max(axis=0)).astype(int) + 2, size).tolist()
        if x1 <= x0 or y1 <= y0:
            continue
        covered = _covered([p - (x0, y0) for p in pieces], (x1 - x0, y1 - y0))
        part = canvas[y0:y1, x0:x1]
        colour = np.array(shape.colour, dtype=np.float32)
        if shape.alpha < 1:
            below = _level_of(part)
            colour = below + np.float32(shape.alpha) * (colour - below)
        part += covered[..., None] * (_light_of(colour) - part)
    return canvas


def _covered(pieces: list[Floats], size: tuple[int, int]) -> NDArray[np.float32]:
    """How much of each pixel the rings, in px, cover: 0 to 1, drawn by Agg with exact area coverage."""
    width, height = size
    renderer = RendererAgg(width, height, 72)
    pen = renderer.new_gc()
    pen.set_linewidth(0.0)
    pen.set_snap(False)
    pen.set_antialiased(True)
    vertices = np.concatenate([np.concatenate([p, p[:1]]) for p in pieces])
    codes = np.concatenate([[Curve.MOVETO, *[Curve.LINETO] * (len(p) - 1), Curve.CLOSEPOLY] for p in pieces])
    path = Curve(np.column_stack([vertices[:, 0] + 0.5, height - 0.5 - vertices[:, 1]]), codes)
    path.should_simplify = False
    renderer.draw_path(pen, path, IdentityTransform(), (0.0, 0.0, 0.0))
    return np.asarray(renderer.buffer_rgba())[..., 3].astype(np.float32) / 255


def _split(ring: Floats) -> Floats:
    """The ring with points added until no edge is longer than the step."""
    step = np.roll(ring, -1, axis=0) - ring
    counts = np.maximum(1, np.ceil(np.hypot(*step.T) / _STEP_MM)).astype(int)
    start = np.repeat(np.arange(len(ring)), counts)
    part = np.arange(len(start)) - np.repeat(np.cumsum(counts) - counts, counts)
    return np.asarray(ring[start] + step[start] * (part / counts[start])[:, None])


def _seen(
    light: NDArray[np.float32], fade: NDArray[np.float32] | None, blur_px: float, noise: float, seed: int
) -> NDArray[np.uint8]:
    """The picture after blur, fading levels, noise and rounding to 8 bit; what is blurred is light, as by a lens."""
    if blur_px > 0:
        light = cv2.GaussianBlur(light, (0, 0), blur_px)
    image = _level_of(light)
    if fade is not None:
        image = image * fade[..., None]
    if noise > 0:
        image = image + np.random.default_rng(seed).standard_normal(image.shape, dtype=np.float32) * noise
    return np.clip(np.rint(image), 0, 255).astype(np.uint8)


def _light_of(levels: NDArray[np.float32]) -> NDArray[np.float32]:
    """Light, 0 to 1, of levels from 0 to 255: sRGB, IEC 61966-2-1."""
    share = levels / 255
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4).astype(np.float32)


def _level_of(light: NDArray[np.float32]) -> NDArray[np.float32]:
    """Levels, 0 to 255, of light from 0 to 1, from a table of 65,536 places."""
    at = np.linspace(0.0, 1.0, 65_536)
    table = 255 * np.where(at <= 0.0031308, 12.92 * at, 1.055 * at ** (1 / 2.4) - 0.055)
    return table.astype(np.float32)[(np.clip(light, 0, 1) * 65_535 + 0.5).astype(np.uint16)]


def save(rendered: Rendered, path: Path, *, grey: str = "L") -> None:
    """Write the picture with Pillow: PNG, packed quickly, or JPEG by the name, with its resolution tag; mode L or RGB."""
    from PIL import Image

    picture = Image.fromarray(rendered.image).convert(grey)
    tag = {"dpi": rendered.dpi} if rendered.dpi else {}
    more = {"quality": 85} if path.suffix.lower() in (".jpg", ".jpeg") else {"compress_level": 1}
    picture.save(path, **tag, **more)
