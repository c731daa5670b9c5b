"""The table of where the sections lie, against the posterior it is made of."""

import re

import numpy as np
import pytest

from cradle.geometry.arrays import frozen
from cradle.report.tables import placing_table, undecided_by
from cradle.sections.posterior import Posterior, Reading, ReadingKind
from cradle.sections.section import Section


def reading(kind, section, spread):
    return Reading(kind=kind, section=section, spread=spread, own=spread, ends_mm=frozen(np.zeros((0, 2))))


def two_sections():
    """One placed by a profile alone, the other by a profile and, worse, by its likeness."""
    readings = (
        reading(ReadingKind.LEFT, 0, 0.1),
        reading(ReadingKind.LEFT, 1, 0.1),
        reading(ReadingKind.LIKENESS_Y, 1, 0.5),
        reading(ReadingKind.TURN, 1, np.radians(2.0)),
    )
    gain = np.zeros((10, 4))
    gain[0, 0] = gain[5, 1] = gain[6, 2] = gain[7, 3] = 1.0
    spreads = np.array([r.spread for r in readings])
    estimate = np.zeros((2, 5))
    estimate[1, :3] = 3.0, -1.5, np.radians(4.0)
    return Posterior(
        estimate=frozen(estimate),
        covariance=frozen((gain * spreads**2) @ gain.T),
        readings=readings,
        gain=frozen(gain),
    )


def section(name, height_mm, turn_deg=0.0):
    square = frozen([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
    return Section(
        name=name, height_mm=height_mm, points_mm=square, traced_mm=(10.0, 10.0), turn_deg=turn_deg
    )


SECTIONS = (section("low", 3.0), section("high", 30.0, turn_deg=94.0))  # 90 of them said in the project


def test_each_place_stands_with_its_standard_uncertainty():
    rows = re.findall(r"<tr>(.*?)</tr>", placing_table(SECTIONS, two_sections()))
    cells = [re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", row) for row in rows[1:]]
    assert cells[0][:4] == ["low", "0.00 ± 0.10", "0.00 ± 0.00", "0.0 ± 0.0"]
    assert cells[1][:4] == ["high", "3.00 ± 0.10", "-1.50 ± 0.50", "94.0 ± 2.0"]
    assert [row[4] for row in cells] == ["left profile or view", "being in line with the next section"]


def test_the_largest_part_of_the_variance_is_named():
    assert undecided_by(two_sections()) == [ReadingKind.LEFT, ReadingKind.LIKENESS_Y]


@pytest.mark.parametrize("kind", list(ReadingKind))
def test_every_kind_of_reading_has_its_words(kind):
    gain = np.zeros((10, 1))
    gain[[0, 5], 0] = 1.0
    known = Posterior(
        estimate=frozen(np.zeros((2, 5))),
        covariance=frozen(np.eye(10)),
        readings=(reading(kind, 0, 0.1),),
        gain=frozen(gain),
    )
    assert "nothing" not in re.findall(r"<td>([^<]*)</td></tr>", placing_table(SECTIONS, known))
