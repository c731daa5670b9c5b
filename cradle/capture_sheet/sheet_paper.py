"""The paper round a capture sheet's marks: whether the sheet was printed larger or smaller than it should be.

Paper is cut to its size, to 2 mm (ISO 216:2007, clause 5, from memory). A print shrunk to fit the page has marks
that lie nearer to one another, and by these the paper seems too large, along both sides by the same part.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.calibration import to_px
from cradle.capture_sheet.sheet import chess_corners
from cradle.finding import Finding, doubt, in_unit
from cradle.geometry.arrays import Bytes, Floats
from cradle.pictures.sampled import sampled
from cradle.units import PAPER_MM

if TYPE_CHECKING:
    from cradle.capture_sheet.sheet_reading import SheetReading
    from cradle.geometry.arrays import Bools, Ints

_REACH_MM: Final = 60.0
"""How far from the band the paper's edge is looked for: below A4's it lies 30 mm away, of a shrunk print further."""
_FIRST_MM: Final = 3.0
_STEP_MM: Final = 0.25
_NEAR_MM: Final = 2.0
"""Levels are averaged over this length: on the paper, just beyond its edge, and further on."""
_ON_MM: Final = 5.0
"""Words and lines printed below the band are less high than this: behind them the paper comes again."""
_LEAST: Final = 15.0
"""What the paper lies on differs from it by more than this many levels."""
_PLACES: Final = 48
_MOSTLY: Final = 0.6
"""Least part of the places along a side that lie on one straight line."""
_OFF_MM: Final = 0.4
_STRAIGHT: Final = 0.03
"""Largest slope of a side against the marks: printers pull pages in straighter."""
_ALIKE: Final = 0.008
"""Width and height are of one paper, printed at one scale, if their scales differ by less than this part."""
_TOLD: Final = 0.01
_MOST: Final = 0.2
"""A print is told if it is off its size by more than the first and less than the second."""


def print_doubt(grey: Bytes, sheet: SheetReading) -> Iterator[Finding]:
    """The doubt that the sheet was not printed at its size; nothing where the paper's four edges do not show that.

    Parameters
    ----------
    grey : (h, w) uint8
    sheet : SheetReading
        As read from it.
    """
    size = paper_mm(grey, sheet)
    if size is None:
        return
    shares = {name: np.array(known) / size for name, known in PAPER_MM.items()}
    alike = {name: both for name, both in shares.items() if abs(both[0] / both[1] - 1) < _ALIKE}
    if not alike:
        return
    name, both = min(alike.items(), key=lambda item: abs(float(item[1].mean()) - 1))
    printed = float(both.mean())
    if not _TOLD < abs(printed - 1) < _MOST:
        return
    wide, high = PAPER_MM[name]
    yield doubt(
        "sheet-print-scaled",
        f"by the sheet's marks its paper is {size[0]:.1f} by {size[1]:.1f} mm, as {name} paper, {wide:g} by {high:g} mm, seems"
        f" where the sheet was printed at {100 * printed:.1f} % of its size: then all sizes are"
        f" {100 * abs(1 / printed - 1):.1f} % too {'large' if printed < 1 else 'small'}",
        "say what a ruler reads on the sheet's 150 mm line (check), or print the sheet again at 100 %",
        where="capture sheet",
        **in_unit("%", 100 * printed, limit=100 * (1 - _TOLD)),
    )


def paper_mm(grey: Bytes, sheet: SheetReading) -> Floats | None:
    """Width and height of the paper by the marks on it, ``(2,)`` mm; None where not all its four edges are seen."""
    low, high = _band_mm(sheet)
    size = np.zeros(2)
    for axis in (0, 1):
        both = [_edge_beyond(grey, sheet, axis=axis, outwards=way) for way in (-1, 1)]
        if both[0] is None or both[1] is None:
            return None
        size[axis] = high[axis] - low[axis] + both[0] + both[1]
    return size


def _band_mm(sheet: SheetReading) -> tuple[Floats, Floats]:
    """The lower left and the upper right corner of the band of marks."""
    design = sheet.design
    low, high = chess_corners(design).min(axis=0), chess_corners(design).max(axis=0)
    return (low - design.square_mm) * sheet.stretch, (high + design.square_mm) * sheet.stretch


def _edge_beyond(grey: Bytes, sheet: SheetReading, *, axis: int, outwards: int) -> float | None:
    """How far beyond the band the paper ends on one side, mm; None where no straight edge is seen there."""
    low, high = _band_mm(sheet)
    along = np.linspace(low[1 - axis], high[1 - axis], _PLACES)
    away = np.arange(_FIRST_MM, _REACH_MM, _STEP_MM)
    at = np.empty((_PLACES, len(away), 2))
    at[..., 1 - axis] = along[:, None]
    at[..., axis] = (low if outwards < 0 else high)[axis] + outwards * away
    px = to_px(sheet.calibration, at.reshape(-1, 2)).reshape(at.shape)
    seen = np.asarray(((px > 0) & (px < np.array(grey.shape[::-1]) - 1)).all(axis=-1))
    ends = _ends(sampled(grey, px).astype(np.float64), seen)
    there = np.flatnonzero(ends >= 0)
    return _straight(along[there] - along.mean(), away[ends[there]] - _STEP_MM / 2)


def _ends(levels: Floats, seen: Bools) -> Ints:
    """Where, along each row outwards ``(n, k)``, paper gives way to something else for good; -1 where it does not.

    Paper is the lightest of what came just before, so that lines and words printed on it are none.
    """
    import cv2

    near, on = round(_NEAR_MM / _STEP_MM), round(_ON_MM / _STEP_MM)
    mean = np.lib.stride_tricks.sliding_window_view(levels, near, axis=1).mean(axis=-1)  # from each place on
    paper = cv2.dilate(mean, np.ones((1, on), np.uint8), anchor=(on - 1, 0), borderType=cv2.BORDER_REPLICATE)
    count = mean.shape[1] - on
    before, after, later = (part[:, k : k + count] for part, k in ((paper, 0), (mean, near), (mean, on)))
    off = np.sign(after - before) * np.minimum(np.abs(after - before), np.abs(later - before))
    gone = (np.abs(off) > _LEAST) & (off * (later - before) > 0) & seen[:, -count:]
    first = np.where(gone.any(axis=1), gone.argmax(axis=1), -1)
    local = np.abs(mean[:, near : near + count] - mean[:, :count])
    window = np.clip(first[:, None] + np.arange(near), 0, count - 1)
    sharpest = np.take_along_axis(local, window, axis=1).argmax(axis=1)
    return np.where(first < 0, -1, np.minimum(first + sharpest, count - 1) + near)


def _straight(along: Floats, away: Floats) -> float | None:
    """How far away the straight line lies, at the middle, on which most places do; None without one."""
    if len(along) < _MOSTLY * _PLACES:
        return None
    i, j = np.triu_indices(len(along), len(along) // 4)
    slope = (away[j] - away[i]) / (along[j] - along[i])
    start = away[i] - slope * along[i]
    near = np.abs(away - start[:, None] - slope[:, None] * along) < _OFF_MM
    best = int(near.sum(axis=1).argmax())
    kept = near[best]
    if kept.sum() < _MOSTLY * _PLACES or abs(slope[best]) > _STRAIGHT:
        return None
    return float(np.polynomial.polynomial.polyfit(along[kept], away[kept], 1)[0])
