"""Mirror lines by the thing's axes: an outline turned and shifted by a known amount has its line there."""

import numpy as np
import pytest
from section_shapes import jug, pear, spec
from stacked import ellipse

from cradle.geometry.ring import turned
from cradle.sections.axis_lines import axis_lines
from cradle.sections.laid import Laid
from cradle.sections.mirror import mirror_lines
from cradle.sections.unit_curve import curve_of


def lines_of(ring, *, exact=False):
    curve = curve_of(ring)
    laid = Laid(
        spec=spec(),
        ring=ring,
        middle_mm=np.zeros(2),
        settled_rad=0.1,
        lines=mirror_lines(curve, trace_mm=0.1),
        exact=exact,
    )
    return axis_lines(laid, curve=curve, trace_mm=0.1)


@pytest.mark.parametrize("turn", [0.0, 4.0, -30.0])
@pytest.mark.parametrize(("shape", "axis"), [(pear, 0), (jug, 1)])
def test_a_line_lies_across_its_axis_off_by_the_turn_of_the_outline(shape, axis, turn):
    shift = np.array([3.0, -2.0])
    (line,) = lines_of(turned(shape(), angle_deg=turn) + shift)
    angle = np.radians(turn)
    normal = [(np.cos(angle), np.sin(angle)), (-np.sin(angle), np.cos(angle))][axis]
    assert line.axis == axis
    assert np.degrees(line.turn_rad) == pytest.approx(turn, abs=1e-3)
    assert line.place_mm == pytest.approx(shift @ normal, abs=1e-3)
    assert 0 < line.place_spread_mm < 0.1
    assert 0 < line.turn_spread_rad < np.radians(1.0)


def test_an_outline_that_is_readings_has_its_lines_exactly():
    lines = lines_of(ellipse(30.0, 20.0), exact=True)
    assert {line.axis for line in lines} == {0, 1}
    assert {(line.turn_spread_rad, line.place_spread_mm) for line in lines} == {(0.0, 0.0)}


def test_a_circle_hardly_settles_a_turn_of_its_lines_but_their_place():
    for line in lines_of(ellipse(30.0, 30.0)):
        assert line.turn_spread_rad > np.radians(15.0)
        assert line.place_spread_mm < 0.1
