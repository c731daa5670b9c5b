"""The way out of bodies whose columns cross between their levels."""

import numpy as np
import pytest
from stacked import ellipse, stacked

from cradle.loft.body import Body
from cradle.pocket.way_out import least_undercut_mm, way_out
from cradle.project.block import BlockSpec
from cradle.project.convert import AUTO


@pytest.fixture
def knotted():
    """A can of radius 20 that is 40 mm tall; around 25 mm up its columns lead crosswise to every 49th place of the ring."""
    ring = ellipse(20, 20, points=120)
    crossed = ring[np.arange(120) * 49 % 120]
    return Body(
        heights_mm=np.array([0.0, 10.0, 25.0, 40.0]),
        rings_mm=np.stack([ring, ring, crossed, ring]),
        mesh=stacked([0, 40], [ring, ring]),
        section_error_mm=0.0,
        extended_mm=(0.0, 0.0),
    )


@pytest.mark.slow
def test_columns_that_cross_do_not_hinder_the_search_for_a_way_out(knotted):
    up = way_out(knotted, asked=AUTO, block=BlockSpec(height_mm=40.0))
    assert up[2] > 0.7
    assert 0 <= least_undercut_mm(knotted, block=BlockSpec(height_mm=40.0)) < 20
