"""The marks of a rule, read where they were drawn to a small part of a pixel."""

import numpy as np
import pytest

from cradle.rulers.ruler_find import MarkLine
from cradle.rulers.ruler_marks import read_marks

SHAPE = (300, 900)


def rule(spacing, *, count=50, first=120.3, y0=150.0, long_every=5, lens=0.0, dark=True, noise=1.5, fan=0.0):
    """Marks at ``first + k spacing (1 + lens k)``, a fifth as wide, 24 or 36 px long upwards from ``y0``.

    They draw together by ``fan`` of their distances for each px upwards.
    """
    y, x = np.mgrid[0 : SHAPE[0], 0 : SHAPE[1]].astype(float)
    k = np.arange(count)
    at = first + spacing * k * (1 + lens * k)
    half = spacing / 8
    cover = np.zeros(SHAPE)
    for place, number in zip(at, k, strict=True):
        tall = 36 if number % long_every == 0 else 24
        x_at = place - fan * (y0 - 12 - y) * (at.mean() - place)
        across = np.clip(half + 0.5 - np.abs(x - x_at), 0, 1)
        along = np.clip(y - (y0 - tall) + 0.5, 0, 1) * np.clip(y0 - y + 0.5, 0, 1)
        cover = np.maximum(cover, across * along)
    level = 225 - 170 * cover if dark else 60 + 170 * cover
    return np.clip(level + np.random.default_rng(9).normal(0, noise, SHAPE), 0, 255).astype(np.uint8), at


def read(grey, spacing, *, y0=138.0):
    line = MarkLine(
        centre_px=(430.0, y0),
        ahead=(1.0, 0.0),
        reach_px=(-280.0, 280.0),
        wave_px=spacing,
        wide_px=20.0,
        strength=1.0,
    )
    return read_marks(grey, line)


@pytest.mark.parametrize("dark", [True, False])
@pytest.mark.parametrize("spacing", [8.0, 11.3])
def test_every_mark_is_found_to_a_tenth_of_a_pixel(spacing, dark):
    grey, true = rule(spacing, dark=dark)
    # the gaps between marks may be taken for marks as well
    off, marks = min(
        ((np.quantile(np.abs(m.at_px[:, :1] - true[None]).min(axis=1), 0.9), m) for m in read(grey, spacing)),
        key=lambda each: each[0],
    )
    assert off < 0.1
    assert len(marks.number) >= 45
    assert marks.spacing_px == pytest.approx(spacing, abs=max(4 * marks.spacing_error_px, 0.005))
    assert (np.diff(marks.number) >= 1).all()
    assert abs(marks.change) < 0.01


def test_a_scale_that_widens_is_followed():
    grey, true = rule(9.0, count=60, lens=4e-4)
    marks = read(grey, 9.2)[0]
    assert len(marks.number) >= 50
    # the spacing grows from 9.0 to 9.0 (1 + 2 · 4e-4 · 59) px from end to end
    assert abs(marks.change) == pytest.approx(2 * 4e-4 * 59, rel=0.25)
    assert np.quantile(np.abs(marks.at_px[:, :1] - true[None]).min(axis=1), 0.9) < 0.2


def test_longer_marks_are_told_from_shorter_ones():
    grey, true = rule(10.0)
    marks = read(grey, 10.0)[0]
    reach = np.maximum(marks.low_px, marks.high_px) + np.minimum(marks.low_px, marks.high_px)
    long = np.abs(marks.at_px[:, :1] - true[::5][None]).min(axis=1) < 1
    assert 8 <= long.sum() <= 11
    assert np.median(reach[long]) - np.median(reach[~long]) == pytest.approx(12, abs=3)


@pytest.mark.parametrize("fan", [-6e-4, 6e-4])
def test_marks_that_draw_together_keep_their_lengths(fan):
    """Those at the ends of the rule stand 10 degrees askew: 300 px from its middle they move 0.18 px a row."""
    grey, true = rule(12.0, count=60, fan=fan)
    marks = max(read(grey, 12.0), key=lambda each: len(each.number))
    reach = marks.low_px + marks.high_px
    number = np.abs(marks.at_px[:, :1] - true[None]).argmin(axis=1)
    long = reach[number % 5 == 0]
    assert len(long) >= 11
    assert long == pytest.approx(np.full(len(long), np.median(long)), abs=3)
    assert np.median(long) - np.median(reach[number % 5 != 0]) == pytest.approx(12, abs=3)


@pytest.mark.parametrize("side", [-1, 1])
def test_a_numeral_close_beside_a_mark_does_not_shorten_it(side):
    """Only from the other side does the lower part of such a mark stand out."""
    spacing = 10.0
    grey, true = rule(spacing, long_every=10)
    for place in true[::10]:
        near, far = sorted((place + side * 0.35 * spacing, place + side * 1.2 * spacing))
        grey[114:125, round(near) : round(far)] = 0  # broad strokes are darker than a thin mark
    marks = max(read(grey, spacing), key=lambda each: len(each.number))
    reach = marks.low_px + marks.high_px
    number = np.abs(marks.at_px[:, :1] - true[None]).argmin(axis=1)
    long = reach[number % 10 == 0]
    assert len(long) >= 4
    assert long == pytest.approx(np.full(len(long), 36.0), abs=4)


def test_noise_holds_no_marks():
    grey = np.random.default_rng(2).integers(90, 170, SHAPE, dtype=np.uint8)
    assert read(grey, 9.0) == ()
