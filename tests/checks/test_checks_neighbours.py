"""Things in a row that would run into each other on their way out."""

from types import SimpleNamespace

import numpy as np
import pytest
from stacked import circle, stacked

from cradle.checks.neighbours import neighbour_findings
from cradle.geometry.solid import solid


def post(x, *, height=40.0):
    return solid(stacked([0, height], [circle(8) + [x, 0]] * 2), where="post")


def pocket(tilt):
    way = np.array([tilt, 0.0, 1.0])
    return SimpleNamespace(direction=way / np.linalg.norm(way))


@pytest.mark.parametrize(
    ("tilts", "told"),
    [
        ((0.0, 0.0), []),
        # 40 mm up a way that leads 0.6 aside per mm goes 24 mm aside; the neighbours are 14 mm apart
        ((0.6, 0.0), ["pocket 1 runs into the one in pocket 2"]),
        ((0.0, -0.6), ["pocket 2 runs into the one in pocket 1"]),
        ((0.6, -0.6), ["pocket 1 runs into", "pocket 2 runs into"]),
        ((-0.6, 0.6), []),
        # 40 mm up 0.3 aside: 12 mm, less than the 14 between them
        ((0.3, -0.3), []),
    ],
)
def test_only_a_way_that_leads_into_the_neighbour_is_told(tilts, told):
    found = list(neighbour_findings([pocket(t) for t in tilts], [post(0), post(30)]))
    assert len(found) == len(told)
    for finding, words in zip(found, told, strict=True):
        assert finding.code == "neighbour-in-the-way"
        assert words in finding.message


def test_a_low_neighbour_is_passed_over():
    assert not list(neighbour_findings([pocket(0.6), pocket(0)], [post(0), post(30, height=15)]))
