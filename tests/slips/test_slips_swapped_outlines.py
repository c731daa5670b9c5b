"""Drawn sections that were given each other's outlines, as when the layers of a drawing are counted from its other end."""

import numpy as np
import pytest
from section_shapes import outline, placed

from cradle.errors import CombinedError, SectionError
from cradle.geometry.ring import size, turned
from cradle.project.section import DrawingSource, SectionSpec


def ring(width, depth):
    t = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    return np.column_stack([width / 2 * np.cos(t), depth / 2 * np.sin(t) * (1 + 0.2 * np.cos(t))])


RINGS = [ring(103, 25), ring(118, 29), ring(127, 33), ring(126, 32)]


def stacked(order, *, askew=0.0):
    """The stack with its outlines in another order, each askew by some degrees on its sheet, the readings right."""
    specs = [
        SectionSpec(
            name=f"s{i}",
            height_mm=3 + 5.0 * i,
            source=DrawingSource(path="a.svg"),
            width_mm=float(size(r)[0]),
            depth_mm=float(size(r)[1]),
        )
        for i, r in enumerate(RINGS)
    ]
    drawn = [turned(RINGS[k], angle_deg=askew * (-1) ** k) for k in order]
    return placed([outline(r) for r in drawn], specs=specs)


@pytest.mark.parametrize("askew", [0.0, 1.5])
def test_two_that_fit_each_other_s_readings_are_told_once_in_place_of_their_scales(askew):
    found = stacked((0, 2, 1, 3), askew=askew).findings
    (told,) = [f for f in found if f.code == "outlines-swapped"]
    assert told.where == 'section "s1"'
    assert 'section "s2"' in told.message
    assert not [f for f in found if f.code == "trace-off-caliper"]


def test_two_that_no_tracing_explains_are_refused_together():
    with pytest.raises(SectionError, match=r"s0.*s3.* seem to be swapped"):
        stacked((3, 1, 2, 0))


def test_nothing_is_told_of_a_stack_in_order_or_of_one_wrong_reading():
    assert not [f for f in stacked((0, 1, 2, 3)).findings if f.code == "outlines-swapped"]
    with pytest.raises((SectionError, CombinedError)) as refused:
        stacked((0, 1, 2, 0))  # one outline taken twice
    assert "swapped" not in str(refused.value)
