"""The search for the easiest way out."""

from itertools import pairwise

import numpy as np
from stacked import circle

from cradle.geometry import planar
from cradle.pocket import way_out
from cradle.pocket.way_out import easiest_direction


def test_where_the_search_has_come_from_is_not_weighed_again(monkeypatch):
    heights = np.linspace(0, 30, 13)
    levels = planar.regions(np.array([circle(10, points=48) + [0.4 * z, 0.1 * z] for z in heights]))
    real, tried = way_out._cost_mm3, []

    def noted(levels, slopes, *, heights_mm, most_mm3=np.inf):
        if np.isfinite(most_mm3):
            tried.append(slopes)
        return real(levels, slopes, heights_mm=heights_mm, most_mm3=most_mm3)

    monkeypatch.setattr(way_out, "_cost_mm3", noted)
    found = easiest_direction(levels, heights_mm=heights)
    assert np.allclose(found[:2] / found[2], [0.4, 0.1], atol=0.01)
    first_moves = [(one, two) for one, two in pairwise(tried) if (len(one), len(two)) == (8, 7)]
    assert len(first_moves) > 2
    for before, after in first_moves:
        assert np.hypot(*(after - before.mean(axis=0)).T).min() > 1e-6
