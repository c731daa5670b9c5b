"""What more points of an outline would buy, and that it is told first where it helps most."""

from dataclasses import replace

import numpy as np
import pytest
from fit_models import clearance, gains_of, model_of

from cradle.fit.chance import chance_of_fit
from cradle.fit.gain import Gain, Gains
from cradle.fit.more_points import more_points, with_more_points
from cradle.fit.uncertainties import Spread
from cradle.geometry.arrays import frozen
from cradle.matching.rings import chord_gap_mm


def few_at(section, *, gap_mm, other_mm=0.02):
    """A round thing of which one section's points are so few that it may stand out by the gap between them."""
    base = model_of([other_mm], [Spread.REPEAT])
    share = base.influences.sections[section]
    model = model_of(
        [other_mm, gap_mm / 2 / np.sqrt(3.0) * share],
        [Spread.REPEAT, Spread.POINTS],
        rectangular=[False, True],
    )
    stands_out = frozen(gap_mm / 2 * share)
    return replace(model, influences=replace(model.influences, mean_mm=stands_out, points_mean_mm=stands_out))


def test_twice_as_many_points_leave_a_quarter_of_a_rise():
    # sagitta r (1 - cos(pi / n)): by any geometry text; 14 and 28 points of a circle of radius 30
    def rise(count):
        angle = np.arange(count) * 2 * np.pi / count
        return chord_gap_mm(30 * np.column_stack([np.cos(angle), np.sin(angle)]))

    model = few_at(1, gap_mm=rise(14))
    more = with_more_points(model).influences
    expected = few_at(1, gap_mm=rise(28)).influences
    assert more.mean_mm == pytest.approx(expected.mean_mm, rel=0.02)
    assert more.points_mean_mm == pytest.approx(expected.points_mean_mm, rel=0.02)
    rows, others = (one.matrix.after(np.eye(2)) for one in (more, expected))
    assert rows == pytest.approx(others, rel=0.02)


@pytest.mark.parametrize("section", [0, 1])
def test_the_section_of_few_points_is_named_with_what_more_would_buy(section):
    model = few_at(section, gap_mm=0.8)
    asked = clearance(0.4, model)
    before = chance_of_fit(model, asked)
    found = more_points(model, Gains(model, asked, asked_least_mm=0.4, chance=before))
    assert found is not None
    assert found.names == (model.names[section],)
    assert found.gain.after == pytest.approx(chance_of_fit(with_more_points(model), asked).chance, abs=0.05)
    assert f'"{model.names[section]}" where it is round' in str(found)
    # what few points make of it is theirs, not the printer's
    assert before.cause.spread is Spread.POINTS


def test_enough_points_ask_for_no_more():
    model = model_of([0.1], [Spread.INSIDE])
    assert more_points(model, gains_of(model, 0.1)) is None
    model = few_at(1, gap_mm=0.8)
    assert more_points(model, gains_of(model, 1.5)) is None


def test_a_gain_of_clearance_is_told_in_mm():
    gain = Gain(before=1.2, after=0.9, of_clearance=True)
    assert gain.part == pytest.approx(0.25)
    assert str(gain) == "about 0.90 instead of 1.20 mm per side for the same chance of fit"
    enough = Gain(before=0.23, after=0.0, of_clearance=True)  # where a lining alone gives way far enough
    assert str(enough) == "no clearance instead of 0.23 mm per side for the same chance of fit"


@pytest.mark.parametrize("of_clearance", [True, False])
def test_what_makes_it_worse_is_less_of_a_gain_than_what_helps_a_little(of_clearance):
    low, middle, high = 0.4, 0.5, 0.9
    worse, better = (high, low) if of_clearance else (low, high)
    much_worse = Gain(before=middle, after=worse, of_clearance=of_clearance)
    slightly_better = Gain(before=middle, after=middle + 0.1 * (better - middle), of_clearance=of_clearance)
    assert much_worse.part < 0 < slightly_better.part
