"""A shaded picture of meshes, seen in parallel projection from the front, the right and above."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.mesh import TriMesh, corners

TURN_DEG: Final = -32.0
RISE_DEG: Final = 38.0
"""From where it is looked at: to the right of the front, and down from above."""
LAMP: Final = np.array([-0.35, 0.5, 0.79])
"""Towards the light: right, up and towards the viewer."""
_SHADES: Final = 24
"""So few tones keep the file small."""
_DARK: Final = 0.46
"""How bright a face is that the light does not reach."""
_MARGIN: Final = 0.04
_FINER: Final = 2
"""Points to a pixel along each side, averaged."""
_ONE_BY_ONE: Final = 32
"""Triangles wider than this, in points, are drawn one by one, smaller ones of a size at once."""
_AT_ONCE: Final = 400_000

Pixels = np.ndarray[Any, np.dtype[np.uint8]]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Part:
    """A mesh and its colour, red, green and blue in 0 to 255."""

    mesh: TriMesh
    colour: tuple[int, int, int]


def seen_from(turn_deg: float, rise_deg: float) -> tuple[Floats, Floats, Floats]:
    """Unit vectors to the right, upwards and towards the eye, of an eye before the front, turned and raised."""
    turn, rise = np.radians(turn_deg), np.radians(rise_deg)
    near = np.array([-np.sin(turn) * np.cos(rise), -np.cos(turn) * np.cos(rise), np.sin(rise)])
    right = np.array([np.cos(turn), -np.sin(turn), 0.0])
    return right, np.cross(near, right), near


def rendered(parts: Sequence[Part], *, width: int, height: int) -> Pixels:
    """A picture of the parts, as large as it holds them, ``(height, width, 4)`` uint8: red, green, blue, opacity.

    Parameters
    ----------
    parts : sequence of Part
        At least one, in one frame, z up.
    width, height : int
        Pixels.
    """
    view = np.column_stack(seen_from(TURN_DEG, RISE_DEG))
    seen = np.concatenate([corners(part.mesh) for part in parts]) @ view  # (f, 3, 3): right, up, near
    colours = np.concatenate([np.tile(part.colour, (len(part.mesh.faces), 1)) for part in parts])
    low, high = seen[..., :2].min(axis=(0, 1)), seen[..., :2].max(axis=(0, 1))
    size = np.array([width, height]) * _FINER
    scale = float((size * (1 - 2 * _MARGIN) / np.maximum(high - low, 1e-9)).min())
    flat = (seen[..., :2] - (low + high) / 2) * scale + size / 2
    owner = _nearest(flat, seen[..., 2], size=(int(size[1]), int(size[0])))
    normal = np.cross(seen[:, 1] - seen[:, 0], seen[:, 2] - seen[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-12)[:, None]
    light = np.clip(normal @ LAMP, 0.0, 1.0)
    tone = _DARK + (1 - _DARK) * np.rint(light * _SHADES) / _SHADES
    shaded = np.vstack([np.clip(colours * tone[:, None], 0, 255), np.zeros(3)])
    points = np.concatenate([shaded[owner], np.where(owner[..., None] >= 0, 255.0, 0.0)], axis=2)[::-1]
    points[..., :3] *= points[..., 3:] / 255  # faces alone are averaged, not what lies behind the edge
    mean = points.reshape(height, _FINER, width, _FINER, 4).mean(axis=(1, 3))
    mean[..., :3] *= 255 / np.maximum(mean[..., 3:], 1.0)
    return np.rint(np.clip(mean, 0, 255)).astype(np.uint8)


def _nearest(flat: Floats, depth: Floats, *, size: tuple[int, int]) -> Ints:
    """Of every point the number of the triangle nearest to the viewer, ``(h, w)``, -1 where there is none."""
    best = np.full(size[0] * size[1], -np.inf)
    owner = np.full(size[0] * size[1], -1, dtype=np.int64)
    for place, near, number in _samples(flat, depth, size=size):
        if not len(place):
            continue
        order = np.lexsort([near, place])
        last = np.flatnonzero(np.append(np.diff(place[order]) > 0, True))
        chosen = order[last]
        won = chosen[near[chosen] > best[place[chosen]]]
        best[place[won]], owner[place[won]] = near[won], number[won]
    return owner.reshape(size)


def _samples(flat: Floats, depth: Floats, *, size: tuple[int, int]) -> Iterator[tuple[Ints, Floats, Ints]]:
    """Points inside triangles that face the viewer: where, how near, and whose; many triangles of a size at once."""
    a, b, c = flat.transpose(1, 0, 2)
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    low = np.maximum(np.ceil(flat.min(axis=1) - 0.5).astype(np.int64), 0)
    high = np.minimum(np.floor(flat.max(axis=1) - 0.5).astype(np.int64) + 1, [size[1], size[0]])
    span = (high - low).max(axis=1)
    shown = np.flatnonzero((area > 1e-9) & (high > low).all(axis=1))
    sizes = 2 ** np.ceil(np.log2(np.maximum(span[shown], 1))).astype(np.int64)
    for side in np.unique(sizes).tolist():
        alike = shown[sizes == side]
        step = max(1, _AT_ONCE // side**2) if side <= _ONE_BY_ONE else 1
        for start in range(0, len(alike), step):
            k = alike[start : start + step]
            wide, tall = (side, side) if len(k) > 1 else (high[k[0]] - low[k[0]]).tolist()
            right, up = np.arange(wide)[None, None, :], np.arange(tall)[None, :, None]
            ax, ay = a[k, 0], a[k, 1]
            bx, by = b[k, 0], b[k, 1]
            cx, cy = c[k, 0], c[k, 1]
            px, py, whole = low[k, 0] + 0.5, low[k, 1] + 0.5, area[k]
            # barycentric coordinates are linear in the place: a value at the first point and two slopes
            u = _sloping(
                ((bx - px) * (cy - py) - (by - py) * (cx - px)) / whole, (by - cy) / whole, (cx - bx) / whole
            )(right, up)
            v = _sloping(
                ((cx - px) * (ay - py) - (cy - py) * (ax - px)) / whole, (cy - ay) / whole, (ax - cx) / whole
            )(right, up)
            which, row, column = np.nonzero((u >= -1e-9) & (v >= -1e-9) & (u + v <= 1 + 1e-9))
            x, y = low[k[which], 0] + column, low[k[which], 1] + row
            on = (x < size[1]) & (y < size[0])
            which, row, column, x, y = (values[on] for values in (which, row, column, x, y))
            d0, d1, d2 = depth[k[which]].T
            share_u, share_v = u[which, row, column], v[which, row, column]
            yield y * size[1] + x, d2 + share_u * (d0 - d2) + share_v * (d1 - d2), k[which]


def _sloping(start: Floats, right: Floats, up: Floats) -> Callable[[Ints, Ints], Floats]:
    """Linear functions ``(k,)`` of steps to the right ``(1, 1, w)`` and up ``(1, h, 1)``: their values ``(k, h, w)``."""
    a, b, c = (values[:, None, None] for values in (start, right, up))
    return lambda i, j: (a + c * j) + b * i


def png_bytes(pixels: Pixels) -> bytes:
    """A picture ``(h, w, 4)`` as a PNG file, the same bytes every time.

    Portable Network Graphics, ISO/IEC 15948:2004: signature, then the chunks
    IHDR (8 bits, truecolour with alpha), IDAT and IEND, each with its CRC;
    every row is filtered by "Up" (filter 2).
    """
    height, width, _ = pixels.shape
    above = np.concatenate([np.zeros((1, width, 4), dtype=np.uint8), pixels[:-1]])
    rows = np.full((height, 1 + 4 * width), 2, dtype=np.uint8)
    rows[:, 1:] = (pixels - above).reshape(height, -1)
    head = struct.pack(">2I5B", width, height, 8, 6, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(rows.tobytes(), 6)), (b"IEND", b""))
    parts = [b"\x89PNG\r\n\x1a\n"]
    for kind, data in chunks:
        parts.append(struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data)))
    return b"".join(parts)
