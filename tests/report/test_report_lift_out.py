"""The way out in words."""

import numpy as np
import pytest

from cradle.report.facts import lift_out_words


@pytest.mark.parametrize(
    ("direction", "words"),
    [
        ([0, 0, 1], "straight up"),
        ([0.004, -0.004, 1], "straight up"),
        ([0, 0.105, 1], "6° from upright, to the back"),
        ([0, -0.105, 1], "6° from upright, to the front"),
        ([-0.2, 0.02, 1], "11° from upright, to the left"),
        ([0.2, 0.2, 1], "16° from upright, to the back and right"),
    ],
)
def test_the_way_out_is_said_in_degrees_and_sides(direction, words):
    # by hand: the angle's tangent is the length of what lies across over what lies up
    assert lift_out_words(np.array(direction, dtype=float) / np.linalg.norm(direction)) == words
