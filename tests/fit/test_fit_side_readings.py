"""What side profiles tell, on an upright cylinder whose sides are where they should be."""

import numpy as np
import pytest
from fit_models import round_places

from cradle.fit.side_readings import left_by_profiles, unread
from cradle.sections.profiles import Profiles

UP = np.array([[0.0, 0.0], [20.0, 0.0]])
PLACES = round_places(72, heights=(10.0,))
AROUND = 360 * PLACES.along


def near(degrees):
    return int(np.argmin(np.abs(AROUND - degrees)))


def test_without_profiles_nothing_is_read():
    assert unread(PLACES, Profiles()) == pytest.approx(1)
    assert left_by_profiles(PLACES, Profiles()) == pytest.approx(1)


def test_profiles_of_all_four_sides_read_everything():
    assert unread(PLACES, Profiles(front=UP, back=UP, left=UP, right=UP)) == pytest.approx(0, abs=1e-7)


def test_a_width_says_nothing_across():
    found = unread(PLACES, Profiles(left=UP, right=UP))
    assert found[near(0)] == pytest.approx(0, abs=1e-7)
    assert found[near(90)] == pytest.approx(1)
    assert found[near(45)] == pytest.approx(np.sqrt(0.5), abs=0.01)  # sine of the angle from the side


def test_one_side_alone_reads_one_side_alone():
    found = unread(PLACES, Profiles(right=UP))
    assert found[near(0)] == pytest.approx(0, abs=1e-7)
    assert found[near(180)] == pytest.approx(1)


def test_nothing_is_read_above_a_profile():
    short = Profiles(left=UP / 4, right=UP / 4)
    assert unread(PLACES, short) == pytest.approx(1)
    assert left_by_profiles(PLACES, short) == pytest.approx(1)


def test_what_is_left_of_the_spread_is_least_at_the_extreme():
    found = left_by_profiles(PLACES, Profiles(right=UP))
    assert found.argmin() == near(0)
    assert found[near(0)] < 0.5
    assert found[near(60)] > 0.9
