"""Marks of a rule along a candidate line: where each lies to a small part of a pixel, and how long it is.

All marks share one law (`cradle.rulers.mark_law`), so hundreds of small errors average out.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.geometry.arrays import Bytes, Floats, Ints, frozen, frozen_ints, preceding
from cradle.geometry.vectors import left_of, unit
from cradle.noun import noun
from cradle.pictures.averaged import averaged, from_copy, in_copy
from cradle.rulers.mark_law import LEAST_MARKS, law_of, marks_showing, peak_places
from cradle.rulers.mark_leans import widening
from cradle.rulers.ruler_strip import (
    ROW_WAVES,
    Strip,
    fine_strip,
    leans,
    lie_of,
    part_along,
    profile_of,
    rough_strip,
    skew_of,
)

if TYPE_CHECKING:
    from cradle.rulers.ruler_find import MarkLine

_WAVE_PX: Final = 8.0
"""Marks are read in a picture shrunk until their waves are at most twice as long."""
_LOOSE: Final = 0.22
"""How far from its place a mark may lie while the law is not yet known, in spacings."""
_RIVAL: Final = 0.35
"""A row of the other polarity that scores more than this part of the best is read as well: gaps can show as regular as marks."""
_ONE_SIDE_PX: Final = 6.0
"""Marks this far apart need stand out from one side alone."""
_NOISE: Final = 0.09
"""Largest rms distance of marks from an even row, in spacings: peaks of noise that happen to be near their places have 0.11 or more."""
_UNEVEN: Final = 4.0
"""How heavily unevenness counts against a row."""
_ROWS_TRIED: Final = 8
_NEIGHBOURS: Final = 5
"""The mark before another is looked for among this many peaks before it: others in between are noise."""
_MOST_STEPS: Final = 3
"""Most spacings from one mark to the next that is seen: two may be hidden in a row."""
_USUAL: Final = (0.1, 0.85)
"""Quantiles of the marks' ends between which lengths are compared: a fifth of all marks is longer than the others, and a mat's lines
go on from every tenth."""
_TIMES: Final = (0.5, 1.0, 2.0, 3.0)
"""Spacings that are tried, in waves: the wave found may be an overtone of the marks."""


@noun
class Marks:
    """What was read along a line.

    Attributes
    ----------
    number : (n,) int64
        Count of each mark along the rule, rising; gaps where marks are hidden.
    at_px : (n, 2) float64
        Where each mark crosses the line through the middle of the shortest ones.
    low_px, high_px : (n,) float64
        How far each mark reaches either way across the line.
    ahead, across : (2,) float64
        Unit vectors along the rule and along its marks.
    spacing_px, spacing_error_px : float
        Between marks at the middle of the rule, and its standard error.
    change : float
        How much the spacing changes from end to end, as a ratio less 1.
    rms_px : float
        How far marks lie from the law.
    widening, widening_error : float
        By what part their spacing grows for each pixel across, and its standard error: infinite where nothing tells.
    """

    number: Ints
    at_px: Floats
    low_px: Floats
    high_px: Floats
    ahead: Floats
    across: Floats
    spacing_px: float
    spacing_error_px: float
    change: float
    rms_px: float
    widening: float
    widening_error: float

    @property
    def inward(self) -> float:
        """1 where marks reach from the rule's edge inwards along ``across``, else -1: there their lengths differ."""
        high, low = (float(np.ptp(np.quantile(ends, _USUAL))) for ends in (self.high_px, self.low_px))
        return 1.0 if high >= low else -1.0


def read_marks(grey: Bytes, line: MarkLine) -> tuple[Marks, ...]:
    """The marks along a candidate line: dark ones, light ones, none, or both.

    Where marks are as wide as the gaps between them, either may be the marks;
    their lengths tell.

    Parameters
    ----------
    grey : (h, w) uint8
    """
    shrink = 1
    while line.wave_px / shrink > 2 * _WAVE_PX:
        shrink *= 2
    if shrink > 1:
        x, y, part = part_along(grey, line, times=shrink)
        small = read_marks(averaged(part, times=shrink), _line_in(line, shrink, (x, y)))
        return tuple(_enlarged(marks, shrink, (x, y)) for marks in small)
    strip = rough_strip(grey, line)
    for _ in range(2):
        line = _moved(line, *lie_of(strip, line.wave_px))
        strip = rough_strip(grey, line)
    if not _best_chains(strip, line.wave_px):  # a fine strip costs as much as all that comes before
        return ()
    strip = fine_strip(grey, line, skew=skew_of(strip, line.wave_px))
    both = (_measured(strip, chain) for chain in _best_chains(strip, line.wave_px))
    return tuple(marks for marks in both if marks is not None)


def _moved(line: MarkLine, offset_px: float, slope: float) -> MarkLine:
    """The line moved across at its middle by ``offset_px``, and turned by a slope."""
    ahead = np.array(line.ahead)
    across = left_of(ahead)
    x, y = (line.centre_px + across * offset_px).tolist()
    u, v = unit(ahead + across * slope).tolist()
    return replace(line, centre_px=(x, y), ahead=(u, v))


def _line_in(line: MarkLine, shrink: int, corner_px: tuple[int, int]) -> MarkLine:
    """The line in part of a picture ``shrink`` times smaller."""
    x, y = in_copy(np.subtract(line.centre_px, corner_px), times=shrink).tolist()
    low, high = line.reach_px
    return replace(
        line,
        centre_px=(x, y),
        reach_px=(low / shrink, high / shrink),
        wave_px=line.wave_px / shrink,
        wide_px=line.wide_px / shrink,
    )


def _enlarged(marks: Marks, times: int, corner_px: tuple[int, int]) -> Marks:
    """Marks read in part of a picture ``times`` smaller, in the pixels of the full one."""
    return replace(
        marks,
        at_px=frozen(from_copy(marks.at_px, times=times) + corner_px),
        low_px=frozen(marks.low_px * times),
        high_px=frozen(marks.high_px * times),
        spacing_px=marks.spacing_px * times,
        spacing_error_px=marks.spacing_error_px * times,
        rms_px=marks.rms_px * times,
        widening=marks.widening / times,
        widening_error=marks.widening_error / times,
    )


@noun
class _Chain:
    """A regular row of marks: polarity (-1 dark), rows of the strip, places along it in samples, numbers."""

    sign: int
    rows: slice
    at: Floats
    number: Ints


def _best_chains(strip: Strip, wave_px: float) -> list[_Chain]:
    """The longest regular row of dark marks and that of light ones, the better first."""
    import cv2

    tall = max(2, round(0.7 * wave_px / strip.rise))
    high = tall // 2  # rows of the strip from one profile to the next
    smooth = cv2.blur(strip.flat, (1, tall))[high::high]
    t = np.arange(strip.flat.shape[1]) * strip.step
    power = np.zeros(len(smooth))
    for times in (1 / 3, 1 / 2, 1.0):
        power = np.maximum(power, np.abs(smooth @ np.exp(-2j * np.pi * t * times / wave_px)) ** 2)
    spread = smooth.std(axis=1)
    order = np.argsort(
        -np.maximum(power / power.max(), spread / max(float(spread.max()), 1e-9)), kind="stable"
    )
    across = strip.low + (order * high + tall / 2) * strip.rise
    near = order[np.abs(across) < ROW_WAVES * wave_px][:_ROWS_TRIED]
    strongest = order[:_ROWS_TRIED]
    others = strongest[~np.isin(strongest, near)]
    for rows in (near, others):  # the row that the strip was laid along; any other only where it shows none
        best: dict[int, tuple[float, _Chain]] = {}
        for row in rows.tolist():
            for sign in (-1, 1):
                for times in _TIMES:
                    least = best[sign][0] if sign in best else LEAST_MARKS
                    chain = _chain(sign * smooth[row], times * wave_px / strip.step, least=least)
                    if chain is None:
                        continue
                    at, number, regular = chain
                    score = len(at) * regular
                    if score >= LEAST_MARKS and (sign not in best or score > best[sign][0]):
                        lines = slice(row * high, row * high + tall)
                        best[sign] = (score, _Chain(sign=sign, rows=lines, at=at, number=number))
        if best:
            break
    ranked = sorted(best.values(), key=lambda each: -each[0])
    return [chain for score, chain in ranked if score > _RIVAL * ranked[0][0]]


def _chain(profile: Floats, spacing: float, *, least: float) -> tuple[Floats, Ints, float] | None:
    """Places, in samples, and numbers of the longest row of ``least`` peaks about ``spacing`` apart; how regular it is."""
    if spacing < 4:
        return None
    peaks = _peaks(profile, apart=max(1, int(0.45 * spacing)))
    if len(peaks) < least:
        return None
    heights = profile[peaks]
    # np.quantile takes ten times as long
    high = np.interp(0.85 * (len(heights) - 1), np.arange(len(heights)), np.sort(heights))
    peaks = peaks[heights > 0.35 * high]
    if len(peaks) < least:
        return None
    x = peak_places(profile, peaks)
    chain, number = _longest_row(x / spacing)
    if len(chain) < least:
        return None
    place = x[chain]
    single = np.diff(number) == 1
    gaps = np.diff(place)[single]
    if len(gaps) < LEAST_MARKS // 2:
        return None
    k = number / number[-1]
    off = place - np.polynomial.polynomial.polyval(k, np.polynomial.polynomial.polyfit(k, place, 3))
    if float(np.sqrt((off**2).mean())) > _NOISE * spacing:
        return None
    regular = 1.0 - float(np.median(np.abs(gaps - np.median(gaps)))) / spacing * _UNEVEN
    full = len(chain) / (number[-1] + 1)
    return place, number, max(0.0, regular) * full


def _longest_row(x: Floats) -> tuple[list[int], Ints]:
    """The indices of the places, rising and in spacings, that make the longest row in steps of one, two or three, and the marks' numbers."""
    count = len(x)
    length, before, jump = [1] * count, [-1] * count, [0] * count
    back = np.arange(1, _NEIGHBOURS + 1)
    first = np.arange(count)[:, None] - back  # (n, 5), the nearest before each first
    steps = x[:, None] - x[np.maximum(first, 0)]
    near = np.floor(steps + 0.5).astype(np.int64)
    linked = (first >= 0) & (near >= 1) & (near <= _MOST_STEPS) & (np.abs(steps - near) < _LOOSE)
    which, how = np.nonzero(linked)
    for j, i, step in zip(which.tolist(), first[linked].tolist(), near[which, how].tolist(), strict=True):
        if length[i] + 1 > length[j]:
            length[j], before[j], jump[j] = length[i] + 1, i, step
    at = length.index(max(length))
    row = [at]
    while before[at] >= 0:
        at = before[at]
        row.append(at)
    row.reverse()
    return row, np.cumsum([0, *(jump[k] for k in row[1:])])


def _peaks(profile: Floats, *, apart: int) -> Ints:
    """Samples above all others up to ``apart`` away, ``(n,)``."""
    import cv2

    row = np.asarray(profile, dtype=np.float32)[None]
    around = cv2.dilate(row, np.ones((1, 2 * apart + 1), np.uint8), borderType=cv2.BORDER_REPLICATE)[0]
    return np.flatnonzero((row[0] >= around) & (row[0] > preceding(row[0])))


def _measured(strip: Strip, chain: _Chain) -> Marks | None:
    """Marks measured again over all rows in which all of them show, and those beyond the chain's ends added."""
    sign, rows, at, number = chain.sign, chain.rows, chain.at, chain.number
    spacing = float(np.median(np.diff(at) / np.diff(number)))
    rows = _common_rows(strip, sign, rows, at)
    showing = marks_showing(profile_of(strip, sign, rows, spacing), number, at, spacing)
    if showing is None:
        return None
    number, at = showing
    law = law_of(number, at)
    (a, b, c), miss = law.slant, law.places(number) - at
    low, high = _lengths(strip, sign, rows, at, spacing)
    wider, wider_error = widening(strip, sign=sign, rows=rows, at=at, spacing=spacing)
    slope = (b - a * c) / (1 + c * (number[[0, -1]] - law.middle)) ** 2
    along = strip.start + at * strip.step
    across_px = strip.low + strip.rise * ((rows.start + rows.stop - 1) / 2)
    points = strip.origin + np.outer(along, strip.ahead) + across_px * strip.across
    return Marks(
        number=frozen_ints(number - number[0]),
        at_px=frozen(points),
        low_px=frozen(low),
        high_px=frozen(high),
        ahead=frozen(strip.ahead),
        across=frozen(strip.across),
        spacing_px=float(b - a * c) * strip.step,
        spacing_error_px=float(np.sqrt(max(law.covariance[1, 1], 0.0))) * strip.step,
        change=float(slope[1] / slope[0] - 1),
        rms_px=float(np.sqrt((miss**2).mean())) * strip.step,
        widening=wider,
        widening_error=wider_error,
    )


def _contrast(strip: Strip, sign: int, rows: slice, at: Floats, spacing: float) -> Floats:
    """How much marks that cross the middle of ``rows`` at ``at`` stand out, ``(n, v)`` grey levels.

    One side will do: close to the other there may be a numeral. Marks of few pixels stand out of noise from both alone.
    """
    import cv2

    tall = max(1, round(0.4 * spacing * strip.step / strip.rise))
    levels = cv2.blur(strip.levels, (max(1, round(0.12 * spacing)), tall))
    row, last = np.arange(levels.shape[0]), levels.shape[1] - 1
    runs = np.outer(leans(strip, spacing * strip.step, at), row - _middle(rows))

    def seen(shift: float) -> Floats:
        column = np.rint((at + shift * spacing)[:, None] + runs).astype(np.int64)
        return np.asarray(levels[row, np.clip(column, 0, last)])

    here, low, high = (sign * seen(shift) for shift in (0.0, -0.45, 0.45))
    beside = (low + high) / 2 if spacing * strip.step < _ONE_SIDE_PX else np.minimum(low, high)
    return np.asarray(here - beside)


def _common_rows(strip: Strip, sign: int, rows: slice, at: Floats) -> slice:
    """The rows next to ``rows`` in which nearly all marks stand out."""
    spacing = float(np.median(np.diff(at)))
    contrast = _contrast(strip, sign, rows, at, spacing)
    typical = float(np.median(contrast[:, rows]))
    show = (contrast > 0.5 * typical).mean(axis=0) > 0.85
    middle = _middle(rows)
    low = high = min(middle, len(show) - 1)
    while low > 0 and show[low - 1]:
        low -= 1
    while high < len(show) - 1 and show[high + 1]:
        high += 1
    trim = (high - low) // 6
    return slice(low + trim, max(low + trim + 1, high + 1 - trim))


def _lengths(strip: Strip, sign: int, rows: slice, at: Floats, spacing: float) -> tuple[Floats, Floats]:
    """How far each mark reaches below and above the middle of ``rows``, px."""
    import cv2

    contrast = _contrast(strip, sign, rows, at, spacing)
    own = np.median(contrast[:, rows], axis=1)
    show = contrast > 0.45 * own[:, None]
    bridged = max(1, round(0.7 * spacing * strip.step / strip.rise))  # noise must not cut a mark short
    show = cv2.morphologyEx(show.astype(np.uint8), cv2.MORPH_CLOSE, np.ones((1, bridged), np.uint8)) > 0
    middle = _middle(rows)
    gone = ~show[:, middle::-1]
    low = np.where(gone.any(axis=1), gone.argmax(axis=1), gone.shape[1])
    gone = ~show[:, middle:]
    high = np.where(gone.any(axis=1), gone.argmax(axis=1), gone.shape[1])
    return low * strip.rise, high * strip.rise


def _middle(rows: slice) -> int:
    return int(rows.start + rows.stop - 1) // 2
