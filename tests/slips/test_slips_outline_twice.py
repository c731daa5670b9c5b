"""One outline given to two sections: a copied line of which the file's name was not changed."""

import numpy as np
import pytest
from section_shapes import outline, placed

from cradle.errors import SectionError
from cradle.geometry.ring import size
from cradle.project.section import DrawingSource, SectionSpec

ANGLES = np.linspace(0, 2 * np.pi, 90, endpoint=False)


def ring(width, depth):
    return np.column_stack(
        [width / 2 * np.cos(ANGLES), depth / 2 * np.sin(ANGLES) * (1 + 0.2 * np.cos(ANGLES))]
    )


RINGS = [ring(97, 63), ring(116, 72), ring(123, 76), ring(166, 86)]


def stack(*order, read=(0, 1, 2, 3)):
    """Sections of these outlines, the readings those of the rings named by ``read``, None for none."""
    specs = []
    for i, k in enumerate(read):
        width, depth = (None, None) if k is None else map(float, size(RINGS[k]))
        source = DrawingSource(path=f"{order[i]}.csv")
        specs.append(
            SectionSpec(name=f"s{i}", height_mm=3 + 16.0 * i, source=source, width_mm=width, depth_mm=depth)
        )
    return placed([outline(RINGS[k]) for k in order], specs=specs)


def codes(found):
    return [f.code for f in found.findings]


def test_an_outline_that_no_tracing_explains_is_refused_as_another_section_s():
    """It was said to be a scan placed at another resolution."""
    with pytest.raises(
        SectionError, match='section "s3": its outline is that of section "s0", point for point'
    ) as e:
        stack(0, 1, 2, 0)
    assert "its width is 166.00 mm with calipers, 97.00 mm as drawn" in str(e.value)
    assert "scale the drawing" not in str(e.value)


def test_one_that_is_taken_is_told_once_in_place_of_how_far_it_was_scaled():
    (told,) = (f for f in stack(0, 1, 1, 3, read=(0, 1, 2, 3)).findings if f.code == "outline-twice")
    assert told.where == 'section "s2"'
    assert 'that of section "s1"' in told.message


@pytest.mark.parametrize(
    ("order", "read"),
    [((0, 1, 2, 3), (0, 1, 2, 3)), ((1, 1, 1, 1), (1, 1, 1, 1)), ((1, 1, 1, 1), (1, None, None, None))],
    ids=["each its own", "a straight thing", "a straight thing read once"],
)
def test_a_straight_thing_may_have_one_outline_all_the_way_up(order, read):
    assert "outline-twice" not in codes(stack(*order, read=read))
