"""Find the marks of a capture sheet in a picture: markers, chess corners, edge sharpness."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.capture.calibration import Calibration, to_px
from cradle.capture.lens_fit import fit_lens
from cradle.capture.sheet import SHEETS, SheetDesign, chess_corners, marker_corners
from cradle.errors import CaptureError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from cradle.geometry.arrays import Floats

    Bytes = NDArray[np.uint8]

_LEAST_PX_PER_MM: Final = 1.6
_DETECT_PX: Final = 2200
"""Markers are first looked for with the longer side reduced to about this."""


def find_markers(picture: Bytes) -> tuple[SheetDesign, dict[int, Floats]]:
    """Return the sheet and its markers' corners by id, each ``(4, 2)`` px.

    Raises
    ------
    CaptureError
        If fewer than four markers of one sheet are read.
    """
    import cv2

    family = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    detector = cv2.aruco.ArucoDetector(family)
    longest = max(picture.shape)
    best: tuple[SheetDesign, dict[int, Floats]] | None = None
    coarse, fine = (max(1, round(longest / size)) for size in (_DETECT_PX, 2 * _DETECT_PX))
    for factor in dict.fromkeys((coarse, fine)):
        small = picture
        if factor > 1:
            height, width = (n // factor for n in picture.shape)
            whole = picture[: height * factor, : width * factor]
            small = np.asarray(
                cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA), dtype=np.uint8
            )
        corners, ids, _ = detector.detectMarkers(small)
        numbers = [] if ids is None else [int(n) for n in np.ravel(ids)]
        places = {
            number: (np.asarray(c, dtype=np.float64).reshape(4, 2) + 0.5) * factor - 0.5
            for number, c in zip(numbers, corners, strict=True)
            if numbers.count(number) == 1
        }
        for design in SHEETS.values():
            found = {n: places[n] for n in sorted(places) if n in marker_corners(design)}
            if best is None or len(found) > len(best[1]):
                best = (design, found)
        if best is not None and len(best[1]) > 0.9 * len(marker_corners(best[0])):
            break
    if best is None or len(best[1]) < 4:
        count = 0 if best is None else len(best[1])
        raise CaptureError(
            f"{count} marks of a capture sheet were read, at least 4 are needed",
            where="capture sheet",
            hint="show the whole sheet, sharp, in even light, large in the picture",
        )
    return best


def first_map(design: SheetDesign, found: dict[int, Floats], *, size_px: tuple[int, int]) -> Calibration:
    """Return the map from the markers' corners, good to about a pixel; misread markers are left out."""
    import cv2

    px = np.concatenate(list(found.values()))
    mm = np.concatenate([marker_corners(design)[n] for n in found])
    _, agree = cv2.findHomography(px, mm, cv2.RANSAC, design.square_mm / 2)
    keep = np.ravel(agree).astype(bool) if agree is not None else np.zeros(len(px), dtype=bool)
    if keep.sum() < 12:
        raise CaptureError(
            f"only {int(keep.sum()) // 4} marks of the sheet fit together",
            where="capture sheet",
            hint="show one sheet only, flat, with its marks uncovered",
        )
    fit = fit_lens(px[keep], mm[keep], size_px=size_px)
    return Calibration(mm_from_px=fit.mm_from_px, source="capture sheet", lens=fit.lens)


def chess_places(
    picture: Bytes, design: SheetDesign, found: dict[int, Floats], first: Calibration
) -> tuple[Floats, Floats]:
    """Return the chess corners next to a read marker, ``(n, 2)`` px and ``(n, 2)`` mm."""
    import cv2

    places = chess_corners(design)
    middles = np.array([marker_corners(design)[n].mean(axis=0) for n in found])
    near = np.abs(places[:, None] - middles[None]).max(axis=2) < 0.6 * design.square_mm  # (n, m)
    places = places[near.any(axis=1)]
    guess = to_px(first, places)
    # half a window: the white rim between a chess corner and the marker, the shorter way
    rim = (design.square_mm - design.marker_mm) / 2
    right, above = (to_px(first, places + d) - guess for d in ([1.0, 0.0], [0.0, 1.0]))
    narrow = np.linalg.svd(np.stack([right, above], axis=1), compute_uv=False)[:, -1]  # px per mm
    half = np.minimum(0.85 * rim * narrow, 25.0)
    height, width = picture.shape
    rim_px = half[:, None] + 2
    inside = ((guess > rim_px) & (guess < np.array([width, height]) - 1 - rim_px)).all(axis=1)
    if float(np.median(narrow)) < _LEAST_PX_PER_MM:
        raise CaptureError(
            f"a millimetre of the sheet spans {float(np.median(narrow)):.1f} pixels,"
            f" at least {_LEAST_PX_PER_MM:g} are needed",
            where="capture sheet",
            hint="come nearer, or use a larger picture",
        )
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 40, 0.002)
    kept_px, kept_mm = [], []
    for at, place, reach in zip(guess[inside], places[inside], half[inside].tolist(), strict=True):
        window = max(2, round(reach))
        corner = at.astype(np.float32).reshape(1, 1, 2)
        cv2.cornerSubPix(picture, corner, (window, window), (-1, -1), stop)
        if np.hypot(*(corner.ravel() - at)) < max(1.5, 0.5 * reach):
            kept_px.append(corner.ravel().astype(np.float64))
            kept_mm.append(place)
    return np.array(kept_px).reshape(-1, 2), np.array(kept_mm).reshape(-1, 2)


def edge_width_mm(
    picture: Bytes, design: SheetDesign, found: dict[int, Floats], printed: Calibration
) -> float:
    """Return the median width of the markers' outer edges, 10 to 90 % of the step, mm on the paper."""
    import cv2

    rim = (design.square_mm - design.marker_mm) / 2
    bit = design.marker_mm / 8
    along = np.linspace(-bit, 0.95 * rim, 41)  # from the black border's inner side out to the next square
    starts, outward = [], []
    for corners in (marker_corners(design)[n] for n in found):
        for k in range(4):
            side = corners[(k + 1) % 4] - corners[k]
            starts.append((corners[k] + corners[(k + 1) % 4]) / 2)
            outward.append(np.array([-side[1], side[0]]) / np.hypot(*side))
    lines = np.array(starts)[:, None] + along[None, :, None] * np.array(outward)[:, None]  # (m, 41, 2)
    at = to_px(printed, lines.reshape(-1, 2)).reshape(*lines.shape).astype(np.float32)
    values = cv2.remap(picture.astype(np.float32), at[..., 0], at[..., 1], cv2.INTER_LINEAR)
    slope = np.gradient(values, along, axis=1)
    step = np.ptp(values, axis=1)
    clear = step > 25
    if not clear.any():
        return float("inf")
    # a blurred step of height s has greatest slope s / (sigma sqrt(2 pi)); 10 to 90 % is 2.563 sigma
    sigma = step[clear] / (np.abs(slope[clear]).max(axis=1) * np.sqrt(2 * np.pi))
    return float(np.median(sigma) * 2.563)
