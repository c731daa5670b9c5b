"""Cutting that would take minutes is refused before the body is grown."""

import numpy as np
import pytest
from pockets import make_pocket
from stacked import UP, circle, egg, stacked

from cradle.errors import PocketError
from cradle.pocket import level_heights
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.level_heights import crossed_facets
from cradle.pocket.prepared_body import prepared
from cradle.pocket.slices import pocket_slices

ASKED = clearance_profile([0.0], [None], default_mm=0.4)


def test_a_wall_of_so_many_quads_is_crossed_by_two_facets_of_each():
    can = stacked([0, 10, 30], [circle(20, points=90), circle(25, points=90), circle(25, points=90)])
    crossed = crossed_facets(can, heights_mm=np.array([-1.0, 5.0, 20.0, 31.0]))
    assert crossed.tolist() == [0, 180, 180, 0]


def test_too_much_cutting_is_refused_for_a_pocket_and_for_its_slices(monkeypatch):
    body = prepared(egg())
    monkeypatch.setattr(level_heights, "MOST_CROSSED", 1000)
    told = (
        r"pocket: it would be cut at \d+ heights from outlines of \d+ points each, [\d,]+ in all, up to 1,000"
    )
    with pytest.raises(PocketError, match=told):
        make_pocket(body, clearance=ASKED, direction=UP, top_mm=28)
    with pytest.raises(PocketError, match=told):
        pocket_slices(body, heights_mm=[20.0], thickness_mm=2.4, clearance=ASKED, direction=UP)
