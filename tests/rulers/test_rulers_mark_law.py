"""The law of a rule's marks follows a view that leans and a lens that bends lines, and loses none of them."""

from __future__ import annotations

import numpy as np
import pytest

from cradle.rulers.mark_law import law_of, marks_showing

SPACING = 8.0


def _places(count, *, lean, bend):
    """Where marks lie along a rule 9 tenths as long as the picture is wide."""
    k = np.linspace(-0.5, 0.5, count)
    x = 0.9 * k / (1 + lean * k)
    return count * SPACING / 0.9 * (0.5 + x * (1 + bend * (x**2 + 0.09) / 0.39))


def _profile(at):
    columns = np.arange(int(at[-1] + 5 * SPACING))
    return np.exp(-0.5 * ((columns[:, None] - at) / 1.2) ** 2).sum(axis=1)


@pytest.mark.parametrize(("lean", "bend"), [(0.0, 0.0), (0.1, 0.0), (0.0, -0.05), (0.08, -0.05), (0.1, 0.05)])
def test_a_long_rule_is_read_from_end_to_end_however_the_lens_bends_it(lean, bend):
    at = _places(261, lean=lean, bend=bend)
    number, found = marks_showing(_profile(at), np.arange(261), at, SPACING)
    assert np.array_equal(number, np.arange(261))
    assert found == pytest.approx(at, abs=0.05)


def test_half_of_a_bent_rule_s_marks_put_the_others_where_they_are():
    at = _places(261, lean=0.08, bend=-0.05)
    kept = np.r_[0:40, 80:150, 220:261]
    number, _ = marks_showing(_profile(at), kept, at[kept], SPACING)
    assert np.array_equal(number, np.arange(261))


def test_noise_bows_nothing():
    at = SPACING * np.arange(200) + np.random.default_rng(3).normal(0.0, 0.1, 200)
    assert not law_of(np.arange(200), at).bow.any()
