"""Profiles that were given to one another's sides."""

import numpy as np
import pytest
from section_shapes import outline, placed, spec
from stacked import polar

from cradle.errors import SectionError
from cradle.geometry.arrays import frozen
from cradle.sections.profiles import Profiles

HEIGHTS = np.arange(1.0, 60.0, 3.0)
WIDTH, DEPTH = 60 - 0.3 * HEIGHTS, 25 + 0.1 * HEIGHTS
LEAN = 0.05 * HEIGHTS
TRUE = {"front": LEAN - DEPTH / 2, "back": LEAN + DEPTH / 2, "left": -WIDTH / 2, "right": WIDTH / 2}


def placed_by(of, *, apart=0.0):
    """A thing with three sections, each side with the profile of another, opposite ones further apart."""
    rings = [
        polar(200, lambda t: 1 + 0.05 * np.cos(3 * t))
        * [np.interp(h, HEIGHTS, own) / 2 for own in (WIDTH, DEPTH)]
        for h in (5, 30, 55)
    ]
    specs = [
        spec(f"s{i}", h, width_mm=float(np.ptp(r[:, 0])), depth_mm=float(np.ptp(r[:, 1])))
        for i, (h, r) in enumerate(zip((5, 30, 55), rings, strict=True))
    ]
    hand = np.random.default_rng(3)
    read = {side: TRUE[other] + hand.normal(0, 0.1, len(HEIGHTS)) for side, other in of.items()}
    read["right"] = read["right"] + apart
    profiles = Profiles(**{side: frozen(np.column_stack([HEIGHTS, at])) for side, at in read.items()})
    return placed([outline(r) for r in rings], specs=specs, profiles=profiles)


@pytest.mark.parametrize(
    "pairs",
    [
        [("front", "right")],
        [("front", "left")],
        [("back", "right")],
        [("back", "left")],
        [("front", "left"), ("back", "right")],
        [("front", "right"), ("back", "left")],
    ],
)
def test_profiles_of_neighbouring_sides_that_are_exchanged_are_named(pairs):
    of = {side: side for side in TRUE}
    for one, other in pairs:
        of |= {one: other, other: one}
    with pytest.raises(SectionError, match="seem to be exchanged") as refused:
        placed_by(of)
    assert all(f"the {one} and {other} profiles" in str(refused.value) for one, other in pairs)


def test_profiles_at_their_own_sides_or_from_another_line_are_not_called_exchanged():
    right = {side: side for side in TRUE}
    assert not [f for f in placed_by(right).findings if "exchanged" in f.message]
    with pytest.raises(SectionError, match="were not measured from one line"):
        placed_by(right, apart=8.0)
