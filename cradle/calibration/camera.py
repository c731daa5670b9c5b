"""Where the lens was when a picture was taken: above which place of the paper, and how high.

A homography from paper to picture is ``K [r1 r2 t]`` up to a factor, with r1
and r2 the paper's axes and t its origin, seen from the lens (Zhang, "A
flexible new technique for camera calibration", IEEE PAMI 22(11), 2000,
section 2.2, from memory). Pixels are taken to be square and the lens's axis to
pass through the picture's middle, so K has one unknown, the focal length in
pixels. It comes, the most trusted first, from a stated distance, from the
Exif tag, from the vanishing points of the paper's axes where the view leans
enough, or is what telephones usually have.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.calibration import Calibration
from cradle.errors import CaptureError
from cradle.geometry.arrays import Floats
from cradle.noun import record

if TYPE_CHECKING:
    from cradle.pictures.image import Picture

FILM_DIAGONAL_MM: Final = float(np.hypot(36.0, 24.0))
"""Diagonal of the film that focal lengths "in 35 mm film" are told for."""
USUAL_FOCAL_MM: Final = 26.0
"""Focal length of a telephone's main camera, in 35 mm film (common practice, no source: 24 to 28)."""
NO_SCANNER_DEG: Final = 3.0
"""A view that leans by more is no scanner's."""
_LEAST_TILT_DEG: Final = 5.0
"""Vanishing points tell the focal length to a hundredth from here on; below, noise drowns them."""
_FOCALS: Final = (0.4, 4.0)
"""Least and greatest focal length from vanishing points that is believed, in picture diagonals."""


@record
class Viewpoint:
    """Where the lens was.

    ``foot_mm`` is the place on the paper straight below it, in the
    calibration's coordinates; ``height_mm`` how far above that it was;
    ``told_by`` what the focal length rests on.
    """

    foot_mm: tuple[float, float]
    height_mm: float
    told_by: str
    supposed: bool
    """The focal length is only what is usual."""


def viewpoint(
    calibration: Calibration, picture: Picture, *, tilt_deg: float, distance_mm: float | None
) -> Viewpoint:
    """Where the lens was, from a calibration that maps the paper.

    Parameters
    ----------
    calibration : Calibration
        Its homography takes straightened pixels to the paper.
    picture : Picture
        Its size, and its focal length where a tag tells it.
    tilt_deg : float
        How far the view is off vertical.
    distance_mm : float, optional
        From the lens to the paper along the view, where it is stated.

    Raises
    ------
    CaptureError
        If the lens would lie in the paper.
    """
    matrix = _from_paper(calibration, picture)
    focal, told_by, supposed = _focal_px(matrix, picture, tilt_deg, distance_mm)
    seen = matrix / np.array([[focal], [focal], [1.0]])
    seen /= (np.linalg.norm(seen[:, 0]) + np.linalg.norm(seen[:, 1])) / 2
    if seen[2, 2] < 0:  # the paper lies ahead of the lens
        seen = -seen
    first = seen[:, 0] / np.linalg.norm(seen[:, 0])
    second = seen[:, 1] - (seen[:, 1] @ first) * first
    second /= np.linalg.norm(second)
    axes = np.column_stack([first, second, np.cross(first, second)])
    x, y, z = (-axes.T @ seen[:, 2]).tolist()
    if not z > 0:
        raise CaptureError("the picture shows the paper mirrored", where=picture.file)
    return Viewpoint(foot_mm=(x, y), height_mm=z, told_by=told_by, supposed=supposed)


def _focal_by_vanishing(matrix: Floats) -> float | None:
    """The focal length, px, that makes the paper's axes square and equally long, or None.

    With ``w = 1 / f²`` both demands, ``h1ᵀ W h2 = 0`` and ``h1ᵀ W h1 = h2ᵀ W h2``
    for ``W = diag(w, w, 1)``, are linear in w (Zhang, equations 3 and 4).

    Parameters
    ----------
    matrix : (3, 3)
        Homography from the paper to pixels counted from the picture's middle.
    """
    h = matrix / np.abs(matrix[:2, :2]).max()
    (ax, ay, az), (bx, by, bz) = h[:, 0].tolist(), h[:, 1].tolist()
    flat = np.array([ax * bx + ay * by, ax * ax + ay * ay - bx * bx - by * by])
    deep = np.array([az * bz, az * az - bz * bz])
    share = -float(flat @ deep) / max(float(flat @ flat), 1e-30)
    return None if share <= 0 else float(1 / np.sqrt(share))


def _from_paper(calibration: Calibration, picture: Picture) -> Floats:
    """Homography from the paper to pixels counted from the picture's middle."""
    width, height = picture.size_px
    centre = np.array([[1.0, 0.0, -(width - 1) / 2], [0.0, 1.0, -(height - 1) / 2], [0.0, 0.0, 1.0]])
    return np.asarray(centre @ np.linalg.inv(calibration.mm_from_px))


def _focal_px(
    matrix: Floats, picture: Picture, tilt_deg: float, distance_mm: float | None
) -> tuple[float, str, bool]:
    """Focal length in pixels, what it rests on, and whether it is only supposed."""
    diagonal = float(np.hypot(*picture.size_px))
    if distance_mm is not None:
        return distance_mm / _across_px(matrix), "the distance given", False
    if picture.focal_film_mm is not None:
        told = f"the focal length in the file, {picture.focal_film_mm:g} mm in 35 mm film"
        return picture.focal_film_mm / FILM_DIAGONAL_MM * diagonal, told, False
    if tilt_deg >= _LEAST_TILT_DEG:
        focal = _focal_by_vanishing(matrix)
        if focal is not None and _FOCALS[0] < focal / diagonal < _FOCALS[1]:
            return focal, "the paper's vanishing points", False
    told = f"a typical phone lens ({USUAL_FOCAL_MM:g} mm, 35 mm equivalent)"
    return USUAL_FOCAL_MM / FILM_DIAGONAL_MM * diagonal, told, True


def _across_px(matrix: Floats) -> float:
    """Length on the paper that a pixel in the picture's middle spans square to the lean, mm.

    Seen from a distance D with the focal length f it is D / f whatever the lean.
    """
    back = np.linalg.inv(matrix)
    steps = np.array([[-1.0, 0.0, 1.0], [1.0, 0.0, 1.0], [0.0, -1.0, 1.0], [0.0, 1.0, 1.0]]) @ back.T
    at = steps[:, :2] / steps[:, 2:]
    return float(np.linalg.svd(np.array([at[1] - at[0], at[3] - at[2]]) / 2, compute_uv=False)[-1])
