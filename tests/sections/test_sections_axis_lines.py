"""Mirror lines by the thing's axes: an outline turned and shifted by a known amount has its line there."""

import numpy as np
import pytest
from section_shapes import jug, pear, spec
from stacked import ellipse

from cradle.geometry.ring import resample, turned
from cradle.sections.axis_lines import axis_lines, mirror_spreads
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
    lines = lines_of(ellipse(30.0, 30.0))
    assert [line.axis for line in lines] == [0, 1]
    for line in lines:
        assert line.turn_spread_rad > np.radians(15.0)
        assert line.place_spread_mm < 0.1


@pytest.mark.slow
def test_a_mirror_line_is_as_sure_as_noise_lets_it_be():
    """Outlines traced with an error that keeps its direction over some millimetres."""
    rng = np.random.default_rng(7)
    ring = resample(pear(), count=400)
    edge = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)
    normal = np.column_stack([edge[:, 1], -edge[:, 0]]) / np.hypot(*edge.T)[:, None]
    perimeter = float(np.hypot(*(np.roll(ring, -1, axis=0) - ring).T).sum())
    kernel = np.exp(-0.5 * (np.minimum(np.arange(400), 400 - np.arange(400)) * perimeter / 400 / 12.0) ** 2)
    angles, places, stated = [], [], []
    for _ in range(60):
        noise = np.fft.ifft(np.fft.fft(rng.normal(size=400)) * np.fft.fft(kernel)).real
        noise *= 0.25 / np.sqrt((kernel**2).sum())
        curve = curve_of(ring + noise[:, None] * normal)
        line = mirror_lines(curve, trace_mm=0.25)[0]
        angles.append(np.radians(line.angle_deg - 90.0))
        places.append(line.point_mm[0])
        stated.append(mirror_spreads(curve, line=line, trace_mm=0.25))
    turn, place = np.median(stated, axis=0)
    # an outline's own asymmetry is all that can tell its noise: so not sharper than that
    assert turn == pytest.approx(np.std(angles), rel=0.6)
    assert place == pytest.approx(np.std(places), rel=0.6)
