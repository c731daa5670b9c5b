"""One height read in cm or inches among others in mm."""

import numpy as np
import pytest
from section_shapes import outline, placed
from sheet_stacks import egg

from cradle.geometry.arrays import frozen
from cradle.geometry.ring import extents, size
from cradle.project.section import DrawingSource, SectionSpec
from cradle.sections.profiles import Profiles

HEIGHTS = (3.0, 16.0, 30.0, 44.0)
GROWN = (0.6, 0.84, 1.0, 1.04)
CODES = ("height-unit-doubtful", "reading-disagrees")


def told_of(heights, *, grown=GROWN, profiles=None, order=None):
    """Codes, places and advice about a stack with these heights, its sections in a file in this order."""
    order = range(len(heights)) if order is None else order
    given = []
    for number, i in enumerate(order):
        ring = egg() * grown[i]
        width, depth = (round(float(v), 2) for v in size(ring))
        spec = SectionSpec(
            name=f"s{i}",
            number=number,
            height_mm=heights[i],
            source=DrawingSource(path="a.svg"),
            width_mm=width,
            depth_mm=depth,
        )
        given.append((spec, ring))
    given.sort(key=lambda one: one[0].height_mm)
    more = {} if profiles is None else {"profiles": profiles}
    found = placed([outline(r) for _, r in given], specs=[s for s, _ in given], **more).findings
    return [(f.code, f.where, f.advice) for f in found if f.code in CODES]


def front_and_back(grown=GROWN):
    """Their profiles, every 3 mm, as the sections with the right heights have them."""
    z = np.arange(0.0, 49.0, 3.0)
    ends = np.array([extents(egg() * g) for g in grown])
    front, back = (np.column_stack([z, np.interp(z, HEIGHTS, ends[:, k])]) for k in (1, 3))
    return Profiles(front=frozen(front), back=frozen(back))


@pytest.mark.parametrize("profiles", [None, front_and_back()])
@pytest.mark.parametrize(("unit", "per"), [("cm", 10.0), ("in", 25.4)])
@pytest.mark.parametrize("odd", [1, 2, 3])
def test_one_height_in_another_unit_is_named(odd, unit, per, profiles):
    """Without profiles nothing was said of it, with them that they and the section were to be measured again."""
    heights = list(HEIGHTS)
    heights[odd] = round(heights[odd] / per, 2)
    ((code, where, advice),) = told_of(heights, profiles=profiles)
    assert (code, where) == ("height-unit-doubtful", f'section "s{odd}"')
    assert advice.startswith(
        f'if it was read in {"inches" if unit == "in" else unit}, write height = "{heights[odd]:g} {unit}"'
    )


@pytest.mark.parametrize("odd", [1, 2])
def test_a_waist_whose_height_is_in_cm_is_named_where_profiles_show_it(odd):
    """It is as unlike its neighbours where it belongs, so that these do not tell."""
    grown = [1.0, 1.0, 1.0, 1.04]
    grown[odd] = 0.85
    heights = list(HEIGHTS)
    heights[odd] /= 10
    ((code, where, advice),) = told_of(heights, grown=grown, profiles=front_and_back(grown))
    assert (code, where) == ("height-unit-doubtful", f'section "s{odd}"')
    assert advice.startswith(f'if it was read in cm, write height = "{heights[odd]:g} cm"')


@pytest.mark.parametrize("order", [(0, 1, 2, 3), (3, 2, 1, 0), (1, 2, 3, 0)])
@pytest.mark.parametrize(
    ("heights", "grown"),
    [
        (HEIGHTS, GROWN),
        ((4.0, 9.0, 25.0, 45.0), (1.0, 0.6, 0.8, 1.04)),  # a rim at its foot, as wide as its top
        ((2.0, 14.0, 16.0, 40.0), (0.7, 0.75, 1.1, 0.8)),  # a bulge
    ],
)
def test_right_heights_are_not_doubted(heights, grown, order):
    assert [told for told in told_of(heights, grown=grown, order=order) if told[0] == CODES[0]] == []


def test_a_section_at_a_foot_that_rounds_off_between_two_readings_is_not_doubted():
    """Read every 3 mm, the profiles run straight where the thing is rounder: they were taken to contradict the section."""
    z, grown = np.arange(1.0, 49.0, 3.0), (0.98, 1.0, 1.0, 1.04)
    ends, foot = extents(egg()), np.where(z < 2, 0.8, 1.0)
    front, back = (np.column_stack([z, ends[k] * foot]) for k in (1, 3))
    profiles = Profiles(front=frozen(front), back=frozen(back))
    told = told_of((2.0, 14.0, 28.0, 45.0), grown=grown, profiles=profiles)
    assert [code for code, *_ in told if code == CODES[0]] == []
