"""How each reading moves the places, against what imagined readings do."""

import numpy as np
import pytest
from fit_models import nothing_between, round_places

from cradle.fit.interpolation_error import InterpolationError
from cradle.fit.sensitivities import influences, smooth_waves
from cradle.fit.side_readings import left_by_profiles
from cradle.fit.uncertainties import Spread
from cradle.project.fit import SpreadSpec
from cradle.project.printer import PrinterSpec
from cradle.sections.profiles import Profiles


class NothingPlaced:
    """Sections whose places are known without error."""

    def __init__(self, count):
        self.shares = np.zeros((2, count))

    def traces(self, waves, *, trace_mm):
        return []

    def readings(self, *, placing_mm):
        return []

    def unread(self):
        return []

    def instrument(self):
        return np.zeros((0, self.shares.shape[1]))

    def heights(self, *, heights_mm):
        return []


def between_mm(profiles, *, amount_mm=0.35):
    """Standard deviation of every place from what lies between two sections alone, mm."""
    places = round_places(72, heights=(9.0,))
    count = len(places.levels)
    error = InterpolationError(
        amount_mm=amount_mm * left_by_profiles(places, profiles),
        mean_mm=np.zeros(count),
        gap=np.zeros(count, dtype=np.int64),
        turned=np.zeros(count),
        left_by_another=np.ones(count),
        tails=np.zeros(1),
    )
    found = influences(
        places,
        NothingPlaced(count),
        between=error,
        spread=SpreadSpec(inside_mm=0.0, repeat_mm=0.0),
        printer=PrinterSpec(),
    )
    rows = found.matrix.after(np.eye(len(found.spreads)))
    mine = np.array([kind is Spread.BETWEEN for kind in found.spreads])
    return places, np.sqrt((rows[mine] ** 2).sum(axis=0))


def left_by_readings(rng, *, amount_mm, read_mm, every_mm, gap_mm=18.0, things=4000):
    """Part of the deviation half way up a gap that is left once the side was read every few mm."""
    z = np.arange(0.0, gap_mm + 1e-9, every_mm)
    bow = amount_mm * rng.standard_normal(things)
    readings = bow[:, None] * 4 * z / gap_mm * (1 - z / gap_mm) + read_mm * rng.standard_normal(
        (things, len(z))
    )
    half_way = np.array([np.interp(gap_mm / 2, z, row) for row in readings])
    return float((bow - half_way).std() / bow.std())


def test_a_side_profile_leaves_of_the_bow_what_its_own_errors_leave():
    """Front and back read every 3 mm to 0.1 mm, on a thing that leaves its loft by 0.35 mm."""
    read = np.array([[0.0, -20.0], [18.0, -20.0]])
    places, bare = between_mm(Profiles())
    _, steered = between_mm(Profiles(front=read, back=read * [1, -1]))
    left = steered / bare
    front, side = np.argmin(places.normals[:, 1]), np.argmax(places.normals[:, 0])
    simulated = left_by_readings(np.random.default_rng(8), amount_mm=0.35, read_mm=0.1, every_mm=3.0)
    assert 0.1 < simulated < 0.5
    assert left[front] == pytest.approx(simulated, abs=0.12)
    assert left[side] == pytest.approx(1.0)


def test_a_profile_that_was_not_read_here_changes_nothing():
    above = np.array([[12.0, -20.0], [18.0, -20.0]])
    _, bare = between_mm(Profiles())
    _, steered = between_mm(Profiles(front=above))
    assert steered == pytest.approx(bare)


def test_waves_are_a_gaussian_process_of_unit_variance():
    """Covariance exp(−d²/2l²) on the ring's way; Rasmussen & Williams, Gaussian Processes, 2006, eq. 4.9."""
    along = np.arange(90) / 90
    rows = smooth_waves(along, 120.0, length_mm=9.0)
    covariance = rows.T @ rows
    apart = np.minimum(along, 1 - along) * 120.0
    assert covariance[0] == pytest.approx(np.exp(-0.5 * (apart / 9.0) ** 2), abs=2e-3)
    assert np.diag(covariance) == pytest.approx(np.ones(90), abs=1e-3)


def of_few_points(*gaps_mm, trace_mm=0.2):
    """What is expected of the upper of two sections, mm, and its standard deviation, mm, with such chord gaps."""
    places = round_places(24, heights=(9.0,))
    count = len(places.levels)
    placing = NothingPlaced(count)
    placing.shares[1] = 1.0
    found = influences(
        places,
        placing,
        between=nothing_between(count),
        spread=SpreadSpec(trace_mm=trace_mm, inside_mm=0.0, repeat_mm=0.0),
        printer=PrinterSpec(),
        chord_gaps_mm=gaps_mm,
    )
    rows = found.matrix.after(np.eye(len(found.spreads)))
    return found, found.mean_mm, np.sqrt((rows**2).sum(axis=0))


def test_corners_that_may_stand_for_a_curve_count_as_anything_up_to_it():
    # a uniform spread of width a has the mean a/2 and the standard deviation a/√12 (JCGM 101:2008, 6.4.2)
    found, mean, spread = of_few_points(0.0, 0.9)
    assert mean == pytest.approx(0.45)
    assert spread == pytest.approx(0.9 / np.sqrt(12))
    assert found.spreads == (Spread.POINTS,)
    assert found.mean_of(Spread.POINTS) == pytest.approx(0.45)
    assert found.mean_of(Spread.INSIDE) == pytest.approx(0.0)
    assert found.rectangular.all()


def test_points_nearer_than_the_tracing_error_count_with_it():
    _, mean, spread = of_few_points(0.0, 0.15)
    assert mean == pytest.approx(0)
    assert spread == pytest.approx(0)
