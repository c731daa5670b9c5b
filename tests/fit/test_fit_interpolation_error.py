"""How far things may leave the loft, on round and unlike stacks whose changes are known."""

from dataclasses import replace

import numpy as np
import pytest
from fit_models import cone, round_places, stack_of, unlike

from cradle.fit.interpolation_error import (
    change_at_places_mm,
    changes_mm,
    half_way_mm,
    interpolation_error,
    stated_error,
)
from cradle.geometry.arrays import frozen, frozen_ints


def error_at(places, *, stack, unread=1.0, splay=0.0, bow_per_mm=0.001):
    """Where nothing is read, or so much of every way, and all gaps have one bow."""
    count = len(places.levels)
    return interpolation_error(
        places,
        stack=stack,
        bows_per_mm=np.full(len(stack.heights_mm) - 1, bow_per_mm),
        unread=np.broadcast_to(unread, count),
        splay=np.full(count, splay),
        trace_mm=0.0,
    )


def at(heights, *, sections=(0.0, 10.0, 30.0), unread=1.0, splay=0.0):
    places = round_places(heights=heights)
    return error_at(places, stack=cone(sections), unread=unread, splay=splay), places


def test_on_a_cone_the_change_is_the_difference_of_the_radii():
    places = round_places(radius=21.5, heights=(5.0,))
    found = change_at_places_mm(places, stack=cone(), gap=frozen_ints(np.zeros(24)))
    assert found == pytest.approx(3.0, abs=0.02)


def test_the_change_of_a_gap_is_square_to_the_skin():
    # radii that rise by 0.3 a mm: 3 and 6 mm seen from above, times cos(atan 0.3)
    assert changes_mm(cone()) == pytest.approx(np.array([3.0, 6.0]) / np.hypot(1.0, 0.3), rel=1e-3)


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
    error, places = at((0.0, 1.0, 2.0, 5.0, 31.0, 33.0), sections=(3.0, 10.0, 30.0))
    by_level = [error.amount_mm[places.levels == k].mean() for k in range(6)]
    assert by_level[1] > by_level[2] > 0
    assert by_level[5] > by_level[4] > 0
    assert (error.mean_mm[places.levels == 0] < 0).all()


def test_what_splays_may_go_on_to_widen_below_the_lowest_section_and_nowhere_else():
    heights, sections = (1.0, 2.0, 3.0, 6.0, 31.0), (3.0, 10.0, 30.0)
    (straight, places), (splayed, _) = (at(heights, sections=sections, splay=s) for s in (0.0, 0.4))
    more = splayed.amount_mm - straight.amount_mm
    by_level = [more[places.levels == k].mean() for k in range(5)]
    assert by_level[0] == pytest.approx(2 * by_level[1])
    assert 0.1 < by_level[1] < 0.4  # a part of what the splay of 0.4 a mm, going on, would make in one
    assert by_level[2] == by_level[3] == by_level[4] == 0


def test_over_the_last_millimetre_of_a_foot_it_falls_to_nothing_at_the_table():
    error, places = at((0.0, 0.5, 1.0), sections=(3.0, 10.0, 30.0))
    by_level = [error.amount_mm[places.levels == k].mean() for k in range(3)]
    assert by_level[0] == 0
    assert by_level[1] == pytest.approx(by_level[2] * 1.25 / 2)  # 2.5 mm below instead of 2, half of it left


def test_more_change_and_more_bow_make_it_less_known():
    low, high = np.full(2, 0.001), np.full(2, 0.004)
    unsure = half_way_mm(cone(), bows_per_mm=low, trace_mm=0.0)
    assert (half_way_mm(cone(rise=0.6), bows_per_mm=low, trace_mm=0.0) > unsure).all()
    assert (half_way_mm(cone(), bows_per_mm=high, trace_mm=0.0) > unsure).all()


def test_half_way_up_a_cone_it_is_what_is_told_of_the_gap():
    """Everywhere around a cone the change is that of the whole gap, square to its skin, however steep."""
    for rise in (0.3, 2.0):
        stack, places = cone(rise=rise), round_places(radius=20 + 5 * rise, heights=(5.0,))
        found = error_at(places, stack=stack)
        told = half_way_mm(stack, bows_per_mm=np.full(2, 0.001), trace_mm=0.0)[0]
        assert found.amount_mm == pytest.approx(told, rel=0.02)


def test_sections_that_are_all_alike_leave_something_unsure():
    alike = half_way_mm(cone(rise=0.0), bows_per_mm=np.zeros(2), trace_mm=0.0)
    assert (alike > 0.08).all()
    assert (alike < half_way_mm(cone(rise=0.1), bows_per_mm=np.zeros(2), trace_mm=0.0)).all()


def test_two_sections_leave_open_what_bulges_between_them():
    two, _ = at((15.0,), sections=(0.0, 30.0))
    three, _ = at((5.0,))
    assert (two.mean_mm > 0.42 * two.amount_mm).all()
    assert (two.amount_mm > three.amount_mm.max()).all()


def test_between_two_sections_things_stand_out_also_where_profiles_read():
    two, _ = at((15.0,), sections=(0.0, 30.0), unread=0.0)
    three, _ = at((5.0,), unread=0.0)
    assert (two.mean_mm > 0.1 * two.amount_mm).all()
    assert (np.abs(three.mean_mm) < 0.1 * three.amount_mm).all()


def test_a_stated_spread_holds_half_way():
    error = stated_error(round_places(heights=(5.0, 20.0)), stack=cone((0.0, 10.0, 30.0)), half_way_mm=0.2)
    assert error.amount_mm == pytest.approx(0.2)
    assert (error.tails == 0).all()
    assert (error.mean_mm == 0).all()


def test_where_the_form_has_gone_a_quarter_it_is_as_little_known_as_a_quarter_up():
    # half way between the heights and a quarter of the way to the other section's form, and the other way round
    places = round_places(heights=(2.5, 5.0))
    paced = replace(places, even_mm=frozen([5.0, 2.5]))
    even, told = (stated_error(p, stack=cone((0.0, 10.0, 30.0)), half_way_mm=0.2) for p in (places, paced))
    by_level = [error.amount_mm.reshape(2, -1)[:, 0] for error in (even, told)]
    assert by_level[0] == pytest.approx([0.2 * 0.75**0.75, 0.2])
    assert by_level[1] == pytest.approx(by_level[0][::-1])
    assert told.turned.reshape(2, -1)[:, 0] == pytest.approx([0.0, 0.5])
    assert (told.gap == even.gap).all()


def test_unlike_outlines_are_less_known_between_than_alike_ones():
    error = error_at(round_places(heights=(5.0, 20.0)), stack=unlike())
    by_level = [error.amount_mm[error.gap == k].mean() for k in (0, 1)]
    assert by_level[0] > 2 * by_level[1]


def test_where_profiles_read_the_width_less_of_the_change_is_unknown():
    places = round_places(heights=(5.0, 20.0))
    found = {
        share: error_at(places, stack=cone(), unread=share, bow_per_mm=0.01) for share in (0.0, 0.5, 1.0)
    }
    assert (found[0.0].amount_mm < found[0.5].amount_mm).all()
    assert (found[0.5].amount_mm < found[1.0].amount_mm).all()


def test_the_less_of_a_gap_is_read_the_less_is_known_how_plain_the_thing_is_there():
    places, stack = round_places(heights=(5.0, 20.0)), unlike()
    read, half, unread = (error_at(places, stack=stack, unread=share).tails for share in (0.0, 0.5, 1.0))
    assert (read < half).all()
    assert (half < unread).all()
    lower_read = error_at(places, stack=stack, unread=np.where(places.levels == 0, 0.0, 1.0))
    assert lower_read.tails == pytest.approx([read[0], unread[1]])


def test_what_is_unread_below_the_lowest_section_tells_nothing_of_what_lies_between():
    """Profile gauges seldom reach the table."""
    sections = (4.0, 10.0, 30.0)
    between, _ = at((7.0, 20.0), sections=sections, unread=0.0)
    with_foot = round_places(heights=(1.0, 7.0, 20.0))
    unread = np.where(with_foot.levels == 0, 1.0, 0.0)
    assert error_at(with_foot, stack=cone(sections), unread=unread).tails == pytest.approx(between.tails)


def test_where_nothing_tells_at_which_height_forms_turn_unlike_ones_are_less_known_still():
    places = round_places(heights=(5.0, 20.0))
    read, unread = (error_at(places, stack=unlike(), unread=share).amount_mm for share in (0.0, 1.0))
    more = [
        (unread / read)[places.levels == k].mean() for k in (0, 1)
    ]  # between unlike outlines, and like ones
    assert more[0] > 1.2
    assert more[1] < 1.02


def test_one_section_more_leaves_less_of_the_shape_but_not_of_what_only_profiles_tell():
    places = round_places(heights=(5.0, 31.0))
    read, unread = (error_at(places, stack=unlike(), unread=share).left_by_another for share in (0.0, 1.0))
    between = places.levels == 0
    assert (read[between] < 0.9).all()
    assert (read[between] < unread[between]).all()
    assert (unread[between] < 1).all()
    assert (read[~between] == 1).all()  # above them


def test_of_outlines_with_hollows_less_is_known_where_they_change():
    """A circle grown to twice its size, and the same with a groove all the way up."""
    t = np.arange(240) * 2 * np.pi / 240
    groove = 1 - 0.2 * np.exp(-((np.angle(np.exp(1j * t)) / 0.15) ** 2))
    circle = 20 * np.column_stack([np.cos(t), np.sin(t)])
    round_, grooved = (
        stack_of([0.0, 10.0, 30.0], [ring, 1.5 * ring, 2 * ring])
        for ring in (circle, groove[:, None] * circle)
    )
    places = round_places(radius=25.0, heights=(5.0, 20.0))
    known, unsure = (error_at(places, stack=stack, unread=0.0).amount_mm for stack in (round_, grooved))
    assert (unsure > 1.1 * known).all()
