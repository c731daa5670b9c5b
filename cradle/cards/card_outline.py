"""The outline of what may be a card: where the picture steps along its sides and at its corners, whatever is printed on it.

Stripes, letters and pictures run up to a card's edge, and one of the ground's colour parts what is seen of it.
So its edge is looked for at every place by itself, as the steepest step there whatever its colours are.
"""

from __future__ import annotations

from itertools import chain, combinations
from typing import TYPE_CHECKING, Final, TypeAlias

import numpy as np

from cradle.cards.card import RADIUS_MM, crossing, px_per_mm
from cradle.cards.side_profiles import STEP_PX, Line, PartSeen, offsets_px
from cradle.errors import CaptureError
from cradle.geometry.arrays import Floats, following, frozen
from cradle.geometry.peak import peak_shift
from cradle.geometry.ring import counter_clockwise
from cradle.geometry.usual import usual_miss
from cradle.geometry.vectors import left_of, unit
from cradle.pictures.colours import LUMA, without_brightness
from cradle.pictures.steepest import without_even_fall
from cradle.pictures.thing_shape import shape_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cradle.geometry.arrays import Bools
    from cradle.pictures.image import Picture
    from cradle.pictures.regions import Regions

_Side: TypeAlias = "tuple[Floats, tuple[Floats, float]]"
"""Points of a side from one corner to the next, ``(n, 2)`` px, and its line: unit normal, distance from the origin."""
PROPORTIONS: Final = (0.48, 0.8)
"""Least and greatest short side by long side of a card's box, in views that lean by up to 30 degrees; its sides are judged afterwards."""
_FULL: Final = 0.82
"""Least part of its box that its hull fills in such a view."""
_MOST_PARTS: Final = 8
"""Number of things, the largest, among which a card is looked for: a cloth's checks would take a tenth of a second each."""
_REACH_MM: Final = 2.5
"""How far from a side of its hull in the small copy its edge may lie: a stripe along a side is further inside."""
_NEAR: Final = 0.15
"""A step at the end of the reach counts for less, by this part, than one in its middle."""
_SHADOW_MM: Final = 1.0
"""About how wide the dark part of a shadow beside a card is."""
_FALL: Final = 0.15
"""The step into a shadow is at least this part of the step out of it."""
_FINE_PX: Final = 2.5
_FINE_MM: Final = 0.2
_TRIM: Final = 0.12
_MOST_STATIONS: Final = 320
_CORNER_MM: Final = (1.5, 5.2)
"""Distances from the middle of a card's round corner between which its rim is looked for along rays."""
_CORNER_DEG: Final = (25.0, 65.0)
_RAYS: Final = 41
_MOST_RADIUS_MM: Final = 6.5
_RADIUS_STEP_MM: Final = 0.05
_CLEAR: Final = 0.3
"""A step weaker than this part of a side's usual one is where print and ground are alike."""
_LEAST_PART: Final = 0.35
"""Least part of a side that must show a step."""
_EVENLY: Final = 1.4
"""A side along which the picture steps as a whole does so at least this many times as much as any line beside it: on rendered granite 1.6 to 3.4 times."""
_CROOKED: Final = "what looks like a bank card does not have a card's straight sides"
_LOOK_MM: Final = 0.7
_LEAST_LEVELS: Final = 3.0
_TINT: Final = 30.0
"""Colour is used alone where it differs, the ground's brightness aside, by more than this many levels."""
_BRIGHTER: Final = 10.0
"""Where a file keeps only every second pixel's colour, brightness is used alone if its step is at least this, of 255 parts of light."""


def card_like(things: Regions) -> Iterator[Floats]:
    """Rough corners ``(4, 2)`` px of each large thing, and of each two of them together, that have about a card's proportions."""
    import cv2

    whole = [k for k, cut in enumerate(things.cut_off, start=1) if not cut]
    hulls = {number: shape_of(things, number).hull for number in whole}
    largest = sorted(whole, key=lambda k: -float(cv2.contourArea(hulls[k])))[:_MOST_PARTS]
    singles = ([number] for number in sorted(largest))
    for parts in chain(singles, (sorted(pair) for pair in combinations(largest, 2))):
        hull = cv2.convexHull(np.concatenate([hulls[k] for k in parts]))
        _, size, _ = cv2.minAreaRect(hull)
        low, high = min(size), max(size)
        area = float(cv2.contourArea(hull))
        held = sum(float(cv2.contourArea(hulls[k])) for k in parts)
        if (
            low < 8
            or not PROPORTIONS[0] < low / high < PROPORTIONS[1]
            or min(area, 1.6 * held) < _FULL * low * high
        ):
            continue
        quad = np.asarray(cv2.approxPolyN(hull, 4), dtype=np.float64).reshape(-1, 2)
        if len(quad) == 4:
            yield frozen(things.in_picture(quad))


def card_outlines(picture: Picture, quad_px: Floats) -> Iterator[Floats]:
    """The outline of a card where the picture steps along its sides and at its corners, ``(n, 2)`` px; where it is unclear, two of them.

    A frame printed round a card, darker than what it frames, looks like the shadow beside a card that is hardly darker
    than its ground. So both outlines are offered, the one without shadows first: its form tells whether it is a card's. The
    other's may pass too: where two sides are taken at their shadow's end, a card keeps its proportions.

    Parameters
    ----------
    quad_px : (4, 2)
        Where its sides would meet, roughly.

    Raises
    ------
    CaptureError
        If a side shows no straight step.
    """
    quad_px = counter_clockwise(quad_px)
    per_mm = px_per_mm(quad_px)
    seen = PartSeen(picture, quad_px, margin_px=(_REACH_MM + 1.0) * per_mm)
    sides = [_side(seen, a, b, per_mm) for a, b in zip(quad_px, following(quad_px), strict=True)]
    yield _outline(seen, [shaded for shaded, _ in sides], per_mm)
    if any(shaded is not plain for shaded, plain in sides):
        yield _outline(seen, [plain for _, plain in sides], per_mm)


def _outline(seen: PartSeen, sides: Sequence[_Side], per_mm: float) -> Floats:
    """The outline of four sides, with the round corners found between them."""
    corners = [crossing(sides[k - 1][1], sides[k][1]) for k in range(4)]
    rounded = [_corner(seen, corners[k], corners[(k + 1) % 4], corners[k - 1], per_mm) for k in range(4)]
    return frozen(np.concatenate([part for k in range(4) for part in (rounded[k], sides[k][0])]))


def _side(seen: PartSeen, a: Floats, b: Floats, per_mm: float) -> tuple[_Side, _Side]:
    """A side from one corner to the next, in front of a shadow beside it, and as it is found: the same where no shadow shows.

    Raises
    ------
    CaptureError
        If none is found either way.
    """
    length = float(np.hypot(*(b - a)))
    along = np.linspace(_TRIM, 1 - _TRIM, int(np.clip(length / 2, 24, _MOST_STATIONS)))
    hull = Line(a + along[:, None] * (b - a), along, -left_of(unit(b - a)))
    offsets = offsets_px(_REACH_MM * per_mm)
    whole = seen.profiles(seen.levels, hull, offsets)
    coloured = without_brightness(whole, _outermost(whole))
    tinted = np.ptp(np.linalg.norm(coloured, axis=-1), axis=1) > _TINT
    by_colour = not seen.coarse_colours and bool(tinted.mean() > _LEAST_PART)
    steps, strong = _steepest(coloured if by_colour else whole, offsets, per_mm)
    clear = strong > max(_CLEAR * float(np.quantile(strong, 0.7)), _LEAST_LEVELS)
    if by_colour:
        clear &= tinted

    def through(steps: Floats) -> _Side:
        try:
            place, slope, near = _straight(along, steps, clear, within_px=0.25 * per_mm)
            coloured_there = by_colour
        except CaptureError:  # at most places the ground's own pattern steps more than the card's edge
            place, slope = _evenest(whole, along, offsets, apart_px=2 * _SHADOW_MM * per_mm)
            near, coloured_there = np.ones_like(clear), False
        line = hull.moved(place, slope)
        ground = _outermost(seen.profiles(seen.light, line, offsets[-4:])) if coloured_there else None
        return _placed(seen, line, near, ground, per_mm)

    if by_colour:
        side = through(steps)
        return side, side
    begin = _before_shadow(whole.mean(axis=-1), offsets, steps, per_mm)
    if np.array_equal(begin, steps):
        side = through(steps)
        return side, side
    try:
        shaded = through(begin)
    except CaptureError:
        shaded = through(steps)
        return shaded, shaded
    try:
        return shaded, through(steps)
    except CaptureError:
        return shaded, shaded


def _evenest(profiles: Floats, along: Floats, offsets: Floats, *, apart_px: float) -> tuple[float, float]:
    """Offset and slope of the straight line along which profiles ``(n, k, c)`` step most in the mean, px.

    Grain and flowers of the ground step more at places, but this way here and that way there.

    Raises
    ------
    CaptureError
        If they step nearly as much along another line.
    """
    steps = np.gradient(profiles, axis=1)
    each = np.arange(0, len(offsets), 2)
    first, last = (ends.ravel() for ends in np.meshgrid(each, each, indexing="ij"))
    part = (along - along[0]) / np.ptp(along)
    total = np.zeros((len(first), profiles.shape[-1]))
    for share, step in zip(part, steps, strict=True):
        total += step[np.rint(first + share * (last - first)).astype(np.int64)]
    worth = np.linalg.norm(total, axis=1)
    best = int(worth.argmax())
    away = np.abs(offsets[first] - offsets[first[best]]) + np.abs(offsets[last] - offsets[last[best]])
    if worth[best] < _EVENLY * worth[away > apart_px].max(initial=0.0):
        raise CaptureError(_CROOKED)
    slope = float((offsets[last[best]] - offsets[first[best]]) / np.ptp(along))
    return float(offsets[first[best]]) - slope * float(along[0]), slope


def _before_shadow(bright: Floats, offsets: Floats, off: Floats, per_mm: float) -> Floats:
    """Places ``(n,)`` at which profiles ``(n, k)`` step; one found where a shadow ends is moved to where that begins, at the card.

    Of a card hardly darker than the ground that end is the greater step; the shadow is darker than both.
    """
    reach = max(2, round(_SHADOW_MM * per_mm / STEP_PX))
    found = np.rint((off - offsets[0]) / STEP_PX).astype(np.int64)
    at = np.clip(found[:, None] + np.arange(-2 * reach, reach + 1), 0, len(offsets) - 1)
    levels = np.take_along_axis(bright, at, axis=1)
    inner = levels[:, reach : 2 * reach + 1]
    fall = np.median(levels[:, :reach], axis=1) - inner.min(axis=1)
    rise = levels[:, -1] - inner.min(axis=1)
    slope = np.gradient(inner, axis=1)
    slope[np.arange(reach + 1) > inner.argmin(axis=1)[:, None]] = 0.0
    begin = offsets[np.take_along_axis(at, slope.argmin(axis=1)[:, None] + reach, axis=1)[:, 0]]
    return np.where((fall > np.maximum(_LEAST_LEVELS, _FALL * rise)) & (fall < rise), begin, off)


def _placed(seen: PartSeen, line: Line, near: Bools, ground: Floats | None, per_mm: float) -> _Side:
    """The side near a line, to a part of a pixel."""
    offsets = offsets_px(max(_FINE_PX, _FINE_MM * per_mm))
    steps = seen.profiles(seen.light, line, offsets)
    if ground is not None:
        steps = without_brightness(steps, ground)
    else:
        bright = (steps @ LUMA)[..., None] if seen.coarse_colours else steps
        steps = _without_shadows_end(bright, near)
        if seen.coarse_colours and np.median(np.abs(bright[:, -1] - bright[:, 0])) < _BRIGHTER:
            steps = seen.profiles(seen.colours, line, offsets)
            steps = without_brightness(steps, _outermost(steps))
    off, _ = _steepest(steps, offsets, per_mm)
    place, slope, near = _straight(line.along, off, near, within_px=max(0.5, 0.08 * per_mm))
    points = line.places[near] + off[near, None] * line.normal
    ends = line.moved(place, slope).places[[0, -1]]
    across = -left_of(unit(ends[1] - ends[0]))
    return points, (across, float(across @ ends[0]))


def _outermost(profiles: Floats) -> Floats:
    """The median levels at the outer ends of profiles, which lie on the ground, ``(c,)``."""
    return np.asarray(np.median(profiles[:, -4:], axis=(0, 1)), dtype=np.float64)


def _without_shadows_end(profiles: Floats, near: Bools) -> Floats:
    """Profiles as brightness that never rises again outwards, where most of those near a side show a shadow: they fall, then rise."""
    bright = profiles.mean(axis=-1)
    usual = np.median(bright[near], axis=0)
    if min(usual[0], usual[-1]) - usual.min() < _FALL * np.ptp(usual):
        return profiles
    return np.asarray(np.minimum.accumulate(bright, axis=1)[..., None])


def _steepest(profiles: Floats, offsets: Floats, per_mm: float) -> tuple[Floats, Floats]:
    """Where each profile steps most steeply, to a part of a pixel, and by how many levels a pixel, ``(n,)`` both."""
    slope = np.gradient(profiles, STEP_PX, axis=1)
    half = round(_LOOK_MM * per_mm / STEP_PX)
    if 2 * half + 1 < len(offsets):
        slope = without_even_fall(slope, half=half)
    steep = np.sqrt((slope**2).sum(axis=-1))
    worth = steep * (1 - _NEAR * (offsets / np.abs(offsets).max()) ** 2)
    peak = worth[:, 1:-1].argmax(axis=1) + 1
    k = np.arange(len(peak))
    shift = peak_shift(*(steep[k, peak + d] for d in (-1, 0, 1)))
    return offsets[peak] + STEP_PX * shift, steep[k, peak]


def _straight(along: Floats, off: Floats, clear: Bools, *, within_px: float) -> tuple[float, float, Bools]:
    """Offset and slope of the straight line near most of the clear places, and which of them lie near it.

    Raises
    ------
    CaptureError
        If they are too few.
    """
    _check_enough(clear)
    at = np.flatnonzero(clear)
    tried = at[np.linspace(0, len(at) - 1, min(len(at), 24)).astype(np.int64)]
    i, j = np.triu_indices(len(tried), 6)
    i, j = tried[i], tried[j]
    slope = (off[j] - off[i]) / (along[j] - along[i])
    place = off[i] - slope * along[i]
    miss = np.abs(off[at] - place[:, None] - slope[:, None] * along[at])
    best = int((miss < within_px).sum(axis=1).argmax())
    near = clear & (np.abs(off - place[best] - slope[best] * along) < within_px)
    for _ in range(3):
        a, b = np.polynomial.polynomial.polyfit(along[near], off[near], 1)
        miss = np.abs(off - a - b * along)
        near = clear & (miss < np.clip(3 * usual_miss(miss[near]), 0.1, within_px))
        _check_enough(near)
    return float(a), float(b), near


def _check_enough(kept: Bools) -> None:
    if kept.sum() < max(8, _LEAST_PART * len(kept)):
        raise CaptureError(_CROOKED)


def _corner(seen: PartSeen, at: Floats, ahead: Floats, behind: Floats, per_mm: float) -> Floats:
    """The place on the diagonal at which the round corner ``at`` two sides passes it, ``(1, 2)`` px.

    Of rounding by every radius between the sides, which lie ``ahead`` and ``behind``, the one along which the picture
    steps most, and alike: letters and grain step more at places, but this way here and that way there.
    """
    one, other = (unit(end - at) * per_mm for end in (ahead, behind))
    turn = np.radians(np.linspace(*_CORNER_DEG, _RAYS))
    rays = np.column_stack([np.cos(turn), np.sin(turn)])
    outwards = -rays[:, :1] * one - rays[:, 1:] * other  # px for each mm
    along = np.arange(*_CORNER_MM, STEP_PX / per_mm)
    middle = at + RADIUS_MM * (one + other)
    line = Line(np.tile(middle, (_RAYS, 1)), turn, outwards[:, None])
    slope = np.gradient(seen.profiles(seen.levels, line, along), axis=1)
    radius = np.arange(0.0, _MOST_RADIUS_MM, _RADIUS_STEP_MM)
    rim = _rounded(radius, rays)  # (r, n)
    place = np.rint((rim - along[0]) / (along[1] - along[0])).astype(np.int64).clip(0, len(along) - 1)
    steep = np.linalg.norm(slope[np.arange(_RAYS), place].mean(axis=1), axis=-1)
    reach = (np.sqrt(2.0) * (RADIUS_MM - radius) + radius)[steep.argmax()]
    return np.asarray((middle - reach * (one + other) / np.sqrt(2.0))[None])


def _rounded(radius: Floats, rays: Floats) -> Floats:
    """How far rays ``(n, 2)`` from `RADIUS_MM` inside a right corner run to its rim, rounded by each radius ``(r,)``, mm."""
    inside = (radius - RADIUS_MM)[:, None]
    total = inside * rays.sum(axis=1)
    arc = -total + np.sqrt(np.maximum(total**2 - 2 * inside**2 + radius[:, None] ** 2, 0.0))
    on_arc = arc * rays.min(axis=1) > -inside
    return np.where(on_arc, arc, RADIUS_MM / rays.max(axis=1))
