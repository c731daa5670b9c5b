"""Thin lines beside a piece, in fields drawn for it."""

import cv2
import numpy as np
import pytest

from cradle.pictures.ground_lines import line_width, lines_of_ground, shows_lines


def field(*, line=None, wide=3, strength=0.6, noise=0.0):
    """A piece of 100 by 100 px in the middle of 300 by 300, 1 on it, and a level line through the picture."""
    out = np.random.default_rng(2).normal(0, noise, (300, 300)) if noise else np.zeros((300, 300))
    if line is not None:
        out[line : line + wide] += strength
    out[100:200, 100:200] = 1.0
    return out.astype(np.float32)


OWN = field() > 0.5
FAR = np.ones((300, 300), dtype=bool)
FAR[80:220, 80:220] = False


def test_a_line_that_runs_up_to_the_piece_is_found_and_taken_out():
    seen = field(line=150)
    found = lines_of_ground(seen, own=OWN, far=FAR, shrink=1.0, grain_mm=0.1)
    without = found.taken_from(seen, ~OWN)
    assert found.at[150:153, 10:90].all()
    assert not found.at[:140].any()
    assert not found.letters
    assert np.abs(without[150:153, 10:90]).max() < 0.05
    assert without[110:190, 110:190].min() > 0.9


def test_where_the_ground_is_covered_with_marks_that_end_all_of_them_are_print():
    seen = field()
    for y, x in np.ndindex(25, 15):
        seen[12 * y + 2 : 12 * y + 8, 20 * x + 2 : 20 * x + 16 : 5] = 0.8  # strokes 1 px wide, 6 high
        seen[12 * y + 7, 20 * x + 2 : 20 * x + 16] = 0.8
    found = lines_of_ground(seen, own=OWN, far=FAR, shrink=1.0, grain_mm=0.1)
    assert found.letters
    assert np.abs(found.taken_from(seen, ~OWN)[:90]).max() < 0.05


def test_without_lines_there_are_none_noise_included():
    assert lines_of_ground(field(), own=OWN, far=FAR, shrink=1.0, grain_mm=0.1) is None
    assert lines_of_ground(field(noise=0.01), own=OWN, far=FAR, shrink=1.0, grain_mm=0.1) is None


@pytest.mark.parametrize("seed", range(4))
def test_the_grain_of_stone_is_no_line_though_some_of_it_runs_out_of_the_picture(seed):
    grain = np.random.default_rng(seed).normal(0, 1, (300, 300)).astype(np.float32)
    grain = cv2.GaussianBlur(grain, (0, 0), 2.0)
    seen = np.where(OWN, 1.0, 0.15 * grain / grain.std()).astype(np.float32)
    assert lines_of_ground(seen, own=OWN, far=FAR, shrink=1.0, grain_mm=0.1) is None


def test_what_begins_nowhere_near_the_piece_is_no_line():
    seen = field()
    seen[20:23, :120] = 0.6
    assert lines_of_ground(seen, own=OWN, far=FAR, shrink=1.0, grain_mm=0.1) is None
    seen[20:100, 117:120] = 0.6  # and on to the piece
    assert lines_of_ground(seen, own=OWN, far=FAR, shrink=1.0, grain_mm=0.1) is not None


def test_a_broad_band_is_no_line():
    assert lines_of_ground(field(line=30, wide=30), own=OWN, far=FAR, shrink=1.0, grain_mm=0.1) is None


@pytest.mark.parametrize("wide", [3, 5, 9])
def test_the_width_of_a_line_is_measured(wide):
    mask = np.zeros((100, 300), dtype=bool)
    mask[40 : 40 + wide] = True
    assert line_width(mask) == pytest.approx(wide, abs=1.2)


def test_lines_of_another_colour_are_seen_too():
    ground = np.full((120, 120, 3), 200, dtype=np.float32)
    grid = ground.copy()
    grid[60:62, :] += [30, -30, 0]
    step = np.array([-150.0, -150.0, -150.0])
    far = np.ones((120, 120), dtype=np.uint8)
    assert shows_lines(grid, ground=ground, step=step, far=far)
    assert not shows_lines(ground.copy(), ground=ground, step=step, far=far)
    assert not shows_lines(grid, ground=ground, step=step, far=far * 0)
