"""The turn from which the estimate starts: the one at which an outline is as wide and as deep as was read."""

import numpy as np
import pytest
import shapely
from section_shapes import pebble, spec
from shapely import affinity
from sheet_stacks import box

from cradle.geometry.ring import size, turned
from cradle.placing.evidence import starting_turn
from cradle.placing.ways import turned_sizes
from cradle.project.fit import SpreadSpec
from cradle.sections.laid import Laid
from cradle.sections.sizes import Sizes


def test_a_turned_outline_is_as_wide_and_deep_as_shapely_says():
    angles = np.radians([-10.0, -2.5, 0.0, 4.0, 10.0])
    ring = pebble()
    bounds = [
        affinity.rotate(shapely.Polygon(ring), angle, use_radians=True, origin=(0, 0)).bounds
        for angle in angles
    ]
    expected = [(x1 - x0, y1 - y0) for x0, y0, x1, y1 in bounds]
    assert turned_sizes(ring, angles_rad=angles) == pytest.approx(np.array(expected), abs=1e-9)


@pytest.mark.parametrize("askew_deg", [-6.0, 3.5])
def test_the_start_is_the_turn_at_which_width_and_depth_are_as_read(askew_deg):
    true = box()
    askew = turned(true, angle_deg=askew_deg)
    laid = Laid(
        spec=spec(),
        ring=askew,
        middle_mm=np.zeros(2),
        settled_rad=np.radians(5.0),
        lines=(),
        exact=False,
    )
    sizes = Sizes(traced_mm=size(askew), read_mm=size(true), seen_mm=(None, None))
    turn, scale = starting_turn(laid, sizes=sizes, spread=SpreadSpec())
    assert np.degrees(turn) == pytest.approx(-askew_deg, abs=0.5)
    assert scale == pytest.approx((1.0, 1.0), abs=0.01)
