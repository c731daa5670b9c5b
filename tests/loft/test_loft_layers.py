"""The heights at which a skin has layers: none is missing where columns bend, and none is spare."""

from itertools import pairwise

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from cradle.geometry.region_measures import are_simple
from cradle.geometry.ring import at_heights
from cradle.loft.layers import refined, without_spare
from cradle.loft.pieces import Piece

AROUND = np.linspace(0.0, 2 * np.pi, 24, endpoint=False)
CIRCLE = np.column_stack([np.cos(AROUND), np.sin(AROUND)])


def dome(heights):
    """Rings of a hemisphere of radius 40 mm, from its equator up."""
    return np.sqrt(1600.0 - heights**2)[:, None, None] * CIRCLE


def bent(heights):
    """Rings whose columns bend each in its own way, now and then nearly level, through four sections."""
    chance = np.random.default_rng(2)
    nodes = np.array([0.0, 12.0, 20.0, 41.0])
    rings = (40.0 + chance.normal(0.0, 4.0, (4, 24, 1))) * CIRCLE
    return PchipInterpolator(nodes, rings, axis=0)(heights)  # SciPy


def away_mm(piece, rings_at, heights):
    """How far the columns through rings lie from a piece's straight ones, at most."""
    rings = at_heights(rings_at(heights), heights)
    corners = at_heights(piece.rings_mm, piece.heights_mm)
    nearest = np.full(rings.shape[:2], np.inf)
    for low, high in pairwise(corners):
        out, along = rings - low, high - low
        part = np.clip((out * along).sum(axis=2) / (along**2).sum(axis=1), 0.0, 1.0)
        nearest = np.minimum(nearest, np.linalg.norm(out - part[..., None] * along, axis=2))
    return nearest.max()


@pytest.mark.parametrize("top_mm", [35.0, 39.9])
def test_of_the_layers_that_many_sides_ask_for_those_stay_that_a_dome_needs(top_mm):
    asked = np.linspace(0.0, top_mm, 61)
    close = refined(asked, dome, chord_mm=0.002)
    piece = without_spare(Piece(close, dome(close)), kept_mm=asked[[30]], within_mm=0.018)
    assert away_mm(piece, dome, np.linspace(0.0, top_mm, 2000)) <= 0.02
    assert asked[30] in piece.heights_mm
    # a chord c of a circle of radius r is off by c²/8r in the middle (from memory): fewer of 0.02 mm would not reach
    fewest = 40.0 * np.arcsin(top_mm / 40.0) / np.sqrt(8 * 40.0 * 0.02)
    assert fewest < len(piece.heights_mm) < 1.4 * fewest + 1


def test_layers_stand_closer_where_columns_bend():
    heights = refined(np.array([0.0, 39.0]), dome, chord_mm=0.01)
    steps = np.diff(heights)
    assert away_mm(Piece(heights, dome(heights)), dome, np.linspace(0.0, 39.0, 700)) <= 0.0101
    assert steps[0] >= 4 * steps[-1]


@pytest.mark.first_daily
@pytest.mark.parametrize("chord_mm", [0.1, 0.01, 0.001])
def test_layers_follow_every_column_and_are_not_wasted(chord_mm):
    nodes = np.array([0.0, 12.0, 20.0, 41.0])
    close = refined(nodes, bent, chord_mm=chord_mm / 6)
    piece = without_spare(Piece(close, bent(close)), kept_mm=nodes, within_mm=chord_mm * 5 / 6)
    assert np.isin(nodes, piece.heights_mm).all()
    assert 0.7 * chord_mm < away_mm(piece, bent, np.linspace(0.0, 41.0, 8001)) <= chord_mm


def test_straight_columns_need_no_layers():
    nodes = np.array([0.0, 5.0, 20.0])
    assert refined(nodes, lambda at: at[:, None, None] * CIRCLE, chord_mm=0.01).tolist() == nodes.tolist()


def test_an_upright_wall_keeps_its_ends_and_its_sections():
    heights = np.linspace(0.0, 30.0, 31)
    wall = Piece(heights, np.broadcast_to(20.0 * CIRCLE, (31, 24, 2)))
    kept = without_spare(wall, kept_mm=np.array([7.0, 12.0]), within_mm=0.01)
    assert kept.heights_mm.tolist() == [0.0, 7.0, 12.0, 30.0]


def passing(tip):
    """A C with a spike in its mouth that ends at (0, 0.02), and a needle above it that ends at a tip, mm."""
    x, y = tip
    outside = [(10, 10), (-10, 10), (-10, -10), (10, -10), (10, -5)]
    mouth = [(0.5, -5), (0, 0.02), (-0.5, -5), (-5, -5), (-5, 5), (x - 0.5, 5), (x, y), (x + 0.5, 5), (10, 5)]
    return np.array(outside + mouth, dtype=np.float64)


def test_no_layer_goes_where_the_others_columns_would_cross():
    rings = np.stack([passing(tip) for tip in [(-0.05, 0.0), (0.0, 0.05), (0.05, 0.0)]])
    assert are_simple(rings).all()
    over_the_spike = Piece(np.arange(3.0), rings)
    assert len(without_spare(over_the_spike, kept_mm=np.empty(0), within_mm=0.1).heights_mm) == 3
