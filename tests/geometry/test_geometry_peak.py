"""A parabola's vertex from three of its values."""

from __future__ import annotations

import numpy as np
import pytest

from cradle.geometry.peak import peak_shift


@pytest.mark.parametrize("vertex", [-0.5, -0.31, 0.0, 0.2, 0.5])
@pytest.mark.parametrize("bend", [0.02, 3.0])
def test_a_parabola_s_own_vertex_is_found(vertex, bend):
    samples = [np.array([7.0 - bend * (at - vertex) ** 2]) for at in (-1, 0, 1)]
    assert peak_shift(*samples) == pytest.approx(vertex, abs=1e-9)


def test_a_peak_is_carried_half_a_spacing_at_most_and_none_where_there_is_none():
    steep, flat, hollow = (np.array(each) for each in ([0.0, 1.0, 1.9], [2.0, 2.0, 2.0], [3.0, 1.0, 2.0]))
    assert peak_shift(*np.column_stack([steep, flat, hollow])).tolist() == [0.5, 0.0, 0.0]
