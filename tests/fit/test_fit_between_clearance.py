from dataclasses import replace

import numpy as np
import pytest
from fit_models import model_of, round_places
from scipy.stats import norm

from cradle.fit.between_clearance import MOST_BETWEEN_MM, between_clearance_mm
from cradle.fit.uncertainties import Spread


def model(half_way_mm, *, heights=(0.0, 5.0, 10.0, 25.0, 40.0)):
    """Knots at all heights; the thing is thicker or thinner all round at 5 and 25 mm."""
    places = round_places(heights=heights)
    rows = [
        mm * (places.levels == level) for level, mm in zip((1, 3), half_way_mm, strict=True) if mm is not None
    ]
    made = model_of(rows, [Spread.BETWEEN] * len(rows), places=places)
    return replace(
        made,
        names=("low", "middle", "high"),
        section_heights_mm=np.array([0.0, 10.0, 40.0]),
    )


def test_each_gap_gets_what_covers_its_own_deviation():
    # all round by one normal quantity: the share p is covered by its quantile
    found = between_clearance_mm(model((0.1, 0.3)), chance=0.95)
    assert found == pytest.approx(norm.ppf(0.95) * np.array([0.1, 0.3]), rel=0.15)


def test_more_is_given_for_a_greater_chance_and_never_more_than_guides():
    low, high = (between_clearance_mm(model((0.1, 0.3)), chance=p) for p in (0.8, 0.98))
    assert (high > low).all()
    assert between_clearance_mm(model((9.0, 0.3)), chance=0.95)[0] == MOST_BETWEEN_MM


def test_what_else_is_unsure_asks_for_nothing_between():
    known = model((0.1, 0.3))
    spreads = (Spread.BETWEEN, Spread.CALIPERS)
    only_low = replace(known, influences=replace(known.influences, spreads=spreads))
    low, high = between_clearance_mm(only_low, chance=0.95)
    assert low == pytest.approx(between_clearance_mm(known, chance=0.95)[0])
    assert high == 0


def test_a_gap_that_the_holder_does_not_reach_gets_none():
    found = between_clearance_mm(model((0.1, None), heights=(0.0, 5.0, 10.0)), chance=0.95)
    assert found[0] > 0
    assert found[1] == 0
