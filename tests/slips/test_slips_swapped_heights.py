"""Two sections noted at each other's height, as side profiles tell."""

from itertools import combinations

import numpy as np
import pytest
from section_shapes import outline, placed, spec
from stacked import polar

from cradle.errors import SectionError
from cradle.geometry.arrays import frozen
from cradle.geometry.ring import size
from cradle.sections.profiles import Profiles

AT = (5.0, 22.0, 55.0)
HEIGHTS = np.arange(1.0, 60.0, 3.0)
WIDTH, DEPTH = 60 - 0.35 * HEIGHTS, 30 + 0.25 * HEIGHTS
SHOWN = {"left": -WIDTH / 2, "right": WIDTH / 2, "front": -DEPTH / 2, "back": DEPTH / 2}
WRONG = list(combinations(range(3), 2))


def ring_at(height):
    wide, deep = (np.interp(height, HEIGHTS, own) for own in (WIDTH, DEPTH))
    return polar(200, lambda t: 1 + 0.02 * np.cos(3 * t)) * [wide / 2, deep / 2]


def said(noted, *, sides=tuple(SHOWN)):
    """What is told of sections cut at `AT` and noted at other heights, beside profiles of some sides."""
    cut = sorted(zip(noted, AT, strict=True))
    rings = [ring_at(true) for _, true in cut]
    specs = [
        spec(f"at {true:g}", height, width_mm=size(ring)[0], depth_mm=size(ring)[1])
        for (height, true), ring in zip(cut, rings, strict=True)
    ]
    hand = np.random.default_rng(5)
    read = {side: SHOWN[side] + hand.normal(0, 0.15, len(HEIGHTS)) for side in sides}
    profiles = Profiles(**{side: frozen(np.column_stack([HEIGHTS, at])) for side, at in read.items()})
    try:
        found = placed([outline(ring) for ring in rings], specs=specs, profiles=profiles).findings
    except SectionError as error:
        return [f"{error} {error.hint}"]
    return [f"{f.where}: {f.message} {f.advice}" for f in found if f.code == "heights-swapped"]


def exchanged(one, other):
    noted = list(AT)
    noted[one], noted[other] = AT[other], AT[one]
    return noted


@pytest.mark.parametrize(("one", "other"), WRONG)
@pytest.mark.parametrize("sides", [tuple(SHOWN), ("left", "right"), ("front", "back")])
def test_heights_that_are_swapped_are_named_with_those_they_should_be(one, other, sides):
    (told,) = said(exchanged(one, other), sides=sides)
    assert f'section "at {AT[other]:g}"' in told
    assert f'its height and that of section "at {AT[one]:g}" seem to be swapped' in told
    words = {"left": "width", "front": "depth"}
    assert f"each has the {' and '.join(words[s] for s in sides if s in words)} that the sides show" in told
    assert f"{AT[other]:g} mm here" in told


@pytest.mark.parametrize("off_mm", [0.0, 0.6])
@pytest.mark.parametrize("sides", [tuple(SHOWN), ("left", "back"), ("left",), ()])
def test_heights_of_their_own_are_not_called_swapped(off_mm, sides):
    assert said([AT[0] + off_mm, AT[1] - off_mm, AT[2] + off_mm], sides=sides) == []
