"""Profiles whose heights count from another plane than the sections', or from the top."""

import re
from dataclasses import replace

import numpy as np
import pytest
from sheet_stacks import FACTORS, HEIGHTS, egg, placed, sides, specs

from cradle.errors import SectionError
from cradle.geometry.arrays import frozen
from cradle.sections.profiles import Profiles

NAMES = ("left", "right", "front", "back")
TOP_MM = 70.0


def from_the_top(points):
    """A profile as read by somebody who counts its heights from the thing's top."""
    return frozen((np.asarray(points) * [-1, 1] + [TOP_MM, 0])[::-1])


@pytest.mark.parametrize(
    ("off_mm", "factors"),
    [(-10.0, (0.6, 0.9, 1.1, 0.8)), (7.0, (0.6, 0.9, 1.1, 0.8)), (-3.0, (0.6, 0.9, 1.1, 0.8))],
)
def test_heights_that_are_all_off_are_told_as_such(off_mm, factors):
    rings = [egg() * f for f in factors]
    p = sides(rings)
    moved = Profiles(**{n: frozen(getattr(p, n) + [off_mm, 0]) for n in ("left", "right", "front", "back")})
    with pytest.raises(SectionError, match="all 4 sections would fit the side profiles") as caught:
        placed(rings, specs(rings), profiles=moved)
    told = re.search(r"heights were about ([0-9.]+) mm (greater|less)", str(caught.value))
    assert float(told[1]) == pytest.approx(abs(off_mm), abs=1.5)
    assert told[2] == ("greater" if off_mm > 0 else "less")


@pytest.mark.parametrize("read_so", [("left",), ("back",), ("left", "right"), NAMES])
def test_heights_that_count_from_the_top_are_told_as_such(read_so):
    rings = [egg() * f for f in (0.6, 0.8, 1.0, 1.1)]
    p = sides(rings)
    read = {n: from_the_top(getattr(p, n)) if n in read_so else getattr(p, n) for n in NAMES}
    with pytest.raises(SectionError, match="seem to count from the top") as caught:
        placed(rings, specs(rings), profiles=Profiles(**read))
    told = re.search(r"the heights of the (.*) profiles? seem .* at about ([0-9]+) mm", str(caught.value))
    assert told[1].split(" and ") == [n for n in read_so if n in read_so[:2]]
    assert float(told[2]) == pytest.approx(TOP_MM, abs=3.0)


@pytest.mark.parametrize("factors", [FACTORS, (0.8, 1.0, 1.0, 0.8), (1.0, 1.0, 1.0, 1.0)])
def test_profiles_that_count_upwards_pass_whatever_the_thing_does(factors):
    rings = [egg() * f for f in factors]
    assert len(placed(rings, specs(rings), profiles=sides(rings)).sections) == len(HEIGHTS)


@pytest.mark.parametrize(("unit", "mm"), [("cm", 10.0), ("inches", 25.4)])
def test_sections_heights_in_another_unit_than_the_profiles_are_told(unit, mm):
    rings = [egg() * f for f in (0.6, 0.8, 1.0, 1.1)]
    lower = [replace(one, height_mm=one.height_mm / mm) for one in specs(rings)]
    with pytest.raises(SectionError, match=f"sections look as if they were in {unit}"):
        placed(rings, lower, profiles=sides(rings))
