"""A pencil line round the thing: its outside and its inside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.geometry.level_lines import closed_level_lines
from cradle.noun import noun
from cradle.pictures import masks
from cradle.pictures.across_search import lines_across
from cradle.pictures.crowds import printed, without_crowds
from cradle.pictures.line_across import LineAcross
from cradle.pictures.line_ends import joined_ends
from cradle.pictures.line_middle import nearest_on
from cradle.pictures.regions import Box, reading_order
from cradle.pictures.ruled_paper import without_ruling
from cradle.pictures.spurs import PartedLine, parted

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bools, Bytes, Floats, Ints, Singles
    from cradle.pictures.image import Picture

WIDEST_MM: Final = 2.5
"""What is wider is no pencil line: its two edges belong to different things."""
_WIDER: Final = 0.05
"""Part of a line's length that may be wider."""
_GAP_MM: Final = 0.7
"""Gaps in the line up to this are closed."""
_GRAIN_MM: Final = 0.1
"""Standard deviation of the blur that averages the grain of graphite."""
_LOCAL_MM: Final = 0.8
"""Distance within which a line's own darkness is taken: its edges lie where the darkness is half of that, also where it is faint."""
_CORE: Final = 0.6
"""Part of a line's width over which it is carried on across gaps."""
_FAINTEST: Final = 0.15
"""Part of a line's usual darkness below which there is no line."""
_LEAST_ACROSS_MM: Final = 5.0
_LEAST_DARKNESS: Final = 12.0
"""Grey levels by which a line is darker than its paper."""
_PALER: Final = 0.5
"""What runs into a line and has less than this part of its darkness, as a stain's rim, is no pencil."""
_DARKEST: Final = 0.98
"""A line is darker than this part of all that is dark round it: a stain may cover far more."""
_CONTINUED: Final = 0.5
"""A line that is seen goes on nearby where it has more than this part of that darkness."""


@noun
class DrawnLine:
    """A closed line: both its edges, ``(n, 2)`` px each, and where something that hangs on it was left out, ``(k, 2)`` px."""

    outside_px: Floats
    inside_px: Floats
    left_out_px: Floats

    def moved(self, by_px: Ints) -> DrawnLine:
        """The same line elsewhere in the picture."""
        return DrawnLine(
            outside_px=self.outside_px + by_px,
            inside_px=self.inside_px + by_px,
            left_out_px=self.left_out_px + by_px,
        )


@noun
class DrawnLines:
    """The closed lines of a picture in reading order, and the boxes of lines that do not close.

    ``across_px`` are the ends of straight lines across outlines that were left out, ``(2, 2)`` px each; ``crowded``
    counts the marks that were left out as print or grain of what the paper lies on, and ``stained`` tells that lines
    close only without what is much paler and runs into them.
    """

    closed: tuple[DrawnLine, ...]
    open_px: tuple[Box, ...]
    across_px: tuple[Floats, ...] = ()
    crowded: int = 0
    stained: bool = False


def find_lines(
    picture: Picture, *, px_per_mm: float, keep_out: Sequence[Floats] = (), inside: Floats | None = None
) -> DrawnLines:
    """The lines in a picture.

    Darkness is taken against the paper within 1.25 mm of the line, so uneven
    light does not count; the edges lie where it is half of what the line has
    nearby, so neither does a hand that presses unevenly.
    """
    import cv2

    size = max(3, round(WIDEST_MM * px_per_mm) | 1)
    smooth = cv2.GaussianBlur(picture.grey, (0, 0), max(0.7, _GRAIN_MM * px_per_mm))
    hollow = cv2.morphologyEx(smooth, cv2.MORPH_BLACKHAT, np.ones((size, size), np.uint8))
    usable = masks.usable(hollow.shape, inside=inside, keep_out=keep_out, rim_px=max(1, round(px_per_mm)))
    dark = np.asarray(hollow * usable, dtype=np.uint8)
    darkness = _least_darkness(dark[::7, ::7][usable[::7, ::7] > 0])
    found = _lines_in(dark, px_per_mm, darkness)
    if found.closed or not found.open_px:
        return found
    x, y, w, h = max(found.open_px, key=lambda box: box[2] * box[3])
    around = dark[y : y + h, x : x + w]
    own = float(np.quantile(around[around > darkness], _DARKEST))
    again = _lines_in(dark, px_per_mm, max(darkness, _PALER * own))
    return replace(again, open_px=(), stained=True) if again.closed else found


def _lines_in(dark: Bytes, px_per_mm: float, darkness: float) -> DrawnLines:
    """The lines of which each place is so many levels darker than the paper beside it, ``dark`` ``(h, w)`` tells by how many."""
    dark = np.where(printed(_line_mask(dark, px_per_mm, darkness), px_per_mm=px_per_mm), 0, dark).astype(
        np.uint8
    )
    dark = without_ruling(dark, px_per_mm=px_per_mm, least=darkness)
    least_px = _LEAST_ACROSS_MM * px_per_mm
    seen = _line_mask(dark, px_per_mm, darkness)
    alone, crowded = without_crowds(seen, px_per_mm=px_per_mm, least_px=least_px)
    dark = np.where(seen > alone, 0, dark).astype(np.uint8)
    mask = joined_ends(alone, px_per_mm=px_per_mm)
    across = _lines_across(mask, px_per_mm)
    if across:
        for line in across:
            dark = line.taken_from(dark)
        mask = _line_mask(dark, px_per_mm, darkness)
        for line in across:
            mask = line.carried_across(mask, px_per_mm=px_per_mm)
        mask = joined_ends(mask, px_per_mm=px_per_mm)
    found, unclosed = [], []
    for part in _parts(mask, px_per_mm):
        lines = _closed_in(dark[part.at], part.own, px_per_mm)
        if not lines:
            unclosed.append(part.box)
        found += [line.moved(part.corner) for line in lines]
    order = reading_order([_box_of(line.outside_px) for line in found])
    return DrawnLines(
        closed=tuple(found[k] for k in order),
        open_px=tuple(unclosed),
        across_px=tuple(line.ends_px for line in across),
        crowded=crowded,
    )


@noun
class _Part:
    """A connected component of a mask: its box, the slices of the picture round it, their corner, and the component within them."""

    box: Box
    at: tuple[slice, slice]
    corner: Ints
    own: Bools


def _parts(mask: Bytes, px_per_mm: float) -> Iterator[_Part]:
    """The connected components of a mask that may be lines round a thing: large enough, and not filled."""
    import cv2

    count, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    least = _LEAST_ACROSS_MM * px_per_mm
    for k in range(1, count):
        x, y, w, h, area = (int(v) for v in stats[k])
        if min(w, h) < least or area > 0.5 * w * h:
            continue
        at = (slice(max(0, y - 3), y + h + 3), slice(max(0, x - 3), x + w + 3))
        yield _Part(box=(x, y, w, h), at=at, corner=np.array([at[1].start, at[0].start]), own=labels[at] == k)


def _lines_across(mask: Bytes, px_per_mm: float) -> list[LineAcross]:
    """The straight lines that run through what is drawn and past it."""
    return [
        line.moved(part.corner)
        for part in _parts(mask, px_per_mm)
        for line in lines_across(part.own, px_per_mm=px_per_mm)
    ]


def _closed_in(dark: Bytes, own: Bools, px_per_mm: float) -> list[DrawnLine]:
    """The closed lines of a connected component: several where an arrow joins two."""
    import cv2

    drawn = parted(own)
    edges = _edges(dark, drawn, px_per_mm)
    if edges is None:
        return []
    count, parts, stats, middles = cv2.connectedComponentsWithStats(
        drawn.rest.astype(np.uint8), connectivity=8
    )
    outside, inside = edges
    lines = [
        DrawnLine(
            outside_px=outside,
            inside_px=inside,
            left_out_px=nearest_on(outside, np.asarray(middles[1:], dtype=np.float64)),
        )
    ]
    for k in range(1, count):
        if min(stats[k, [cv2.CC_STAT_WIDTH, cv2.CC_STAT_HEIGHT]]) >= _LEAST_ACROSS_MM * px_per_mm:
            lines += _closed_in(dark, parts == k, px_per_mm)
    return lines


def _box_of(ring: Floats) -> Box:
    (x, y), (w, h) = (
        np.floor(ring.min(axis=0)).astype(int).tolist(),
        np.ceil(np.ptp(ring, axis=0)).astype(int).tolist(),
    )
    return x, y, w, h


def _least_darkness(sample: Bytes) -> float:
    """Least darkness of a line, grey levels: well above the paper's noise; on paper without noise less than half of all pixels are dark at all."""
    dark = sample[sample > 0]
    noise = float(np.median(dark)) if 2 * len(dark) > len(sample) else 0.0
    return max(_LEAST_DARKNESS, 4.0 * noise)


def _line_mask(dark: Bytes, px_per_mm: float, limit: float) -> Bytes:
    """1 where lines run: what is dark enough, what goes on from there less dark, and short gaps between."""
    import cv2

    bridge = max(1, round(_GAP_MM * px_per_mm))
    seen = dark > limit
    goes_on = (dark > _CONTINUED * limit) & (masks.grown_by(seen, bridge) > 0)
    closed = cv2.morphologyEx(goes_on.astype(np.uint8), cv2.MORPH_CLOSE, np.ones((bridge, bridge), np.uint8))
    return np.asarray(closed, dtype=np.uint8)


def _edges(dark: Bytes, drawn: PartedLine, px_per_mm: float) -> tuple[Floats, Floats] | None:
    """Outside and inside, ``(n, 2)`` px each, of a line that closes; None of one that does not.

    Along the line's own middle it is taken to go on where it is faint or gone, narrower than it is elsewhere,
    so that its edges are those seen wherever any are; where something hangs on it, it is as wide as elsewhere.
    """
    import cv2

    own = drawn.line
    wide = max(3, round(_LOCAL_MM * px_per_mm) | 1)
    depth = float(np.quantile(dark[own], 0.8))
    nearby = cv2.dilate(np.where(own, dark, 0).astype(np.uint8), np.ones((wide, wide), np.uint8))
    nearby = cv2.blur(nearby.astype(np.float32), (wide, wide))
    field = dark / np.maximum(nearby, _FAINTEST * depth) * masks.grown_by(own, 1)
    depths = cv2.distanceTransform(own.astype(np.uint8), cv2.DIST_L2, 5)
    # over a band of half width h the mean distance from its edges is h/2
    half_own = 2.0 * float(depths[own].mean())
    half_line = half_own * float((field[own] > 0.5).mean())
    field = np.where(drawn.across_px > half_own + half_line, 0.0, field)
    core = _middle(own, max(_CORE * half_line, 1.0))
    if core is None:
        return None
    return _two_rings(np.where(core, np.maximum(field, 0.75), field).astype(np.float32), px_per_mm)


def _middle(own: Bools, half_px: float) -> Bools | None:
    """What lies as far from the inside of a closed line as from its outside, ``(h, w)``, so wide; None of an open line."""
    import cv2

    padded = np.pad(own, 1)
    count, parts, stats, _ = cv2.connectedComponentsWithStats((~padded).astype(np.uint8), connectivity=4)
    if count < 3:
        return None
    outside = int(parts[0, 0])
    stats[[0, outside], cv2.CC_STAT_AREA] = 0
    inside = int(stats[:, cv2.CC_STAT_AREA].argmax())
    away = [
        cv2.distanceTransform((parts != part).astype(np.uint8), cv2.DIST_L2, 5) for part in (outside, inside)
    ]
    return np.asarray(padded & (np.abs(away[0] - away[1]) <= 2 * half_px))[1:-1, 1:-1]


def _two_rings(field: Singles, px_per_mm: float) -> tuple[Floats, Floats] | None:
    """The two edges of a closed line in a field of its darkness, the outer first, px; None if they are too far apart."""
    rings = sorted(
        closed_level_lines(field, level=0.5), key=lambda ring: -float(np.prod(np.ptp(ring, axis=0)))
    )
    if len(rings) < 2:
        return None
    outside, inside = rings[0], rings[1]
    if np.ptp(inside, axis=0).min() < 0.5 * _LEAST_ACROSS_MM * px_per_mm:
        return None
    return (outside, inside) if _width(outside, inside, field.shape) <= WIDEST_MM * px_per_mm else None


def _width(outside: Floats, inside: Floats, shape: tuple[int, ...]) -> float:
    """How wide a line is between its edges but for its widest places, px; a tip, seen from half way, is no wider than two lines."""
    import cv2

    to_outside = cv2.distanceTransform(masks.filled(outside, shape), cv2.DIST_L2, 5)
    to_inside = cv2.distanceTransform(1 - masks.filled(inside, shape), cv2.DIST_L2, 5)
    half_way = (to_outside > 0) & (np.abs(to_outside - to_inside) <= 1.0)
    return float(np.quantile((to_outside + to_inside)[half_way], 1 - _WIDER)) if half_way.any() else np.inf
