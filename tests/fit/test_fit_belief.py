import numpy as np
import pytest

from cradle.fit.belief import Belief


def taught(rng, *, quantities, trials):
    """A belief after trials that each narrow one sum of quantities, and its covariance written out."""
    belief, covariance = Belief.as_stated(quantities), np.eye(quantities)
    for _ in range(trials):
        slope = rng.normal(size=quantities)
        gain = covariance @ slope
        assert belief.covariance_with(slope) == pytest.approx(gain)
        weight = 0.7 / (slope @ gain)
        belief = belief.told(gain, by=0.1, weight=weight)
        covariance -= weight * np.outer(gain, gain)
    return belief, covariance


@pytest.mark.parametrize("trials", [0, 2, 5, 9])
def test_draws_have_the_covariance_that_the_trials_leave(trials):
    belief, covariance = taught(np.random.default_rng(3), quantities=5, trials=trials)
    root = belief.drawn(np.eye(5)) - belief.mean
    assert root == pytest.approx(root.T)
    assert root @ root == pytest.approx(covariance, abs=1e-9)


def test_what_is_believed_of_very_many_quantities_takes_little_room():
    # written out the covariance would take 320 GB
    count = 200_000
    first = np.eye(1, count)[0]
    belief = Belief.as_stated(count).told(first, by=2.0, weight=0.75)
    drawn = belief.drawn(np.ones((2, count)))
    assert drawn[:, 0] == pytest.approx(2.5)
    assert drawn[:, 1:] == pytest.approx(1.0)
