from dataclasses import replace

import numpy as np
import pytest
from fit_models import clearance, everywhere, gains_of, guessed, model_of, round_places
from fit_simulation import HEIGHTS, simulated
from scipy.stats import norm

from cradle.fit.advice import MOST_CLEARANCE_MM, advised_clearance
from cradle.fit.chance import cause_at, chance_of_draws, chance_of_fit
from cradle.fit.gain import Gains
from cradle.fit.model import deviations_mm, drawn
from cradle.fit.next_sections import candidates, next_sections, parts_of, with_more_sections
from cradle.fit.uncertainties import Spread
from cradle.geometry.arrays import frozen


@pytest.fixture(scope="module")
def egg():
    return simulated(np.random.default_rng(1), "egg", calipers=2).model()


def test_the_curve_is_the_normal_distribution_for_one_common_spread():
    model = everywhere(0.1)
    found = chance_of_fit(model, clearance(0.2, model))
    assert found.chance == pytest.approx(norm.cdf(2), abs=0.01)
    for c, p in found.curve:
        assert p == pytest.approx(norm.cdf(c / 0.1), abs=0.035)
    assert len(found.curve) > 5


def test_one_run_gives_the_same_curve_as_many(egg):
    curve = dict(chance_of_fit(egg, clearance(0.3, egg)).curve)
    for c in list(curve)[4:12:3]:
        assert chance_of_fit(egg, clearance(c, egg)).chance == pytest.approx(curve[c], abs=1e-9)
    shares = list(curve.values())
    assert shares == sorted(shares)
    assert shares[0] < 0.05
    assert shares[-1] > 0.95


@pytest.mark.parametrize("goal", [0.5, 0.8, 0.95, 0.99])
@pytest.mark.parametrize("asked", [0.02, 0.3, 1.0])
def test_what_an_aim_takes_is_what_is_chosen_for_it(asked, goal):
    """A warning says what to set, "auto" what it chose: of sections that are alike the same, to the last digit."""
    model = everywhere(0.1)
    told = chance_of_fit(model, clearance(asked, model)).taking(goal)
    chosen = advised_clearance(model, goal=goal, given_mm=[None] * len(model.names)).asked.least_mm
    assert told == pytest.approx(chosen, abs=1e-9)


def test_one_run_tells_the_cause_at_every_clearance(egg):
    found = chance_of_fit(egg, clearance(0.3, egg))
    for c in (0.1, 0.2, 0.45):
        there = chance_of_fit(egg, clearance(c, egg)).cause
        told = cause_at(egg, found, wider_mm=c - 0.3)
        assert (told.height_mm, told.spread) == (there.height_mm, there.spread)
        assert told.spread_mm == pytest.approx(there.spread_mm, abs=1e-9)


def test_the_chance_is_the_same_each_time(egg):
    one, two = (chance_of_fit(egg, clearance(0.3, egg)) for _ in range(2))
    assert (one.tightness_mm == two.tightness_mm).all()
    assert one.cause == two.cause


def test_shifts_common_to_all_places_do_no_harm():
    places = round_places()
    model = model_of([2 * places.directions[:, 0], 2 * places.directions[:, 1]], [Spread.PLACING] * 2)
    assert chance_of_fit(model, clearance(0.01, model)).chance > 0.98
    apart = model_of([0.1 * places.directions[:, 0] * (places.levels == 1)], [Spread.PLACING])
    assert chance_of_fit(apart, clearance(0.01, apart)).chance < 0.3


def test_the_cause_is_where_and_what_it_was_made_to_be():
    places = round_places()
    wave = np.cos(2 * 2 * np.pi * places.along)
    model = model_of(
        [0.05 * wave * (places.levels == 0), 0.4 * wave * (places.levels == 2), np.full(72, 0.01)],
        [Spread.TRACE, Spread.BETWEEN, Spread.REPEAT],
    )
    cause = chance_of_fit(model, clearance(0.2, model)).cause
    assert cause.height_mm == 20
    assert cause.spread is Spread.BETWEEN
    assert "high" in cause.where
    assert cause.spread_mm > 0.2


def test_the_play_of_a_cylinder_is_twice_its_clearance():
    model = everywhere(1e-6)
    found = chance_of_fit(model, clearance(0.3, model))
    assert found.chance == 1
    assert found.play_mm == pytest.approx(0.6, rel=1e-3)
    assert found.play_words == "shift by 0.6 mm"


@pytest.mark.parametrize(
    ("aside_mm", "words"),
    [(0.5, "shift by 0.6 mm"), (3.0, "shift by 0.6 mm and turn about its upright axis by 6.0° or more")],
)
def test_a_turn_is_told_where_it_moves_the_skin(aside_mm, words):
    model = everywhere(1e-6)
    turned = replace(model, places=replace(model.places, middle_mm=frozen([aside_mm, 0.0])))
    assert chance_of_fit(turned, clearance(0.3, turned)).play_words == words


def test_nothing_plays_when_nothing_fits():
    model = everywhere(0.01, mean_mm=1.0)
    found = chance_of_fit(model, clearance(0.2, model))
    assert (found.chance, found.play_mm, found.play_deg) == (0, 0, 0)


def test_more_spread_means_less_chance(egg):
    wide = simulated(np.random.default_rng(1), "egg", calipers=0).model()
    assert chance_of_fit(wide, clearance(0.35, wide)).chance < chance_of_fit(egg, clearance(0.35, egg)).chance


def test_advice_reaches_the_goal_and_no_more(egg):
    advice = advised_clearance(egg, goal=0.9, given_mm=[None] * 4)
    assert advice.reached
    assert advice.chance.chance >= 0.9
    less = clearance(float(advice.asked.clearances_mm.max()) - 0.03, egg)
    assert chance_of_fit(egg, less).chance < 0.9
    more = advised_clearance(egg, goal=0.97, given_mm=[None] * 4)
    assert more.asked.clearances_mm.sum() > advice.asked.clearances_mm.sum()


def test_advice_for_one_common_spread_is_its_quantile():
    model = everywhere(0.1)
    advice = advised_clearance(model, goal=0.95, given_mm=[None] * 3)
    assert advice.asked.clearances_mm == pytest.approx(0.1645, abs=0.02)


def test_advice_leaves_given_clearances_alone(egg):
    advice = advised_clearance(egg, goal=0.8, given_mm=[0.9, None, None, None])
    assert advice.asked.clearances_mm[0] == 0.9
    assert advice.chance.chance >= 0.8
    assert advice.asked.clearances_mm[1:].max() < MOST_CLEARANCE_MM  # the others are chosen for the one given
    hopeless = advised_clearance(egg, goal=0.8, given_mm=[0.0, None, None, None])
    assert not hopeless.reached
    assert hopeless.asked.clearances_mm.max() <= MOST_CLEARANCE_MM


def test_a_section_that_needs_less_gets_less():
    places = round_places()
    wave = np.cos(2 * 2 * np.pi * places.along)
    model = model_of(
        [0.02 * wave * (places.levels != 2), 0.3 * wave * (places.levels == 2)], [Spread.TRACE] * 2
    )
    advised = advised_clearance(model, goal=0.95, given_mm=[None] * 3).asked.clearances_mm
    assert advised[0] < advised[2] - 0.1


def test_a_section_whose_wall_the_way_out_moves_away_asks_for_as_much_as_the_others():
    # a bulb: what is above its belly passes where the belly did, 6 mm away; 0 mm asked for there would be told as the
    # holder's least clearance, and test rings would be cut about it
    model = everywhere(0.3)
    aside = np.where(model.places.levels == 2, 6.0, 0.0)
    bulb = replace(model, places=replace(model.places, room_mm=frozen(aside)))
    advised = advised_clearance(bulb, goal=0.95, given_mm=[None] * 3).asked.clearances_mm
    assert advised == pytest.approx(0.3 * 1.645, abs=0.05)


def test_a_few_places_that_the_way_out_leaves_at_a_section_do_not_tell_what_it_needs():
    # a waist: of all its places those few that lie nearest to the wall are looked at, and need little there
    places = round_places()
    wave = np.cos(2 * 2 * np.pi * places.along)
    model = model_of([np.where(places.levels == 2, 0.01, 0.3) * wave], [Spread.TRACE])
    aside = np.where(places.levels == 2, 2.5, 0.0)
    waist = replace(model, places=replace(model.places, room_mm=frozen(aside)))
    advised = advised_clearance(waist, goal=0.95, given_mm=[None] * 3).asked.clearances_mm
    assert advised[2] == pytest.approx(advised[1], abs=0.02)


def between_three(rows, spread, *, heights=(0.0, 2.5, 5.0, 7.5, 10.0, 20.0), **kept):
    """A model of three sections at 0, 10 and 20 mm with places also between them; ``rows`` follow the sections' shares."""
    model = model_of([0.0], [spread], places=round_places(heights=heights))
    knots = np.array([0.0, 10.0, 20.0])
    shares = np.array([np.interp(model.places.z_mm, knots, row) for row in np.eye(3)])
    matrix = rows(shares, model.places.z_mm)
    spreads = [spread] * len(matrix)
    one = model_of(matrix, spreads, places=model.places)
    influences = replace(one.influences, sections=frozen(shares), **kept)
    return replace(one, influences=influences, section_heights_mm=knots)


def with_section_at_5(model):
    """Deviations of one column, ``(draws, 6)``, by a section more at 5 mm."""
    found = with_more_sections(model, parts_of(model, drawn(model, draws=4000)), heights_mm=[5.0])
    return found[:, :: len(found[0]) // 6]


def test_a_section_more_errs_on_its_own_and_beside_it_as_any_other():
    """Each section has an error of 1 of its own; straight between, the variance is (1 - t)^2 + t^2: JCGM 100:2008, 5.1."""
    found = with_section_at_5(between_three(lambda shares, z: shares, Spread.TRACE))
    assert np.var(found, axis=0) == pytest.approx([1, 0.5, 1, 0.5, 1, 1], abs=0.08)
    alike = np.corrcoef(found.T)
    assert np.abs(alike[2, [0, 4, 5]]).max() < 0.05
    assert alike[2, 1] == pytest.approx(0.5**0.5, abs=0.1)


def test_what_is_the_same_for_all_places_stays_the_same():
    found = with_section_at_5(between_three(lambda shares, z: np.ones((1, len(z))), Spread.INSIDE))
    assert np.ptp(found, axis=1).max() == pytest.approx(0.0, abs=1e-12)


def test_a_new_section_divides_its_gap_into_two_with_luck_of_their_own():
    """Below and above the new section the thing leaves the loft by less, each by as much, and by luck of its own."""
    bow = between_three(lambda shares, z: [4 * shares[0] * shares[1]], Spread.BETWEEN)
    found = with_section_at_5(bow)
    assert found[:, [0, 2, 4, 5]] == pytest.approx(np.zeros((4000, 4)), abs=1e-12)
    below, above = found[:, 1], found[:, 3]
    assert abs(np.corrcoef(below, above)[0, 1]) < 0.05
    assert below.std() == pytest.approx(above.std(), rel=0.05)
    assert 0.4 < below.std() < 0.9  # half way in the whole gap: 1


@pytest.mark.parametrize("height", [-5.0, 25.0])
def test_a_section_beyond_the_others_leaves_what_lies_between_these_as_it_was(height):
    bow = between_three(
        lambda shares, z: [4 * shares[0] * shares[1], 4 * shares[1] * shares[2]], Spread.BETWEEN
    )
    parts = parts_of(bow, drawn(bow, draws=50))
    found = with_more_sections(bow, parts, heights_mm=[height])
    assert found == pytest.approx(parts.measured + parts.between + parts.rest, abs=1e-12)


def test_the_parts_of_what_is_drawn_make_all_of_it_together_a_lining_that_gives_way_too():
    model = replace(simulated(np.random.default_rng(4), "egg", calipers=4).model(), gives_mm=1.5)
    xi = drawn(model, draws=20)
    parts = parts_of(model, xi)
    assert parts.measured + parts.between + parts.rest == pytest.approx(deviations_mm(model, xi), abs=1e-12)


def test_a_fourth_section_tells_of_the_other_gap_too():
    """Of real things three sections leave more open in every gap than four (`cradle.fit.interpolation_error`)."""
    heights = (0.0, 5.0, 10.0, 12.5, 15.0, 20.0)
    other = between_three(lambda shares, z: [4 * shares[1] * shares[2]], Spread.BETWEEN, heights=heights)
    found = with_section_at_5(replace(other, left_by_another=0.8))
    assert found.std(axis=0) / [1, 1, 1, 0.75, 1, 1] == pytest.approx([0, 0, 0, 0.8, 0.8, 0], abs=0.03)


def test_where_the_shape_is_nearly_known_a_section_more_only_brings_its_own_errors():
    model = guessed(simulated(np.random.default_rng(2), "egg", calipers=4).model(), times=0.0)
    xi, asked = drawn(model, draws=600), clearance(0.3, model)
    tried = with_more_sections(model, parts_of(model, xi), heights_mm=[float(HEIGHTS[1:3].mean())])
    before = chance_of_fit(model, asked, xi=xi).chance
    assert chance_of_draws(model, asked, xi=xi, deviations=tried).chance < before
    assert next_sections(model, gains_of(model, 0.3)) is None


def test_the_next_template_goes_where_the_gap_is_least_known():
    model = guessed(simulated(np.random.default_rng(2), "egg", calipers=4).model(), times=4.0)
    found = next_sections(model, gains_of(model, 0.6))
    assert found is not None
    assert found.gain.before == chance_of_fit(model, clearance(0.6, model)).chance
    assert found.gain.after > found.gain.before
    (height,) = found.heights_mm
    assert height in candidates(model, model.section_heights_mm)
    assert not np.isclose(HEIGHTS, height).any()
    close = np.array([10.0, 10.6])
    apart = np.abs(np.subtract.outer(candidates(model, close), close))
    assert apart.min() >= 0.25  # a template there would say what one beside it says
    assert f"one more section at {height:g} mm" in str(found)


def test_where_one_section_more_does_not_reach_the_chance_so_many_as_do_are_asked_for():
    model = guessed(simulated(np.random.default_rng(2), "egg", calipers=4).model(), times=6.0)
    one, several = (next_sections(model, gains_of(model, 1.0), goal=goal) for goal in (None, 0.95))
    assert one is not None
    assert several is not None
    assert one.gain.after < 0.95
    assert len(one.heights_mm) == 1 < len(several.heights_mm)
    assert several.gain.after > one.gain.after
    assert np.diff(np.sort([*HEIGHTS, *several.heights_mm])).min() > 1  # nowhere twice
    told = ", ".join(f"{height:g}" for height in several.heights_mm[:-1])
    assert f"measure {len(several.heights_mm)} more sections, the most telling first, at {told} and" in str(
        several
    )
    # as few as reach it: without the last of them it is missed
    enough = next_sections(model, gains_of(model, 1.0), goal=several.gain.after - 0.02)
    assert len(enough.heights_mm) <= len(several.heights_mm)
    assert next_sections(model, gains_of(model, 1.0), goal=one.gain.after) == one


def test_sections_that_divide_a_gap_are_each_measured_and_lie_apart_by_their_own_luck():
    """Three sections more at 2.5, 5 and 7.5 mm: each errs by 1 of its own (JCGM 100:2008, 5.1), and no two gaps are off alike."""
    heights = (0.0, 1.25, 2.5, 3.75, 5.0, 6.25, 7.5, 8.75, 10.0, 20.0)

    def found(model):
        parts = parts_of(model, drawn(model, draws=4000))
        told = with_more_sections(model, parts, heights_mm=[5.0, 2.5, 7.5])
        return told[:, :: len(told[0]) // len(heights)]

    errors = found(between_three(lambda shares, z: shares, Spread.TRACE, heights=heights))
    assert np.var(errors, axis=0) == pytest.approx([1, 0.5, 1, 0.5, 1, 0.5, 1, 0.5, 1, 1], abs=0.08)
    assert np.abs(np.corrcoef(errors[:, [0, 2, 4, 6, 8, 9]].T) - np.eye(6)).max() < 0.06
    bow = between_three(lambda shares, z: [4 * shares[0] * shares[1]], Spread.BETWEEN, heights=heights)
    off = found(bow)
    assert off[:, [0, 2, 4, 6, 8]] == pytest.approx(np.zeros((4000, 5)), abs=1e-12)
    assert np.abs(np.corrcoef(off[:, [1, 3, 5, 7]].T) - np.eye(4)).max() < 0.06


def test_sections_more_may_lie_above_the_holders_reach():
    """The gap that the rim lies in is divided above it too: below the rim less is guessed then as well."""
    model = between_three(
        lambda shares, z: [4 * shares[1] * shares[2]], Spread.BETWEEN, heights=(0.0, 10.0, 12.5, 15.0)
    )
    parts = parts_of(model, drawn(model, draws=2000))
    one, two = (with_more_sections(model, parts, heights_mm=some) for some in ([14.0], [14.0, 17.0]))
    assert np.isfinite(two).all()
    count = len(two[0]) // 4
    below, above = (slice(level * count, level * count + 1) for level in (2, 3))
    assert two[:, below].std() == pytest.approx(one[:, below].std(), rel=0.01)
    assert two[:, above].std() < one[:, above].std()


def test_where_the_clearance_follows_the_chance_a_template_makes_it_smaller():
    model = guessed(simulated(np.random.default_rng(2), "egg", calipers=4).model(), times=7.0)
    advice = advised_clearance(model, goal=0.9, given_mm=[None] * len(model.names))
    assert advice.reached

    def gains_at(mm):
        return Gains(model, advice.asked, asked_least_mm=mm, chance=advice.chance, goal=0.9)

    found = next_sections(model, gains_at(advice.asked.least_mm))
    assert found is not None
    assert found.gain.before == advice.asked.least_mm
    xi = drawn(model)
    told = with_more_sections(model, parts_of(model, xi), heights_mm=found.heights_mm)
    needed = np.quantile(chance_of_draws(model, advice.asked, xi=xi, deviations=told).tightness_mm, 0.9)
    assert found.gain.after == pytest.approx(advice.asked.least_mm + needed, abs=0.05)
    assert "for the same chance of fit" in str(found)
    # where trials added to what was asked for, the gain is told of that
    less = next_sections(model, gains_at(advice.asked.least_mm - 0.1)).gain
    assert less.before == advice.asked.least_mm - 0.1
    assert less.after == pytest.approx(found.gain.after - 0.1)


def test_no_template_is_asked_for_where_none_can_be_cut():
    model = simulated(np.random.default_rng(2), "egg", calipers=4).model()
    assert model.section_heights_mm[0] == 2
    assert min(candidates(model, model.section_heights_mm)) > 2
    for lowest_mm in (3.0, 10.0):
        heights = model.section_heights_mm - model.section_heights_mm[0] + lowest_mm
        raised = replace(model, section_heights_mm=heights)
        assert min(candidates(raised, heights)) == lowest_mm / 2  # half way up to the lowest section


def test_no_template_helps_when_the_shape_is_known():
    model = everywhere(0.1)
    assert next_sections(model, gains_of(model, 0.1)) is None
