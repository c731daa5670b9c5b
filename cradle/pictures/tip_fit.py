"""The tip at which two straight edges meet, from the light mixed there.

Near a sharp tip every pixel holds light of the piece and of the ground, and no
level line reaches the tip. How much of the piece's light there is tells how far it
goes on all the same: blur moves light, it takes none away. A wedge with a rounded
end, blurred as the picture is, is fitted to what is seen; the levels of both sides
and the shadow beside, taken as a blurred copy of the piece moved a little, follow
from it by linear least squares (Golub & Pereyra, "The differentiation of
pseudo-inverses and nonlinear least squares problems whose variables separate",
SIAM J. Numer. Anal. 10 (1973) 413).
"""

from __future__ import annotations

import math
from copy import copy
from dataclasses import replace
from enum import Enum, auto
from typing import Final

import numpy as np

from cradle.geometry.arrays import Bools, Floats, Singles, frozen
from cradle.geometry.least_squares import least_squares, slopes
from cradle.geometry.vectors import unit
from cradle.noun import noun
from cradle.pictures.sampled import sampled

_FINE: Final = 2
"""Samples to a pixel, either way, at which a wedge is drawn."""
_SHADOW_PX: Final = 3.0
"""Blur of the copy of the piece that stands for its shadow."""
_BAND_PX: Final = 5.0
"""How far from the wedge's sides light is looked at."""
_PAD_PX: Final = 6.0
"""What blur may bring in from further out."""
_BLUR_PX: Final = (0.3, 4.0)
_TURN_RAD: Final = 0.4
"""How far the sides may turn from where they were taken to run."""
_ROUNDED_PX: Final = 0.3
"""The fit starts once more, from this radius, where that of the guess leads to no good fit."""
_GOOD: Final = 0.03
_ROUNDS: Final = 20
_SETTLED: Final = 1e-4
"""A step that takes away no more than this part of what is left is the last."""
_STEPS: Final = np.array([0.05, 0.05, 0.005, 0.005, 1.0, 0.05])
"""Steps of the parameters, px and rad (the end's place, the sides' directions, radius and blur), over which slopes are taken: a rounding takes light away by its square, of a sharp tip none
over a small step."""
_LEAST_PIXELS: Final = 60
_COLUMNS: Final = 5
NEAR_PX: Final = 5.0
"""How far along its sides a tip's end is fitted once more alone: about two widths of a step, as far as blur mixes both sides."""
_NEARER: Final = 0.75
"""The end fitted alone counts if its residual is at most this part of the whole wedge's: noise leaves both the same. Of 206 tips
of painted scans, most by hands whose cuts wander, the ends lay off by 0.7 px (rms) without this, by 0.4 with it."""
_LEAST_HALF_RAD: Final = float(np.radians(5.0))
"""Sides that run together by less, as of a tongue or a burr, do not tell where they meet; those of thorns did by 7 and more."""
_EXPLAINED: Final = 0.01
"""A wedge that leaves no more of the step explains its tip: paper's grain and noise leave as much."""
UNLIKE: Final = 0.08
"""One that leaves as much of it explains nothing: paper's grain and a file's coarse colours leave half."""
_ALIKE: Final = 4.0
"""Neighbouring pixels of a smoothed field hold much the same noise: this many count as one."""


class Made(Enum):
    """What lies between a wedge's sides."""

    OF_PIECE = auto()
    OF_GROUND = auto()


@noun
class Wedge:
    """Two straight sides and the rounded end at which they meet.

    Attributes
    ----------
    end_px : (2,) float64
        The furthest place of the end.
    inward : (2, 2) float64
        Unit vectors along both sides, away from the end.
    radius_px : float
        Of the rounding; 0 is a sharp tip.
    """

    end_px: Floats
    inward: Floats
    radius_px: float
    made: Made

    @property
    def half_rad(self) -> float:
        """Half the angle between the sides."""
        return 0.5 * float(np.arccos(np.clip(self.inward[0] @ self.inward[1], -1.0, 1.0)))

    @property
    def axis(self) -> Floats:
        """Unit vector from the end between both sides, ``(2,)``."""
        return unit(self.inward.sum(axis=0))

    @property
    def apex_px(self) -> Floats:
        """Where the sides, carried on, meet, ``(2,)``."""
        return np.asarray(self.end_px - self.axis * self.radius_px * (1 / np.sin(self.half_rad) - 1))


@noun
class FittedTip:
    """A wedge that a picture shows.

    ``unsure_px`` is the standard uncertainty of how far its end reaches; ``left`` the root mean square of what
    the fit leaves, as part of the step from ground to piece. ``near`` is the end alone, where it goes on thinner
    or blunter than the sides lead to.
    """

    wedge: Wedge
    unsure_px: float
    left: float
    near: Wedge | None = None


def fitted_tip(
    field: Singles, guess: Wedge, *, length_px: float, blur_px: float, mixed: Bools | None = None
) -> FittedTip | None:
    """The wedge that a field shows near a guess, or None where too little of it is seen.

    Parameters
    ----------
    field : (h, w)
        The piece's part of the light: 1 on it, 0 on the ground.
    length_px : float
        How far along the sides from their apex they are straight.
    blur_px : float
        About the standard deviation of the field's blur.
    mixed : (h, w) bool, optional
        Places that hold other light as well: they are left out where that makes the wedge surer. Where its sides
        meet there, nothing else would tell of its end.
    """
    windows = [_Window(field, guess, length_px)]
    if mixed is not None and not sampled(mixed.astype(np.uint8), guess.apex_px[None, None]).any():
        clear = windows[0].without(mixed)
        windows += [clear] if len(clear.seen) < len(windows[0].seen) else []
    found = [
        _fitted(window, guess, length_px=length_px, blur_px=blur_px)
        for window in windows
        if len(window.seen) >= _LEAST_PIXELS
    ]
    tip = min(found, key=lambda tip: tip.unsure_px, default=None)
    return None if tip is None else _with_end(tip, field, blur_px=blur_px)


def _with_end(tip: FittedTip, field: Singles, *, blur_px: float) -> FittedTip:
    """A tip with its end fitted alone where that explains the light there better."""
    window = _Window(field, tip.wedge, NEAR_PX)
    if not _EXPLAINED <= tip.left < UNLIKE or len(window.seen) < _LEAST_PIXELS:
        return tip
    end = _fitted(window, tip.wedge, length_px=NEAR_PX, blur_px=blur_px)
    if end.left > _NEARER * tip.left or end.unsure_px > NEAR_PX / 2 or end.wedge.half_rad < _LEAST_HALF_RAD:
        return tip
    return replace(tip, near=end.wedge, unsure_px=end.unsure_px)


def _fitted(window: _Window, guess: Wedge, *, length_px: float, blur_px: float) -> FittedTip:
    """The wedge that a window shows near a guess."""
    parameters, left = _fit(window, guess, length_px, blur_px)
    if window.spread(left) > _GOOD**2:
        sharp = replace(guess, end_px=guess.apex_px, radius_px=_ROUNDED_PX)
        again = _fit(window, sharp, length_px, blur_px)
        parameters, left = min((parameters, left), again, key=lambda found: float(found[1] @ found[1]))
    inward = np.column_stack([np.cos(parameters[2:4]), np.sin(parameters[2:4])])
    wedge = Wedge(
        end_px=frozen(parameters[:2] + window.corner),
        inward=frozen(inward),
        radius_px=float(parameters[4]),
        made=guess.made,
    )
    slope, spread = slopes(window.left, parameters, steps=_STEPS), window.spread(left)
    known = np.linalg.pinv(slope.T @ slope + 1e-9 * np.eye(len(parameters))) * spread * _ALIKE
    return FittedTip(
        wedge=wedge,
        unsure_px=float(np.sqrt(max(float(wedge.axis @ known[:2, :2] @ wedge.axis), 0.0))),
        left=float(np.sqrt(spread)),
    )


def _fit(window: _Window, guess: Wedge, length_px: float, blur_px: float) -> tuple[Floats, Floats]:
    """Least squares near a guess: place of the end, directions of the sides, radius and blur, ``(6,)``, and what is left, ``(n,)``."""
    angles = np.arctan2(guess.inward[:, 1], guess.inward[:, 0])
    blur = float(np.clip(blur_px, *_BLUR_PX))
    start = np.array([*(guess.end_px - window.corner), *angles, guess.radius_px, 0.5 * (blur + 1.0)])
    low = np.array([*(start[:2] - length_px), *(angles - _TURN_RAD), 0.0, _BLUR_PX[0]])
    high = np.array([*(start[:2] + length_px), *(angles + _TURN_RAD), guess.radius_px + 5.0, _BLUR_PX[1]])
    return least_squares(window.left, start, rounds=_ROUNDS, share=_SETTLED, bounds=(low, high), steps=_STEPS)


class _Window:
    """The part of a field near a tip, and those of its pixels that are looked at."""

    def __init__(self, field: Singles, guess: Wedge, length_px: float) -> None:
        apex = guess.apex_px
        ends = np.concatenate([[apex, guess.end_px], apex + guess.inward * (length_px + _BAND_PX)])
        h, w = field.shape
        low = np.maximum(np.floor(ends.min(axis=0) - _BAND_PX - _PAD_PX), 0).astype(np.int64)
        high = np.minimum(np.ceil(ends.max(axis=0) + _BAND_PX + _PAD_PX) + 1, [w, h]).astype(np.int64)
        self.corner, self.made = low, guess.made
        self.size = tuple(np.maximum(high - low, 1).tolist())
        x, y = (np.arange(n * _FINE, dtype=np.float32) for n in self.size)
        self.x, self.y = ((each + 0.5) / _FINE - 0.5 for each in (x[None], y[:, None]))
        angles = np.arctan2(guess.inward[:, 1], guess.inward[:, 0])
        at = np.array([*(apex - low), *angles, 0.0, 0.0])
        x, y = np.arange(self.size[0])[None], np.arange(self.size[1])[:, None]
        along = (x - at[0]) * guess.axis[0] + (y - at[1]) * guess.axis[1]
        used = (np.abs(_away(x, y, at)) <= _BAND_PX) & (along <= length_px * np.cos(guess.half_rad))
        used[[0, -1]] = False
        used[:, [0, -1]] = False
        self.used = np.flatnonzero(used)
        part = field[low[1] : high[1], low[0] : high[0]].astype(np.float64)
        self.seen = part.reshape(-1)[self.used]

    def without(self, mixed: Bools) -> _Window:
        """The window less the pixels at some places of the field, ``(h, w)`` bool."""
        (x, y), (wide, high) = self.corner, self.size
        clear = ~mixed[y : y + high, x : x + wide].reshape(-1)[self.used]
        rest = copy(self)
        rest.used, rest.seen = self.used[clear], self.seen[clear]
        return rest

    def left(self, parameters: Floats) -> Floats:
        """What a wedge, with the levels and the shadow that suit it best, leaves of the field, ``(n,)``."""
        import cv2

        cover = np.clip(0.5 - _away(self.x, self.y, parameters) * _FINE, 0.0, 1.0).astype(np.float32)
        if self.made is Made.OF_GROUND:
            cover = 1 - cover
        soft = cv2.GaussianBlur(cover, (0, 0), float(parameters[5]) * _FINE, borderType=cv2.BORDER_REPLICATE)
        own = cv2.resize(soft, self.size, interpolation=cv2.INTER_AREA)
        wide = cv2.GaussianBlur(own, (0, 0), _SHADOW_PX, borderType=cv2.BORDER_REPLICATE).reshape(-1)
        piece, shade = own.reshape(-1)[self.used].astype(np.float64), wide[self.used]
        right, down = (wide[self.used + step] - wide[self.used - step] for step in (1, self.size[0]))
        ground = 1 - piece
        columns = np.column_stack([piece, ground, ground * shade, ground * right, ground * down])
        square = columns.T @ columns + 1e-6 * np.eye(_COLUMNS)
        return np.asarray(self.seen - columns @ np.linalg.solve(square, columns.T @ self.seen))

    def spread(self, left: Floats) -> float:
        """Mean square of what a fit leaves."""
        return float(left @ left) / max(1, len(self.seen) - len(_STEPS) - _COLUMNS)


def _away(x: Floats, y: Floats, parameters: Floats) -> Floats:
    """Distance from a wedge with a rounded end, negative inside it, px; ``x (1, w)``, ``y (h, 1)``."""
    cos, sin = np.cos(parameters[2:4]).tolist(), np.sin(parameters[2:4]).tolist()
    end_x, end_y, first, other, radius = parameters[:5].tolist()
    half = 0.5 * ((other - first + np.pi) % (2 * np.pi) - np.pi)
    axis = first + half
    # the middle of the rounding is the tip of a sharp wedge that is then grown by the radius
    dx, dy = x - (end_x + radius * math.cos(axis)), y - (end_y + radius * math.sin(axis))
    turn = 1.0 if half > 0 else -1.0
    one, two = turn * (dx * sin[0] - dy * cos[0]), turn * (dy * cos[1] - dx * sin[1])
    along = np.where(one >= two, dx * cos[0] + dy * sin[0], dx * cos[1] + dy * sin[1])
    side = np.maximum(one, two)
    return np.asarray(np.where((along > 0) | (side < 0), side, np.hypot(dx, dy)) - radius)
