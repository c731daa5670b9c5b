"""A slip in a typed list of points, and corners, ribs and rounds that are none."""

import numpy as np
import pytest
from stacked import circle, rectangle

from cradle.capture.odd_points import odd_points
from cradle.geometry.ring import resample, turned

OVAL = circle(24, points=40) * [1.0, 0.8]
RIB = np.array([[0.0, 0], [30, 0], [30, 20], [18, 20], [18, 28], [12, 28], [12, 20], [0, 20], [0, 10]])


@pytest.mark.parametrize("closed", [True, False])
@pytest.mark.parametrize("number", [5, 20, 33])
def test_a_slip_of_a_figure_or_a_sign_is_told_with_its_place(number, closed):
    points = OVAL.copy()
    points[number - 1] *= 0.6
    (told,) = odd_points(points, closed=closed, where="mid.csv")
    assert told.where == "mid.csv"
    assert f"number {number} of 40, stands out by" in told.message


@pytest.mark.parametrize(
    "points",
    [
        OVAL,
        rectangle(40, 20),
        resample(rectangle(40, 20), count=24),
        RIB,
        turned(np.insert(RIB, 2, RIB[2], axis=0), angle_deg=211),
        circle(20, points=12) + np.array([[0.4, -0.3], [-0.4, 0.3]] * 6),
    ],
    ids=["a round", "corners alone", "corners among points", "a rib", "a corner twice", "rough readings"],
)
def test_what_things_have_is_no_slip(points):
    assert odd_points(points, closed=True, where="") == []


def test_the_ends_of_a_half_have_neighbours_on_one_side_alone():
    half = OVAL[:21].copy()
    half[0] *= 1.4
    assert odd_points(half, closed=False, where="") == []
