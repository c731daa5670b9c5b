"""Published uncertainty examples, computed by the fit room's own arithmetic."""

import numpy as np
import pytest
from fit_models import clearance, everywhere

from cradle.fit.belief import Belief
from cradle.fit.chance import chance_of_fit
from cradle.fit.model import deviations_mm, drawn
from cradle.fit.uncertainties import inside_error
from cradle.project.fit import SpreadSpec
from cradle.project.printer import PrinterSpec
from cradle.sections.reading_spreads import caliper_limit_mm, combined, reading_mm, rectangular

MANY = 400_000


def test_limits_are_divided_by_the_root_of_three():
    # JCGM 101:2008, 6.4.2: u = a/√3
    assert [rectangular(a) for a in (0.02, 0.05, 0.005)] == pytest.approx(
        [0.011547, 0.028868, 0.002887], abs=1e-6
    )


def test_ten_equal_tolerances_add_up_as_published():
    # Scholz, Tolerance Stack Analysis Methods, 1995: ten ±0.1 give 0.3162 by root sum of squares
    assert combined([0.1] * 10) == pytest.approx(0.3162, abs=1e-4)


def test_a_shaft_and_housing_stack_adds_up_as_published():
    # Chase, Basic Tools for Tolerance Analysis, ch. 7 (from memory): 0.01108 by root sum of squares
    assert combined([0.0015, 0.008, 0.0025, 0.002, 0.006, 0.002, 0.0025]) == pytest.approx(0.01108, abs=1e-5)


def gauge_block():
    """JCGM 100:2008, H.1, in nm: sensitivity times standard uncertainty of each input."""
    ls, theta, alpha = 50_000_623.0, -0.1, 11.5e-6
    return [
        25.0,
        5.8,
        3.9,
        6.7,
        ls * theta * rectangular(1e-6),
        ls * alpha * rectangular(0.05),
    ], ls + 215


def test_the_gauge_block_is_as_uncertain_as_the_guide_prints():
    # printed there: u_c = 32 nm, l = 50 000 838 nm
    terms, length = gauge_block()
    assert length == 50_000_838
    assert combined(terms) == pytest.approx(31.66, abs=0.05)


def test_the_gauge_block_by_a_second_reader():
    uncertainties = pytest.importorskip("uncertainties")
    u = uncertainties.ufloat
    ls = u(50_000_623, 25)
    d = u(215, 5.8) + u(0, 3.9) + u(0, 6.7)
    theta, alpha = u(-0.1, np.hypot(0.2, 0.5 / np.sqrt(2))), u(11.5e-6, rectangular(2e-6))
    length = ls + d - ls * (u(0, rectangular(1e-6)) * theta + alpha * u(0, rectangular(0.05)))
    assert length.n == pytest.approx(50_000_838)
    assert combined(gauge_block()[0]) == pytest.approx(length.s, rel=1e-9)


@pytest.mark.slow
def test_four_equal_rectangular_inputs_reach_less_far_than_a_normal_sum():
    # JCGM 101:2008, 9.2 (from memory): u = 2, 95 % within ±3.879 = 2√3 (2 − (3/5)^¼), not ±3.92
    model = everywhere(1.0, 1.0, 1.0, 1.0, rectangular=[True] * 4)
    total = deviations_mm(model, drawn(model, draws=MANY))[:, 0]
    assert combined([1.0] * 4) == pytest.approx(2.0)
    assert total.std() == pytest.approx(2.0, abs=0.01)
    assert np.quantile(np.abs(total), 0.95) == pytest.approx(2 * np.sqrt(3) * (2 - 0.6**0.25), abs=0.015)


def test_correlated_inputs_give_what_the_guide_prints():
    # JCGM 100:2008, H.2 (printed results from memory): R 127.73 (0.070), X 219.85 (0.296), Z 254.26 (0.237)
    mean = np.array([4.999, 19.661e-3, 1.04446])
    u = np.array([3.2e-3, 9.5e-6, 7.5e-4])
    r = np.array([[1, -0.36, 0.86], [-0.36, 1, -0.65], [0.86, -0.65, 1]])
    model = everywhere(1.0, 1.0, 1.0)
    weights, ways = np.linalg.eigh(np.eye(3) - r)
    believed = Belief(mean=mean / u, gains=ways.T, weights=weights)
    v, i, phi = (believed.drawn(drawn(model, draws=MANY)) * u).T
    z = v / i
    for value, expected, spread in (
        (z * np.cos(phi), 127.73, 0.070),
        (z * np.sin(phi), 219.85, 0.296),
        (z, 254.26, 0.237),
    ):
        assert value.mean() == pytest.approx(expected, abs=0.01)
        assert value.std() == pytest.approx(spread, abs=0.002)


@pytest.mark.parametrize(
    ("gap", "spreads", "touching"),
    [
        # shaft 1.048 and bearing 1.063, textbook exercise: 0.003645
        (0.015, [0.005, 0.0025], 0.003645),
        # stress 2500/500 against strength 4000/400, textbook exercise, in thousands: 0.009575
        (1.5, [0.5, 0.4], 0.009575),
        # clearance 0.30 with 0.10, and 0.20 with 0.15: normal tail areas
        (0.30, [0.10], 0.001350),
        (0.20, [0.15], 0.0912),
    ],
)
def test_the_chance_to_touch_is_the_interference_of_the_textbooks(gap, spreads, touching):
    model = everywhere(*spreads)
    xi = drawn(model, draws=60_000)
    found = 1 - chance_of_fit(model, clearance(gap, model), xi=xi).chance
    assert found == pytest.approx(touching, abs=4 * np.sqrt(touching / 60_000))


def test_what_a_project_states_counts():
    assert reading_mm(SpreadSpec(calipers_mm=0.0, step_mm=0.01)) == pytest.approx(0.002887, abs=1e-6)
    # DIN 862 as quoted second hand
    assert (caliper_limit_mm(100), caliper_limit_mm(101)) == (0.02, 0.03)


def test_an_unmeasured_printer_is_expected_to_print_too_narrow():
    unmeasured = inside_error(PrinterSpec(), SpreadSpec())
    assert not unmeasured.measured
    assert unmeasured.expected_mm > 0
    assert inside_error(PrinterSpec(inside_error_mm=0.12), SpreadSpec()).expected_mm == 0.12
    assert inside_error(PrinterSpec(), SpreadSpec(inside_mm=0.01)).expected_mm == 0
