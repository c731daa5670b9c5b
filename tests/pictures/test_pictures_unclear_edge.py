"""Glare beside an edge: its rim may pass for a step, so white near an edge between two things that are not white is told."""

import numpy as np
import pytest

from cradle.pictures.unclear_edge import glare_places

OAK = np.array([168.0, 124.0, 82.0])
PALE = np.array([222.0, 222.0, 220.0])


def _places(spot_px, *, ground=OAK, soft=False):
    """Which of 60 places along an upright edge are told, a white spot of that size beside its middle."""
    levels = np.empty((120, 120, 3), np.uint8)
    levels[:, :60], levels[:, 60:] = PALE, ground
    half = spot_px // 2
    levels[60 - half : 60 + half + 1, 66 - half : 66 + half + 1] = 255
    points = np.column_stack([np.full(60, 59.5), np.linspace(5, 115, 60)])
    told = glare_places(
        levels, points, soft=np.full(60, soft), piece=PALE, ground=np.asarray(ground), reach_px=20.0
    )
    return points[told, 1]


def test_an_edge_near_a_white_spot_is_told_there_and_only_there():
    told = _places(21)
    assert len(told) > 10
    assert 20 < told.min() < 50
    assert 70 < told.max() < 100


@pytest.mark.parametrize("spot_px", [0, 3])
def test_writing_and_single_white_pixels_are_no_glare(spot_px):
    assert len(_places(spot_px)) == 0


def test_beside_white_ground_only_what_shows_no_step_is_glare():
    white = (250.0, 250.0, 250.0)
    assert len(_places(21, ground=white)) == 0
    assert len(_places(21, ground=(255.0, 255.0, 255.0), soft=True)) > 0


def test_on_paper_that_is_bright_but_not_white_a_white_spot_is_glare():
    assert len(_places(21, ground=(241.0, 242.0, 237.0))) > 10
