"""Stated against observed: things, tracers and printers imagined from the stated spreads (see fit_simulation)."""

import sys

import numpy as np
import pytest
from fit_simulation import HEIGHTS, SHAPES, needed_mm, simulated

from cradle.fit.advice import advised_clearance
from cradle.fit.chance import chance_of_fit
from cradle.fit.model import drawn
from cradle.pocket.clearance import clearance_profile

TENTHS = np.arange(1, 10) / 10
NONE = clearance_profile(HEIGHTS.tolist(), [None] * len(HEIGHTS), default_mm=0.0)


def stated_chances(count, seed):
    """For each imagined thing, the chance that the program states for the clearance the thing just needs.

    If what is stated is true, a share p of these chances is at most p: that
    many things fit where the program says p.
    """
    rng = np.random.default_rng(seed)
    found = []
    for i in range(count):
        case = simulated(rng, list(SHAPES)[i % 3], calipers=(0, 2, 4)[(i // 3) % 3])
        model = case.model()
        chance = chance_of_fit(model, NONE, xi=drawn(model, draws=1000))
        found.append(float((chance.tightness_mm <= needed_mm(case)).mean()))
    return np.array(found)


@pytest.mark.further
def test_what_is_stated_is_observed():
    found = stated_chances(60, seed=11)
    observed = np.array([(found <= p).mean() for p in TENTHS])
    # three standard deviations of 60 yes-or-no trials, and 5 points
    allowed = 3 * np.sqrt(TENTHS * (1 - TENTHS) / len(found)) + 0.05
    assert (np.abs(observed - TENTHS) < allowed).all(), observed
    assert found.std() > 0.2


@pytest.mark.further
def test_the_advised_clearance_fits():
    rng = np.random.default_rng(12)
    fits, clearances = 0, []
    for i in range(12):
        case = simulated(rng, list(SHAPES)[i % 3], calipers=4)
        advice = advised_clearance(case.model(), goal=0.95, given_mm=[None] * len(HEIGHTS))
        assert advice.reached
        clearances.append(advice.asked.clearances_mm.mean())
        fits += needed_mm(case, clearance_at=lambda z, a=advice: a.asked.at(np.array([z]))[0]) <= 0
    assert fits >= 9  # of 12 at 95 %: fewer than 9 has a chance of 1 in 400
    assert 0.2 < np.mean(clearances) < 1.0


@pytest.mark.speed
def test_every_tenth_within_five_points():
    found = stated_chances(2000, seed=13)
    rows = [f"{p:6.2f}  {(found <= p).mean():8.3f}" for p in [0.05, *TENTHS, 0.95]]
    sys.stdout.write("\n".join(["", "stated  observed", *rows, ""]))
    for p in [*TENTHS, 0.95]:
        assert abs((found <= p).mean() - p) <= 0.05


@pytest.mark.speed
def test_the_advice_fits_in_95_of_100():
    rng = np.random.default_rng(14)
    count, fits = 600, 0
    for i in range(count):
        case = simulated(rng, list(SHAPES)[i % 3], calipers=(0, 2, 4)[(i // 3) % 3])
        advice = advised_clearance(case.model(), goal=0.95, given_mm=[None] * len(HEIGHTS))
        fits += needed_mm(case, clearance_at=lambda z, a=advice: a.asked.at(np.array([z]))[0]) <= 0
    sys.stdout.write(f"\nthe advised clearance fitted in {fits} of {count}\n")
    assert fits / count >= 0.95 - 2 * np.sqrt(0.95 * 0.05 / count)
