import numpy as np

from cradle.pictures.sampled import sampled


def test_between_pixels_in_proportion_and_at_more_places_than_the_library_takes_at_once():
    """A plane rises evenly, so that what lies between its pixels is known; 40,000 rows are more than 32,766."""
    y, x = np.mgrid[0:50, 0:60]
    plane = (2.0 * x + 3.0 * y).astype(np.float32)
    rng = np.random.default_rng(1)
    at = np.stack([rng.uniform(0, 59, (40_000, 3)), rng.uniform(0, 49, (40_000, 3))], axis=-1)
    found = sampled(plane, at)
    assert found.shape == (40_000, 3)
    assert np.abs(found - (2.0 * at[..., 0] + 3.0 * at[..., 1])).max() < 0.1  # looked up in steps of 1/32 px
    assert sampled(plane, np.array([[[-5.0, 0.0], [70.0, 49.0]]])).tolist() == [[0.0, 265.0]]
