import numpy as np
import pytest
from stacked import circle, rectangle

from cradle.geometry.planar import region, united
from cradle.geometry.ring import turned
from cradle.geometry.stack import Joining
from cradle.pocket.wall_depth import reached_into

WITHIN = 0.01
FLAT = 20.0
"""How far the wall of the tub leads to the right, mm in one of height; to the left it is upright."""


def one(area):
    return np.array([area], dtype=object)


def tub_wall(*, turn_deg=0.0):
    """A wall 1 mm tall, upright to the left and almost level to the right; the whole of it turned."""
    low, high = rectangle(10, 10), rectangle(10, 10) + [[0, 0], [FLAT, 0], [FLAT, 0], [0, 0]]
    low, high = (turned(ring, angle_deg=turn_deg) for ring in (low, high))
    return Joining(aside=np.zeros(2)).walls(one(region(low)), one(region(high)), rises_mm=np.ones(1))


def reached(wall, own, *, share=0.5):
    return bool(reached_into(wall, one(own), share=share, rises_mm=np.array([1.0]), within_mm=WITHIN).item())


@pytest.mark.parametrize("turn_deg", [0.0, 30.0, -115.0])
@pytest.mark.parametrize("share", [0.25, 0.5])
@pytest.mark.parametrize(("past", "deep"), [(0.9, False), (1.1, True)])
@pytest.mark.parametrize(("side", "slope"), [("left", 0.0), ("right", FLAT)])
def test_depth_is_measured_square_to_the_wall_at_the_side_that_is_reached(
    side, slope, past, deep, share, turn_deg
):
    wall = tub_wall(turn_deg=turn_deg)
    beside = past * WITHIN * np.hypot(1.0, slope)
    edge = {"left": -5.0, "right": 5.0 + share * FLAT}[side]
    out = -1 if side == "left" else 1
    nib = np.array(
        [[edge - out, -2.0], [edge + out * beside, -2.0], [edge + out * beside, 2.0], [edge - out, 2.0]]
    )
    level = rectangle(10, 10) + share * np.array([[0, 0], [FLAT, 0], [FLAT, 0], [0, 0]])
    own = united(*(region(turned(ring, angle_deg=turn_deg)) for ring in (level, nib[::out])))
    assert reached(wall, own, share=share) is deep


def test_a_corner_of_the_wall_that_juts_into_the_body_is_seen_between_the_bodys_own_corners():
    dented = np.array([[-5.0, -5.0], [5.0, -5.0], [5.0, 5.0], [0.0, 4.9], [-5.0, 5.0]])
    wall = Joining(aside=np.zeros(2)).walls(one(region(dented)), one(region(dented)), rises_mm=np.ones(1))
    assert reached(wall, region(rectangle(10, 10)))
    assert not reached(wall, region(dented))


def test_a_body_of_several_pieces_is_looked_at_whole():
    wall = tub_wall()
    inside, outside = region(circle(2, points=12)), region(circle(2, points=12) + [-5.1, 0])
    assert not reached(wall, united(inside, region(circle(1, points=12) + [9, 0])))
    assert reached(wall, united(inside, outside))
