import numpy as np
import pytest
from fit_models import round_places

from cradle.fit.interpolation_error import (
    bows,
    change_mm,
    half_way_mm,
    interpolation_error,
    unlikeness_mm,
)
from cradle.geometry.arrays import frozen, frozen_ints
from cradle.project.section import Between
from cradle.sections.section import RingStack


def stack(heights, radii):
    t = np.arange(120) * 2 * np.pi / 120
    ring = np.column_stack([np.cos(t), np.sin(t)])
    return RingStack(
        heights_mm=frozen(heights),
        rings_mm=frozen([r * ring for r in radii]),
        names=tuple(f"s{k}" for k in range(len(heights))),
    )


def test_the_bow_of_a_sphere_is_that_of_its_chord():
    # sphere R 40 cut every 10 from −10 to 10: near its widest section a chord misses by h²/8R = 0.3125
    z = np.array([-10.0, 0.0, 10.0])
    bow = bows(stack(z + 10, np.sqrt(40**2 - z**2)), between=Between.STRAIGHT)
    assert bow * 10**2 / 4 == pytest.approx([0.3125, 0.3125], rel=0.05)


def test_a_smooth_loft_through_three_sections_leaves_less():
    # sphere R 40 cut every 10 from −30 to 30: largest radial error 0.679 straight, 0.128 by monotone cubics
    z = np.array([-10.0, 0.0, 10.0])
    three = stack(z + 10, np.sqrt(40**2 - z**2))
    left = bows(three) / bows(three, between=Between.STRAIGHT)
    assert (left > 0.128 / 0.679).all()
    assert (left < 0.5).all()


def test_a_straight_thing_has_no_bow_and_sections_are_exact():
    straight = stack([0, 7, 30, 40], [20, 21.4, 26, 28])
    assert bows(straight) == pytest.approx(0, abs=1e-9)
    curved = bows(stack([0, 10, 20, 30], [20, 24, 26, 26]))
    assert (curved > 0).all()


def test_two_sections_are_bowed_by_assumption_and_longer_gaps_more():
    short, long = stack([0, 10], [20, 20]), stack([0, 30], [20, 20])
    assert bows(short) == pytest.approx(bows(long))
    assert bows(short)[0] == pytest.approx(1 / (2 * 3 * 40), rel=0.01)


def cone(heights=(0.0, 10.0, 30.0), *, rise=0.3):
    return stack(list(heights), [20 + rise * z for z in heights])


def at(heights, *, sections=(0.0, 10.0, 30.0), **given):
    places = round_places(heights=heights)
    found = cone(sections)
    bow = np.full(len(sections) - 1, 0.001)
    error = interpolation_error(places, stack=found, bows_per_mm=bow, **given)
    return error, places


def test_on_a_cone_the_change_is_the_difference_of_the_radii():
    places = round_places(radius=21.5, heights=(5.0,))
    found = change_mm(places, stack=cone(), gap=frozen_ints(np.zeros(24)))
    assert found == pytest.approx(3.0, abs=0.02)


def test_sections_are_exact_and_half_way_is_least_known():
    error, places = at((0.0, 2.5, 5.0, 7.5, 10.0, 20.0, 30.0))
    by_level = [error.amount_mm[places.levels == k].mean() for k in range(7)]
    assert by_level[0] == by_level[4] == by_level[6] == 0
    assert by_level[2] > by_level[1] > 0
    assert by_level[1] == pytest.approx(by_level[3], rel=0.1)
    assert by_level[5] > by_level[2]  # the wider gap changes more
    assert sorted(set(error.gap.tolist())) == [0, 1]
    assert error.turned[places.levels == 1].mean() == pytest.approx(0.5)


def test_beyond_the_sections_it_grows_and_things_round_off_below():
    error, places = at((0.0, 1.0, 5.0, 31.0, 33.0), sections=(3.0, 10.0, 30.0))
    by_level = [error.amount_mm[places.levels == k].mean() for k in range(5)]
    assert by_level[0] > by_level[1] > 0
    assert by_level[4] > by_level[3] > 0
    assert (error.mean_mm[places.levels == 0] < 0).all()


def test_more_change_and_more_bow_make_it_less_known():
    low, high = np.full(2, 0.001), np.full(2, 0.004)
    assert (half_way_mm(cone(rise=0.6), bows_per_mm=low) > half_way_mm(cone(), bows_per_mm=low)).all()
    assert (half_way_mm(cone(), bows_per_mm=high) > half_way_mm(cone(), bows_per_mm=low)).all()


def test_two_sections_bulge_between():
    two, _ = at((15.0,), sections=(0.0, 30.0))
    three, _ = at((5.0,))
    assert (two.mean_mm > 0.5 * two.amount_mm).all()
    assert (two.amount_mm > three.amount_mm.max()).all()


def test_between_two_sections_things_stand_out_also_where_profiles_read():
    read = np.zeros(24)
    two, _ = at((15.0,), sections=(0.0, 30.0), unread=read)
    three, _ = at((5.0,), unread=read)
    assert (two.mean_mm > 0.1 * two.amount_mm).all()
    assert (np.abs(three.mean_mm) < 0.1 * three.amount_mm).all()


def test_a_stated_spread_holds_half_way():
    error, _ = at((5.0, 20.0), half_way_mm=0.2)
    assert error.amount_mm == pytest.approx(0.2)
    assert error.tail == 0
    assert (error.mean_mm == 0).all()


def unlike():
    """A circle below a square of the same width, and a third as the second."""
    t = np.arange(240) * 2 * np.pi / 240
    circle = 20 * np.column_stack([np.cos(t), np.sin(t)])
    square = circle / np.maximum(np.abs(np.cos(t)), np.abs(np.sin(t)))[:, None]
    return RingStack(
        heights_mm=frozen([0.0, 10.0, 30.0]),
        rings_mm=frozen([circle, square, square]),
        names=("s0", "s1", "s2"),
    )


def test_unlike_outlines_are_less_known_between_than_alike_ones():
    bow = np.full(2, 0.001)
    error = interpolation_error(round_places(heights=(5.0, 20.0)), stack=unlike(), bows_per_mm=bow)
    by_level = [error.amount_mm[error.gap == k].mean() for k in (0, 1)]
    assert by_level[0] > 5 * by_level[1]


def test_a_change_of_size_alone_is_no_unlikeness():
    assert unlikeness_mm(cone()) == pytest.approx(0, abs=1e-9)
    assert unlikeness_mm(unlike())[0] > 2.5


def test_two_tracings_of_one_outline_are_alike():
    rng = np.random.default_rng(5)
    trace = 0.25
    found = []
    for _ in range(40):  # noise over about 11 mm of the outline, as a hand makes it
        rings = []
        for _ in range(2):
            waves = rng.standard_normal((12, 2)) / np.sqrt(12)
            t = np.arange(240) * 2 * np.pi / 240
            noise = sum(a * np.cos(k * t) + b * np.sin(k * t) for k, (a, b) in enumerate(waves, start=2))
            rings.append((20 + trace * noise)[:, None] * np.column_stack([np.cos(t), np.sin(t)]))
        traced = RingStack(heights_mm=frozen([0.0, 9.0]), rings_mm=frozen(rings), names=("a", "b"))
        found.append((unlikeness_mm(traced)[0], unlikeness_mm(traced, trace_mm=trace)[0]))
    plain, taken_off = np.mean(found, axis=0)
    assert plain > 1.2 * trace
    assert taken_off < 0.5 * plain


def test_where_profiles_read_the_width_less_of_the_change_is_unknown():
    places = round_places(heights=(5.0, 20.0))
    bow = np.full(2, 0.01)
    count = len(places.levels)
    found = {
        share: interpolation_error(places, stack=cone(), bows_per_mm=bow, unread=np.full(count, share))
        for share in (0.0, 0.5, 1.0)
    }
    assert (found[0.0].amount_mm < found[0.5].amount_mm).all()
    assert (found[0.5].amount_mm < found[1.0].amount_mm).all()
    assert (found[1.0].mean_mm > 0).all()
