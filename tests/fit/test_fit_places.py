"""Where a thing can touch its holder, against what its shape says."""

import numpy as np
import pytest
from stacked import UP, body_of, circle, rectangle, stacked

from cradle.fit.places import AROUND, checked_heights, places_on


def places(waist_mm, *, top_mm=40.0, end_mm=None):
    body = body_of(stacked([0, 20, 40], [circle(20), circle(waist_mm), circle(20)]))
    return places_on(
        body,
        section_heights_mm=[0, 20, 40],
        stand_from_thing=np.eye(4),
        top_mm=top_mm,
        direction=UP,
        end_mm=end_mm,
    )


@pytest.mark.parametrize("waist_mm", [19.0, 18.0])
def test_a_waist_that_errors_of_measurement_may_reach_is_kept_with_its_room(waist_mm):
    """The foot, 20 mm in radius, opens the way: at the waist the wall stands 20 − r away, square to a cone's side."""
    found = places(waist_mm)
    at_waist = found.levels == int(np.argmin(np.abs(found.heights_mm - 20)))
    assert at_waist.sum() >= 24
    assert found.room_mm[at_waist] == pytest.approx(20 - waist_mm, rel=0.01)
    below = (found.points_mm[:, 2] > 2) & (found.points_mm[:, 2] < 19)
    assert below.sum() > 50
    stands_off = (20 - waist_mm) * found.points_mm[below, 2] / 20 * np.cos(np.arctan((20 - waist_mm) / 20))
    assert found.room_mm[below] == pytest.approx(stands_off, rel=0.02)


def test_a_waist_far_from_the_wall_is_left_out():
    found = places(15.0)
    assert found.room_mm.max() <= 3.0
    at_waist = found.levels == int(np.argmin(np.abs(found.heights_mm - 20)))
    assert not at_waist.any()
    assert (found.room_mm == 0).any()


def test_of_a_box_its_corners_are_places_too_and_of_a_round_thing_none_more():
    box = body_of(stacked([0, 20], [rectangle(30, 20), rectangle(30, 20)]))
    found = places_on(box, section_heights_mm=[0, 20], stand_from_thing=np.eye(4), top_mm=20.0, direction=UP)
    assert np.bincount(found.levels).tolist() == [AROUND + 4] * len(found.heights_mm)
    for corner in ((15, 10), (15, -10), (-15, 10), (-15, -10)):
        assert np.hypot(*(found.points_mm[:, :2] - corner).T).min() < 0.1
    assert set(np.bincount(places(19.0).levels)) <= {0, AROUND}


def test_places_lie_at_equal_steps_around_the_thing():
    coarse = circle(20, points=24)
    body = body_of(stacked([0, 20], [coarse, coarse]))
    found = places_on(body, section_heights_mm=[0, 20], stand_from_thing=np.eye(4), top_mm=20.0, direction=UP)
    points = found.points_mm[found.levels == 1, :2]
    assert len(points) == AROUND
    steps = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
    assert steps == pytest.approx(24 * 40 * np.sin(np.pi / 24) / AROUND, rel=0.01)


def test_normals_are_those_of_the_cone():
    found = places(18.0)
    r, z = np.hypot(*found.points_mm[:, :2].T), found.points_mm[:, 2]
    inside = (z > 1) & (np.abs(z - 20) > 1) & (z < 39)
    rise = np.where(z < 20, 2 / 20, -2 / 20)  # outward normal of a wall whose radius changes by dr/dz = −rise
    true = np.column_stack([found.points_mm[:, :2] / r[:, None], rise]) / np.sqrt(1 + 0.01)
    assert inside.sum() > 100
    assert np.abs(found.normals - true)[inside].max() < 0.01


def test_nothing_above_the_block_is_a_place():
    found = places(19.0, top_mm=25.0)
    assert 20 < found.points_mm[:, 2].max() <= 25.0 + 1e-9


def test_the_checked_heights_hold_every_section_and_rise():
    heights = checked_heights([0, 20, 40], low_mm=0.0, high_mm=31.0)
    assert {0.0, 20.0, 31.0} <= set(heights.tolist())
    assert (np.diff(heights) > 0).all()
    assert len(heights) > 5


@pytest.mark.parametrize("end_mm", [None, 40.0, 90.0])
def test_nothing_above_the_rim_is_looked_at_however_high_the_thing_is(end_mm):
    found = places(19.0, top_mm=25.0, end_mm=end_mm)
    assert found.held_to_mm == pytest.approx(25.0)
    assert found.points_mm[:, 2].max() == pytest.approx(25.0)


def test_nothing_above_the_end_of_the_thing_is_looked_at():
    assert places(19.0, top_mm=50.0, end_mm=40.0).held_to_mm == 40.0
