from itertools import pairwise

import numpy as np
import pytest
import trimesh
from pockets import pocket_of, rings_at
from stacked import UP, circle, rectangle, slotted, stacked

from cradle.geometry import planar, region_measures
from cradle.geometry import solid as solids
from cradle.geometry.stack import stack_solid
from cradle.pocket.budget import FINEST
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.grow import grown_body
from cradle.pocket.level_heights import level_heights
from cradle.pocket.prepared_body import prepared


def grown(mesh, c):
    z0, z1 = mesh.vertices_mm[:, 2].min(), mesh.vertices_mm[:, 2].max()
    profile = clearance_profile([z0, z1], [None, None], default_mm=c)
    body = prepared(mesh)
    heights = level_heights(body.slopes, profile, top_mm=z1 + c, direction=UP)
    heights = np.unique(np.concatenate([np.linspace(a, b, 4) for a, b in pairwise(heights)]))
    levels = grown_body(body.shape, profile).levels(heights)
    kept = ~region_measures.empty(levels)
    return stack_solid(heights[kept], levels[kept], where="grown")


@pytest.mark.parametrize(
    ("mesh", "c", "volume"),
    [
        # V + S r + M r² + 4/3 pi r³ (Steiner); box: Putnam Competition 1984, problem A1
        (stacked([0, 4], [rectangle(6, 5)] * 2), 1.0, 319.3127),
        # cylinder R 20, h 50 and frustum 30 / 20 / 50: M from Pappus on the rims, checked with trimesh
        (stacked([0, 50], [circle(20)] * 2), 0.3, 65_502.806),
        (stacked([0, 50], [circle(20)] * 2), 1.0, 71_986.973),
        (stacked([0, 50], [circle(30), circle(20)]), 0.3, 103_148.860),
        (stacked([0, 50], [circle(30), circle(20)]), 1.0, 111_991.569),
    ],
)
def test_the_grown_volume_follows_steiners_formula(mesh, c, volume):
    # 0.1 % as the bar; a small body that is mostly edges may be 0.5 % too large, never too small
    made = solids.volume_mm3(grown(mesh, c))
    assert made == pytest.approx(volume, rel=5e-3 if volume < 1000 else 1e-3)
    assert made > volume * (1 - 2e-4)


@pytest.mark.slow
def test_growing_in_plan_only_would_give_too_little():
    # gap normal to a wall that leans by alpha is c cos(alpha) when each section is offset in its plane
    body = stacked([0, 50], [circle(30, points=240), circle(20, points=240)])
    c, alpha = 1.0, np.arctan(10 / 50)
    plan_only = stack_solid(
        np.array([-1.0, 51.0]),
        planar.offset(
            np.array(
                [planar.region(circle(30.2, points=240)), planar.region(circle(19.8, points=240))],
                dtype=object,
            ),
            c,
        ),
        where="plan",
    )
    inside = solids.solid(body, where="body")
    for made, least, most in ((plan_only, 0.975, c * np.cos(alpha) + 0.01), (grown(body, c), 0.995, 1.01)):
        shell = solids.difference(
            solids.extruded(rectangle(90, 90), low_mm=-5, high_mm=55, where="box"), [made], where="shell"
        )
        gap = solids.gap_mm(shell, inside, within_mm=2.0)
        assert least <= gap <= most


def test_a_level_keeps_its_distance_from_a_sharp_ridge_that_rises_slowly():
    # one section is wide where the next is deep: sharp ridges rise between their corners by 17 degrees
    mesh, c = stacked([0, 3, 30], [rectangle(50, 30), rectangle(36, 44), rectangle(20, 20)]), 3.0
    profile = clearance_profile([0, 30], [None, None], default_mm=c)
    heights = np.linspace(-2.0, 5.0, 36)
    body = prepared(mesh)
    assert ((body.slopes.edge_rises > 0.2) & (body.slopes.edge_rises < 0.4)).any()
    levels = grown_body(body.shape, profile).levels(heights)
    points = np.concatenate(rings_at(levels, heights))
    away = trimesh.proximity.closest_point(trimesh.Trimesh(mesh.vertices_mm, mesh.faces), points)[1]
    assert c - 0.003 <= away.min() <= away.max() <= c * 1.02


def test_growth_agrees_with_an_independent_minkowski_sum():
    import manifold3d

    mesh = stacked([0, 12], [rectangle(20, 10), rectangle(12, 14)])
    ours = solids.volume_mm3(grown(mesh, 1.0))
    ball = manifold3d.Manifold.sphere(1.0, 64)
    theirs = solids.solid(mesh, where="body").minkowski_sum(ball).volume()
    # the kernel's ball is inscribed, ours goes round: theirs is below, ours at most 0.5 % above
    assert theirs < ours < theirs * 1.005


def test_clearance_follows_the_sections_and_widens_between_them():
    profile = clearance_profile([0, 10, 30], [0.2, None, 0.6], default_mm=0.4, between_mm=0.5)
    assert profile.at(np.array([-5.0, 0, 10, 30, 99])).tolist() == pytest.approx([0.2, 0.2, 0.4, 0.6, 0.6])
    assert profile.at(np.array([20.0]))[0] == pytest.approx(0.5 + 0.5)
    assert profile.least_mm == 0.2
    # 0.4 + 0.2 t + 2 t (1 − t) is greatest at t = 0.55
    assert profile.greatest_mm == pytest.approx(1.005)


@pytest.mark.parametrize("upper", [rectangle(30, 20), np.roll(rectangle(24, 26), 1, axis=0)])
def test_the_room_between_two_sections_is_there_however_tall_the_faces_are(upper):
    # two sections alone: a face leads all the way from one to the other, the clearance rises and falls in between
    mesh = stacked([0, 40], [rectangle(30, 20), upper])
    profile = clearance_profile([0, 40], [0.3, 0.5], default_mm=0.0, between_mm=1.6)
    heights = np.linspace(3.0, 37.0, 35)
    levels = grown_body(prepared(mesh).shape, profile).levels(heights)
    points = np.concatenate(rings_at(levels, heights))
    nearest, away, _ = trimesh.proximity.closest_point(trimesh.Trimesh(mesh.vertices_mm, mesh.faces), points)
    short = profile.at(nearest[:, 2]) - away
    assert short.max() < FINEST.between_mm
    if (
        upper[0, 0] == -15.0
    ):  # upright: no more than asked but for the outline, the chords and the rise of the clearance
        assert short.min() > -0.1


def test_a_narrow_slot_in_the_body_is_bridged_only_where_the_clearance_fills_it():
    slot = 1.0
    mesh = stacked([0, 20], [slotted(slot)] * 2)
    inside = np.array([[25.0, 10 + slot / 2]])
    for c, bridged in ((0.4, False), (0.6, True)):
        profile = clearance_profile([0, 20], [None, None], default_mm=c)
        (level,) = grown_body(prepared(mesh).shape, profile).levels(np.array([10.0]))
        assert region_measures.inside(inside, level)[0] == bridged


def ball(radius, *, step_deg=3.0, points=180):
    """A ball of flat facets, its corners on the sphere."""
    angle = np.radians(np.arange(-90 + step_deg, 90, step_deg))
    return stacked(radius * np.sin(angle), [circle(radius * np.cos(a), points=points) for a in angle])


@pytest.mark.parametrize("c", [1.0, 3.0])
def test_a_ball_grows_to_the_ball_of_the_larger_radius(c):
    """A ball of radius R dilated by one of radius c is the ball of radius R + c: at z a circle of √((R + c)² − z²)."""
    radius, step, points = 20.0, 3.0, 180
    mesh = ball(radius, step_deg=step, points=points)
    # the facets lie at most this far within the sphere
    flat = radius * (1 - np.cos(np.radians(step / 2)) * np.cos(np.pi / points))
    heights = np.linspace(-15.0, 15.0, 61)
    profile = clearance_profile([-radius, radius], [None, None], default_mm=c)
    levels = grown_body(prepared(mesh).shape, profile).levels(heights)
    rings = rings_at(levels, heights)
    corners = np.concatenate(rings)
    middles = np.concatenate([(ring + np.roll(ring, 1, axis=0)) / 2 for ring in rings])
    assert np.linalg.norm(corners, axis=1).max() <= radius + c * 1.01 + 0.01
    assert np.linalg.norm(middles, axis=1).min() >= radius + c - flat - 0.001
    # and against the facets themselves, but for what chords of arcs may take away
    away = trimesh.proximity.closest_point(trimesh.Trimesh(mesh.vertices_mm, mesh.faces), middles[::7])[1]
    assert away.min() >= c - 4 * FINEST.arc_mm


def test_an_even_stretch_asks_for_no_levels_but_for_a_way_out_that_leads_aside():
    low = [[0, 5, 10], [circle(20), circle(16), circle(18)]]
    short, tall = (stacked([*low[0], top], [*low[1], circle(18)]) for top in (12, 2000))
    even = clearance_profile([0, 5, 10], [None, None, None], default_mm=0.4)
    wide = clearance_profile([0, 2000], [0.4, 0.9], default_mm=0.4)
    aside = np.array([0.0, 0.6, 0.8])

    def levels(mesh, profile, direction=UP):
        top = float(mesh.vertices_mm[:, 2].max())
        return level_heights(prepared(mesh).slopes, profile, top_mm=top, direction=direction)

    assert len(levels(tall, even)) <= len(levels(short, even)) + 3
    below = [np.diff(heights[heights < 9]) for heights in (levels(short, even), levels(tall, even))]
    assert below[1].max() <= below[0].max() + 1e-6
    # 3/4 mm aside for each mm up: no wall moves by more than 1.5 mm from one level to the next
    assert np.diff(levels(tall, even, aside)).max() == pytest.approx(2.0, abs=0.01)
    # where the clearance grows the wall leans
    assert np.diff(levels(tall, wide)).max() <= 2.0 + 1e-9


def test_a_crumpled_body_is_begun_with_some_two_hundred_levels_and_keeps_its_gap():
    """Steps between them follow from what the wall would cut; 500 heights of a skin asked for as many levels."""
    heights = np.linspace(0, 60, 500)
    rough = 15 + 0.05 * np.random.default_rng(1).standard_normal(500)
    mesh = stacked(heights, [circle(r, points=24) for r in rough])
    body, profile = prepared(mesh), clearance_profile([0, 60], [None, None], default_mm=0.5)
    asked = level_heights(body.slopes, profile, top_mm=55.0, direction=UP)
    assert 100 < len(asked) <= 202
    pocket = pocket_of(mesh, clearance_mm=0.5 + FINEST.margin_mm, top_mm=55.0)
    wall = solids.layer(solids.surroundings(pocket.solid, margin_mm=2.0), low_mm=-2.0, high_mm=55.0)
    assert solids.gap_mm(wall, solids.transformed(body.solid, pocket.stand_from_thing), within_mm=1.0) >= 0.5


def test_a_height_asked_for_again_is_not_cut_again():
    made = grown_body(
        prepared(stacked([0, 20], [circle(12), circle(9)])).shape,
        clearance_profile([0.0, 20.0], [None, None], default_mm=0.5),
    )
    low, high = made.levels(np.array([5.0, 15.0]))
    again = made.levels(np.array([15.0, 10.0, 5.0, 10.0]))
    assert again[0] is high
    assert again[2] is low
    areas = region_measures.area_mm2(again)
    assert areas[0] < areas[1] == areas[3] < areas[2]
    assert made.levels(np.zeros(0)).shape == (0,)
