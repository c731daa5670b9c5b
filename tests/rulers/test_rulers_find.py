"""Regular marks, found where they were drawn."""

from dataclasses import replace

import numpy as np
import pytest

from cradle.rulers.ruler_find import MarkLine, _same, regular_lines


def picture(*, wave, turn_deg, centre=(420.0, 300.0), half=260.0, tall=14.0):
    """Dark marks ``wave`` px apart on a light ground, along a line through ``centre``."""
    y, x = np.mgrid[0:600, 0:840].astype(float)
    c, s = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    along, across = (x - centre[0]) * c + (y - centre[1]) * s, -(x - centre[0]) * s + (y - centre[1]) * c
    marks = (0.5 + 0.5 * np.cos(2 * np.pi * along / wave)) ** 2
    edge = 1 / (1 + np.exp(np.abs(across) - tall)) / (1 + np.exp(np.abs(along) - half))
    noise = np.random.default_rng(4).normal(0, 2, x.shape)
    return np.clip(230 - 160 * marks * edge + noise, 0, 255).astype(np.uint8)


@pytest.mark.parametrize("turn_deg", [0.0, 27.0, 90.0, -61.0])
@pytest.mark.parametrize("wave", [5.0, 9.0, 13.0])
def test_marks_are_found_along_their_line(wave, turn_deg):
    found = regular_lines(picture(wave=wave, turn_deg=turn_deg))
    assert found
    line = found[0]
    ahead = np.array(line.ahead)
    true = np.array([np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))])
    assert abs(ahead @ true) > np.cos(np.radians(9))  # a first guess; the marks themselves settle it
    # the wave itself or an overtone of it
    assert min(abs(line.wave_px * k - wave) for k in (1, 2)) < 0.08 * wave
    away = np.array(line.centre_px) - [420, 300]
    assert abs(away @ [-true[1], true[0]]) < 20
    assert line.reach_px[1] - line.reach_px[0] > 250


def test_noise_and_an_edge_are_no_marks():
    noise = np.random.default_rng(1).integers(100, 150, (500, 700), dtype=np.uint8)
    assert regular_lines(noise) == ()
    edge = np.full((500, 700), 220, dtype=np.uint8)
    edge[:, 300:] = 60
    assert regular_lines(edge) == ()


@pytest.mark.parametrize("square_px", [59.0, 78.7])
def test_the_many_lines_of_squared_paper_leave_room_for_a_rules_paler_ones(square_px):
    """All of them have one wave, an overtone of the squares, and there are more than can be looked at."""
    y, x = np.mgrid[0:1300, 0:1300].astype(float)
    off_line = [np.abs((v + square_px / 2) % square_px - square_px / 2) for v in (x, y)]
    paper = 235 - 90 / (1 + np.exp((np.minimum(*off_line) - 2.8) * 2))
    paper[(np.abs(y - 260) < 110) & (np.abs(x - 650) < 320)] = 232
    paper[(x % 15.75 < 2.6) & (np.abs(y - 200) < 30) & (np.abs(x - 650) < 260)] = 195
    noise = np.random.default_rng(3).normal(0, 2, x.shape)
    found = regular_lines(np.clip(paper + noise, 0, 255).astype(np.uint8))
    assert any(abs(line.centre_px[1] - 200) < 40 and abs(line.ahead[0]) > 0.99 for line in found)


@pytest.mark.parametrize(("wave_px", "one"), [(11.0, True), (12.6, False)])
def test_lines_of_waves_so_unlike_that_neither_reads_the_others_marks_are_both_kept(wave_px, one):
    """The stronger may have a wave between the marks' own and its overtone: no marks are read along it."""
    line = MarkLine(
        centre_px=(900.0, 700.0),
        ahead=(1.0, 0.0),
        reach_px=(-600.0, 600.0),
        wave_px=9.5,
        wide_px=60.0,
        strength=2.0,
    )
    assert _same(line, replace(line, wave_px=wave_px, strength=1.0)) == one
