"""Side profiles whose points run to and fro: smoothed where they are many, as they are where they are few or exact."""

import numpy as np
import pytest

from cradle.geometry.arrays import Floats
from cradle.sections.profiles import Profiles
from cradle.sections.rough_profiles import smoothed_profiles


def _reach(heights: Floats) -> Floats:
    """A foot that widens, a step 2 mm deep at 20 mm, a waist above it."""
    return np.interp(heights, [0, 2, 20, 20.01, 42, 60], [19, 20, 26, 24, 23, 18])


def _profile(count: int, *, rough_mm: float) -> Floats:
    heights = np.linspace(0, 55, count)
    rough = np.random.default_rng(3).normal(0, 1, count)
    return np.column_stack([heights, _reach(heights) + rough_mm * rough])


@pytest.mark.parametrize("count", [500, 5000, 20_000])
@pytest.mark.parametrize("rough_mm", [0.02, 0.05])
def test_many_rough_points_are_smoothed_to_the_form(count: int, rough_mm: float) -> None:
    """Our own construction: what is left is nearer to the form than the points were, but at the step."""
    (told, found) = smoothed_profiles(Profiles(back=_profile(count, rough_mm=rough_mm)))
    assert told.back is not None
    heights, reach = told.back.T
    assert len(heights) < 100
    assert (np.diff(heights) > 0).all()
    assert heights[[0, -1]] == pytest.approx([0, 55])
    looked_at = np.arange(1.0, 54.5, 0.5)
    looked_at = looked_at[np.abs(looked_at - 20) > 1]
    off = np.interp(looked_at, heights, reach) - _reach(looked_at)
    assert np.sqrt(np.mean(off**2)) < rough_mm
    assert [(finding.code, finding.where) for finding in found] == [("profile-smoothed", "side.back")]


@pytest.mark.parametrize(("count", "rough_mm"), [(55, 0.1), (180, 0.1), (20_000, 0.0)])
def test_few_points_and_exact_ones_stay(count: int, rough_mm: float) -> None:
    given = Profiles(
        left=-_profile(count, rough_mm=rough_mm) * [-1, 1], back=_profile(count, rough_mm=rough_mm)
    )
    assert smoothed_profiles(given) == (given, [])
