"""What of a block is drawn in and behind a cut."""

import numpy as np
import pytest
from pockets import pocket_of
from seated import seated
from stacked import stacked

from cradle.drawing.holder_views import holder_views
from cradle.drawing.view import Placement, Stroke
from cradle.geometry.ring import extents
from cradle.holder.holder import make_holder
from cradle.project.block import BlockForm, BlockSpec

WEDGE = np.array([[-30.0, -20.0], [30.0, -20.0], [6.0, 20.0], [-6.0, 20.0]])
"""Wide at its front, narrow at its back."""


def front_cut(ring):
    """What is drawn of the cut from the front through a holder that hugs a straight thing: edges in view, what is cut."""
    pocket = pocket_of(stacked([0.0, 30.0], [ring, ring]), clearance_mm=0.4, top_mm=20.0)
    holder = make_holder(
        [pocket], block=BlockSpec(form=BlockForm.HUG, chamfer_mm=0.0), openings=[], under=np.zeros((1, 2))
    )
    _, cut, _ = holder_views(holder, [seated(pocket, {"low": 5.0})])
    edges = [line.points_mm for line in cut.lines if line.stroke is Stroke.EDGE]
    low, _, high, _ = cut.box_mm()
    assert all(height.at_mm[0] <= high + 0.02 for height in cut.heights)
    left = [one.start_mm[0] for one in cut.dimensions if one.placement is Placement.LEFT]
    assert min(left) >= low - 0.02
    return holder, edges, extents(np.concatenate(cut.material))


def test_what_lies_before_a_cut_is_not_drawn():
    """The rim was drawn as wide as the block is anywhere, out into the air beside the cut."""
    _, edges, cut = front_cut(WEDGE)
    low, _, high, _ = extents(np.concatenate(edges))
    assert (low, high) == pytest.approx((cut[0], cut[2]), abs=0.02)


def test_what_stands_out_behind_a_cut_is_drawn_down_to_the_bed():
    holder, edges, cut = front_cut((WEDGE * (1, -1))[::-1])
    low, base, high, top = extents(np.concatenate(edges))
    assert (base, top) == pytest.approx((0.0, holder.height_mm))
    assert low < cut[0] - 5
    assert high > cut[2] + 5
    corners = {tuple(point) for line in edges for point in np.round(line, 3).tolist()}
    assert {(round(x, 3), round(z, 3)) for x in (low, high) for z in (base, top)} <= corners
