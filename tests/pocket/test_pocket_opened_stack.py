import shutil

import numpy as np
import pytest
import trimesh
from daily import each_value_daily
from made_demos import DEMOS
from stacked import circle, egg, ellipse, rectangle, stacked

from cradle.geometry import planar, region_measures
from cradle.geometry import solid as solids
from cradle.geometry.mesh import corners
from cradle.pipeline.modelling import model_thing
from cradle.pocket import opened_stack as stacks
from cradle.pocket.budget import FINEST
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.grow import grown_body
from cradle.pocket.level_heights import level_heights
from cradle.pocket.opened_stack import begun_stack, finished_stack, stack_of
from cradle.pocket.prepared_body import prepared
from cradle.pocket.sweep import Sweep
from cradle.project.reader import read_project
from cradle.tolerances import TOLERANCES

UP = np.array([0.0, 0.0, 1.0])


def opened_stack(grown, *, heights_mm, direction):
    """The opened body, begun at some heights and finished."""
    return finished_stack(grown, begun_stack(grown, heights_mm=heights_mm, direction=direction))


def opened(mesh, c, heights=None):
    """The solid that a pocket for the body is: grown, opened straight up, with levels where they are needed."""
    z0, z1 = mesh.vertices_mm[:, 2].min(), mesh.vertices_mm[:, 2].max()
    profile = clearance_profile([z0, z1], [None, None], default_mm=c)
    body = prepared(mesh)
    if heights is None:
        heights = level_heights(body.slopes, profile, top_mm=z1, direction=UP)
    stack = opened_stack(grown_body(body.shape, profile), heights_mm=heights, direction=UP)
    return stack.solid_up_to(z1 + 9)


def around(mesh, hollow):
    """A block around a body up to its top, less a hollow."""
    low, high = mesh.vertices_mm.min(axis=0) - 5, mesh.vertices_mm.max(axis=0) + 5
    outline = np.array([[low[0], low[1]], [high[0], low[1]], [high[0], high[1]], [low[0], high[1]]])
    block = solids.extruded(outline, low_mm=low[2], high_mm=high[2] - 5, where="block")
    return solids.difference(block, [hollow], where="shell")


LATITUDES = np.radians(np.arange(-87.0, 1.0, 3.0))

BODIES = {
    "egg": egg(),
    "leaning egg": egg(lean=0.4),
    "waist": stacked([0, 10, 30], [rectangle(40, 30), rectangle(20, 34), rectangle(42, 42)]),
    "nine sides": stacked([0, 20], [circle(20, points=9), circle(9, points=9) + [4, 0]]),
}


@pytest.mark.parametrize(("name", "c"), each_value_daily(BODIES, [0.1, 0.35, 1.0]))
def test_the_gap_is_never_less_than_asked(name, c):
    mesh = BODIES[name]
    made = opened(mesh, c)
    gap = solids.gap_mm(around(mesh, made), solids.solid(mesh, where="body"), within_mm=2 * c)
    # a pocket is made wider by the margin, and may fall short by the tolerance
    assert c - FINEST.margin_mm - TOLERANCES.clearance_mm <= gap <= c * 1.02 + FINEST.outline_mm


WIDENING = {
    "half ball": stacked(
        20 * np.sin(LATITUDES), [circle(20 * np.cos(angle), points=90) for angle in LATITUDES]
    ),
    "cone": stacked([0, 20], [circle(9, points=90), circle(20, points=90) + [3, 0]]),
    "prism": stacked([0, 20], [rectangle(20, 30), rectangle(20, 30)]),
    "flange": stacked(
        [0, 9.997, 9.998, 20],
        [circle(10, points=90)] * 2 + [circle(14, points=90) + [4, 0]] * 2,
    ),
    "ledges": stacked(
        [0, 5, 5.02, 12, 12.05, 20],
        [rectangle(*size) for size in [(10, 10), (10, 10), (20, 14), (20, 14), (30, 30), (31, 31)]],
    ),
}


@pytest.mark.parametrize(("name", "c"), each_value_daily(WIDENING, [0.1, 0.35, 1.0]))
def test_the_gap_is_nowhere_much_more_than_asked_where_nothing_has_to_pass(name, c):
    # the grown body's surface is everywhere as far from the body as its ball is large; these bodies come straight out of it
    mesh = WIDENING[name]
    hollow = solids.mesh_of(opened(mesh, c))
    places = np.concatenate([hollow.vertices_mm, corners(hollow).mean(axis=1)])
    places = places[places[:, 2] < mesh.vertices_mm[:, 2].max() - 1e-6]
    body = trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False)
    away = trimesh.proximity.closest_point(body, places)[1]
    assert away.max() <= c + 0.06


def test_levels_are_put_in_where_a_straight_wall_would_cut_the_grown_body():
    # half a ball on its pole: from three levels alone the wall would cut it by several millimetres
    mesh = WIDENING["half ball"]
    z0 = mesh.vertices_mm[:, 2].min()
    coarse = np.array([z0 - 0.5, z0 + 10, 0.0])
    gap = solids.gap_mm(
        around(mesh, opened(mesh, 0.5, coarse)), solids.solid(mesh, where="ball"), within_mm=1.0
    )
    assert gap >= 0.5 + FINEST.outline_mm - 4 * FINEST.arc_mm - FINEST.bulge_mm


@pytest.mark.parametrize("direction", [(0.0, 0.0, 1.0), (0.3, 0.0, 1.0)])
def test_levels_put_in_are_carried_up_along_the_way_out(direction):
    # a spinning top: widest half way up, so that all above must be as wide
    mesh = stacked([0, 10, 20], [circle(8, points=60), circle(14, points=60), circle(8, points=60)])
    body, way = prepared(mesh), np.array(direction) / np.linalg.norm(direction)
    profile = clearance_profile([0, 20], [None, None], default_mm=0.5)
    stack = opened_stack(
        grown_body(body.shape, profile), heights_mm=np.array([-0.4, 6.0, 13.0, 20.0]), direction=way
    )
    assert len(stack.heights_mm) > 4
    slope = way[:2] / way[2]
    for k in range(1, len(stack.heights_mm)):
        below = planar.shifted(stack.opened[k - 1], slope * (stack.heights_mm[k] - stack.heights_mm[k - 1]))
        assert region_measures.nearly_covers(stack.opened[k], below, within_mm=0.01)
    widest = np.sqrt(region_measures.area_mm2(stack.opened[-1]) / np.pi)
    assert widest > 14.4


@pytest.mark.parametrize("slope", [(0.35, 0.1), (-0.02, 0.9)])
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_between_levels_too_nothing_juts_into_a_slanted_way_out(slope, share):
    # a foot wider than the thing above it: its rim moves along the way, the back of what is above stays where it is
    foot, above = planar.region(circle(20)), planar.region(circle(14, squash=0.8) + [3, 1])
    move = np.array(slope) * 1.5 / np.hypot(*slope)
    stack = stack_of(
        np.array([foot, *[above] * 19], dtype=object),
        heights_mm=np.arange(20) * 1.5 / np.hypot(*slope),
        sweep=Sweep.along(np.array([*slope, 1.0])),
    )
    lows = stack.opened[:-1]
    walls = stack.joining.walls(lows, stack.opened[1:], rises_mm=np.diff(stack.heights_mm))
    assert not walls.steps.any()
    for wall, passing in zip(walls.sections(share), planar.shifted(lows, share * move), strict=True):
        assert region_measures.nearly_covers(wall, passing, within_mm=FINEST.swept_mm)


def test_a_slab_too_low_to_be_divided_is_no_narrower_than_the_body_needs_and_no_other_is_wider():
    # a cylinder with a flange to one side, whose underside lies in a slab of 0.018 mm
    wide = circle(14) + [4, 0]
    mesh = stacked([0, 9.997, 9.998, 20], [circle(10), circle(10), wide, wide])
    body = prepared(mesh)
    profile = clearance_profile([0, 20], [None, None], default_mm=0.0)
    stack = opened_stack(
        grown_body(body.shape, profile),
        heights_mm=np.array([1.0, 9.99, 10.008, 20.0]),
        direction=UP,
    )
    assert stack.upright.tolist() == [False, True, False]
    heights = np.array([5.0, 10.0])
    walls, own = (solids.cut_regions(one, heights) for one in (stack.solid_up_to(21.0), solids.solid(mesh)))
    assert np.all(region_measures.area_mm2(planar.without(own, walls)) < 0.1)
    all_round = FINEST.outline_mm * region_measures.perimeter_mm(own[0])
    assert region_measures.area_mm2(planar.without(walls[0], own[0])) < all_round


def test_a_notch_of_the_wall_half_way_up_wants_a_level_however_narrow_it_is():
    # both levels are whole; that between them has a spike back and forth, so that the wall between is notched 3 mm deep
    plate = [[0, 0], [20, 0], [20, 20], [10.01, 20], [10, 17], [9.99, 20], [0, 20]]
    notched = planar.region(np.array(plate, dtype=float))
    whole = planar.region(rectangle(20, 20) + [10, 10])
    levels = np.array([notched, notched], dtype=object)
    stack = stack_of(levels, heights_mm=np.array([0.0, 1.0]), sweep=Sweep.along(UP))
    slab = stacks._slabs(stack, np.array([0]))
    wall = slab.walls.sections(0.5)
    assert slab.cut(wall, np.array([whole], dtype=object), share=0.5)
    assert not slab.cut(wall, levels[:1], share=0.5)


def test_a_slabs_lean_is_its_slope_however_tall_it_is():
    # a square funnel that widens by 1 mm a side in 2 mm up: what reaches into its wall may lie 0.5 mm aside for each mm up
    heights = np.array([0.0, 0.5, 4.0, 10.0])
    levels = np.array([planar.region(rectangle(20 + z, 20 + z)) for z in heights], dtype=object)
    stack = stack_of(levels, heights_mm=heights, sweep=Sweep.along(UP))
    assert stacks._slabs(stack, np.arange(3)).lean == pytest.approx([0.5, 0.5, 0.5], abs=1e-6)


@pytest.mark.slow
def test_a_wall_that_leans_far_more_at_one_side_than_at_another_has_few_levels_and_keeps_the_gap():
    # a dish: its wall rises 1 mm in 19 at the ends and in 1.4 at the sides; by the steep sides' measure there were 567 levels
    mesh = stacked([0, 20], [ellipse(15, 2.5, points=240), ellipse(400, 30, points=240)])
    body, profile = prepared(mesh), clearance_profile([0, 20], [None, None], default_mm=0.35)
    heights = level_heights(body.slopes, profile, top_mm=20.0, direction=UP)
    stack = opened_stack(grown_body(body.shape, profile), heights_mm=heights, direction=UP)
    assert len(stack.heights_mm) < 2 * len(heights)
    block = solids.extruded(rectangle(820, 80), low_mm=-5.0, high_mm=20.0)
    holder = solids.difference(block, [stack.solid_up_to(21.0)])
    gap = solids.gap_mm(holder, solids.solid(mesh), within_mm=0.5)
    assert gap >= 0.35 - FINEST.margin_mm - TOLERANCES.clearance_mm


TRACED = """
[object]
name = "two sections as traced"
[[section]]
name = "low"
height = 2.0
outline = "outlines/low-half.csv"
half = true
[[section]]
name = "top"
height = 44.0
outline = "outlines/top.csv"
[fit]
clearance = 0.4
[block]
height = 8.0
"""


@pytest.mark.slow
def test_where_fine_corners_wander_along_the_outline_levels_stay_few_and_the_gap_is_kept(tmp_path):
    # tracings have corners at every pixel: between two sections far apart they wander along the outline as it rises,
    # and the clearance, growing there, keeps them; divided until the wall clears them there would be 160 levels
    shutil.copytree(DEMOS / "ocarina" / "outlines", tmp_path / "outlines")
    (tmp_path / "holder.toml").write_text(TRACED)
    mesh = model_thing(read_project(tmp_path / "holder.toml")).body.mesh
    profile = clearance_profile([2.0, 44.0], [None, None], default_mm=0.4, between_mm=1.5)
    body = prepared(mesh)
    heights = level_heights(body.slopes, profile, top_mm=8.0, direction=UP)
    stack = opened_stack(grown_body(body.shape, profile, up_to_mm=8.0), heights_mm=heights, direction=UP)
    assert len(stack.heights_mm) < 3 * len(heights)
    made = stack.solid_up_to(9.0)
    block = solids.extruded(rectangle(90, 80), low_mm=-9.0, high_mm=8.0, where="block")
    holder = solids.difference(block, [made], where="holder")
    gap = solids.gap_mm(holder, solids.solid(mesh, where="body"), within_mm=2.0)
    assert gap >= 0.4 - FINEST.margin_mm - TOLERANCES.clearance_mm


def test_some_levels_are_levels_of_all_with_the_first_and_the_last():
    body, profile = prepared(egg()), clearance_profile([0.0], [None], default_mm=0.4)
    heights = level_heights(body.slopes, profile, top_mm=body.slopes.high_mm, direction=UP)
    stack = begun_stack(grown_body(body.shape, profile), heights_mm=heights, direction=UP)
    assert len(stack.heights_mm) > 9
    few = stack.some(most=9)
    assert len(few.heights_mm) == 9
    assert (few.heights_mm[0], few.heights_mm[-1]) == (stack.heights_mm[0], stack.heights_mm[-1])
    places = np.searchsorted(stack.heights_mm, few.heights_mm)
    assert np.diff(places).max() - np.diff(places).min() <= 1
    assert all(
        region_measures.area_mm2(a) == region_measures.area_mm2(b)
        for a, b in zip(few.opened, stack.opened[places], strict=True)
    )
    assert stack.some(most=len(stack.heights_mm)) is stack
