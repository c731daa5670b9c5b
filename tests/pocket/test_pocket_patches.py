"""Patches close the raw offset at a corner by pieces of a ball, with few faces."""

import numpy as np
import pytest

from cradle.geometry.arrays import frozen
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.offset_points import OffsetPoints, angles_rad
from cradle.pocket.patches import patches

ONE = clearance_profile([0.0], [None], default_mm=1.0)
STEP = np.pi / 32


def arc(start, end, *, steps):
    """Unit vectors along the shorter way from one to the other, the last left out."""
    start, end = np.array(start, dtype=float), np.array(end, dtype=float)
    whole = np.arccos(start @ end)
    turn = np.linspace(0, whole, steps + 1)[:-1, None]
    return (np.sin(whole - turn) * start + np.sin(turn) * end) / np.sin(whole)


def patched(*arcs):
    """The points and faces of the patch inside these arcs about one place, and how many points the rim has."""
    ways = np.concatenate(arcs)
    count = len(ways)
    points = OffsetPoints(base=frozen(np.zeros((count, 3))), way=frozen(ways), reach=frozen(np.ones(count)))
    sides = np.column_stack([np.arange(count), (np.arange(count) + 1) % count])
    points, faces = patches(sides, points, ONE, step=STEP)
    return points, faces, count


def sides_of(faces):
    return faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)


def assert_fills(faces, *, rim):
    """Every side of the rim has one face, every other edge two, once in each direction."""
    directed = {tuple(side) for side in sides_of(faces).tolist()}
    assert len(directed) == 3 * len(faces)
    open_sides = {side for side in directed if side[::-1] not in directed}
    assert open_sides == {(k, (k + 1) % rim) for k in range(rim)}


def test_an_eighth_of_a_ball_is_round_and_looks_outward():
    x, y, z = np.eye(3)
    points, faces, rim = patched(arc(x, y, steps=16), arc(y, z, steps=16), arc(z, x, steps=16))
    assert_fills(faces, rim=rim)
    assert angles_rad(points.way, sides_of(faces)).max() <= 1.42 * STEP
    places = points.places()
    a, b, c = places[faces].transpose(1, 0, 2)
    normals = np.cross(b - a, c - a)
    assert (np.einsum("ij,ij->i", normals, a + b + c) > 0).all()
    # surface of a ball 4 pi r², an eighth of it (CRC Standard Mathematical Tables, from memory)
    assert np.linalg.norm(normals, axis=1).sum() / 2 == pytest.approx(4 * np.pi / 8, rel=0.005)


def test_a_narrow_patch_needs_no_other_points_than_its_rim():
    pole, here = np.eye(3)[2], np.eye(3)[0]
    there = np.array([np.cos(STEP), np.sin(STEP), 0.0])
    points, faces, rim = patched(arc(pole, here, steps=16), [here], arc(there, pole, steps=16))
    assert len(points.base) == rim == 33
    assert len(faces) == rim - 2
    assert_fills(faces, rim=rim)
    # where the body bends inward
    back = patched(arc(pole, there, steps=16), [there], arc(here, pole, steps=16))
    assert len(back[1]) == back[2] - 2
    assert_fills(back[1], rim=back[2])


def test_a_rim_that_crosses_itself_is_closed_all_the_same():
    pole, here = np.eye(3)[2], np.eye(3)[0]
    there = np.array([np.cos(0.3), np.sin(0.3), 0.0])
    low, far = np.array([np.cos(0.4), 0.0, -np.sin(0.4)]), np.array([np.cos(0.3), np.sin(0.3), 0.6])
    far /= np.linalg.norm(far)
    _, faces, rim = patched(
        arc(pole, here, steps=16),
        arc(here, there, steps=4),
        arc(there, low, steps=8),
        arc(low, far, steps=12),
        arc(far, pole, steps=12),
    )
    assert_fills(faces, rim=rim)


@pytest.mark.parametrize("times", [2, 3, 16])
def test_a_rim_that_stands_still_at_a_corner_is_closed_all_the_same(times):
    """Where a corner is met again and again the triangulation of the plane (GEOS 3.14) finds no convex one, and gives up."""
    a, b, c, d = ([x, y, 5.0] for x, y in [(0.199, -0.208), (-0.035, 0.011), (0.193, 0.014), (0.190, 0.013)])
    ways = np.array([a, *[b] * times, c, d])
    _, faces, rim = patched(ways / np.linalg.norm(ways, axis=1)[:, None])
    assert_fills(faces, rim=rim)


def test_a_gap_that_meets_itself_twice_is_closed_from_the_middles_of_its_parts():
    """Between the points of the rims alone the shortest edge, from a to c, would be used by four faces."""
    corners = {
        "a": (-0.1, 0.0),
        "b": (0.0, -0.5),
        "c": (0.1, 0.0),
        "d": (0.0, 0.5),
        "e": (0.0, -0.4),
        "f": (0.0, 0.4),
    }
    ways = np.column_stack([STEP * np.array(list(corners.values())), np.ones(6)])
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    given = OffsetPoints(base=frozen(np.zeros((6, 3))), way=frozen(ways), reach=frozen(np.ones(6)))
    rim = {tuple(map(list(corners).index, side)) for side in ("ab", "bc", "cd", "da", "ae", "ec", "cf", "fa")}
    points, faces = patches(np.array(list(rim)), given, ONE, step=STEP)
    assert len(points.base) == 6 + 2
    directed = [tuple(side) for side in sides_of(faces).tolist()]
    assert len(set(directed)) == len(directed)
    assert {side for side in directed if side[::-1] not in directed} == rim
