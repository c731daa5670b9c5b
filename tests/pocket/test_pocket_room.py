"""Room made where a pocket is tight: there, all the way out, and nowhere else."""

from dataclasses import replace

import numpy as np
import pytest
from daily import each_value_daily
from pockets import pocket_of
from stacked import circle, stacked

from cradle.geometry import region_measures
from cradle.geometry import solid as solids
from cradle.geometry.mesh import corners
from cradle.pocket import room
from cradle.pocket.budget import FINEST
from cradle.pocket.room import _room, with_room

CLEARANCE_MM = 0.5
GIVEN_MM = CLEARANCE_MM + FINEST.margin_mm  # what a pocket is made with
TIN = stacked([0, 40], [circle(15), circle(15)])
SLOPE = 0.25
LEANING = stacked([0, 40], [circle(15), circle(15) + [40 * SLOPE, 0]])


def wall(pocket):
    """A block around the pocket that ends at its top."""
    around = solids.surroundings(pocket.solid, margin_mm=3.0)
    return solids.layer(around, low_mm=pocket.bottom_mm - 2, high_mm=pocket.top_mm)


def gap(pocket, mesh):
    """The least gap of a thing in its pocket."""
    body = solids.transformed(solids.solid(mesh), pocket.stand_from_thing)
    return solids.gap_mm(wall(pocket), body, within_mm=2.0)


def dented(pocket, *, at, by_mm):
    """The pocket with a crumb of its wall left in it that reaches ``by_mm`` into the gap, at a place on the thing's skin."""
    x, y, z = at
    outward = np.array([x, y]) / np.hypot(x, y)
    tip = np.array([*(np.array([x, y]) + outward * (CLEARANCE_MM - by_mm)), z])
    crumb = solids.hull(
        np.array([tip, *(tip + [*(outward * 3), 0] + 2 * np.eye(3)), tip + [*(outward * 3), -2]])
    )
    return replace(pocket, solid=solids.difference(pocket.solid, [crumb]))


@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("mesh", "way", "lean_deg", "by_mm"),
    each_value_daily(
        [(TIN, (0, 0, 1), 0.0), (LEANING, (SLOPE, 0, 1), 0.0), (TIN, (0, 0, 1), 8.0)], [0.1, 0.5]
    ),
)
def test_a_tight_spot_gets_its_clearance_all_the_way_out_and_the_rest_stays(mesh, way, lean_deg, by_mm):
    direction = np.array(way) / np.linalg.norm(way)
    whole = pocket_of(mesh, clearance_mm=GIVEN_MM, direction=direction, lean_deg=lean_deg)
    on_skin = [15 + SLOPE * 12, 0, 12] if mesh is LEANING else [15, 0, 12]
    tight = dented(whole, at=(whole.stand_from_thing @ [*on_skin, 1])[:3], by_mm=by_mm)
    assert gap(whole, mesh) >= CLEARANCE_MM
    assert gap(tight, mesh) < CLEARANCE_MM - 0.5 * by_mm
    made = with_room(tight, solids.solid(mesh), least_mm=CLEARANCE_MM)
    assert gap(made, mesh) >= CLEARANCE_MM
    # no more is new than a groove from the crumb up along the way out, as deep as the facets of its ball
    assert solids.volume_mm3(solids.difference(made.solid, [whole.solid])) < 10.0
    body = solids.transformed(solids.solid(mesh), made.stand_from_thing)
    for travel in np.linspace(0, 30, 11):
        assert solids.overlap_mm3(wall(made), solids.moved(body, made.direction * travel)) < 1e-6


def test_its_levels_have_the_room_too():
    whole = pocket_of(TIN, clearance_mm=GIVEN_MM)
    ribbed = circle(15)
    ribbed[0] *= 1.02  # 0.3 mm out, all the way up
    made = with_room(whole, solids.solid(stacked([0, 40], [ribbed, ribbed])), least_mm=CLEARANCE_MM)
    inner = slice(10, -1)  # those below stand round the foot
    cut = solids.cut_regions(made.solid, made.heights_mm[inner])
    assert np.all(
        region_measures.area_mm2(made.levels[inner]) > region_measures.area_mm2(whole.levels[inner]) + 0.1
    )
    assert region_measures.area_mm2(made.levels[inner]) == pytest.approx(
        region_measures.area_mm2(cut), rel=1e-4
    )


def test_a_pocket_with_room_enough_stays_as_it_is():
    whole = pocket_of(TIN, clearance_mm=GIVEN_MM)
    assert with_room(whole, solids.solid(TIN), least_mm=CLEARANCE_MM) is whole


def test_room_holds_a_spot_where_it_holds_every_corner_of_the_spot_and_the_ball_around_it():
    rng, told = np.random.default_rng(3), []
    ball = solids.around_ball(0.3, within_mm=0.01)
    points = (rng.uniform(-1, 1, (8, 1, 3)) + solids.around_ball(0.5, within_mm=0.01)).reshape(-1, 3)
    made = _room(points, top_mm=6.0, direction=np.array([0.1, 0.0, 1.0]), around=ball)
    faces = corners(solids.mesh_of(made.solid))
    outs = np.einsum("fi,fi->f", made.normals, faces[:, 0])
    for _ in range(200):
        spot = rng.uniform(-1, 1, (6, 3)) * rng.uniform(0, 1) + [0.0, 0.0, rng.uniform(-0.5, 3.0)]
        every = (spot[:, None] + ball).reshape(-1, 3)
        told.append(made.holds(spot))
        assert told[-1] == bool((every @ made.normals.T <= outs).all())
    assert 20 < sum(told) < 180


def test_a_spot_of_which_all_pieces_are_measured_too_far_is_found_by_another_cut(monkeypatch):
    """The kernel told 0.501 mm of both halves of a part that is 0.480 mm away (checked triangle by triangle)."""
    body = solids.extruded(np.array([[0.0, 0.0], [8.0, 0.0], [8.0, 8.0], [0.0, 8.0]]), low_mm=0, high_mm=4)
    wall = solids.extruded(np.array([[8.4, 3.9], [9.0, 3.9], [9.0, 4.1], [8.4, 4.1]]), low_mm=0, high_mm=4)
    real, told = room.gap_mm, []

    def too_far_of_the_first_pieces(a, b, *, within_mm):
        told.append(b)
        return within_mm if len(told) <= room._PIECES else real(a, b, within_mm=within_mm)

    monkeypatch.setattr(room, "gap_mm", too_far_of_the_first_pieces)
    assert room._tight(body, wall, least_mm=0.5)
