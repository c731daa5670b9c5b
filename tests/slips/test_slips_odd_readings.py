"""One slip among the readings of a side profile is told; curves, steps and ledges are not."""

import numpy as np
import pytest
from section_shapes import spec
from sheet_stacks import box, placed

from cradle.geometry.arrays import frozen
from cradle.sections.profiles import Profiles
from cradle.slips.odd_readings import odd_readings

HEIGHTS = np.arange(0.0, 61.0, 5.0)
SOUND = {
    "straight": 20 + 0.3 * HEIGHTS,
    "egg": 30 * np.sqrt(1 - ((HEIGHTS - 30) / 40) ** 2),
    "waist": 30 - np.sqrt(np.clip(20**2 - (HEIGHTS - 30) ** 2, 0, None)),
    "step": np.where(HEIGHTS < 28, 20.0, 30.0),
    "ledge": np.where((HEIGHTS > 18) & (HEIGHTS < 32), 30.0, 20.0),
}


def told(reach, heights=HEIGHTS):
    return list(odd_readings(Profiles(back=np.column_stack([heights, reach]))))


@pytest.mark.parametrize("form", SOUND)
def test_sound_profiles_are_not_told(form):
    assert not told(SOUND[form])
    assert not told(np.round(SOUND[form] + 0.15 * np.sin(7 * HEIGHTS), 1))  # as they are read


@pytest.mark.parametrize("form", ["straight", "egg", "ledge"])
@pytest.mark.parametrize("slip", [-10.0, 4.0, 10.0])
def test_a_slip_is_told_with_its_height(form, slip):
    reach = SOUND[form].copy()
    reach[9] += slip
    (found,) = told(reach)
    assert (found.code, found.where) == ("profile-reading-odd", "side.back")
    assert "at height 45 mm" in found.message
    assert found.measured == pytest.approx(slip, abs=1.0)


def test_a_height_whose_figures_changed_places_is_told():
    """35 mm written as 53: sorted, it comes between 50 and 55."""
    straight = 20 + 0.3 * HEIGHTS
    heights = np.where(HEIGHTS == 35, 53.0, HEIGHTS)
    order = np.argsort(heights)
    (found,) = told(straight[order], heights[order])
    assert "at height 53 mm" in found.message


def test_few_readings_say_nothing_of_each_other():
    assert not told(np.array([20.0, 20.0, 40.0, 20.0]), HEIGHTS[:4])


@pytest.mark.parametrize("apart", [0.001, 0.1])
def test_the_two_edges_of_a_step_are_not_told(apart):
    """Six points of a side that steps in by 2 mm at 20 mm, as one draws it."""
    heights = np.array([0.0, 2.0, 20.0, 20.0 + apart, 42.0, 60.0])
    assert not told(np.array([19.0, 20.0, 26.0, 24.0, 23.0, 18.0]), heights)


def test_a_slip_among_close_readings_is_told_as_it_was_read():
    """The readings around it become few: the slip is told all the same, as it stands in the file."""
    heights = np.arange(0.0, 42.0, 0.25)
    back = 20.0 + np.random.default_rng(1).normal(0, 0.1, len(heights))
    back[90] = 27.0
    rings = [box(width=60.0, depth=40.0)] * 2
    result = placed(
        rings,
        [spec("s0", 3.0, width_mm=60.0, depth_mm=40.0), spec("s1", 38.0, width_mm=60.0, depth_mm=40.0)],
        profiles=Profiles(back=frozen(np.column_stack([heights, back]))),
    )
    told = {f.code: f.message for f in result.findings}
    assert "profile-smoothed" in told
    assert "the reading of 27.00 mm at height 22.5 mm" in told["profile-reading-odd"]


@pytest.mark.parametrize("apart_mm", [6.0, 8.0, 10.0])
@pytest.mark.parametrize("begins", np.linspace(0.0, 6.0, 13))
def test_a_side_that_bends_to_and_fro_is_not_told(apart_mm, begins):
    """A wave of 20 mm, 10 mm high from crest to trough, read two or three times to a wave."""
    heights = np.arange(0.0, 80.0, apart_mm)
    assert not told(30 + 5 * np.sin(2 * np.pi * heights / 20 + begins), heights)


def test_a_slip_on_a_side_that_bends_to_and_fro_is_told_where_it_is_read_closely():
    heights = np.arange(0.0, 80.0, 2.5)
    reach = 30 + 5 * np.sin(2 * np.pi * heights / 20)
    assert not told(reach, heights)
    reach[13] += 6
    (found,) = told(reach, heights)
    assert "at height 32.5 mm" in found.message
