"""The monotone cubic against published values and a reference library."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline, PchipInterpolator

from cradle.loft.interpolate import cubic_at, monotone_slopes, straight_at

# Fritsch & Carlson, "Monotone piecewise cubic interpolation", SIAM J. Numer. Anal. 17(2), 1980, the "RPN 14"
# data, as printed in the example programs e01bec and e01bfc of the NAG library manual. (Many copies have
# 4.375e-5 for the third value; the manual has 4.375e-2.)
AT = np.array([7.99, 8.09, 8.19, 8.7, 9.2, 10, 12, 15, 20])
VALUE = np.array([0, 2.7643e-5, 0.043750, 0.16918, 0.46943, 0.94374, 0.99864, 0.99992, 0.99999])


def test_values_are_those_published():
    got = cubic_at(AT, VALUE, monotone_slopes(AT, VALUE), np.array([9.191, 10.392, 11.593, 12.794]))
    assert got == pytest.approx([0.4640, 0.9645, 0.9965, 0.9992], abs=5e-5)  # NAG e01bfc, printed results


def test_slopes_are_those_published():
    # NAG e01bec, printed results
    expected = [0, 5.5251e-4, 0.33587, 0.34944, 0.59696, 6.0326e-2, 8.983e-4, 2.94e-5, 0]
    assert monotone_slopes(AT, VALUE) == pytest.approx(expected, rel=1e-3)


def test_agrees_with_a_reference_library():
    # SciPy's PchipInterpolator
    chance = np.random.default_rng(5)
    heights = np.cumsum(chance.uniform(0.5, 9, 12))
    values = chance.normal(size=(12, 40, 2))
    values[3:6] = values[3]  # flat stretches
    fine = np.linspace(heights[0], heights[-1], 301)
    reference = PchipInterpolator(heights, values, axis=0)
    slopes = monotone_slopes(heights, values)
    assert np.abs(slopes - reference.derivative()(heights)).max() < 1e-9
    assert np.abs(cubic_at(heights, values, slopes, fine) - reference(fine)).max() < 1e-12


def test_never_leaves_the_data_where_an_ordinary_spline_does():
    fine = np.linspace(AT[0], AT[-1], 5001)
    ours = cubic_at(AT, VALUE, monotone_slopes(AT, VALUE), fine)
    assert ours.min() >= 0
    assert ours.max() <= VALUE[-1] + 1e-15
    assert (np.diff(ours) >= -1e-15).all()
    spline = CubicSpline(AT, VALUE)(fine)  # not-a-knot: -0.0094 and 1.169, found with SciPy
    assert spline.min() == pytest.approx(-0.0094, abs=2e-3)
    assert spline.max() == pytest.approx(1.169, abs=2e-3)


@settings(max_examples=60, deadline=None)
@given(
    steps=st.lists(st.floats(0.01, 100), min_size=2, max_size=8),
    values=st.lists(st.floats(-1000, 1000), min_size=9, max_size=9),
)
def test_stays_between_neighbours(steps, values):
    heights = np.cumsum([0.0, *steps])
    values = np.array(values[: len(heights)])
    slopes = monotone_slopes(heights, values)
    for low in range(len(heights) - 1):
        fine = np.linspace(heights[low], heights[low + 1], 50)
        got = cubic_at(heights, values, slopes, fine)
        slack = 1e-9 * np.abs(values).max()
        assert got.min() >= min(values[low : low + 2]) - slack
        assert got.max() <= max(values[low : low + 2]) + slack


def test_two_heights_give_a_straight_line():
    heights, values = np.array([1.0, 4.0]), np.array([[2.0, 5.0], [8.0, -1.0]])
    at = np.array([1.0, 2.0, 3.7, 4.0])
    assert cubic_at(heights, values, monotone_slopes(heights, values), at) == pytest.approx(
        straight_at(heights, values, at), abs=1e-12
    )
