"""Find the marks of a capture sheet in a picture: markers, chess corners, edge sharpness."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from cradle.calibration.calibration import Calibration, to_px
from cradle.capture_sheet.lens_fit import fit_lens
from cradle.capture_sheet.sheet import SHEETS, SheetDesign, chess_corners, marker_corners, marker_family
from cradle.errors import CaptureError
from cradle.pictures.averaged import averaged, from_copy, reduced
from cradle.pictures.light import light_of

if TYPE_CHECKING:
    from cradle.geometry.arrays import Bytes, Floats


_LEAST_PX_PER_MM: Final = 1.6
_LEAST_STEP: Final = 20.0
"""Grey levels of 255 between black and paper below which an edge tells nothing."""
_MARK_LEVELS: Final = 10.0
"""Levels by which a mark is darker than what lies around it: in grain and a mat's lines thousands of squares are less."""
_SHARPENED: Final = 5.0
"""What is blurred is read after what sets each pixel off from its surroundings has been added to it this many times ..."""
_SURROUNDINGS: Final = 300
"""... which reach as far as a Gaussian whose sigma is the picture's longer side by this, about a marker's cell where the sheet fills it.

Rendered sheets moved by 2 mm while the shutter was open: 1 of 72 markers read as they are, 63 after it."""
_ENOUGH: Final = 0.6
"""Once more than this part of the markers is read, nearly every chess corner has one of them beside it."""
_DETECT_PX: Final = 2200
"""Markers are first looked for with the longer side reduced to about this."""
_QUICK_PX: Final = 1600
_SOME: Final = 3
"""Of 176 pictures without a sheet one showed one marker."""


def shows_markers(picture: Bytes) -> bool:
    """Whether a quick look at a picture, blurred or not, sees some markers of the sheets' family."""
    import cv2

    settings = _settings(least=0.02)
    settings.adaptiveThreshWinSizeMin = settings.adaptiveThreshWinSizeMax = 23
    shrink = max(1.0, max(picture.shape) / _QUICK_PX)
    small = reduced(picture, (round(picture.shape[1] / shrink), round(picture.shape[0] / shrink)))
    _, ids, _ = cv2.aruco.ArucoDetector(marker_family(), settings).detectMarkers(_sharpened(small))
    return ids is not None and len(ids) >= _SOME


def find_markers(picture: Bytes) -> tuple[SheetDesign, dict[int, Floats]]:
    """The sheet and its markers' corners by id, each ``(4, 2)`` px.

    Raises
    ------
    CaptureError
        If fewer than four markers of one sheet are read.
    """
    import cv2

    detector = cv2.aruco.ArucoDetector(marker_family(), _settings(least=0.01))
    longest = max(picture.shape)
    best = next(iter(SHEETS.values()))
    found: dict[int, Floats] = {}
    coarse, fine = (max(1, round(longest / size)) for size in (_DETECT_PX, 2 * _DETECT_PX))
    for factor, sharpened in dict.fromkeys(((coarse, False), (fine, False), (coarse, True))):
        small = averaged(picture, times=factor)
        corners, ids, _ = detector.detectMarkers(_sharpened(small) if sharpened else small)
        numbers = [] if ids is None else [int(n) for n in np.ravel(ids)]
        places = {
            number: from_copy(np.asarray(c, dtype=np.float64).reshape(4, 2), times=factor)
            for number, c in zip(numbers, corners, strict=True)
            if numbers.count(number) == 1
        }
        for design in SHEETS.values():
            own = {n: places[n] for n in sorted(places) if n in marker_corners(design)}
            if len(own) > len(found):
                best, found = design, own
        if len(found) > _ENOUGH * len(marker_corners(best)):
            break
    if len(found) < 4:
        raise CaptureError(
            f"{len(found)} marks of a capture sheet were read, at least 4 are needed",
            where="capture sheet",
            hint="show the whole sheet, sharp, in even light, large in the picture",
        )
    return best, found


def _settings(*, least: float) -> Any:
    """How markers are looked for, of which one's border is at least that part of the picture's longer side."""
    import cv2

    settings = cv2.aruco.DetectorParameters()
    settings.minMarkerPerimeterRate = least
    settings.perspectiveRemovePixelPerCell = 8
    settings.adaptiveThreshConstant = _MARK_LEVELS
    settings.errorCorrectionRate = 1.0  # all 5 bits the family can mend; ids must also fit together
    return settings


def _sharpened(picture: Bytes) -> Bytes:
    """The picture with what blur took from its marks brought out again."""
    import cv2

    around = cv2.GaussianBlur(picture, (0, 0), max(picture.shape) / _SURROUNDINGS)
    return np.asarray(cv2.addWeighted(picture, 1 + _SHARPENED, around, -_SHARPENED, 0))


def first_map(design: SheetDesign, found: dict[int, Floats], *, size_px: tuple[int, int]) -> Calibration:
    """The map from the markers' corners, good to about a pixel; misread markers are left out."""
    px = np.concatenate(list(found.values()))
    mm = np.concatenate([marker_corners(design)[n] for n in found])
    fit = fit_lens(px, mm, size_px=size_px)
    return Calibration(mm_from_px=fit.mm_from_px, source="capture sheet", lens=fit.lens)


def chess_places(
    picture: Bytes, design: SheetDesign, found: dict[int, Floats], first: Calibration
) -> tuple[Floats, Floats, int]:
    """The chess corners next to a read marker, ``(n, 2)`` px and ``(n, 2)`` mm, and how many were sought.

    A corner that is not near the place predicted by the markers is left out.
    """
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
    return np.array(kept_px).reshape(-1, 2), np.array(kept_mm).reshape(-1, 2), int(inside.sum())


def edge_width_mm(
    picture: Bytes, design: SheetDesign, found: dict[int, Floats], printed: Calibration
) -> float:
    """The median width of the band's outer edges, 10 to 90 % of the step of light, mm on the paper; of the way in which they are wider.

    ``picture`` is as the file keeps it. Only edges next to a read marker are looked at. A camera that moved blurs those
    across its way alone.

    A step of height s blurred by a Gaussian has the greatest slope
    ``s / (sigma √(2π))``; from 10 to 90 % it takes 2.563 sigma.
    """
    import cv2

    (x0, y0), (nx, ny), size = design.origin_mm, design.squares, design.square_mm
    x1, y1 = x0 + nx * size, y0 + ny * size
    reach = np.linspace(-2.4, 2.4, 49)  # from the black outwards
    side = np.linspace(-0.25, 0.25, 7) * size
    edges = []  # each (7, 49, 2): parallel profiles, averaged against noise
    for k in range(0, nx, 2):
        x = x0 + (k + 0.5) * size + side
        edges += [
            np.stack(np.broadcast_arrays(x[:, None], y + out * reach), -1) for y, out in ((y0, -1), (y1, 1))
        ]
    for k in range(0, ny, 2):
        y = y0 + (k + 0.5) * size + side
        edges += [
            np.stack(np.broadcast_arrays(x + out * reach, y[:, None]), -1) for x, out in ((x0, -1), (x1, 1))
        ]
    lines = np.array(edges)  # (m, 7, 49, 2)
    middles = np.array([marker_corners(design)[n].mean(axis=0) for n in found])
    away = np.abs(lines[:, 3, 24][:, None] - middles[None]).max(axis=2).min(axis=1)
    upright = np.ptp(lines[:, 3, :, 0], axis=1) > 0  # the edge itself is
    lines, upright = lines[away < 1.6 * size], upright[away < 1.6 * size]
    at = to_px(printed, lines.reshape(-1, 2)).reshape(-1, len(reach), 2).astype(np.float32)
    values = cv2.remap(picture, at[..., 0], at[..., 1], cv2.INTER_LINEAR)
    values = np.asarray(values, dtype=np.float64).reshape(-1, len(side), len(reach)).mean(axis=1)
    step = values[:, -8:].mean(axis=1) - values[:, :8].mean(axis=1)
    clear = step > _LEAST_STEP
    if not clear.any():
        raise CaptureError(
            f"black and paper differ by less than {_LEAST_STEP / 2.55:.0f} % of full scale",
            where="capture sheet",
            hint="add light, or print darker",
        )
    light = light_of(values[clear])
    step = light[:, -8:].mean(axis=1) - light[:, :8].mean(axis=1)
    slope = np.gradient(light, reach, axis=1).max(axis=1)
    widths = step / (slope * np.sqrt(2 * np.pi)) * 2.563
    ways = (widths[way] for way in (upright[clear], ~upright[clear]))
    return max(float(np.median(each)) for each in ways if each.size)
