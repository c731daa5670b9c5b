"""Drawn sections that were given each other's outlines, as when the layers of a drawing are counted from its other end, or each other's readings."""

import re

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


def specs(read):
    """Drawn sections of these widths and depths, one above the other."""
    return [
        SectionSpec(
            name=f"s{i}",
            height_mm=3 + 5.0 * i,
            source=DrawingSource(path="a.svg"),
            width_mm=float(width),
            depth_mm=float(depth),
        )
        for i, (width, depth) in enumerate(read)
    ]


def stacked(order, *, askew=0.0, read=None):
    """The stack with its outlines in another order, each askew by some degrees on its sheet, the readings right unless given."""
    read = [size(r) for r in RINGS] if read is None else read
    drawn = [turned(RINGS[k], angle_deg=askew * (-1) ** k) for k in order]
    return placed([outline(r) for r in drawn], specs=specs(read))


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


def test_sheets_of_a_flat_thing_that_lie_askew_are_not_told_to_be_swapped():
    """Turned by a degree, each had the depth that was read of the other."""
    flat = np.array([[-31.0, -4.0], [31.0, -4.0], [31.0, 4.0], [-31.0, 4.0]])
    lies, drawn = (2.0, 1.0, 1.5), (1.0, 2.0, 1.5)
    read = [size(turned(flat, angle_deg=deg)) for deg in lies]
    found = placed([outline(turned(flat, angle_deg=deg)) for deg in drawn], specs=specs(read)).findings
    assert not [f for f in found if f.code.endswith("-swapped")]


@pytest.mark.parametrize("axis", [0, 1])
@pytest.mark.parametrize(("one", "other", "refused"), [(0, 1, False), (0, 2, True)])
def test_two_readings_given_to_one_another_s_sections_are_told_as_that(one, other, refused, axis):
    """Each was said to be misread and to be measured again."""
    read = [list(size(r)) for r in RINGS]
    read[one][axis], read[other][axis] = read[other][axis], read[one][axis]
    word = ("width", "depth")[axis]
    message = rf"its {word} and that of section \"s{other}\" seem to be swapped"
    if refused:
        with pytest.raises(SectionError, match=message):
            stacked(range(4), read=read)
        return
    found = stacked(range(4), read=read).findings
    (told,) = [f for f in found if f.code == "sizes-swapped"]
    assert re.match(message, told.message)
    assert told.advice == f"let each have the other's {word}"
    assert not {"trace-off-caliper", "reading-disagrees", "reading-out-of-line"} & {f.code for f in found}
