"""The form goes from section to section as fast as the profiles tell: against things whose outlines are known by algebra."""

import numpy as np
import pytest
from bodies import ellipse, lofted, rectangle, section
from hypothesis import given
from hypothesis import strategies as st

from cradle.geometry import planar, region_measures
from cradle.geometry.arrays import frozen
from cradle.geometry.ring import resample
from cradle.loft.columns import Columns
from cradle.loft.pace import paced, paced_levels
from cradle.loft.unlike import levels_between
from cradle.project.section import Between
from cradle.sections.profiles import Profiles

HIGH = 40.0


def round_columns(below, above, *, at=(0.0, HIGH)):
    rings = np.array([ellipse(r, r, points=90) for r in (below, above)])
    return Columns(heights_mm=np.array(at), rings_mm=rings, smooth=False)


def asked_of(radius):
    """What profiles ask for of a thing of revolution."""

    def asked(heights):
        r = radius(heights)
        return np.stack([np.column_stack([-r, -r]), np.column_stack([r, r])], axis=1)

    return asked


def test_a_vase_whose_radius_grows_with_the_square_of_its_height_has_that_pace():
    # r = 10 + 20 (z / 40)² and straight columns r = 10 + z' / 2: z' = z² / 40, by algebra
    told = paced(round_columns(10, 30), asked=asked_of(lambda z: 10 + 20 * (z / HIGH) ** 2))
    z = np.linspace(0, HIGH, 81)
    assert told.pace.at(z) == pytest.approx(z**2 / HIGH, abs=0.3)
    assert np.hypot(*np.moveaxis(told.at(z), 2, 0)).mean(axis=1) == pytest.approx(
        10 + 20 * (z / HIGH) ** 2, abs=0.15
    )


def test_profiles_that_begin_above_the_lower_section_tell_the_pace_from_there():
    # the same vase, read on the left alone and from 20 mm up: there z' = z² / 40, and below evenly up to it
    def asked(heights):
        out = asked_of(lambda z: 10 + 20 * (z / HIGH) ** 2)(heights)
        out[:, 1], out[:, 0, 1] = np.nan, np.nan
        out[heights < 20.0] = np.nan
        return out

    told = paced(round_columns(10, 30), asked=asked)
    z = np.linspace(20, HIGH, 41)
    assert told.pace.at(z) == pytest.approx(z**2 / HIGH, abs=0.3)
    assert told.pace.at(np.array([10.0])) == pytest.approx([5.0], abs=0.3)


def test_where_profiles_tell_no_pace_the_columns_stay_as_they_are():
    even, like = round_columns(10, 30), round_columns(20, 20)
    assert paced(even, asked=lambda z: np.full((len(z), 2, 2), np.nan)) is even  # nothing was read
    assert paced(even, asked=asked_of(lambda z: 10 + z / 2)) is even  # it does change evenly
    belly = asked_of(lambda z: 20 + 5 * np.sin(np.pi * z / HIGH))
    assert paced(like, asked=belly) is like  # both ends are alike


def test_a_belly_wider_than_both_sections_hardly_hurries_the_form():
    told = paced(round_columns(20, 22), asked=asked_of(lambda z: 20 + z / 20 + 6 * np.sin(np.pi * z / HIGH)))
    z = np.linspace(0, HIGH, 81)
    pace = z if told.pace is None else told.pace.at(z)
    assert np.abs(pace - z).max() < HIGH / 4


@given(st.lists(st.floats(-8, 8), min_size=9, max_size=9), st.floats(12, 30))
def test_the_form_never_goes_back_and_stays_at_the_sections(wobble, above):
    knots = np.linspace(0, HIGH, 9)
    told = paced(
        round_columns(20, above),
        asked=asked_of(lambda z: 20 + (above - 20) * z / HIGH + np.interp(z, knots, wobble)),
    )
    if told.pace is not None:
        at = told.pace.at(np.linspace(0, HIGH, 200))
        assert (np.diff(at) >= -1e-9).all()
        assert at[[0, -1]] == pytest.approx([0.0, HIGH])


def squarish(part, *, points=240):
    """From a rounded square of half width 20 to a circle of radius 30, point by point."""
    t = np.arange(points) * 2 * np.pi / points
    unit = np.column_stack([np.cos(t), np.sin(t)])
    square = 20 * np.clip(1.35 * unit, -1, 1)
    return (1 - part) * square + part * 30 * unit


@pytest.mark.parametrize("between", [Between.STRAIGHT, Between.SMOOTH])
def test_a_square_foot_that_turns_round_at_a_shoulder_does_so_in_the_loft(between):
    def shoulder(z):
        return 0.5 + 0.5 * np.tanh((z - 30.0) / 2.5) / np.tanh(4.0)

    z = np.linspace(0, HIGH, 161)
    part = np.clip(shoulder(z), 0, 1)
    half = 20 + 10 * part
    profiles = Profiles(
        front=frozen(np.column_stack([z, -half])),
        back=frozen(np.column_stack([z, half])),
        left=frozen(np.column_stack([z, -half])),
        right=frozen(np.column_stack([z, half])),
    )
    ends = [section(0.0, squarish(float(part[0]))), section(HIGH, squarish(float(part[-1])))]
    body = lofted(ends, between=between, profiles=profiles)
    assert body.section_error_mm < 1e-9
    assert body.even_mm(np.array([0.0, 15.0, 30.0, HIGH])) == pytest.approx(
        [0.0, 0.0, HIGH / 2, HIGH], abs=1.5
    )
    for at in (10.0, 20.0, 27.0, 33.0):
        true = resample(squarish(float(np.clip(shoulder(at), 0, 1))), count=200)
        away = region_measures.distances_to_boundary(true, body.levels_at(np.array([at]))[0])
        assert away.max() < 0.5
    # an even change, stretched to the same extents, is round too early: 3 mm off at the corners
    evenly = squarish(0.5) * 20 / 25
    assert region_measures.distances_to_boundary(squarish(0.0), planar.region(evenly)).max() > 1.5


def round_levels(below, above):
    """Levels between two circles over one another, at an even pace."""
    return levels_between(
        ellipse(below, below),
        ellipse(above, above),
        low_mm=0.0,
        high_mm=HIGH,
        rings_at=lambda z: ellipse(*[below + (above - below) * z / HIGH] * 2),
        extents_at=lambda z: np.array([[-1, -1], [1, 1]]) * (below + (above - below) * z / HIGH),
    )


def test_levels_lie_where_a_vase_whose_radius_grows_with_the_square_of_its_height_is_so_wide():
    # r = 10 + 20 (z / 40)² is 10 + z' / 2 at z = √(40 z'), by algebra
    even = round_levels(10, 30)
    told = paced_levels(even, low_mm=0.0, high_mm=HIGH, asked=asked_of(lambda z: 10 + 20 * (z / HIGH) ** 2))
    assert len(even.heights_mm) > 2
    assert told.heights_mm == pytest.approx(np.sqrt(HIGH * np.array(even.heights_mm)), abs=1.0)
    assert told.columns_mm is even.columns_mm


@pytest.mark.slow
@given(st.lists(st.floats(-8, 8), min_size=9, max_size=9), st.floats(12, 30))
def test_levels_stay_apart_wherever_the_profiles_jump(wobble, above):
    knots = np.linspace(0, HIGH, 9)
    told = paced_levels(
        round_levels(20, above),
        low_mm=0.0,
        high_mm=HIGH,
        asked=asked_of(lambda z: 20 + (above - 20) * z / HIGH + np.interp(z, knots, wobble)),
    )
    assert (np.diff([0.0, *told.heights_mm, HIGH]) >= 0.1 - 1e-9).all()


def test_a_tray_on_a_rim_open_to_one_side_is_whole_where_the_profiles_say_so():
    # its rim 2 mm up is open to the left; 4 mm up it reaches as far on all sides as at its top
    right, rim = 50.0, 44.0
    outer = [[-30.0, -right], [right, -right], [right, right], [-30.0, right]]
    inner = [[-30.0, rim], [rim, rim], [rim, -rim], [-30.0, -rim]]
    z = np.array([2.0, 4.0, 6.0, 10.0, 17.0])

    def side(foot, whole):
        return frozen(np.column_stack([z, [foot, *[whole] * 4]]))

    profiles = Profiles(front=side(-50, -50), back=side(50, 50), left=side(-30, -50), right=side(50, 50))
    ends = [section(2.0, np.array(outer + inner)), section(17.0, rectangle(100, 100))]
    body = lofted(ends, profiles=profiles)
    assert "sections-unlike" in {finding.code for finding in body.findings}  # levels lead
    shares = [area.area / 100**2 for area in body.levels_at(np.array([5.0, 8.0]))]
    assert min(shares) > 0.95  # 0.40 and 0.59 where the form goes evenly
    assert body.even_mm(np.array([1.0, 2.0, 8.0, 17.0, 18.0])) == pytest.approx([1, 2, 17, 17, 18], abs=0.8)
    unread = lofted(ends)
    assert unread.even_mm(np.array([1.0, 8.0, 18.0])) == pytest.approx([1, 8, 18])
