"""Side profiles whose points run to and fro: few points where they lie close, as they are where they do not or are exact."""

import numpy as np
import pytest

from cradle.finding import Finding
from cradle.geometry.arrays import Floats
from cradle.sections.profiles import Profiles
from cradle.sections.rough_profiles import smoothed_profiles


def _reach(heights: Floats) -> Floats:
    """A foot that widens, a step 2 mm deep at 20 mm, a waist above it."""
    return np.interp(heights, [0, 2, 20, 20.01, 42, 60], [19, 20, 26, 24, 23, 18])


def _profile(count: int, *, rough_mm: float, seed: int = 3) -> Floats:
    heights = np.linspace(0, 55, count)
    rough = np.random.default_rng(seed).normal(0, 1, count)
    return np.column_stack([heights, _reach(heights) + rough_mm * rough])


def _told(points: Floats) -> tuple[Floats, list[Finding]]:
    told, found = smoothed_profiles(Profiles(back=points))
    assert told.back is not None
    return told.back, found


def _off_mm(points: Floats) -> float:
    """How far the line lies from the form in the root mean square, but at the step."""
    looked_at = np.arange(1.0, 54.5, 0.5)
    looked_at = looked_at[np.abs(looked_at - 20) > 1]
    off = np.interp(looked_at, *points.T) - _reach(looked_at)
    return float(np.sqrt(np.mean(off**2)))


@pytest.mark.parametrize("count", [110, 220, 500, 5000, 20_000])
@pytest.mark.parametrize("rough_mm", [0.03, 0.1, 0.3])
def test_close_rough_points_become_the_few_that_say_as_much(count: int, rough_mm: float) -> None:
    """Our own construction: what is left is nearer to the form than the points were, but at the step."""
    told, found = _told(_profile(count, rough_mm=rough_mm))
    heights = told[:, 0]
    assert len(heights) < 40
    assert (np.diff(heights) > 0).all()
    assert heights[[0, -1]] == pytest.approx([0, 55])
    assert _off_mm(told) < 0.75 * rough_mm
    assert [(finding.code, finding.where) for finding in found] == [("profile-smoothed", "side.back")]


def test_the_step_stays_where_it_is() -> None:
    told, _ = _told(_profile(220, rough_mm=0.1))
    assert np.interp([19.5, 20.5], *told.T) == pytest.approx([25.85, 23.95], abs=0.25)


def test_errors_that_run_on_for_a_while_are_known_as_such() -> None:
    """As of a side traced by hand: neighbouring points are off alike, those half a millimetre on are not."""
    points = _profile(1100, rough_mm=0.0)
    own = np.random.default_rng(5).normal(0, 0.1, 1100 // 8 + 2)
    points[:, 1] += np.interp(np.arange(1100) / 8, np.arange(len(own)), own)
    told, _ = _told(points)
    assert len(told) < 40
    assert _off_mm(told) < 0.1


def test_teeth_are_no_errors() -> None:
    """A thread of 1 mm pitch and 0.5 mm depth, drawn closely."""
    heights = np.arange(0.0, 40.0, 0.05)
    points = np.column_stack([heights, 20 + 0.25 * np.sin(2 * np.pi * heights)])
    told, _ = _told(points)
    assert np.abs(np.interp(heights, *told.T) - points[:, 1]).max() < 0.1


@pytest.mark.parametrize(("count", "rough_mm"), [(28, 0.1), (40, 0.1), (20_000, 0.0)])
def test_few_points_and_exact_ones_stay(count: int, rough_mm: float) -> None:
    given = Profiles(
        left=-_profile(count, rough_mm=rough_mm) * [-1, 1], back=_profile(count, rough_mm=rough_mm)
    )
    assert smoothed_profiles(given) == (given, [])
