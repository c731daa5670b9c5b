"""How a thing stands, against scipy's rotations."""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation
from stacked import circle, rectangle, stacked

from cradle.pocket.stance import (
    block_holding_mm,
    highest_held_mm,
    lean_matrix,
    needed_length_mm,
    stand_matrix,
    top_rim_height_mm,
)


@pytest.mark.parametrize("lean_deg", [0.0, 12.0, -30.0])
def test_leaning_back_turns_about_the_axis_to_the_left(lean_deg):
    turn = Rotation.from_rotvec(np.radians(-lean_deg) * np.array([1.0, 0, 0])).as_matrix()
    assert lean_matrix(lean_deg)[:3, :3] == pytest.approx(turn)
    top = lean_matrix(lean_deg) @ [0, 0, 1, 1]
    assert np.sign(top[1]) == np.sign(lean_deg)  # its top away from the viewer


@pytest.mark.parametrize("lean_deg", [0.0, 20.0, -20.0])
def test_it_stands_on_its_lowest_point(lean_deg):
    mesh = stacked([3, 40], [circle(12), circle(20) + [2, 1]])
    matrix = stand_matrix(mesh.vertices_mm, lean_deg=lean_deg)
    z = mesh.vertices_mm @ matrix[2, :3] + matrix[2, 3]
    assert z.min() == pytest.approx(0)
    assert z.max() > 30


@pytest.mark.parametrize("lean_deg", [15.0, -25.0])
def test_a_thing_known_so_far_fills_the_height_whatever_way_it_leans_itself(lean_deg):
    """It is just enough for a thin thing that runs, within its depth, the way it is leant."""
    height, depth = 40.0, 14.0
    length = needed_length_mm(height, lean_deg=lean_deg, depth_mm=depth)
    aside = np.array([0.0, np.sign(lean_deg) * (depth / 2 - 0.005)])
    thin = rectangle(20, 0.01)
    along = stacked([0, length], [thin - aside, thin + aside])
    assert top_rim_height_mm(along, lean_deg=lean_deg) == pytest.approx(height, abs=0.02)
    for rings in ([rectangle(20, depth)] * 2, [thin + aside, thin - aside]):
        assert top_rim_height_mm(stacked([0, length], rings), lean_deg=lean_deg) > height
    assert needed_length_mm(height, lean_deg=0.0, depth_mm=depth) == height


@pytest.mark.parametrize("lean_deg", [0.0, 20.0, -35.0])
def test_a_block_for_a_height_of_the_thing_holds_it_up_to_that_height(lean_deg):
    points = np.random.default_rng(3).uniform(-30, 30, (40, 3))
    stand = stand_matrix(points, lean_deg=lean_deg)
    block = block_holding_mm(points[:, :2], 31.0, stand)
    held = highest_held_mm(points[:, :2], high_mm=np.inf, stand_from_thing=stand, top_mm=block)
    assert held == pytest.approx(31.0)
    in_block = [float((stand[:3, :3] @ (x, y, 31.0))[2] + stand[2, 3]) for x, y in points[:, :2]]
    assert min(in_block) == pytest.approx(block)
