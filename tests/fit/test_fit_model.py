"""Draws of quantities that share an unknown factor, against the moments of a log-normal scale mixture."""

from dataclasses import replace

import numpy as np
import pytest
from fit_models import model_of
from fit_simulation import HEIGHTS, simulated
from stacked import UP

from cradle.fit.interpolation_error import ALIKE_IN_ALL
from cradle.fit.model import drawn, fit_model
from cradle.fit.uncertainties import Spread
from cradle.geometry.arrays import frozen, frozen_ints
from cradle.placing.place import Placed
from cradle.sections.profiles import Profiles

TAIL = 0.5
MANY = 200_000


@pytest.fixture(scope="module")
def xi():
    """Two quantities of one gap, one of another, and one that no factor multiplies."""
    model = model_of([1.0] * 4, [Spread.BETWEEN] * 3 + [Spread.TRACE])
    mixed = replace(
        model.influences,
        mixed=frozen_ints([0, 0, 1, -1]),
        tails=frozen([TAIL, TAIL]),
        alike=frozen([ALIKE_IN_ALL, ALIKE_IN_ALL]),
    )
    return drawn(replace(model, influences=mixed), draws=MANY)


def test_every_quantity_has_unit_variance_whatever_multiplies_it(xi):
    assert xi.var(axis=0) == pytest.approx(1.0, rel=0.03)
    assert xi.mean(axis=0) == pytest.approx(0.0, abs=0.01)


def test_a_gap_that_is_odd_is_odd_in_all_its_quantities_and_the_thing_partly_in_all_gaps(xi):
    # w = exp(s z): E[w²w'²] / E[w²]² = exp(4 c s²) where z and z' correlate by c (moments of the log-normal, any text)
    squares = xi**2
    together = (squares[:, :1] * squares[:, 1:]).mean(axis=0)
    assert together == pytest.approx([np.exp(4 * TAIL**2), np.exp(4 * ALIKE_IN_ALL * TAIL**2), 1.0], rel=0.08)


def test_a_mixture_has_heavier_tails_than_a_normal_spread(xi):
    # kurtosis 3 E[w⁴] / E[w²]² = 3 exp(4 s²); of the normal spread 3
    kurtosis = (xi**4).mean(axis=0)
    assert kurtosis[3] == pytest.approx(3.0, rel=0.03)
    assert kurtosis[:3] == pytest.approx(3 * np.exp(4 * TAIL**2), rel=0.25)


def test_a_profile_leaves_less_unsure_between_the_sections_and_nothing_more():
    case = simulated(np.random.default_rng(2), "egg", calipers=4)
    reach = [section.points_mm[:, 0].max() for section in case.sections]
    seen = Profiles(right=frozen(np.column_stack([HEIGHTS, reach])))
    read, alone = (
        fit_model(
            case.body,
            placed=Placed(sections=case.sections, posterior=case.posterior, profiles=profiles, findings=()),
            stack=case.stack,
            project=case.project,
            direction=UP,
        )
        for profiles in (seen, Profiles())
    )

    def between_mm(model):
        every = np.eye(len(model.influences.spreads))
        mine = model.influences.of(Spread.BETWEEN)
        return np.sqrt((model.influences.matrix.after(every)[mine] ** 2).sum(axis=0))

    facing = (alone.places.normals[:, 0] > 0.95) & (between_mm(alone) > 0.05)
    assert facing.any()
    assert (between_mm(read) <= between_mm(alone) + 1e-9).all()
    assert (between_mm(read)[facing] < 0.7 * between_mm(alone)[facing]).all()
