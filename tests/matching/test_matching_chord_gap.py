"""How far a round thing stands out between few points: the sagitta of its chords."""

import numpy as np
import pytest

from cradle.matching.rings import chord_gap_mm, match_sections
from cradle.sections.section import Section


def polygon(count, radius=30.0):
    angle = np.arange(count) * 2 * np.pi / count
    return radius * np.column_stack([np.cos(angle), np.sin(angle)])


@pytest.mark.parametrize("count", [6, 8, 12, 16, 24, 60, 360])
def test_points_of_a_circle_miss_it_by_the_sagitta(count):
    # sagitta of a chord: r (1 - cos(pi / n)); any geometry text
    assert chord_gap_mm(polygon(count)) == pytest.approx(30 * (1 - np.cos(np.pi / count)), rel=1e-9)


def test_points_of_a_circle_at_unlike_steps_miss_it_by_about_the_longest_step_s_sagitta():
    angle = np.radians(np.cumsum([20.0, 30.0] * 7))
    uneven = 30 * np.column_stack([np.cos(angle), np.sin(angle)])
    assert chord_gap_mm(uneven) == pytest.approx(30 * (1 - np.cos(np.radians(15.0))), rel=0.25)


def test_a_straight_side_between_rounds_is_no_curve():
    right = np.radians(np.arange(-90, 91, 10))
    end = 15 * np.column_stack([np.cos(right), np.sin(right)])
    stadium = np.concatenate([end + [30, 0], -end - [30, 0]])
    assert chord_gap_mm(stadium) == pytest.approx(15 * (1 - np.cos(np.radians(5.0))), rel=1e-9)


def test_corners_and_straight_edges_are_no_curves():
    box = np.array([[0.0, 0], [60, 0], [60, 40], [0, 40]])
    chamfered = np.array([[5.0, 0], [55, 0], [60, 5], [60, 35], [55, 40], [5, 40], [0, 35], [0, 5]])
    assert chord_gap_mm(box) == 0
    assert chord_gap_mm(chamfered) == 0
    assert chord_gap_mm(polygon(5)) == 0  # a pentagon's turns of 72 degrees are corners
    hexagon = polygon(6)  # six points alone may be a round; with one on each side they are not
    middles = (hexagon + np.roll(hexagon, -1, axis=0)) / 2
    assert chord_gap_mm(np.stack([hexagon, middles], axis=1).reshape(-1, 2)) == pytest.approx(0, abs=1e-9)


def test_a_stack_tells_each_section_s_gap():
    sections = [
        Section(name=name, height_mm=height, points_mm=polygon(count), traced_mm=(60.0, 60.0))
        for name, height, count in (("low", 0.0, 12), ("high", 20.0, 360))
    ]
    few, many = match_sections(sections).chord_gaps_mm
    assert few == pytest.approx(1.022, abs=1e-3)
    assert many < 0.002
