"""Calibration: where a place in a picture lies on the paper, in mm.

Pixel coordinates have x to the right and y down, with pixel centres at whole
numbers, as OpenCV counts them. Paper coordinates are mm with y up. The flip
is part of the calibration, so nothing after `to_mm` knows of rows.
"""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING

import numpy as np

from cradle.errors import CaptureError
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.vectors import lengths
from cradle.noun import noun, record

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

_COLLINEAR = 1e-7
"""Eighth singular value of the DLT matrix, relative to the first, below which the points fix no map."""


@record
class Lens:
    """Radial distortion: a pixel at radius r is moved to ``r (1 + k1 s² + k2 s⁴)``, ``s = r / radius_px``.

    The polynomial straightens (distorted to ideal), so measuring needs no
    iteration. Positive ``k1`` straightens barrel distortion.
    """

    centre_px: tuple[float, float]
    radius_px: float
    k1: float
    k2: float = 0.0


def lens_of(size_px: tuple[int, int], k1: float) -> Lens:
    """The lens of coefficient ``k1`` about a picture's middle, with radii in parts of the picture's half diagonal."""
    width, height = size_px
    return Lens(
        centre_px=((width - 1) / 2, (height - 1) / 2), radius_px=float(np.hypot(width, height)) / 2, k1=k1
    )


@noun
class Calibration:
    """How pixels become mm, and how well that is known.

    Attributes
    ----------
    mm_from_px : (3, 3) float64
        Homography from (straightened) pixels, y down, to mm, y up.
    source : str
        What the scale came from: "capture sheet", "ruler", "two points" ...
    residual_mm : (k,) float64
        Measured minus known, for each length that the scale was fitted to.
    lens : Lens or None
        Radial distortion, applied before the homography.
    uncertainty_scale : float
        Relative standard uncertainty of a length: 0.001 is 0.15 mm on 150.
    """

    mm_from_px: Floats
    source: str
    residual_mm: Floats = field(default_factory=lambda: frozen([]))
    lens: Lens | None = None
    uncertainty_scale: float = 0.0

    def __post_init__(self) -> None:
        matrix = frozen(self.mm_from_px)
        if matrix.shape != (3, 3) or not np.isfinite(matrix).all() or abs(np.linalg.det(matrix)) == 0.0:
            raise CaptureError("expected an invertible 3 by 3 matrix from pixels to mm", where=self.source)
        object.__setattr__(self, "mm_from_px", matrix)
        object.__setattr__(self, "residual_mm", frozen(self.residual_mm))


def through(matrix: Floats, points: ArrayLike) -> Floats:
    """Points taken through a homography, ``(n, 2)``, in the units the matrix leads to."""
    xy = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    mapped = xy @ matrix[:, :2].T + matrix[:, 2]
    return np.asarray(mapped[:, :2] / mapped[:, 2:])


def straightened(lens: Lens | None, points_px: ArrayLike) -> Floats:
    """Pixels where an ideal lens would have put them, ``(n, 2)``, px."""
    px = np.asarray(points_px, dtype=np.float64).reshape(-1, 2)
    if lens is None:
        return px
    centre = np.array(lens.centre_px)
    out = px - centre
    s2 = (out * out).sum(axis=1, keepdims=True) / lens.radius_px**2
    return np.asarray(centre + out * (1 + s2 * (lens.k1 + s2 * lens.k2)))


def bent(lens: Lens | None, points_px: ArrayLike) -> Floats:
    """Pixels where the real lens puts ideal ones: the inverse of `straightened`, ``(n, 2)``, px.

    Newton's method on the radius; ten steps reach rounding for any lens that folds nothing.
    """
    px = np.asarray(points_px, dtype=np.float64).reshape(-1, 2)
    if lens is None:
        return px
    centre = np.array(lens.centre_px)
    out = px - centre
    wanted = np.sqrt((out * out).sum(axis=1, keepdims=True)) / lens.radius_px
    s = wanted.copy()
    for _ in range(10):
        s2 = s * s
        slope = 1 + s2 * (3 * lens.k1 + 5 * s2 * lens.k2)
        s = s - (s * (1 + s2 * (lens.k1 + s2 * lens.k2)) - wanted) / slope
    ratio = np.divide(s, wanted, out=np.ones_like(s), where=wanted > 0)
    return np.asarray(centre + out * ratio)


def to_mm(calibration: Calibration, points_px: ArrayLike) -> Floats:
    """Places on the paper of points in the picture, ``(n, 2)``, mm, y up.

    Parameters
    ----------
    calibration : Calibration
        Straightens the lens, then maps.
    points_px : (n, 2)
        x right, y down, pixel centres at whole numbers.

    Examples
    --------
    >>> scan = from_scale(0.1, 0.1, height_px=100, source="resolution tag 254 dpi")
    >>> [round(float(v), 6) for v in to_mm(scan, [[-0.5, 99.5]])[0]]
    [0.0, 0.0]
    """
    return through(calibration.mm_from_px, straightened(calibration.lens, points_px))


def to_px(calibration: Calibration, points_mm: ArrayLike) -> Floats:
    """Places in the picture of points on the paper, ``(n, 2)``, px, y down."""
    return bent(calibration.lens, through(frozen(np.linalg.inv(calibration.mm_from_px)), points_mm))


def lengths_mm(calibration: Calibration, ends_px: Floats) -> Floats:
    """Lengths on the paper between pairs of points in the picture ``(k, 2, 2)``, ``(k,)``."""
    ends = to_mm(calibration, ends_px.reshape(-1, 2)).reshape(-1, 2, 2)
    return lengths(ends[:, 1] - ends[:, 0])


def from_scale(
    mm_per_px_x: float,
    mm_per_px_y: float,
    *,
    height_px: int,
    source: str,
    residual_mm: ArrayLike = (),
    uncertainty_scale: float = 0.0,
) -> Calibration:
    """The calibration of a flat scan: one scale along x, one along y.

    The origin is the lower left corner of the picture's area (half a pixel
    outside the last row's first pixel centre).

    Raises
    ------
    CaptureError
        If a scale is not a positive number.
    """
    for axis, scale in (("x", mm_per_px_x), ("y", mm_per_px_y)):
        if not (np.isfinite(scale) and scale > 0):
            raise CaptureError(
                f"expected a positive scale along {axis}, not {scale:g} mm per pixel", where=source
            )
    scaling = np.array(
        [
            [mm_per_px_x, 0.0, 0.5 * mm_per_px_x],
            [0.0, -mm_per_px_y, (height_px - 0.5) * mm_per_px_y],
            [0.0, 0.0, 1.0],
        ]
    )
    return Calibration(
        mm_from_px=frozen(scaling),
        source=source,
        residual_mm=frozen(residual_mm),
        uncertainty_scale=uncertainty_scale,
    )


def normalising(points: ArrayLike) -> Floats:
    """The ``(3, 3)`` similarity that puts the centroid at 0 and the mean distance at √2.

    Hartley & Zisserman, "Multiple View Geometry in Computer Vision", 2nd ed., section 4.4.4.

    Raises
    ------
    CaptureError
        If all points coincide.
    """
    xy = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    centre = xy.mean(axis=0)
    mean = float(lengths(xy - centre).mean())
    if not mean > 0:
        raise CaptureError("all reference points are one point", hint="choose points that are far apart")
    scale = np.sqrt(2.0) / mean
    return np.array([[scale, 0, -scale * centre[0]], [0, scale, -scale * centre[1]], [0, 0, 1]])


def fit_homography(px: ArrayLike, mm: ArrayLike) -> Floats:
    """The ``(3, 3)`` homography that takes ``px`` to ``mm``, last element 1.

    Normalised direct linear transformation, Hartley & Zisserman, "Multiple
    View Geometry in Computer Vision", 2nd ed., algorithm 4.2.

    Parameters
    ----------
    px, mm : (n, 2)
        Matching points, n ≥ 4, no three of some four on a line.

    Raises
    ------
    CaptureError
        If there are too few points or they fix no homography.
    """
    source = np.asarray(px, dtype=np.float64).reshape(-1, 2)
    target = np.asarray(mm, dtype=np.float64).reshape(-1, 2)
    if len(source) != len(target) or len(source) < 4:
        raise CaptureError(
            f"expected at least 4 pairs of points, not {len(source)} and {len(target)}",
            hint="show more reference marks in the picture",
        )
    before, after = normalising(source), normalising(target)
    x, y = through(before, source).T
    u, v = through(after, target).T
    zero, one = np.zeros_like(x), np.ones_like(x)
    upper = np.column_stack([x, y, one, zero, zero, zero, -u * x, -u * y, -u])
    lower = np.column_stack([zero, zero, zero, x, y, one, -v * x, -v * y, -v])
    rows = np.concatenate([upper, lower, np.zeros((1, 9))])  # (2n + 1, 9): 4 points need a ninth row
    _, sizes, right = np.linalg.svd(rows, full_matrices=False)
    matrix = np.linalg.inv(after) @ right[-1].reshape(3, 3) @ before
    if sizes[7] < _COLLINEAR * sizes[0] or matrix[2, 2] == 0.0:
        raise CaptureError(
            "the reference points lie on one line, so they fix no scale across it",
            hint="show marks on all sides of the paper",
        )
    return frozen(matrix / matrix[2, 2])


def mm_per_px(calibration: Calibration, *, at_px: tuple[float, float]) -> tuple[float, float]:
    """Lengths on the paper of one pixel along x and along y at a place, mm."""
    x, y = at_px
    steps = to_mm(calibration, [[x - 0.5, y], [x + 0.5, y], [x, y - 0.5], [x, y + 0.5]])
    return float(np.hypot(*(steps[1] - steps[0]))), float(np.hypot(*(steps[3] - steps[2])))


def scale_difference(a: Calibration, b: Calibration, *, at_px: tuple[float, float]) -> tuple[float, float]:
    """How much longer ``a`` measures than ``b`` along x and along y at a place, as a ratio less 1."""
    ax, ay = mm_per_px(a, at_px=at_px)
    bx, by = mm_per_px(b, at_px=at_px)
    return ax / bx - 1.0, ay / by - 1.0


def raised_scale_error(raised_mm: float, *, distance_mm: float) -> float:
    """Relative error of lengths in a plane when the reference lay ``raised_mm`` above it.

    A lens ``distance_mm`` above the plane sees the raised reference larger by
    ``D / (D - t)``: everything in the plane is then measured too small by
    ``t / (D - t)`` of the true length. Pinhole model; nothing on a flatbed.

    Raises
    ------
    CaptureError
        If the reference is as high as the lens.
    """
    if not 0 <= raised_mm < distance_mm:
        raise CaptureError(
            f"a reference {raised_mm:g} mm above the paper must lie below the lens at {distance_mm:g} mm"
        )
    return raised_mm / (distance_mm - raised_mm)
