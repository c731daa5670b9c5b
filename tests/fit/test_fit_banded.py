import numpy as np
import pytest

from cradle.fit.banded import banded, trimmed


def test_a_banded_matrix_multiplies_as_the_whole_one_does():
    rng = np.random.default_rng(3)
    parts = []
    for first, last, count in ((0, 40, 30), (1, 39, 1), (80, 110, 40), (50, 50, 2), (0, 120, 1), (16, 96, 1)):
        part = np.zeros((count, 120))
        part[:, first:last] = rng.uniform(0.1, 1.0, (count, last - first))
        parts.append(part)
    whole = np.concatenate(parts)
    made = banded([trimmed(part) for part in parts], width=120)
    assert made.shape == whole.shape
    kept = [band.values.shape for _, band in made.bands]
    assert kept == [(31, 48), (40, 32), (2, 0), (2, 120)]  # what is alike together, what is apart alone
    left, right = rng.normal(size=(5, len(whole))), rng.normal(size=(5, 120))
    assert made.after(left) == pytest.approx(left @ whole)
    assert made.before(right) == pytest.approx(right @ whole.T)
    assert [made.largest(row) for row in (4, 30, 45, 74)] == [whole[row].max() for row in (4, 30, 45, 74)]
    rows, factors = np.arange(len(whole)) % 2 == 0, rng.uniform(0, 1, 120)
    scaled = np.where(rows[:, None], whole * factors, whole)
    assert made.scaled(factors, rows=rows).after(left) == pytest.approx(left @ scaled)
