import re

import numpy as np
import pytest
from pockets import make_pocket
from stacked import UP, body_of, circle, egg, rectangle, stacked, unit

from cradle.errors import PocketError
from cradle.geometry import region_measures
from cradle.geometry import solid as solids
from cradle.geometry.region_measures import bounds
from cradle.pocket.budget import FINEST
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.pocket import begun_pocket, finished_pocket, rough_pocket
from cradle.pocket.prepared_body import prepared
from cradle.pocket.way_out import way_out
from cradle.project.block import BlockSpec


def width_at(pocket, height):
    x0, _, x1, _ = bounds(pocket.level_at(height)).tolist()
    return x1 - x0


def profile(c, heights=(0, 50)):
    return clearance_profile(heights, [None] * len(heights), default_mm=c)


def test_the_upper_section_of_two_measures_its_width_plus_twice_the_clearance():
    # 29 and 35 mm wide, 49 mm apart, 0.4 mm per side: 35.8 mm across above (common practice, no source)
    mesh = stacked([0, 49], [circle(14.5), circle(17.5)])
    pocket = make_pocket(prepared(mesh), clearance=profile(0.4, (0, 49)), direction=UP, top_mm=49)
    assert width_at(pocket, 49.0) == pytest.approx(35.8, abs=0.03)
    assert pocket.undercut.depth_mm == 0


def test_an_hourglass_is_opened_to_its_widest_part_below():
    mesh = stacked([0, 20, 40], [circle(20), circle(15), circle(20)])
    pocket = make_pocket(prepared(mesh), clearance=profile(0.5), direction=UP, top_mm=40)
    assert width_at(pocket, 20.0) == pytest.approx(41, abs=0.05)
    assert pocket.undercut.depth_mm == pytest.approx(5, abs=0.05)
    assert pocket.undercut.place_mm[2] == pytest.approx(20, abs=1)


@pytest.mark.parametrize("insertion", [(0, 0, 1), (0, 0.2, 1), "auto"])
def test_the_thing_comes_out_without_touching(insertion):
    mesh = egg(lean=0.25)
    direction = way_out(body_of(mesh), asked=insertion, block=BlockSpec(height_mm=40))
    pocket = make_pocket(prepared(mesh), clearance=profile(0.4), direction=direction, top_mm=40)
    block = solids.extruded(rectangle(120, 120), low_mm=-5, high_mm=40, where="block")
    holder = solids.difference(block, [pocket.solid], where="holder")
    body = solids.solid(mesh, where="body")
    for travel in np.linspace(0, 45, 16):
        assert solids.overlap_mm3(holder, solids.moved(body, pocket.direction * travel)) < 1e-6
    # not vacuous: sideways it does touch
    assert solids.overlap_mm3(holder, solids.moved(body, (1.0, 0, 0))) > 1


@pytest.mark.slow
def test_auto_finds_the_way_a_sheared_prism_leans():
    slope = np.tan(np.radians(14))
    mesh = stacked([0, 40], [circle(15), circle(15) + [0, 40 * slope]])
    direction = way_out(body_of(mesh), asked="auto", block=BlockSpec(height_mm=35))
    pocket = make_pocket(prepared(mesh), clearance=profile(0.4), direction=direction, top_mm=35)
    tilt = np.degrees(np.arctan2(direction[1], direction[2]))
    assert tilt == pytest.approx(14, abs=0.3)
    assert pocket.undercut.depth_mm < 0.1
    upright = make_pocket(prepared(mesh), clearance=profile(0.4), direction=UP, top_mm=35)
    assert upright.undercut.depth_mm > 5


def test_auto_stays_upright_when_nothing_is_gained():
    mesh = stacked([0, 40], [circle(15), circle(18)])
    assert way_out(body_of(mesh), asked="auto", block=BlockSpec(height_mm=35)).tolist() == [0, 0, 1]


@pytest.mark.slow
def test_auto_looks_at_what_is_in_the_block_alone():
    mesh = stacked([0, 20, 80], [circle(15), circle(15) + [0, 4], circle(15) + [0, 4]])
    low = way_out(body_of(mesh), asked="auto", block=BlockSpec(height_mm=20))
    assert np.degrees(np.arctan2(low[1], low[2])) == pytest.approx(np.degrees(np.arctan(0.2)), abs=0.3)
    high = way_out(body_of(mesh), asked="auto", block=BlockSpec(height_mm=75))
    assert high[1] < low[1] - 0.02


def test_the_lead_in_widens_the_mouth_by_itself():
    mesh = stacked([0, 40], [circle(15)] * 2)
    plain = make_pocket(prepared(mesh), clearance=profile(0.4), direction=UP, top_mm=30)
    led = make_pocket(prepared(mesh), clearance=profile(0.4), direction=UP, top_mm=30, lead_in_mm=1.0)
    cuts = [
        region_measures.bounds(solids.cut_regions(p, np.array([28.9, 29.5, 30.5])))
        for p in (plain.solid, solids.union([led.solid, led.mouth], where="led"))
    ]
    assert (cuts[1] - cuts[0])[:, 2].tolist() == pytest.approx([0, 0.5, 1.0], abs=0.02)


@pytest.mark.parametrize("direction", [UP, unit(0.0, 0.2, 1.0)])
def test_levels_that_stand_for_the_pocket_are_near_to_one_another_where_it_needs_none(direction):
    # what looks for a wall, a hole or a label asks the level nearest to a height
    mesh = stacked([0, 10, 80], [circle(15), circle(18), circle(18)])
    made = make_pocket(prepared(mesh), clearance=profile(0.4), direction=direction, top_mm=80)
    assert np.diff(made.heights_mm).max() <= 2.0 + 1e-9
    cuts = solids.cut_regions(made.solid, made.heights_mm[1:-1])
    for level, cut in zip(made.levels[1:-1], cuts, strict=True):
        assert region_measures.area_mm2(cut) == pytest.approx(region_measures.area_mm2(level), rel=2e-3)


@pytest.mark.parametrize("lean", [15, 35])
def test_a_leaning_thing_stands_on_its_lowest_point(lean):
    mesh = stacked([0, 60], [rectangle(30, 20)] * 2)
    pocket = make_pocket(
        prepared(mesh),
        clearance=profile(0.4 + FINEST.margin_mm, (0, 60)),
        direction=UP,
        top_mm=25,
        lead_in_mm=1.0,
        lean_deg=lean,
    )
    top_middle = pocket.stand_from_thing @ np.array([0, 0, 40, 1])
    assert top_middle[1] == pytest.approx(40 * np.sin(np.radians(lean)))
    assert pocket.undercut.depth_mm < 0.05
    block = solids.extruded(rectangle(120, 120), low_mm=-5, high_mm=25, where="block")
    holder = solids.difference(block, [pocket.solid, pocket.mouth], where="holder")
    body = solids.transformed(solids.solid(mesh, where="body"), pocket.stand_from_thing)
    assert solids.lowest_mm(body) == pytest.approx(0, abs=1e-9)
    assert 0.395 <= solids.gap_mm(holder, body, within_mm=1.0) <= 0.42
    for travel in np.linspace(0, 60, 9):
        assert solids.overlap_mm3(holder, solids.moved(body, pocket.direction * travel)) < 1e-6


def leaning_tile(*, lean_deg, top_mm):
    return make_pocket(
        prepared(stacked([0, 60], [rectangle(30, 20)] * 2)),
        clearance=profile(0.4, (0, 60)),
        direction=UP,
        top_mm=top_mm,
        lean_deg=lean_deg,
    )


def test_a_thing_that_would_come_out_level_is_told_how_far_it_must_rise():
    with pytest.raises(PocketError, match=r"would come out 4\.0° above level, more than 5\.7° is allowed"):
        leaning_tile(lean_deg=86, top_mm=3)


def test_a_block_higher_than_the_body_is_known_is_told_how_high_it_may_be():
    with pytest.raises(PocketError) as caught:
        leaning_tile(lean_deg=30, top_mm=60)
    most = float(re.search(r"at most ([\d.]+) mm", caught.value.hint)[1])
    assert most == pytest.approx(60 * np.cos(np.radians(30)), abs=0.1)
    assert leaning_tile(lean_deg=30, top_mm=most).top_mm == most


@pytest.mark.slow
def test_a_rough_pocket_tells_the_undercut_of_the_finished_one():
    """A slender waist among 120 layers, of which a rough pocket has but some."""
    z = np.linspace(0, 60, 121)
    radii = 20 - 4 * np.exp(-(((z - 31.3) / 0.4) ** 2))
    mesh = stacked(z, [circle(r) for r in radii])
    begun = begun_pocket(
        prepared(mesh), clearance=profile(0.3, (0, 60)), direction=UP, block=BlockSpec(height_mm=50)
    )
    rough, finished = rough_pocket(begun), finished_pocket(begun)
    assert len(finished.heights_mm) > len(begun.stack.some(most=64).heights_mm)  # not vacuous
    assert rough.undercut == finished.undercut
    assert finished.undercut.depth_mm > 1
