"""The clearance that the chance takes for granted at each place, against the pocket as made."""

import numpy as np
import pytest
from pockets import make_pocket
from stacked import UP, body_of, circle, stacked, unit

from cradle.fit.places import places_on
from cradle.geometry.region_measures import distances_to_boundary
from cradle.geometry.solid import cut_regions
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.prepared_body import prepared

HEIGHTS = [0.0, 20.0, 40.0]
FURTHER_MM = 1.2
MISSED_MM = FURTHER_MM / 9
"""Levels at a third and two thirds of a gap have eight ninths of the further clearance that is half way between."""
NEAR_MM = 0.07
"""What the pocket is made wider by for its flat facets, and what a cone's wall does at an edge."""


def gaps_and_beliefs(radii, *, direction=UP, between_mm=(FURTHER_MM, 0.0), given_mm=(0.4, 0.3, 0.5)):
    """Height, gap in the pocket and what is believed of it at every place of a round thing, mm."""
    mesh = stacked(HEIGHTS, [circle(r) for r in radii])
    places = places_on(
        body_of(mesh),
        section_heights_mm=HEIGHTS,
        stand_from_thing=np.eye(4),
        top_mm=38.0,
        direction=direction,
    )
    clearance = clearance_profile(HEIGHTS, list(given_mm), default_mm=0.0, between_mm=np.array(between_mm))
    pocket = make_pocket(prepared(mesh), clearance=clearance, direction=direction, top_mm=38.0)
    aslant = np.linalg.norm(places.normals[:, :2], axis=1)
    wall = cut_regions(pocket.solid, places.heights_mm - 1e-3)
    gap = np.array(
        [
            distances_to_boundary(point[None, :2], wall[level])[0]
            for point, level in zip(places.points_mm, places.levels.tolist(), strict=True)
        ]
    )
    believed = places.clearances_mm(clearance.at(places.heights_mm)) + places.room_mm
    inside = (places.z_mm > 1) & (places.z_mm < 37)
    return places.z_mm[inside], (gap * aslant)[inside], believed[inside]


@pytest.mark.first_daily
@pytest.mark.parametrize(
    "radii",
    [(20, 20, 20), (19, 20, 21), (20, 19.5, 20), (17, 20, 20)],
    ids=["straight", "wider above", "a waist", "straight above a cone"],
)
def test_clearance_below_is_carried_up_as_the_pocket_has_it(radii):
    _, gap, believed = gaps_and_beliefs(radii)
    assert len(gap) > 100
    assert (believed <= gap + NEAR_MM).all()
    assert (believed >= gap - MISSED_MM - NEAR_MM).all()


def test_along_a_slanted_way_out_it_is_carried_to_the_side_where_that_leads():
    _, gap, believed = gaps_and_beliefs((20, 20, 20), direction=unit(0.05, 0, 1))
    assert (believed <= gap + NEAR_MM).all()
    assert np.median(gap - believed) < MISSED_MM


def test_beside_an_upright_wall_all_above_has_the_room_that_is_given_below():
    z, gap, believed = gaps_and_beliefs((20, 20, 20))
    there = 0.35 + FURTHER_MM  # half way between 0.4 and 0.3; up there 0.3 to 0.5 were asked for
    assert gap[z > 22] == pytest.approx(there, abs=NEAR_MM)
    assert believed[z > 22] == pytest.approx(there - MISSED_MM, abs=NEAR_MM)


def test_an_even_clearance_is_had_everywhere_as_asked():
    _, gap, believed = gaps_and_beliefs((19, 20, 21), between_mm=(0.0, 0.0), given_mm=(0.4, 0.4, 0.4))
    assert believed == pytest.approx(0.4, abs=1e-12)
    assert gap == pytest.approx(0.4, abs=NEAR_MM)
