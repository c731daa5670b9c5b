"""A pencil line round the thing: its outside, its inside, and the middle between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.pictures.contour import closed_rings
from cradle.pictures.regions import reading_order

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Floats
    from cradle.pictures.image import Bytes, Picture

_WIDEST_MM: Final = 2.5
_GAP_MM: Final = 0.7
"""Gaps in the line up to this are closed."""
_LEAST_ACROSS_MM: Final = 5.0
_LEAST_DARKNESS: Final = 12.0
"""Grey levels by which a line is darker than its paper."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class DrawnLine:
    """A closed line: both its edges, ``(n, 2)`` px each, and how dark it is, grey levels."""

    outside_px: Floats
    inside_px: Floats
    darkness: float


def find_lines(
    picture: Picture, *, px_per_mm: float, keep_out: Sequence[Floats] = (), inside: Floats | None = None
) -> tuple[DrawnLine, ...]:
    """Return the closed lines in a picture in reading order.

    Darkness is taken against the paper within 1.25 mm of the line, so uneven
    light does not count; the edges lie where it is half the line's own.
    """
    import cv2

    size = max(3, round(_WIDEST_MM * px_per_mm) | 1)
    smooth = cv2.GaussianBlur(picture.grey, (0, 0), 0.7)
    kernel = np.ones((size, size), np.uint8)
    hollow = cv2.morphologyEx(smooth, cv2.MORPH_BLACKHAT, kernel)
    usable = np.ones(hollow.shape, dtype=np.uint8)
    if inside is not None:
        usable[:] = 0
        cv2.fillPoly(usable, [np.rint(inside).astype(np.int32)], 1)
    for polygon in keep_out:
        cv2.fillPoly(usable, [np.rint(polygon).astype(np.int32)], 0)
        cv2.polylines(
            usable,
            [np.rint(polygon).astype(np.int32)],
            isClosed=True,
            color=0,
            thickness=max(1, round(px_per_mm)),
        )
    dark = np.asarray(hollow * usable, dtype=np.uint8)
    sample = dark[::7, ::7]
    noise = float(np.median(sample[sample > 0])) if (sample > 0).any() else 0.0
    limit = max(_LEAST_DARKNESS, 4.0 * noise)
    seen = (dark > limit).astype(np.uint8)
    bridge = max(1, round(_GAP_MM * px_per_mm))
    mask = cv2.morphologyEx(seen, cv2.MORPH_CLOSE, np.ones((bridge, bridge), np.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    found, boxes = [], []
    least = _LEAST_ACROSS_MM * px_per_mm
    for k in range(1, count):
        x, y, w, h, area = (int(v) for v in stats[k])
        if min(w, h) < least or area > 0.5 * w * h:
            continue
        part = (slice(max(0, y - 3), y + h + 3), slice(max(0, x - 3), x + w + 3))
        own = labels[part] == k
        line = _edges(dark[part], own, least)
        if line is not None:
            corner = np.array([part[1].start, part[0].start])
            found.append(
                DrawnLine(
                    outside_px=line.outside_px + corner,
                    inside_px=line.inside_px + corner,
                    darkness=line.darkness,
                )
            )
            boxes.append((x, y, w, h))
    return tuple(found[i] for i in reading_order(boxes))


def middle_of(outside: Floats, inside: Floats) -> tuple[Floats, float]:
    """Return the middle between two edges of a line, ``(n, 2)``, and the line's mean width, in their unit.

    Half way from each point of the outside to the nearest of the inside.
    """
    near_in = _nearest(inside, outside)
    gap = np.hypot(*(near_in - outside).T)
    return np.asarray((outside + near_in) / 2), float(np.median(gap))


def _nearest(ring: Floats, points: Floats) -> Floats:
    """Nearest places on a closed polyline, ``(n, 2)``."""
    from scipy.spatial import cKDTree

    dense = np.concatenate([ring, (ring + np.roll(ring, -1, axis=0)) / 2])
    _, at = cKDTree(dense).query(points)
    return np.asarray(dense[at])


def _edges(dark: Bytes, own: Bools, least_px: float) -> DrawnLine | None:
    import cv2

    near = cv2.dilate(own.astype(np.uint8), np.ones((3, 3), np.uint8))
    depth = float(np.quantile(dark[own], 0.8))
    field = (dark.astype(np.float32) / depth) * near
    # a gap that was bridged is bridged in the field as well
    field = np.where(own & (field < 0.75), np.maximum(field, 0.75 * (dark == 0)), field).astype(np.float32)
    rings = closed_rings(field, level=0.5)
    large = [r for r in rings if np.ptp(r, axis=0).min() >= 0.8 * least_px]
    if len(large) < 2:
        return None
    large.sort(key=lambda ring: -float(np.prod(np.ptp(ring, axis=0))))
    return DrawnLine(outside_px=large[0], inside_px=large[1], darkness=depth)
