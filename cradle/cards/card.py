"""A bank-card sized card in the picture as a scale: ISO/IEC 7810 ID-1, 85.60 x 53.98 mm.

Its straight edges are fitted and crossed; its corners are round and are never
looked at for size, only to tell a card from cut paper. The card is 0.76 mm
thick (the same standard): a lens sees its top face nearer, and so larger.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.bowed_sides import LensSeen, lens_seen
from cradle.calibration.calibration import bent, lengths_mm, lens_of, raised_scale_error, straightened
from cradle.calibration.picture_view import (
    LENS,
    Known,
    MarkRow,
    PictureView,
    calibration_of,
    fit_view,
    focal_share,
    setting_of,
)
from cradle.calibration.scale import Scale, ScaleKind
from cradle.errors import CaptureError
from cradle.finding import Finding, in_unit, note
from cradle.geometry.arrays import Floats, following, frozen
from cradle.geometry.ring import edge_lengths, perimeter
from cradle.geometry.usual import usual_miss

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cradle.pictures.image import Picture

LONG_MM: Final = 85.60
SHORT_MM: Final = 53.98
_THICK_MM: Final = 0.76
RADIUS_MM: Final = 3.18
_PAIRS: Final = ((0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3))
"""Corners whose distances are known: sides, long ones first, and diagonals."""
_LENGTHS_MM: Final = frozen(
    [LONG_MM, SHORT_MM, LONG_MM, SHORT_MM, np.hypot(LONG_MM, SHORT_MM), np.hypot(LONG_MM, SHORT_MM)]
)
_SIZE_MM: Final = 0.12
"""A card's length may miss its nominal by this much (from memory)."""
_CORNER_MM: Final = 0.06
"""Standard uncertainty of a corner along a side: the edges' own, and a shadow beside them."""
_MISSED: Final = 0.01
"""Largest relative residual of a length once the view is fitted; what has more is something else with four sides."""
_MISFIT: Final = 20.0
"""Largest sum of squared residuals, each divided by its spread: a card's stay below half of that."""
_MOST_LEAN_DEG: Final = 35.0
_TRIM: Final = 0.16
"""Part of each side next to its ends that is not fitted."""
_BOW_MM, _BOW_PX = 0.005, 0.1
"""Standard uncertainty of how far a side's middle lies off the line through its ends: of the card, and of its edge as found.

Cards of nine colours, rendered without a lens at 4.5 px a mm with grain and a shadow, bowed by 0.09 px.
"""
_STRAIGHT: Final = 0.004
"""Largest rms of an edge from its line, as part of the short side."""
_ROUNDS: Final = 8
_MOSTLY: Final = 0.6
"""Part of a side's points that lie on its line."""
_ROUNDING: Final = (0.5, 1.7)
"""Least and greatest radius of a corner, as multiples of ID-1's ..."""
_ROUNDING_OF_ALL: Final = (0.7, 1.3)
"""... and of the mean of all four: 0.84 to 1.05 of cards in rendered pictures."""
_LEVEL_DEG: Final = 1.5
"""Paper on a scanner's glass seems to lean by less."""
_LEAST_TOLD: Final = 0.005
"""An uncertainty below this, in percent, would read 0.00 and is not told."""


def card_scale(
    contour_px: Floats, picture: Picture, *, camera: bool, distance_mm: float | None = None
) -> Scale:
    """The scale of a card whose outline is given.

    Parameters
    ----------
    contour_px : (n, 2) float64
        Closed, sub-pixel.
    camera : bool
        A camera may have taken it: it may lean, and the card's thickness matters.
    distance_mm : float, optional
        From the lens to the paper, if known.

    Raises
    ------
    CaptureError
        If it is no ID-1 card.
    """
    corners, lens = _corners(contour_px, picture.size_px, camera=camera)
    if not _round_corners(contour_px, corners):
        raise CaptureError("what looks like a bank card does not have a card's corners", where=picture.file)
    setting = setting_of(picture, camera=camera, distance_mm=distance_mm)
    known = _known(corners, raised=0.0, wall_mm=0.0, share=0.0, lens=lens)
    view = fit_view(setting, (known,))
    raised, doubtful = _raised(view, picture) if camera else (0.0, 0.0)
    if camera:
        wall = _THICK_MM * float(np.tan(np.radians(view.lean_deg))) / np.sqrt(12.0)
        known = _known(corners, raised=raised, wall_mm=wall, share=doubtful, lens=lens)
        view = fit_view(setting, (known,))
    lengths = _LENGTHS_MM * (1 + raised)
    calibration = calibration_of(view, source="card")
    measured = lengths_mm(calibration, corners[np.array(_PAIRS)])
    off = measured / lengths / (1 + view.off[0]) - 1
    if np.abs(off).max() > _MISSED or view.misfit > _MISFIT or view.lean_deg > _MOST_LEAN_DEG:
        seen = float((measured[0] + measured[2]) / (measured[1] + measured[3]))
        raise CaptureError(
            f"what looks like a bank card is {seen:.3f} times as long as wide, a card {LONG_MM / SHORT_MM:.3f} times",
            where=picture.file,
        )
    ends = np.stack([corners, following(corners)], axis=1)
    return Scale(
        kind=ScaleKind.BANK_CARD,
        calibration=replace(
            calibration,
            residual_mm=frozen((measured - lengths)[:4]),
            uncertainty_scale=known.share,
        ),
        told="card, 85.60 x 53.98 mm between its straight edges",
        ends_px=frozen(ends),
        known_mm=frozen(lengths[:4]),
        known=known,
        region_px=frozen(corners),
        marks_px=frozen(corners),
        findings=tuple(_raised_note(raised, doubtful)) if camera and distance_mm is None else (),
    )


def _corners(contour_px: Floats, size_px: tuple[int, int], *, camera: bool) -> tuple[Floats, LensSeen | None]:
    """Where a card's sides would meet, ``(4, 2)`` px, the first two along a long side, and the lens that bows the sides, of a camera only."""
    sides_px = _sides(contour_px)
    corners, lens = _crossings(sides_px), None
    if camera:
        spread = float(np.hypot(_BOW_MM * px_per_mm(corners), _BOW_PX))
        lens = lens_seen(sides_px, size_px, spread_px=spread)
    if lens is not None:
        straight = lens_of(size_px, lens.believed(LENS))
        corners = bent(straight, _crossings([straightened(straight, side) for side in sides_px]))
    sides = edge_lengths(corners)
    return (corners if sides[0] + sides[2] >= sides[1] + sides[3] else following(corners)), lens


def _known(corners: Floats, *, raised: float, wall_mm: float, share: float, lens: LensSeen | None) -> Known:
    """What a card's corners ``(4, 2)`` px tell of the view.

    ``raised`` is the part by which it is seen too large, ``share`` that part's standard uncertainty, and ``wall_mm``
    the standard uncertainty of an edge because the card's wall below it is seen too.
    """
    spread = float(np.hypot(_CORNER_MM, wall_mm)) * px_per_mm(corners)
    rows = tuple(
        MarkRow(at_px=frozen(corners[[a, b]]), along_mm=frozen([0.0, length]), spread_px=spread)
        for (a, b), length in zip(_PAIRS, (_LENGTHS_MM * (1 + raised)).tolist(), strict=True)
    )
    return Known(rows=rows, share=float(np.hypot(_SIZE_MM / np.sqrt(3.0) / LONG_MM, share)), lens=lens)


def _raised(view: PictureView, picture: Picture) -> tuple[float, float]:
    """By what part a card is seen too large, as it lies higher than the paper, and that part's standard uncertainty.

    The view's distance tells. Where the view leans no more than that of paper on a scanner's glass, and the file does not
    say what took the picture, half of it is assumed, give or take the other half.
    """
    whole = raised_scale_error(_THICK_MM, distance_mm=max(view.distance_mm, 2 * _THICK_MM))
    if view.setting.distance_mm is not None:
        return whole, 0.0
    if not picture.by_camera and view.lean_deg < _LEVEL_DEG:
        return whole / 2, whole / 2
    return whole, whole * focal_share(picture)


def _raised_note(raised: float, doubtful: float) -> Iterator[Finding]:
    """The note that a card lies higher than the paper, and what of that was taken out."""
    by = f"{100 * raised:.2f} % larger" + (
        f", give or take {100 * doubtful:.2f} %" if 100 * doubtful >= _LEAST_TOLD else ""
    )
    yield note(
        "card-raised",
        f"the card's face lies {_THICK_MM:g} mm above the paper, and a lens sees it {by}; this was corrected",
        "give the distance of the lens (distance), or use a scanner or the capture sheet",
        where="card",
        **in_unit("%", 100 * raised),
    )


def _sides(contour: Floats) -> list[Floats]:
    """Points along the four straight sides of an outline, in order, ``(n, 2)`` px each.

    The outermost points along a box's diagonals part the outline into its sides.
    """
    import cv2

    (cx, cy), size, angle = cv2.minAreaRect(contour.astype(np.float32))
    turn = np.radians(angle)
    axes = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    local = (contour - (cx, cy)) @ axes.T / np.maximum(size, 1e-9)
    at = [int((local @ corner).argmax()) for corner in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    count = len(contour)
    if (at[1] - at[0]) % count > (at[3] - at[0]) % count:  # the outline runs the other way round
        at = at[::-1]
    sides = []
    for first, last in zip(at, [*at[1:], at[0]], strict=True):
        run = (last - first) % count
        trim = round(_TRIM * run)
        points = contour[(first + np.arange(trim, max(run - trim, trim))) % count]
        if min(size) < 20 or len(points) < 12:
            raise CaptureError("what looks like a bank card is too small")
        sides.append(points)
    return sides


def _crossings(sides: Sequence[Floats]) -> Floats:
    """Where four straight sides would meet, in order, ``(4, 2)`` px."""
    short = min(float(np.hypot(*(side[-1] - side[0]))) for side in sides) / (1 - 2 * _TRIM)
    lines = [_line(side, most=max(0.5, _STRAIGHT * short)) for side in sides]
    return np.array([crossing(lines[k - 1], lines[k]) for k in range(4)])


def crossing(one: tuple[Floats, float], other: tuple[Floats, float]) -> Floats:
    """Where two lines cross, ``(2,)``; of each the unit normal and the distance from the origin."""
    return np.asarray(np.linalg.solve(np.array([one[0], other[0]]), [one[1], other[1]]))


def _line(points: Floats, *, most: float) -> tuple[Floats, float]:
    """Unit normal of the straight line through most points, and how far it lies from the origin along it, px.

    What the ground's grain or a shadow adds to a side lies off the line, and is left out.
    """
    kept = np.ones(len(points), dtype=bool)
    for _ in range(_ROUNDS):
        middle = points[kept].mean(axis=0)
        _, _, right = np.linalg.svd(points[kept] - middle, full_matrices=False)
        off = (points - middle) @ right[1]
        near = np.abs(off) < 3 * max(usual_miss(off), 0.02)
        if (near == kept).all():
            break
        kept = near
    if kept.mean() < _MOSTLY or float(np.sqrt((off[kept] ** 2).mean())) > most:
        raise CaptureError("what looks like a bank card does not have a card's straight sides")
    return right[1], float(right[1] @ middle)


def corner_radii_mm(contour_px: Floats, corners_px: Floats) -> Floats:
    """Radii of the round corners of a card's outline, ``(4,)`` mm: an arc of radius r passes (sqrt 2 - 1) r inside the crossing of the sides.

    Parameters
    ----------
    contour_px : (n, 2) float64
    corners_px : (4, 2) float64
        Where its straight sides would meet.
    """
    gap = np.array([np.hypot(*(contour_px - corner).T).min() for corner in corners_px])
    return np.asarray(gap / (np.sqrt(2.0) - 1) / px_per_mm(corners_px))


def px_per_mm(corners_px: Floats) -> float:
    """Pixels to a mm of a card, by its sides in the mean, from where they would meet, ``(4, 2)`` px."""
    return perimeter(corners_px) / (2 * (LONG_MM + SHORT_MM))


def _round_corners(contour: Floats, corners: Floats) -> bool:
    """Whether each corner may be as round as a card's, and all of them in the mean are."""
    share = corner_radii_mm(contour, corners) / RADIUS_MM
    pixel = 0.5 / (np.sqrt(2.0) - 1) / RADIUS_MM / px_per_mm(corners)
    each = (share > _ROUNDING[0] - pixel) & (share < _ROUNDING[1] + pixel)
    return bool(each.all() and _ROUNDING_OF_ALL[0] < share.mean() < _ROUNDING_OF_ALL[1])
