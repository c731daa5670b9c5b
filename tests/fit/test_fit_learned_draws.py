"""What is believed after trials, against exact answers and against imagined things that were tried."""

import datetime
from dataclasses import replace

import numpy as np
import pytest
from fit_models import everywhere, guessed, model_of, round_places
from fit_simulation import simulated
from scipy.stats import kurtosis, truncnorm

from cradle.fit.advice import advised_clearance
from cradle.fit.belief import Belief
from cradle.fit.belief_update import FEEL_MM, LIMITS_MM
from cradle.fit.learned_draws import learned_draws
from cradle.fit.model import asked_mm, deviations_mm, drawn, stated_draws
from cradle.fit.trials import learn
from cradle.fit.tried_piece import TriedPiece
from cradle.fit.uncertainties import Spread
from cradle.project.fit import FitSpec
from cradle.project.trial_log import Outcome, Trial, TrialPiece

DAY = datetime.date(2026, 5, 17)


def held(seen, asked_mm, *, inside_error_mm):
    """A trial of a whole holder, in whose file the printer's stated inside error is made good."""
    gap = asked_mm + inside_error_mm
    return Trial(date=DAY, piece=TrialPiece.HOLDER, clearance_mm=asked_mm, gap_mm=gap, seen=seen)


@pytest.mark.parametrize("about", [0.0, 1.5])
def test_draws_follow_a_truncated_normal_however_well_the_belief_guesses_it(about):
    """Of one quantity it is seen that it is more than 1: the truncated normal (scipy's)."""
    model = everywhere(1.0)
    belief = Belief.as_stated(1).told(np.ones(1), by=about, weight=0.5)

    def seen(xi):
        return np.where(xi[:, 0] > 1, 0.0, -40.0)

    xi = learned_draws(model, belief, log_likelihood=seen)[:, 0]
    exact = truncnorm(1.0, np.inf)
    assert len(xi) == len(drawn(model))
    assert xi.mean() == pytest.approx(exact.mean(), abs=0.04)
    assert np.quantile(xi, [0.1, 0.5, 0.8]) == pytest.approx(exact.ppf([0.1, 0.5, 0.8]), abs=0.08)


def test_what_has_heavy_tails_stays_so():
    """A quantity that nothing was seen of keeps its draws' tails; the belief moves another one alone."""
    model = everywhere(1.0, 1.0)
    mixed = replace(
        model.influences,
        mixed=np.array([0, -1]),
        tails=np.array([0.8]),
        alike=np.array([0.0]),
    )
    model = replace(model, influences=mixed)
    belief = Belief.as_stated(2).told(np.array([0.0, 1.0]), by=1.0, weight=0.6)

    def seen(xi):
        return -(((xi[:, 1] - 1.6) / 0.8) ** 2) / 2

    heavy, plain = learned_draws(model, belief, log_likelihood=seen).T
    stated = stated_draws(model, batch=0).xi[:, 0]
    fourth = [float(kurtosis(one, fisher=False)) for one in (heavy, stated, plain)]
    assert min(fourth[:2]) > 4.5
    assert fourth[2] == pytest.approx(3.0, abs=0.4)
    assert heavy.std() == pytest.approx(1.0, abs=0.12)
    # normal prior 0 ± 1, observed 1.6 ± 0.8: the conjugate normal of any text
    assert plain.mean() == pytest.approx(1.6 / 1.64, abs=0.06)
    assert plain.std() == pytest.approx(np.sqrt(0.64 / 1.64), abs=0.05)


def test_of_what_has_heavy_tails_a_trial_teaches_what_weighted_draws_say():
    """Importance sampling of a log-normal scale mixture, weighted by the likelihood (any text on Monte Carlo methods)."""
    model = everywhere(1.0)
    tail = 0.8
    mixed = replace(model.influences, mixed=np.array([0]), tails=np.array([tail]), alike=np.array([0.0]))
    belief = Belief.as_stated(1).told(np.ones(1), by=1.2, weight=0.6)

    def seen(xi):
        return -(((xi[:, 0] - 2.0) / 0.6) ** 2) / 2

    found = learned_draws(replace(model, influences=mixed), belief, log_likelihood=seen)[:, 0]
    normal, factor = np.random.default_rng(4).standard_normal((2, 1_000_000))
    prior = normal * np.exp(tail * factor - tail**2)  # of variance 1
    weights = np.exp(seen(prior[:, None]))
    mean = np.average(prior, weights=weights)
    assert found.mean() == pytest.approx(mean, abs=0.05)
    assert found.std() == pytest.approx(np.sqrt(np.average((prior - mean) ** 2, weights=weights)), abs=0.05)


def test_where_hardly_any_draw_shows_what_was_seen_no_few_of_them_decide():
    """As where trials contradict one another: believed less, the draws still are many, and lie nearer to what was seen."""
    model = everywhere(1.0)

    def seen(xi):
        return -(((xi[:, 0] - 6.0) / 0.02) ** 2) / 2

    xi = learned_draws(model, Belief.as_stated(1), log_likelihood=seen)[:, 0]
    assert len(np.unique(xi)) > 60
    assert 1.0 < xi.mean() < 5.0


def test_draws_are_undone():
    rng = np.random.default_rng(5)
    belief = Belief.as_stated(6)
    for _ in range(3):
        slope = rng.normal(size=6)
        gain = belief.covariance_with(slope)
        belief = belief.told(gain, by=0.3, weight=0.7 / (slope @ gain))
    xi = rng.normal(size=(20, 6))
    back, shrink = belief.undrawn(belief.drawn(xi))
    assert back == pytest.approx(xi)
    root = belief.drawn(np.eye(6)) - belief.mean
    assert shrink == pytest.approx(np.linalg.slogdet(root)[1])


@pytest.fixture(scope="module", params=[1, 8], ids=["known", "guessed"])
def tried(request):
    """A model, its shape between sections so many times less known, the holder advised for it, imagined things drawn from its spreads, and the room left in that holder."""
    case = simulated(np.random.default_rng(2), "egg", calipers=4)
    model = guessed(case.model(), times=request.param)
    things = stated_draws(model, batch=99).xi
    asked = advised_clearance(model, goal=0.95, given_mm=[None] * 4).asked
    return case.project, model, things, asked, rooms(model, things, asked, print_number=1)


def rooms(model, things, profile, *, print_number):
    """Room left per side of each thing in one print of a holder, mm."""
    xi = things.copy()
    repeat = model.influences.of(Spread.REPEAT)
    xi[:, repeat] = np.random.default_rng(print_number).standard_normal((len(xi), repeat.sum()))
    found = model.places.seats(deviations_mm(model, xi), asked_mm=asked_mm(model, profile))
    return -found.tightness_mm


@pytest.mark.first_daily
@pytest.mark.parametrize("seen", [Outcome.NO_GO, Outcome.TIGHT, Outcome.GOOD])
def test_the_next_holder_is_as_likely_to_fit_as_stated(tried, seen):
    """Of things that were all seen to go so, as many go into the next holder as its chance says: posterior coverage.

    Cook, Gelman and Rubin, "Validation of software for Bayesian models using posterior quantiles", J. Comput. Graph.
    Stat. 15 (2006) 675-692. What did not go into one holder is the tail of all things: it needs much more.
    """
    project, model, things, asked, room = tried
    felt = room + FEEL_MM * np.random.default_rng(7).standard_normal(len(room))
    low, high = LIMITS_MM[seen]
    alike = things[(felt >= low) & (felt < high)]
    assert len(alike) > 60
    trial = held(seen, asked.least_mm, inside_error_mm=project.printer.inside_error_mm)
    learned = learn(model, [trial], project=project)
    after = advised_clearance(learned.model, goal=0.95, given_mm=[None] * 4, added_mm=learned.corrections_mm)
    given = np.maximum(after.asked.clearances_mm + np.array(learned.corrections_mm), 0.0)
    next_one = replace(after.asked, clearances_mm=given)
    true = (rooms(model, alike, next_one, print_number=2) >= 0).mean()
    assert true == pytest.approx(after.chance.chance, abs=0.06)


def test_a_holder_with_more_room_between_sections_tells_less_of_what_lies_there(tried):
    project, model, things, asked, _ = tried
    whole = held(Outcome.GOOD, asked.least_mm, inside_error_mm=0.0)
    plain, roomy = (
        TriedPiece.of(whole, model=model, project=replace(project, fit=FitSpec(between_mm=between)))
        for between in (0.0, 0.5)
    )
    deviations = deviations_mm(model, things)
    less = plain.tightness_mm(model.places, deviations) - roomy.tightness_mm(model.places, deviations)
    assert less.min() > -1e-6
    assert less.mean() > 0.02
    ring = Trial(
        date=DAY,
        piece=TrialPiece.TEST_PIECE,
        section=model.names[1],
        clearance_mm=0.3,
        gap_mm=0.3,
        seen=Outcome.GOOD,
    )
    of_ring = TriedPiece.of(ring, model=model, project=replace(project, fit=FitSpec(between_mm=0.5)))
    assert not of_ring.further_mm.any()


def test_a_piece_of_one_section_is_as_tight_as_that_section():
    places = round_places()
    model = model_of([0.1 * (places.levels == k) for k in range(3)], [Spread.CALIPERS] * 3)
    ring = Trial(
        date=DAY,
        piece=TrialPiece.TEST_PIECE,
        section="middle",
        clearance_mm=0.3,
        gap_mm=0.3,
        seen=Outcome.GOOD,
    )
    piece = TriedPiece.of(
        ring, model=model, project=simulated(np.random.default_rng(2), "egg", calipers=4).project
    )
    xi = drawn(model, draws=50)
    assert piece.tightness_mm(model.places, deviations_mm(model, xi)) == pytest.approx(
        0.1 * xi[:, 1] + piece.made_good_mm
    )
