"""Pockets side by side."""

import numpy as np
import pytest
from pockets import make_pocket
from stacked import UP, circle, rectangle, stacked

from cradle.geometry.region_measures import bounds
from cradle.geometry.solid import box_mm
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.prepared_body import prepared
from cradle.pocket.row import put_in_row


def pocket_of(mesh, c=0.5):
    top = mesh.vertices_mm[:, 2].max()
    return make_pocket(
        prepared(mesh),
        clearance=clearance_profile([0, top], [None, None], default_mm=c),
        direction=UP,
        top_mm=20.0,
    )


def test_neighbours_are_a_gap_apart_and_the_first_stays():
    meshes = [
        stacked([0, 40], [rectangle(30, 20)] * 2),
        stacked([0, 40], [circle(9, points=90) + [50, 3]] * 2),
    ]
    pockets = [pocket_of(mesh) for mesh in meshes]
    first, second, third = put_in_row([*pockets, pockets[0]], [*meshes, meshes[0]], gap_mm=4.0)
    assert first is pockets[0]
    edges = [bounds(one.plan()) for one in (first, second, third)]
    assert edges[1][0] - edges[0][2] == pytest.approx(4.0, abs=0.02)
    assert edges[2][0] - edges[1][2] == pytest.approx(4.0, abs=0.02)
    assert np.ptp(edges[2][[0, 2]]) == pytest.approx(31, abs=0.02)
    # what is cut out goes along, and so does the thing
    assert box_mm(second.solid)[0][0] == pytest.approx(edges[1][0], abs=0.02)
    assert (second.stand_from_thing[0, 3] - pockets[1].stand_from_thing[0, 3]) == pytest.approx(
        edges[1][0] - bounds(pockets[1].plan())[0]
    )


def test_a_thing_wider_above_the_block_needs_its_room_there():
    """20 mm wide in the block, 60 mm above it: neighbours stand 30 + 30 + gap apart, middle to middle."""
    mesh = stacked([0, 25, 50], [rectangle(20, 20), rectangle(20, 20), rectangle(60, 20)])
    one, two = put_in_row([pocket_of(mesh)] * 2, [mesh] * 2, gap_mm=5.0)
    assert two.stand_from_thing[0, 3] - one.stand_from_thing[0, 3] == pytest.approx(65.0)
