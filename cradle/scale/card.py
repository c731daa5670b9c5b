"""A bank-card sized card in the picture as a scale: ISO/IEC 7810 ID-1, 85.60 x 53.98 mm.

Its straight edges are fitted and crossed; its corners are round and are never
looked at for size, only to tell a card from cut paper. The card is 0.76 mm
thick (the same standard): a lens sees its top face nearer, and so larger.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.finding import Finding, Severity
from cradle.geometry.arrays import Floats, frozen
from cradle.scale.calibration import Calibration, fit_homography, from_scale, raised_scale_error, to_mm
from cradle.scale.scale import Scale, ScaleKind

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from cradle.pictures.image import Picture

LONG_MM: Final = 85.60
SHORT_MM: Final = 53.98
THICK_MM: Final = 0.76
RADIUS_MM: Final = 3.18
_RECTANGLE: Final = frozen([[0.0, 0.0], [LONG_MM, 0.0], [LONG_MM, SHORT_MM], [0.0, SHORT_MM]])
_SIZE_MM: Final = 0.12
"""A card's length may miss its nominal by this much (from memory)."""
_ASPECT: Final = 0.02
"""Seen from straight above; a card much out of square is not taken."""
_TRIM: Final = 0.16
"""Part of each side next to its ends that is not fitted."""
_STRAIGHT: Final = 0.004
"""Largest rms of an edge from its line, as part of the short side."""
_ROUNDING: Final = (0.5, 1.7)
"""How far the corner lies inside the crossing of the edges, as multiples of what ID-1 has."""
_PERSPECTIVE: Final = 0.004
USUAL_DISTANCE_MM: Final = 400.0
"""From a phone to the paper (common practice, no source); used only to say how large the effect is."""


def card_scale(contour_px: Floats, picture: Picture, *, distance_mm: float | None = None) -> Scale | None:
    """The scale of a card whose outline is given, or None when it is no ID-1 card.

    Parameters
    ----------
    contour_px : (n, 2) float64
        Closed, sub-pixel.
    picture : Picture
        Whether a camera took it decides if thickness matters.
    distance_mm : float, optional
        From the lens to the paper, if known.
    """
    corners = _crossings(contour_px)
    if corners is None:
        return None
    sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    if sides[0] + sides[2] < sides[1] + sides[3]:
        corners, sides = np.roll(corners, -1, axis=0), np.roll(sides, -1)
    tag = picture.resolution.mm_per_px
    ratio = np.array([1.0, 1.0 if tag is None else tag[1] / tag[0]])
    even = np.hypot(*((np.roll(corners, -1, axis=0) - corners) * ratio).T)
    aspect = (even[0] + even[2]) / (even[1] + even[3])
    if abs(aspect / (LONG_MM / SHORT_MM) - 1) > _ASPECT or not _round_corners(contour_px, corners, sides):
        return None
    uneven = max(abs(sides[0] / sides[2] - 1), abs(sides[1] / sides[3] - 1))
    known = np.array([LONG_MM, SHORT_MM, LONG_MM, SHORT_MM])
    ends = np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)
    if uneven > _PERSPECTIVE:
        matrix = fit_homography(corners, _RECTANGLE)
        if np.linalg.det(matrix[:2, :2]) > 0:  # pixels count downwards: a true map turns round
            matrix = fit_homography(corners, _RECTANGLE[::-1])
        calibration = Calibration(mm_from_px=frozen(matrix), source="card")
    else:
        squares, *_ = np.linalg.lstsq(np.square(ends[:, 1] - ends[:, 0]), known**2, rcond=None)
        steep = np.abs(ends[0, 1] - ends[0, 0])
        own = bool(min(steep) < 0.35 * max(steep)) and (squares > 0).all()  # near an axis x and y show apart
        scale = float(known.sum() / even.sum())
        x, y = np.sqrt(squares) if own else (scale, scale * ratio[1])
        calibration = from_scale(float(x), float(y), height_px=picture.size_px[1], source="card")
    findings: tuple[Finding, ...] = ()
    told = "card, 85.60 x 53.98 mm between its straight edges"
    if picture.by_camera or picture.resolution.dpi is None:
        calibration, findings = _lowered(calibration, distance_mm)
    measured = np.hypot(
        *np.squeeze(np.diff(to_mm(calibration, ends.reshape(-1, 2)).reshape(-1, 2, 2), axis=1)).T
    )
    return Scale(
        kind=ScaleKind.BANK_CARD,
        calibration=replace(
            calibration,
            reference_mm=frozen(known),
            residual_mm=frozen(measured - known),
            uncertainty_scale=_SIZE_MM / np.sqrt(3.0) / LONG_MM,
        ),
        told=told,
        ends_px=frozen(ends),
        known_mm=frozen(known),
        region_px=frozen(corners),
        marks_px=frozen(corners),
        findings=findings,
    )


def like_a_card(labels: NDArray[np.int32], box: tuple[int, int, int, int], number: int) -> bool:
    """Whether a piece in the small copy of a picture is about a rectangle of a card's proportions."""
    import cv2

    x, y, w, h = box
    rows, columns = np.nonzero(labels[y : y + h, x : x + w] == number)
    _, size, _ = cv2.minAreaRect(np.column_stack([columns, rows]).astype(np.float32))
    low, high = min(size) + 1, max(size) + 1
    return bool(0.58 < low / high < 0.68 and len(rows) > 0.9 * low * high)


def _lowered(calibration: Calibration, distance_mm: float | None) -> tuple[Calibration, tuple[Finding, ...]]:
    """The calibration of the paper below the card, and what is said of it."""
    if distance_mm is not None:
        grow = 1 + raised_scale_error(THICK_MM, distance_mm=distance_mm)
        matrix = np.diag([grow, grow, 1.0]) @ calibration.mm_from_px
        return replace(calibration, mm_from_px=frozen(matrix)), ()
    percent = 100 * raised_scale_error(THICK_MM, distance_mm=USUAL_DISTANCE_MM)
    return calibration, (
        Finding(
            code="card-raised",
            severity=Severity.NOTE,
            message=f"the card's face lies {THICK_MM:g} mm above the paper: a lens {USUAL_DISTANCE_MM:g} mm away"
            f" makes everything come out {percent:.2f} % too small",
            where="card",
            measured=percent,
            unit="%",
            advice="say how far the lens was with distance, or use a scanner or the capture sheet",
        ),
    )


def _crossings(contour: Floats) -> Floats | None:
    """Crossings of the four straight sides of an outline, in order, ``(4, 2)`` px; None when it has none."""
    import cv2

    (cx, cy), size, angle = cv2.minAreaRect(contour.astype(np.float32))
    if min(size) < 20 or not 0.5 < min(size) / max(size) < 0.8:
        return None
    turn = np.radians(angle)
    axes = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    local = (contour - (cx, cy)) @ axes.T / (np.array(size) / 2)  # the box is -1..1
    lines = []
    for axis, side in ((1, -1), (0, 1), (1, 1), (0, -1)):
        near = (np.abs(local[:, axis] - side) < 0.12) & (np.abs(local[:, 1 - axis]) < 1 - 2 * _TRIM)
        if near.sum() < 12:
            return None
        points = contour[near]
        middle = points.mean(axis=0)
        _, _, right = np.linalg.svd(points - middle, full_matrices=False)
        off = (points - middle) @ right[1]
        keep = np.abs(off) < 3 * max(1.4826 * float(np.median(np.abs(off))), 0.02)
        points = points[keep]
        middle = points.mean(axis=0)
        _, _, right = np.linalg.svd(points - middle, full_matrices=False)
        if float(np.sqrt((((points - middle) @ right[1]) ** 2).mean())) > max(0.5, _STRAIGHT * min(size)):
            return None
        lines.append((right[1], float(right[1] @ middle)))
    corners = []
    for k in range(4):
        (n1, d1), (n2, d2) = lines[k - 1], lines[k]
        corners.append(np.linalg.solve(np.array([n1, n2]), [d1, d2]))
    return np.array(corners)


def _round_corners(contour: Floats, corners: Floats, sides: Floats) -> bool:
    """Whether all corners are as round as a card's: the arc passes (sqrt 2 - 1) r inside the crossing."""
    per_mm = float(sides.sum()) / (2 * (LONG_MM + SHORT_MM))
    wanted = (np.sqrt(2.0) - 1) * RADIUS_MM * per_mm
    gap = np.array([np.hypot(*(contour - corner).T).min() for corner in corners])
    return bool((gap > _ROUNDING[0] * wanted - 0.5).all() and (gap < _ROUNDING[1] * wanted + 0.5).all())
