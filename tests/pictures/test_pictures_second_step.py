"""The rim of a shadow taken for an edge is told by the step behind it."""

from __future__ import annotations

import numpy as np
import pytest

from cradle.pictures.light import level_of, light_of
from cradle.pictures.second_step import inner_step_px

GRAIN_MM = 25.4 / 100
LID = np.array([235.0, 234.0, 231.0])
CARD = np.array([186.0, 158.0, 124.0])
RIM_PX, PIECE_PX = 70.0, 62.0


def _scan(inner, between, *, seed=3):
    """A disc on a lid, and what lies round it between two radii; blur mixes light (IEC 61966-2-1)."""
    import cv2

    y, x = np.mgrid[0:200, 0:200] - 99.5
    radius = np.hypot(x, y)[..., None]
    light = np.where(radius < PIECE_PX, light_of(inner), np.where(radius < RIM_PX, between, light_of(LID)))
    levels = level_of(cv2.GaussianBlur(light, (0, 0), 0.7)) + np.random.default_rng(seed).normal(
        0, 1.0, light.shape
    )
    return np.clip(np.rint(levels), 0, 255).astype(np.uint8)


def _ring(radius):
    turn = np.linspace(0, 2 * np.pi, 900, endpoint=False)
    return 99.5 + radius * np.column_stack([np.cos(turn), np.sin(turn)])


@pytest.mark.parametrize(("piece", "left"), [(CARD, 0.15), (CARD, 0.3), (CARD / 2, 0.3)])
def test_a_step_behind_a_shadow_is_found_where_it_lies(piece, left):
    away = inner_step_px(_scan(piece, left * light_of(LID)), _ring(RIM_PX), reach_mm=4.0, grain_mm=GRAIN_MM)
    assert (away > 0).mean() > 0.9
    assert np.median(away) == pytest.approx(RIM_PX - PIECE_PX, abs=0.75)


@pytest.mark.parametrize("border", [CARD, np.array([40.0, 90.0, 160.0])])
def test_a_border_of_another_colour_is_no_shadow(border):
    away = inner_step_px(_scan(CARD, light_of(border)), _ring(RIM_PX), reach_mm=4.0, grain_mm=GRAIN_MM)
    assert (away == 0).all()


@pytest.mark.parametrize(("warmer", "told"), [(1.12, True), (1.0, False)])
def test_a_shadow_as_bright_as_the_piece_is_told_by_its_tint_alone(warmer, told):
    """Under a warm lamp a grey card's shadow on white: as bright as the card, of the ground's tint."""
    shadow = 0.3 * light_of(LID)
    card = shadow * np.array([warmer, 1.0, 2.0 - warmer])
    away = inner_step_px(_scan(level_of(card), shadow), _ring(RIM_PX), reach_mm=4.0, grain_mm=GRAIN_MM)
    assert ((away > 0).mean() > 0.9) == told
    if told:
        assert np.median(away) == pytest.approx(RIM_PX - PIECE_PX, abs=0.75)
    else:
        assert (away == 0).all()
