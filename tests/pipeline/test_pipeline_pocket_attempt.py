"""One thing's pocket from attempt to attempt."""

from dataclasses import replace

import pytest
import shapely
from prism import INSIDE_ERROR_MM, grown_area_mm2, prism_row

from cradle.errors import InputError
from cradle.pipeline.pocket_attempt import finished_attempt, rough_attempt
from cradle.pocket.budget import FINEST


@pytest.fixture(scope="module")
def attempt():
    return finished_attempt(rough_attempt(prism_row().things[0], clearance_mm=None))


def area_at(attempt, height):
    return shapely.area(attempt.pocket.level_at(height))


def test_the_pocket_is_the_outline_grown_by_clearance_inside_error_and_facets(attempt):
    gap = 0.4 + INSIDE_ERROR_MM
    assert attempt.asked.least_mm == pytest.approx(0.4)
    assert attempt.wanted.least_mm == pytest.approx(gap)
    half_way = area_at(attempt, 15.0)
    assert grown_area_mm2(gap) < half_way < grown_area_mm2(gap + 2 * FINEST.margin_mm)


def test_an_inside_error_that_leaves_no_gap_is_refused():
    (model,) = prism_row().things
    tight = replace(
        model, project=replace(model.project, printer=replace(model.project.printer, inside_error_mm=-0.5))
    )
    with pytest.raises(InputError, match=r"a clearance of 0.4 mm .* 0.1 mm per side smaller than the thing"):
        rough_attempt(tight, clearance_mm=None)
