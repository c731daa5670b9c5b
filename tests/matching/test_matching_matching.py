"""Correspondence between rings: corners, no twist, and nothing depends on how a ring was drawn."""

import numpy as np
import pytest
from bodies import bracket, ellipse, gear, keyhole, pebble, rectangle
from hypothesis import given, settings
from hypothesis import strategies as st

from cradle.matching.matching import correspondences
from cradle.matching.matching_ring import along, trace


def pair(first, second):
    one, two = trace(first), trace(second)
    return one, two, correspondences([one, two])[0]


def partners(first, second, positions):
    """Points there that belong to positions here."""
    _, two, to = pair(first, second)
    closed = np.concatenate([two.points_mm, two.points_mm[:1]])
    return along(closed, two.positions, to.at(positions))


@pytest.mark.parametrize(
    ("ring", "count"),
    [(rectangle(20, 10), 4), (bracket(10), 6), (gear(20), 64), (keyhole(10, 8, 12), 4), (ellipse(30, 20), 0)],
)
def test_corners_are_found_at_bends_and_none_on_curves(ring, count):
    assert len(trace(ring).corners) == count


def test_a_reflex_corner_turns_right():
    turns = trace(bracket(10)).turns_deg
    assert sorted(np.round(turns)) == [-90, 90, 90, 90, 90, 90]


@pytest.mark.parametrize(
    ("first", "second"),
    [
        (rectangle(20, 10), rectangle(10, 20)),
        (bracket(10), bracket(12) * [1, 1.2] + [3, -2]),
        (gear(20), gear(24, turn=0.1)),
        (keyhole(10, 8, 12), keyhole(12, 10, 20)),
    ],
)
def test_corners_meet_corners(first, second):
    one, two, to = pair(first, second)
    assert len(one.corners) == len(two.corners) >= 4
    there = np.mod(to.at(one.positions[one.corners]), 1.0)
    apart = np.abs(there[:, None] - two.positions[two.corners][None])
    apart = np.minimum(apart, 1 - apart)
    assert apart.min(axis=1).max() < 1e-12
    assert sorted(apart.argmin(axis=1)) == list(range(len(two.corners)))


@pytest.mark.parametrize("turn_deg", [0, 33, 90])
def test_square_corners_go_straight_out_onto_a_circle(turn_deg):
    angle = np.radians(turn_deg)
    square = rectangle(20, 20) @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    one, _, _ = pair(square, ellipse(12, 12))
    out = partners(square, ellipse(12, 12), one.positions[one.corners])
    assert len(out) == 4
    corner = one.points_mm[one.corners]
    off = np.angle((out @ [1, 1j]) / (corner @ [1, 1j]))
    assert np.degrees(np.abs(off)).max() < 1.0


@pytest.mark.parametrize(("first", "second"), [(30, 20), (15, 45)])
def test_stretched_ellipses_match_by_parameter(first, second):
    here, there = ellipse(first, second), ellipse(20, 15, start=1.0)
    one, _, _ = pair(here, there)
    out = partners(here, there, one.positions[:-1])
    assert np.abs(out / [20, 15] - one.points_mm / [first, second]).max() < 0.02


@pytest.mark.parametrize(
    ("first", "second"),
    [
        (bracket(10), ellipse(22, 22) + [14, 14]),
        (keyhole(10, 8, 12), ellipse(14, 14)),
        (ellipse(12, 12), rectangle(20, 20)),
        (rectangle(40, 6), ellipse(14, 14)),
        (gear(20), ellipse(18, 15)),
    ],
)
def test_map_rises_strictly_and_goes_round_once(first, second):
    _, _, to = pair(first, second)
    at = np.linspace(0, 1, 4001)
    there = to.at(at)
    assert (np.diff(there) > 0).all()
    assert there[-1] - there[0] == pytest.approx(1, abs=1e-12)
    assert np.abs(to.back(there) - at).max() < 1e-9


@settings(max_examples=25, deadline=None)
@given(
    seeds=st.tuples(st.integers(0, 10**6), st.integers(0, 10**6)),
    roll=st.integers(1, 149),
    turn_deg=st.floats(-180, 180),
    shift=st.tuples(st.floats(-500, 500), st.floats(-500, 500)),
    mirrored=st.booleans(),
    backwards=st.booleans(),
)
def test_partners_do_not_depend_on_how_rings_are_drawn(seeds, roll, turn_deg, shift, mirrored, backwards):
    first, second = pebble(seeds[0]), pebble(seeds[1], points=133)
    angle = np.radians(turn_deg)
    matrix = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    if mirrored:
        matrix = np.diag([-1.0, 1.0]) @ matrix

    def redrawn(ring):
        out = np.roll(ring @ matrix + shift, roll, axis=0)
        return out[::-1] if backwards else out

    at = np.linspace(0, 1, 97)
    one, two, to = pair(first, second)
    one_again, two_again, to_again = pair(redrawn(first), redrawn(second))
    assert np.abs(one_again.points_mm[0] - (one.points_mm[0] @ matrix + shift)).max() < 1e-6
    way = -1 if mirrored else 1
    here = along(np.concatenate([two.points_mm, two.points_mm[:1]]), two.positions, to.at(at))
    there = along(
        np.concatenate([two_again.points_mm, two_again.points_mm[:1]]),
        two_again.positions,
        to_again.at(way * at),
    )
    assert np.abs(here @ matrix + shift - there).max() < 1e-6
