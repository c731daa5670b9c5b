"""Fit a homography and, where the marks allow it, radial lens distortion to reference points."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.calibration import Lens, fit_homography, straightened, through
from cradle.errors import CaptureError
from cradle.geometry.arrays import Bools, Floats, frozen
from cradle.geometry.least_squares import least_squares, slopes, spread_of
from cradle.geometry.vectors import cross
from cradle.noun import noun

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

_OUTLIER: Final = 5.0
"""A point this many robust standard deviations off is left out."""
_LEAST_OUTLIER_PX: Final = 0.4
"""Points closer than this are never outliers: sharp pictures have tiny deviations."""
_LENS_SHIFT: Final = 0.015
"""Part of the picture's diagonal by which a lens may shift a point against a pinhole camera."""
_LEAST_AGREEING: Final = 0.6
_ROUNDS: Final = 5
_STEPS: Final = 25


@noun
class LensFit:
    """A fitted map from pixels to mm.

    Attributes
    ----------
    mm_from_px : (3, 3) float64
        Homography of straightened pixels.
    lens : Lens or None
        None where distortion did not show above the noise.
    used : (n,) bool
        Points that agreed.
    residual_px : (n, 2) float64
        Measured less known, in pixels at that place.
    scale_uncertainty : float
        Relative standard uncertainty of a length across the marks.
    """

    mm_from_px: Floats
    lens: Lens | None
    used: Bools
    residual_px: Floats
    scale_uncertainty: float


def fit_lens(px: ArrayLike, mm: ArrayLike, *, size_px: tuple[int, int]) -> LensFit:
    """The map that brings ``px`` nearest to ``mm``, outliers left out.

    Least squares over the homography alone, with k1, and with k1 and k2; the
    distortion's centre is the picture's. The richer model is kept only if it
    lowers the Bayesian information criterion (Schwarz, "Estimating the
    dimension of a model", Annals of Statistics 6, 1978).

    Parameters
    ----------
    px, mm : (n, 2)
        Matching points, n ≥ 6.
    size_px : tuple of int
        Width and height of the picture.

    Raises
    ------
    CaptureError
        If there are too few points, or they contradict each other.
    """
    points, target = (np.asarray(a, dtype=np.float64).reshape(-1, 2) for a in (px, mm))
    if len(points) < 6:
        raise CaptureError(f"expected at least 6 reference points, not {len(points)}")
    used = _consensus(points, target, size_px=size_px)
    _refuse_quarrel(used)
    for _ in range(_ROUNDS):
        fit = _best(points, target, used, size_px=size_px)
        off = np.hypot(*fit.residual_px.T)
        limit = max(_LEAST_OUTLIER_PX, _OUTLIER * float(np.median(off[used])) / 1.1774)
        agree = off <= limit  # 1.1774 sigma is the median of a Rayleigh distribution
        if (agree == used).all():
            break
        _refuse_quarrel(agree)
        used = agree
    return fit


def _consensus(points: Floats, target: Floats, *, size_px: tuple[int, int]) -> Bools:
    """Which points one homography brings within a small part of the picture, lens or no lens."""
    import cv2

    _, agree = cv2.findHomography(target, points, cv2.RANSAC, _LENS_SHIFT * float(np.hypot(*size_px)))
    return np.asarray(np.ravel(agree) == 1) if np.size(agree) == len(points) else np.zeros(len(points), bool)


def _refuse_quarrel(agree: Bools) -> None:
    """Refuse points most of which contradict each other."""
    if agree.sum() < max(6, _LEAST_AGREEING * len(agree)):
        raise CaptureError(
            f"only {int(agree.sum())} of {len(agree)} marks agree with each other",
            hint="lay the sheet flat on a hard table and keep the marks uncovered",
        )


@noun
class _Scaled:
    """Marks in coordinates of about one, in which least squares is well conditioned.

    Attributes
    ----------
    seen, true : (n, 2) float64
        In the picture, about its middle, in half diagonals; on the paper, about their own, in half of their extent.
    used : (n,) bool
    start : (8,) float64
        The homography without a lens, its last element being 1.
    px : (n, 1) float64
        How many pixels one unit of the paper covers at each mark.
    """

    seen: Floats
    true: Floats
    used: Bools
    start: Floats
    px: Floats

    def off_px(self, parameters: Floats) -> Floats:
        """How far each mark is off, px, ``(n, 2)``, by a homography and the lens's coefficients behind it."""
        at = through(_homography(parameters), straightened(_unit_lens(parameters[8:]), self.seen))
        return np.asarray((at - self.true) * self.px)

    def used_off_px(self, parameters: Floats) -> Floats:
        """The same of those used, ``(2m,)``."""
        return np.asarray(self.off_px(parameters)[self.used].ravel())


def _best(points: Floats, target: Floats, used: Bools, *, size_px: tuple[int, int]) -> LensFit:
    """The fit of least information criterion among the three models."""
    centre = (np.array(size_px) - 1) / 2
    radius = float(np.hypot(*size_px)) / 2
    middle, reach = target.mean(axis=0), float(np.ptp(target, axis=0).max()) / 2
    seen, true = (points - centre) / radius, (target - middle) / reach
    start = fit_homography(seen[used], true[used])
    scaled = _Scaled(
        seen=seen,
        true=true,
        used=used,
        start=start.ravel()[:8],
        px=reach / _mm_per_px(start, seen, reach / radius)[:, None],
    )
    models = [_solved(scaled, terms=terms) for terms in (0, 1, 2) if used.sum() >= 8 + terms]
    if not models:
        raise CaptureError("too few reference points for a fit", hint="show more marks")
    _, solved, spread = min(models, key=lambda each: each[0])
    before = np.array([[1 / radius, 0, -centre[0] / radius], [0, 1 / radius, -centre[1] / radius], [0, 0, 1]])
    after = np.array([[reach, 0, middle[0]], [0, reach, middle[1]], [0, 0, 1]])
    matrix = after @ _homography(solved) @ before
    return LensFit(
        mm_from_px=frozen(matrix / matrix[2, 2]),
        lens=_lens(solved[8:], centre=centre, radius_px=radius),
        used=used,
        residual_px=frozen(scaled.off_px(solved)),
        scale_uncertainty=_scale_uncertainty(solved, slopes(scaled.used_off_px, solved), spread, seen[used]),
    )


def _solved(scaled: _Scaled, *, terms: int) -> tuple[float, Floats, float]:
    """The information criterion of a model whose lens has so many ``terms``, its parameters, and the spread of a mark, px."""
    guess = np.concatenate([scaled.start, np.zeros(terms)])
    solved, _ = least_squares(scaled.used_off_px, guess, rounds=_STEPS, share=1e-10)
    count = 2 * int(scaled.used.sum())
    squares = float((scaled.off_px(solved)[scaled.used] ** 2).sum())
    criterion = count * np.log(max(squares, 1e-12) / count) + len(guess) * np.log(count)
    return float(criterion), solved, float(np.sqrt(squares / max(1, count - len(guess))))


def _homography(parameters: Floats) -> Floats:
    """The ``(3, 3)`` matrix of the first eight parameters."""
    return np.append(parameters[:8], 1.0).reshape(3, 3)


def _lens(k: Floats, *, centre: Floats, radius_px: float) -> Lens | None:
    """The lens of these coefficients, None without any."""
    if len(k) == 0:
        return None
    return Lens(
        centre_px=(float(centre[0]), float(centre[1])),
        radius_px=radius_px,
        k1=float(k[0]),
        k2=float(k[1]) if len(k) > 1 else 0.0,
    )


def _unit_lens(k: Floats) -> Lens | None:
    """The lens in coordinates centred on it, its radius 1."""
    return _lens(k, centre=np.zeros(2), radius_px=1.0)


def _mm_per_px(matrix: Floats, x: Floats, unit: float) -> Floats:
    """Geometric mean of the two local scales at each point, ``(n,)``, times ``unit``."""
    step = 1e-4
    dx, dy = np.array([step, 0.0]), np.array([0.0, step])
    along = (through(matrix, x + dx) - through(matrix, x - dx)) / (2 * step)
    across = (through(matrix, x + dy) - through(matrix, x - dy)) / (2 * step)
    return np.asarray(np.sqrt(np.abs(cross(along, across))) * unit)


def _scale_uncertainty(parameters: Floats, jacobian: Floats, spread: float, x: Floats) -> float:
    """Relative standard uncertainty of the longer of two lengths across the points."""
    cx, cy = x.mean(axis=0).tolist()
    hx, hy = (np.ptp(x, axis=0) / 4).tolist()
    ends = np.array([[cx - hx, cy], [cx + hx, cy], [cx, cy - hy], [cx, cy + hy]])

    def lengths(p: Floats) -> Floats:
        at = through(_homography(p), straightened(_unit_lens(p[8:]), ends))
        return np.asarray(np.log(np.hypot(*(at[1::2] - at[::2]).T)))

    covariance = np.asarray(np.linalg.pinv(jacobian.T @ jacobian) * spread**2, dtype=np.float64)
    return float(spread_of(lengths, parameters, covariance=covariance).max())
