"""The mouth of a cut-out, where a tongue of the paper ends at it in a point."""

import numpy as np
import pytest

from cradle.pictures.notch import notch_of


@pytest.mark.parametrize("mirror", [1.0, -1.0])
def test_a_mouth_ends_at_the_tip_of_a_tongue_whose_side_has_no_points(mirror):
    paper = np.array([[0.0, 0], [20, 0], [30, 12], [75, 22], [80, 8], [60, 0], [100, 0], [100, 30], [0, 30]])
    levelled, cut = notch_of(paper * [mirror, 1.0], where="a test")
    assert np.hypot(*(cut[-1] - cut[0])) == pytest.approx(40.0, abs=0.05)  # from 20 to 60 as drawn
    assert levelled[:, 1].min() == pytest.approx(-22.0, abs=0.05)
