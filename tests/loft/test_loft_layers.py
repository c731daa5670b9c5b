"""The heights at which a skin has layers: none is missing where columns bend, and none is spare."""

import numpy as np

from cradle.geometry.planar import are_simple
from cradle.loft.interpolate import straight_at
from cradle.loft.layers import refined, without_spare
from cradle.loft.pieces import Piece

AROUND = np.linspace(0.0, 2 * np.pi, 24, endpoint=False)
CIRCLE = np.column_stack([np.cos(AROUND), np.sin(AROUND)])


def dome(heights):
    """Rings of a hemisphere of radius 40 mm, from its equator up."""
    return np.sqrt(1600.0 - heights**2)[:, None, None] * CIRCLE


def away_mm(piece, rings_at, heights):
    """How far straight columns between a piece's layers miss rings, at most."""
    return np.hypot(*(straight_at(*piece, heights) - rings_at(heights)).transpose(2, 0, 1)).max()


def test_of_the_layers_that_many_sides_ask_for_those_stay_that_a_dome_needs():
    asked = np.linspace(0.0, 35.0, 61)
    close = refined(asked, dome, chord_mm=0.01)
    piece = without_spare(Piece(close, dome(close)), kept_mm=np.array([21.0]), within_mm=0.01)
    assert away_mm(piece, dome, np.linspace(0.0, 35.0, 700)) <= 0.02
    assert 21.0 in piece.heights_mm
    # a chord c of a circle of radius r is off by c²/8r in the middle (from memory): fewer of 0.02 mm would not reach
    arc = 40.0 * np.arcsin(35.0 / 40.0)
    assert arc / np.sqrt(8 * 40.0 * 0.02) < len(piece.heights_mm) < 0.6 * len(close)


def test_layers_stand_closer_where_columns_bend():
    heights = refined(np.array([0.0, 39.0]), dome, chord_mm=0.01)
    steps = np.diff(heights)
    assert away_mm(Piece(heights, dome(heights)), dome, np.linspace(0.0, 39.0, 700)) <= 0.0101
    assert steps[0] >= 8 * steps[-1]


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
