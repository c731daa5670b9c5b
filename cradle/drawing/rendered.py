"""A shaded picture of meshes, seen in parallel projection from the front, the right and above."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from cradle.geometry.arrays import Floats, Ints
from cradle.geometry.mesh import TriMesh, corners
from cradle.geometry.vectors import cross, unit
from cradle.noun import noun

TURN_DEG: Final = -32.0
RISE_DEG: Final = 38.0
"""Where the viewer stands: turned to the right of the front, and raised to look down."""
LAMP: Final = np.array([-0.35, 0.5, 0.79])
"""Towards the light: right, up and towards the viewer."""
_SHADES: Final = 24
"""Number of tones: few keep the file small."""
_DARK: Final = 0.46
"""Brightness of a face that the light does not reach, as part of its colour."""
_MARGIN: Final = 0.04
_FINER: Final = 2
"""Points to a pixel along each side, averaged."""
_LEAST_AREA: Final = 1e-9
_ON_EDGE: Final = 1e-9
"""Points this near to an edge are on both its triangles, so that no seam shows."""

Pixels = np.ndarray[Any, np.dtype[np.uint8]]


@noun
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
    owner, _ = nearest_faces(flat, seen[..., 2], size=(int(size[1]), int(size[0])))
    normal = unit(np.cross(seen[:, 1] - seen[:, 0], seen[:, 2] - seen[:, 0]))
    light = np.clip(normal @ LAMP, 0.0, 1.0)
    tone = _DARK + (1 - _DARK) * np.rint(light * _SHADES) / _SHADES
    shaded = np.zeros((len(tone) + 1, 4))  # the last one, number -1, is what lies behind the edge
    shaded[:-1] = np.column_stack([np.clip(colours * tone[:, None], 0, 255), np.full(len(tone), 255.0)])
    upright = owner[::-1].reshape(height, _FINER, width, _FINER).transpose(1, 3, 0, 2).reshape(_FINER**2, -1)
    covered = np.flatnonzero((upright >= 0).any(axis=0))
    mean = shaded[upright[:, covered]].sum(axis=0) / _FINER**2
    mean[:, :3] *= 255 / np.maximum(mean[:, 3:], 1.0)  # faces alone are averaged
    picture = np.zeros((height * width, 4), dtype=np.uint8)
    picture[covered] = np.rint(np.clip(mean, 0, 255))
    return picture.reshape(height, width, 4)


def nearest_faces(flat: Floats, depth: Floats, *, size: tuple[int, int]) -> tuple[Ints, Floats]:
    """The number of the triangle nearest to the viewer at every point, and how near it is, both ``(h, w)``.

    Where there is none the number is -1, and how near it is minus infinity.

    Parameters
    ----------
    flat : (f, 3, 2) float64
        Corners of triangles, to the right and up, in points; clockwise ones face away.
    depth : (f, 3) float64
        How near each corner is.
    size : (int, int)
        Rows and columns of points.
    """
    place, near, number = _samples(flat, depth, size=size)
    best = np.full(size[0] * size[1], -np.inf)
    np.maximum.at(best, place, near)
    owner = np.full(size[0] * size[1], -1, dtype=np.int64)
    won = near == best[place]
    owner[place[won]] = number[won]
    return owner.reshape(size), best.reshape(size)


def _samples(flat: Floats, depth: Floats, *, size: tuple[int, int]) -> tuple[Ints, Floats, Ints]:
    """All points inside triangles that face the viewer, row by row: where, how near, and whose."""
    low = np.clip(np.ceil(flat[..., 1].min(axis=1) - 0.5), 0, size[0]).astype(np.int64)
    high = np.clip(np.floor(flat[..., 1].max(axis=1) + 0.5), 0, size[0]).astype(np.int64)
    one, two, three = flat.transpose(1, 0, 2)
    area = cross(two - one, three - one)
    face = np.flatnonzero((area > _LEAST_AREA) & (high > low))
    one, two, three, area, depth = one[face], two[face], three[face], area[face], depth[face]
    owner, y = _expanded(high[face] - low[face], start=low[face])
    middle = y + 0.5
    left, right = np.zeros(len(owner)), np.full(len(owner), size[1] - 1.0)
    for p, q in ((one, two), (two, three), (three, one)):
        rise = q[:, 1] - p[:, 1]
        lean = (q[:, 0] - p[:, 0]) / np.where(rise == 0, 1.0, rise)
        at = (p[:, 0] - lean * p[:, 1] - 0.5)[owner] + lean[owner] * middle
        down = rise[owner]
        np.maximum(left, np.ceil(at - _ON_EDGE), out=left, where=down < 0)
        np.minimum(right, np.floor(at + _ON_EDGE), out=right, where=down > 0)
    slope = _plane(two - one, three - one, depth[:, 1] - depth[:, 0], depth[:, 2] - depth[:, 0], area)
    begin = depth[:, 0] - (slope * (one - 0.5)).sum(axis=1)  # how near it is at the first point of all
    near = begin[owner] + slope[owner, 1] * y
    row, x = _expanded(np.maximum(right - left + 1, 0).astype(np.int64), start=left.astype(np.int64))
    return (y * size[1])[row] + x, near[row] + slope[owner, 0][row] * x, face[owner][row]


def _expanded(counts: Ints, *, start: Ints) -> tuple[Ints, Ints]:
    """For counts such as 2, 3 two arrays: which count each counted item belongs to, 0 0 1 1 1, and whole numbers rising from the start of that."""
    owner = np.repeat(np.arange(len(counts)), counts)
    first = np.cumsum(counts) - counts
    return owner, start[owner] + np.arange(len(owner)) - first[owner]


def _plane(u: Floats, v: Floats, by_u: Floats, by_v: Floats, area: Floats) -> Floats:
    """The slope to the right and up of what rises by ``by_u`` along u and ``by_v`` along v, ``(f, 2)``."""
    right, up = by_u * v[:, 1] - by_v * u[:, 1], by_v * u[:, 0] - by_u * v[:, 0]
    return np.column_stack([right, up]) / np.where(area == 0, 1.0, area)[:, None]


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
