"""Side profiles lead the skin between the sections and leave the sections alone."""

import numpy as np
import pytest
from bodies import ellipse, lofted, pebble, section

from cradle.errors import LoftError
from cradle.geometry.arrays import frozen
from cradle.geometry.mesh import edge_statistics
from cradle.loft.interpolate import straight_at
from cradle.loft.steer import led_range, profile_heights
from cradle.project.section import Between
from cradle.sections.profiles import Profiles

HEIGHTS = np.array([0.0, 20.0, 40.0])


def sections():
    return [section(z, ellipse(20, 15, points=120) + [0.0, 0.1 * z]) for z in HEIGHTS]


def bulged(sign, base, *, depth=3.0, steps=201):
    """A profile that agrees at the sections and bulges outward between them."""
    z = np.linspace(0, 40, steps)
    return frozen(np.column_stack([z, base + 0.1 * z + sign * depth * np.sin(np.pi * z / 20) ** 2]))


def reach(body, axis, side, at):
    rings = straight_at(body.heights_mm, body.rings_mm, at)
    return (side * rings[:, :, axis]).max(axis=1) * side


@pytest.mark.parametrize("between", [Between.STRAIGHT, Between.SMOOTH])
@pytest.mark.parametrize(("front", "back"), [(True, False), (False, True), (True, True)])
def test_skin_follows_the_profiles(between, front, back):
    low, high = bulged(-1, -15.0), bulged(1, 15.0, depth=2.0)
    profiles = Profiles(front=low if front else None, back=high if back else None)
    body = lofted(sections(), between=between, profiles=profiles)
    fine = np.linspace(0, 40, 777)
    if front:
        assert reach(body, 1, -1, fine) == pytest.approx(np.interp(fine, *low.T), abs=0.03)
    if back:
        assert reach(body, 1, 1, fine) == pytest.approx(np.interp(fine, *high.T), abs=0.03)
    depth = reach(body, 1, 1, fine) - reach(body, 1, -1, fine)
    if not (front and back):  # one profile alone shifts, it does not stretch
        assert depth == pytest.approx(30.0, abs=0.03)
    else:
        assert depth.max() == pytest.approx(35.0, abs=0.03)
    assert reach(body, 0, 1, fine) == pytest.approx(20.0, abs=0.02)
    assert body.section_error_mm < 1e-9
    assert edge_statistics(body.mesh).closed


def test_left_and_right_lead_along_x():
    z = np.linspace(0, 40, 81)
    right = frozen(np.column_stack([z, 20 + 4 * np.sin(np.pi * z / 20) ** 2]))
    body = lofted(sections(), profiles=Profiles(right=right, left=frozen([[0, -20], [40, -20]])))
    at = np.array([10.0])
    assert reach(body, 0, 1, at) == pytest.approx([24], abs=0.03)
    assert reach(body, 0, -1, at) == pytest.approx([-20], abs=0.02)


def test_a_profile_that_disagrees_gives_way_at_the_sections():
    off = np.array([0.8, -0.4, 1.0])  # how far the profile is out at each section
    z = np.linspace(0, 40, 401)
    profile = frozen(
        np.column_stack([z, -15 + 0.1 * z - 3 * np.sin(np.pi * z / 20) ** 2 + np.interp(z, HEIGHTS, off)])
    )
    body = lofted(sections(), profiles=Profiles(front=profile))
    assert body.section_error_mm < 1e-9
    fine = np.linspace(0, 40, 400)
    expected = -15 + 0.1 * fine - 3 * np.sin(np.pi * fine / 20) ** 2
    assert reach(body, 1, -1, fine) == pytest.approx(expected, abs=0.03)


def test_kinks_of_a_profile_get_a_layer():
    kinked = frozen([[0, -15], [10, -18], [20, -13], [33.3, -16], [40, -11]])
    body = lofted(sections(), profiles=Profiles(front=kinked))
    for z in (10, 33.3):
        assert np.abs(body.heights_mm - z).min() < 1e-9
        assert reach(body, 1, -1, np.array([z])) == pytest.approx(np.interp(z, *kinked.T), abs=1e-6)


def test_beyond_a_profile_its_correction_fades_towards_the_next_section():
    short = frozen([[0, -15], [10, -17]])  # ends half way: 3 mm out from -14 there
    body = lofted(sections(), between=Between.STRAIGHT, profiles=Profiles(front=short))
    at = np.array([5.0, 10.0, 15.0, 20.0, 30.0])
    assert reach(body, 1, -1, at) == pytest.approx([-16, -17, -13.5 - 1.5, -13, -12], abs=0.02)


@pytest.mark.parametrize("short_mm", [0.008, 0.25])
def test_a_profile_that_ends_a_hair_beside_a_section_leads_as_far_as_it_goes(short_mm):
    profile = bulged(-1, -15.0)
    z = np.linspace(short_mm, 40 - short_mm, 201)
    short = frozen(np.column_stack([z, np.interp(z, *profile.T)]))
    body = lofted(sections(), profiles=Profiles(front=short))
    fine = np.linspace(0, 40, 777)
    assert reach(body, 1, -1, fine) == pytest.approx(np.interp(fine, *profile.T), abs=0.1)
    assert body.section_error_mm < 1e-9
    assert edge_statistics(body.mesh).closed


def test_a_profile_of_other_heights_changes_nothing():
    plain = lofted(sections())
    led = lofted(sections(), profiles=Profiles(front=frozen([[50, -15], [60, -99]])))
    fine = np.linspace(0, 40, 50)
    assert reach(led, 1, -1, fine) == pytest.approx(reach(plain, 1, -1, fine), abs=1e-9)


def test_profiles_without_a_wiggle_add_few_layers():
    line = frozen(np.column_stack([np.linspace(0, 40, 500), np.linspace(-15, -11, 500)]))
    heights = profile_heights(Profiles(front=line), low_mm=0, high_mm=40, within_mm=0.005)
    assert len(heights) == 0
    wave = bulged(-1, -15.0, steps=2001)
    needed = profile_heights(Profiles(front=wave), low_mm=0, high_mm=40, within_mm=0.005)
    assert 20 < len(needed) < 120


def test_profiles_that_meet_are_refused():
    front = frozen([[0, -15], [10, 20], [20, -13], [40, -11]])
    back = frozen([[0, 15], [10, 14], [20, 17], [40, 19]])
    with pytest.raises(
        LoftError, match=r"by the front and back profiles the thing is -.* mm deep .*, more than 0 mm is"
    ):
        lofted(sections(), profiles=Profiles(front=front, back=back))


def test_uneven_bodies_stay_sound_under_profiles():
    stones = [section(15 * i, pebble(i + 3)) for i in range(4)]
    low = min(s.points_mm[:, 1].min() for s in stones)
    z = np.linspace(0, 45, 90)
    front = frozen(np.column_stack([z, low - 2 * np.abs(np.sin(z / 5))]))
    body = lofted(stones, profiles=Profiles(front=front), low=-3, high=50)
    assert edge_statistics(body.mesh).closed
    assert body.section_error_mm < 1e-9
    assert len(body.heights_mm) > 30


@pytest.mark.parametrize("start", [0.0, 0.5, 1.0])
def test_a_rounded_side_is_met_between_readings(start):
    """A side of 60 mm radius read every 3 mm: a chord misses the arc by its sagitta, s^2 / (8 r) = 0.019 mm, and near
    its steep end by far more: the curve through the readings leaves a third of that at most."""
    z = np.unique(np.r_[0.0, np.arange(start, 40.0, 3.0), 40.0])

    def side(height):
        return 20 - 60 + np.sqrt(60.0**2 - (height - 40.0) ** 2) + 14.0

    whole = Profiles(left=frozen(np.column_stack([z, -side(z)])), right=frozen(np.column_stack([z, side(z)])))
    ends = [section(h, ellipse(side(h), 15, points=120)) for h in (0.0, 40.0)]
    body = lofted(ends, profiles=whole)
    fine = np.linspace(z[1], 39.0, 777)

    def missed(reach):
        return np.abs(np.hypot(fine - 40.0, reach - (20 - 60 + 14.0)) - 60.0).max()

    chords = missed(np.interp(fine, z, side(z)))
    assert missed(reach(body, 0, 1, fine)) < max(0.5 * chords, 0.03)  # 0.03: the skin's own chords


def test_a_profile_drawn_with_few_points_stays_straight_between_them():
    # by hand: 20 mm up to 30 mm of height, from there 10 mm in over the last 10
    z = [0.0, 30.0, 40.0]
    profiles = Profiles(
        left=frozen(np.column_stack([z, [-20, -20, -10]])), right=frozen(np.column_stack([z, [20, 20, 10]]))
    )
    ends = [section(0.0, ellipse(20, 15, points=120)), section(40.0, ellipse(10, 15, points=120))]
    body = lofted(ends, profiles=profiles)
    at = np.array([15.0, 29.0, 32.5, 35.0])
    assert reach(body, 0, 1, at) == pytest.approx([20, 20, 17.5, 15], abs=0.03)


def test_wiggles_far_below_what_the_skin_may_leave_its_columns_by_get_no_layers():
    z = np.linspace(0, 40, 401)
    rough = frozen(np.column_stack([z, -15 + 0.1 * z + 0.008 * np.sin(2 * np.pi * z)]))
    assert len(lofted(sections(), profiles=Profiles(front=rough)).heights_mm) < 10


def test_a_pair_leads_as_far_as_both_of_it_reach():
    left, right = (
        frozen(np.column_stack([heights, [out, out]]))
        for heights, out in (([-8, 60], -20.0), ([-3, 48], 20.0))
    )
    assert led_range(Profiles(left=left, right=right), low_mm=0.0, high_mm=40.0) == (-3.0, 48.0)
    assert led_range(Profiles(left=left), low_mm=0.0, high_mm=40.0) == (0.0, 40.0)
    inside = led_range(Profiles(left=left, right=right), low_mm=-5.0, high_mm=50.0)
    assert inside == (-5.0, 50.0)  # no pair narrows what sections tell
