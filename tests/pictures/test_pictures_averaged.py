"""Smaller copies of a picture show the light that it holds, where it holds it."""

from __future__ import annotations

import numpy as np
import pytest

from cradle.pictures.averaged import averaged, reduced


@pytest.mark.parametrize("times", [2, 4])
def test_a_pixel_of_a_copy_is_the_mean_of_those_it_stands_for(times: int) -> None:
    levels = np.random.default_rng(3).integers(0, 256, (32, 24, 3), dtype=np.uint8)
    means = levels.reshape(32 // times, times, 24 // times, times, 3).mean(axis=(1, 3))
    assert averaged(levels, times=times).astype(float) == pytest.approx(means, abs=0.51)
    small = reduced(levels, (24 // times, 32 // times)).astype(float)
    assert small == pytest.approx(means, abs=1.01)  # rounded at every halving


@pytest.mark.parametrize("width", [96, 97, 250, 399, 1000, 1001])
def test_a_copy_shows_an_edge_where_it_lies(width: int) -> None:
    at = 0.4 * width  # how far from the left the light begins
    row = np.clip(np.arange(width) + 1 - at, 0, 1) * 250
    levels = np.repeat(np.rint(row).astype(np.uint8)[None], 64, axis=0)
    small = reduced(levels, (40, 30))
    assert small.shape == (30, 40)
    dark = 40 - small.mean(axis=0).sum() / 250
    assert dark / 40 == pytest.approx(0.4, abs=0.001 + 0.5 / width)  # halving may leave out a last column
