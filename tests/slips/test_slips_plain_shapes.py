"""Plain shapes with width and depth exchanged, or with readings in other units."""

import numpy as np
import pytest
from section_shapes import outline, placed

from cradle.project.section import Form, MeasuredSource, SectionSpec

LIKE = [(68.0, 24.0), (68.0, 28.0), (59.0, 28.0), (34.0, 25.0)]


def told(sizes, code="readings-exchanged"):
    """The sections of a stack of rectangles that are told as exchanged, or as something else."""
    sources = [MeasuredSource(form=Form.RECTANGLE, width_mm=w, depth_mm=d) for w, d in sizes]
    found = placed(
        [outline(np.array([[-w, -d], [w, -d], [w, d], [-w, d]]) / 2) for w, d in sizes],
        specs=[
            SectionSpec(name=f"s{i}", height_mm=5 + 12.0 * i, source=source)
            for i, source in enumerate(sources)
        ],
    )
    return [f.where for f in found.findings if f.code == code]


@pytest.mark.parametrize("odd", range(4))
def test_the_one_that_fits_its_neighbours_only_the_other_way_round_is_told(odd):
    found = told([size[::-1] if i == odd else size for i, size in enumerate(LIKE)])
    # the topmost, 34 by 25, is little different the other way round
    assert found == ([] if odd == 3 else [f'section "s{odd}"'])


@pytest.mark.parametrize(
    "sizes",
    [
        LIKE,
        [(60, 20), (30, 30), (20, 60)],
        [(40, 40), (80, 30), (40, 40)],
        [(60, 20)],
    ],
)
def test_shapes_that_change_are_not_told(sizes):
    assert told(sizes) == []


@pytest.mark.parametrize("mm", [10.0, 25.4])
@pytest.mark.parametrize("odd", [(0,), (1,), (2,), (0, 2)])
@pytest.mark.parametrize("axes", [(0,), (1,), (0, 1)])
def test_readings_in_another_unit_are_told(mm, odd, axes):
    sizes = [
        tuple(v / mm if i in odd and axis in axes else v for axis, v in enumerate(size))
        for i, size in enumerate(LIKE)
    ]
    assert told(sizes, "reading-unit-doubtful") == [f'section "s{i}"' for i in odd]


@pytest.mark.parametrize(
    "sizes", [LIKE, [(40, 40), (20, 20), (8, 8)], [(60, 20), (60, 4), (60, 20)], [(5, 5), (30, 30)]]
)
def test_what_narrows_is_not_in_another_unit(sizes):
    assert told(sizes, "reading-unit-doubtful") == []


@pytest.mark.parametrize(
    ("sizes", "at"),
    [
        ([(76.3, 76.4), (87.4, 78.3), (80.5, 80.6)], [1]),
        ([(62.0, 40.0), (60.0, 43.1), (57.0, 36.9)], []),
        ([(62.0, 40.0), (60.0, 83.9), (57.0, 36.9)], [1]),
        ([(76.3, 76.4), (87.4, 87.3), (80.5, 80.6)], []),  # it swells both ways
        ([(24.3, 30.2), (30.1, 40.2), (36.2, 44.1)], []),  # its form changes as much below
        (LIKE, []),
    ],
)
def test_a_reading_with_two_digits_exchanged_is_told(sizes, at):
    assert told(sizes, "digits-exchanged") == [f'section "s{i}"' for i in at]


GROWN = [(33.8, 23.9), (48.2, 34.1), (57.6, 40.7), (66.3, 46.9)]
"""About one and a half times as wide as deep."""


@pytest.mark.parametrize("axis", [0, 1])
@pytest.mark.parametrize(("low", "high"), [(0, 1), (0, 3), (1, 2), (2, 3)])
def test_two_sections_with_each_other_s_reading_are_told(low, high, axis):
    """Nothing was said of them, and a holder was advised."""
    sizes = [list(size) for size in GROWN]
    sizes[low][axis], sizes[high][axis] = sizes[high][axis], sizes[low][axis]
    assert told(sizes, code="sizes-swapped") == [f'section "s{low}"']
    assert told(sizes, code="digits-exchanged") == []


@pytest.mark.parametrize(
    "sizes", [GROWN, LIKE, [(40, 40), (80, 30), (40, 40), (30, 30)], GROWN[:2] + [(60, 60), (70, 70)]]
)
def test_shapes_that_change_are_not_told_as_swapped(sizes):
    assert told(sizes, code="sizes-swapped") == []
