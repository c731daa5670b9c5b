"""Every kind of opening, measured on the holder's own mesh."""

import re
from math import ceil

import numpy as np
import pytest
from pockets import OUTWARD, WALLS, make_pocket, opening, pocket_of
from stacked import UP, circle, rectangle, stacked

from cradle.checks.openings import opening_findings
from cradle.errors import HolderError
from cradle.geometry import planar, region_measures
from cradle.geometry import solid as solids
from cradle.geometry.mesh import bounds_mm, edge_statistics, volume_mm3
from cradle.holder.holder import make_holder
from cradle.pocket.budget import FINEST
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.prepared_body import prepared
from cradle.project.block import BlockSpec
from cradle.project.fasteners import SCREWS, screw_of
from cradle.project.opening import Through
from cradle.project.printer import PrinterSpec

BLOCK = BlockSpec(wall_mm=5.0, floor_mm=6.0)


@pytest.fixture(scope="module")
def plain(tile):
    return built(tile)


def built(pocket, *openings, block=BLOCK):
    return make_holder([pocket], block=block, openings=openings, under=np.zeros((1, 2)))


def plug(plain, holder):
    """What an opening took from the plain holder; crumbs that two nearly equal faces leave are dropped."""
    rest = solids.difference(plain.solid, [holder.solid], where="plug")
    return solids.union([p for p in solids.pieces(rest) if solids.volume_mm3(p) > 0.05], where="plug")


def extent(solid):
    return bounds_mm(solids.mesh_of(solid))


@pytest.mark.parametrize("through", WALLS)
def test_a_window_has_its_size_and_goes_through_one_wall(tile, plain, through):
    holder = built(tile, opening("window", through, at_mm=(1.0, 15.0), width_mm=12, height_mm=9, corner_mm=2))
    gone = plug(plain, holder)
    low, high = extent(gone)
    facing = 1 if through in (Through.FRONT, Through.BACK) else 0
    assert (high - low)[[1 - facing, 2]] == pytest.approx([12, 9], abs=1e-6)
    assert ((high + low) / 2)[1 - facing] == pytest.approx(1.0)
    assert np.sign((high + low)[facing]) == sum(OUTWARD[through])
    # a rectangle with round corners: w h - (4 - pi) r^2
    assert solids.volume_mm3(gone) == pytest.approx(5 * (12 * 9 - (4 - np.pi) * 4), rel=2e-3)
    assert edge_statistics(holder.mesh).closed


def test_a_notch_is_open_at_the_rim_with_a_round_bottom(tile, plain):
    holder = built(tile, opening("notch", Through.FRONT, width_mm=10, depth_mm=16))
    low, high = extent(plug(plain, holder))
    assert high[0] - low[0] == pytest.approx(10, abs=1e-6)
    assert high[2] == pytest.approx(holder.height_mm)
    assert high[2] - low[2] == pytest.approx(16, abs=1e-6)
    # just above the bottom it is narrow, one radius up it has its width
    levels = solids.cut_regions(plug(plain, holder), np.array([low[2] + 1.0, low[2] + 5.0]))
    widths = np.ptp(region_measures.bounds(levels).reshape(-1, 2, 2), axis=1)[:, 0]
    assert widths == pytest.approx([2 * np.sqrt(25 - 16), 10], abs=0.05)
    by_height = built(tile, opening("notch", Through.FRONT, width_mm=10, at_mm=(0.0, 14.0)))
    assert volume_mm3(by_height.mesh) == pytest.approx(volume_mm3(holder.mesh), rel=1e-9)
    square = built(tile, opening("notch", Through.FRONT, width_mm=10, depth_mm=16, corner_mm=0))
    assert volume_mm3(square.mesh) < volume_mm3(holder.mesh)


def test_finger_notches_come_in_pairs(tile, plain):
    gone = plug(plain, built(tile, opening("finger", Through.LEFT, width_mm=18)))
    left, right = sorted(solids.pieces(gone), key=lambda part: extent(part)[0, 0])
    assert solids.volume_mm3(left) == pytest.approx(solids.volume_mm3(right), rel=1e-6)
    for part in (left, right):
        size = np.ptp(extent(part), axis=0)
        assert size == pytest.approx([5, 18, 15], abs=1.5 * FINEST.thinned_mm)


@pytest.mark.parametrize("through", Through)
def test_a_screw_hole_is_the_clearance_hole_of_iso_273(tile, plain, through):
    # ISO 273 medium series, M4: 4.5 mm (published extract)
    at = (3.0, 2.0) if through is Through.FLOOR else (3.0, 15.0)
    gone = plug(plain, built(tile, opening("screw", through, at_mm=at, screw="M4")))
    size = np.sort(np.ptp(extent(gone), axis=0))
    thickness = 6.0 if through is Through.FLOOR else 5.0
    assert size == pytest.approx(np.sort([4.5, 4.5, thickness]), abs=0.02)
    assert solids.volume_mm3(gone) == pytest.approx(np.pi / 4 * 4.5**2 * thickness, rel=5e-3)


@pytest.mark.parametrize(
    ("size", "hole", "socket", "cross"),
    [("M3", 3.4, 6.72, 6.3), ("M4", 4.5, 8.96, 9.4), ("M5", 5.5, 11.2, 10.4), ("M6", 6.6, 13.44, 12.6)],
)
def test_screw_sizes_are_the_standards(size, hole, socket, cross):
    # holes: ISO 273 medium; heads: theoretical diameters of ISO 10642 and ISO 7046/7047 (published extracts)
    assert SCREWS[size].hole_mm == hole
    assert SCREWS[size].sunk_head_mm == max(socket, cross)


@pytest.mark.parametrize("through", Through)
def test_a_countersink_is_a_90_degree_cone_flush_with_the_pocket(tile, plain, through):
    at = (2.0, 1.0) if through is Through.FLOOR else (2.0, 15.0)
    holder = built(tile, opening("countersunk", through, at_mm=at, screw="M4"))
    gone = plug(plain, holder)
    # frustum h/3 pi (R^2 + R r + r^2) with h = R - r, then the hole through the rest
    big, small = 9.4 / 2, 4.5 / 2
    tall = big - small
    thickness = 6.0 if through is Through.FLOOR else 5.0
    cone = np.pi * tall / 3 * (big**2 + big * small + small**2)
    assert solids.volume_mm3(gone) == pytest.approx(cone + np.pi * small**2 * (thickness - tall), rel=6e-3)
    across = [k for k in range(3) if OUTWARD[through][k] == 0]
    assert np.ptp(extent(gone), axis=0)[across] == pytest.approx([9.4, 9.4], abs=0.03)
    # the hole alone at the outside, the head's width on the pocket's side
    assert dict(holder.openings[0].sizes) == {"hole diameter": 4.5, "countersink diameter": 9.4}


def test_a_countersink_too_deep_for_the_wall_says_by_how_much(tile):
    with pytest.raises(HolderError, match=r"0\.40 mm of the wall.*wall 0\.8 mm thicker"):
        built(
            tile,
            opening("countersunk", Through.BACK, screw="M4"),
            block=BlockSpec(wall_mm=2.85, floor_mm=6.0, lead_in_mm=1, chamfer_mm=0.5),  # 2.85 - 2.45 = 0.4
        )


def test_a_wood_screw_is_given_by_its_own_measures(tile, plain):
    own = opening("countersunk", Through.BACK, diameter_mm=4.0, head_mm=7.0)
    gone = plug(plain, built(tile, own))
    assert np.ptp(extent(gone), axis=0)[[0, 2]] == pytest.approx([7, 7], abs=0.03)
    assert screw_of(opening("screw", Through.BACK, screw="M4", diameter_mm=5.0)).hole_mm == 5.0


def test_a_keyhole_has_an_entry_a_slot_and_a_lip(tile, plain):
    # pan head M4: 8.0 mm wide, 3.1 mm high (ISO 7045, from memory); half a mm of room on every side
    thick = BlockSpec(wall_mm=9.0, floor_mm=6.0)
    bare = built(tile, block=thick)
    holder = built(tile, opening("keyhole", Through.BACK, at_mm=(2.0, 20.0), screw="M4"), block=thick)
    gone = plug(bare, holder)
    low, high = extent(gone)
    assert high[1] == pytest.approx(extent(holder.solid)[1, 1])  # it comes from outside
    assert high[1] - low[1] == pytest.approx(2.0 + 3.1 + 0.5, abs=1e-6)
    assert (high + low)[0] / 2 == pytest.approx(2.0, abs=1e-6)
    turned = solids.transformed(gone, np.array([[1, 0, 0, 0], [0, 0, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1.0]]))
    face = high[1]
    behind, lip = solids.cut_regions(turned, np.array([face - 3.0, face - 1.0]))
    height = 20.0 + holder.lift_mm
    at_screw = planar.common(
        lip, planar.region(np.array([[-9, -height - 0.1], [9, -height - 0.1], [9, -height], [-9, -height]]))
    )
    wide = region_measures.bounds(at_screw)
    assert wide[2] - wide[0] == pytest.approx(4.0 + 1.0, abs=0.02)  # the shank's slot
    wide = region_measures.bounds(behind)
    assert wide[2] - wide[0] == pytest.approx(9.0, abs=0.02)  # the head's room behind the lip
    assert edge_statistics(holder.mesh).closed
    # entry below, the screw's end above
    assert low[2] < height - 9.0 < height < high[2]


def test_a_keyhole_that_meets_the_pocket_is_refused(tile):
    with pytest.raises(HolderError, match=r"opening\[1\].*keyhole would break into the pocket"):
        built(tile, opening("keyhole", Through.BACK, screw="M4"))


@pytest.mark.parametrize(
    ("asked", "words", "thin"),
    [
        (opening("keyhole", Through.BACK, screw="M4"), "wall", {"wall_mm": 3.0, "floor_mm": 4.0}),
        (opening("magnet", diameter_mm=10, depth_mm=6), "floor", {"wall_mm": 3.0, "floor_mm": 4.0}),
        (opening("magnet", Through.LEFT, diameter_mm=6, depth_mm=3), "wall", {"wall_mm": 3.4}),
    ],
)
def test_what_is_too_thin_behind_a_recess_is_told_how_thick_it_must_be(tile, asked, words, thin):
    with pytest.raises(HolderError, match="behind it is needed") as refused:
        built(tile, asked, block=BlockSpec(**thin))
    told = float(re.search(rf"make the {words} ([\d.]+) mm thick", refused.value.hint)[1])
    key = f"{words}_mm"
    enough = BlockSpec(**thin | {key: told})
    told_of = opening_findings(built(tile, asked, block=enough), block=enough, printer=PrinterSpec())
    assert "recess-near-pocket" not in {f.code for f in told_of}
    with pytest.raises(HolderError, match="behind it is needed"):
        built(tile, asked, block=BlockSpec(**thin | {key: told - 0.7}))


def test_a_wall_told_to_be_thick_enough_is_so_for_all_of_a_keyhole():
    """Of a thing that widens upwards, the entry lacks less wall than the room for the head above it."""
    pocket = pocket_of(stacked([0, 40], [rectangle(40, 24), rectangle(40, 34)]))
    asked = opening("keyhole", Through.BACK, screw="M4")
    with pytest.raises(HolderError, match="behind it is needed") as refused:
        built(pocket, asked, block=BlockSpec(wall_mm=3.0))
    told = float(re.search(r"make the wall ([\d.]+) mm thick", refused.value.hint)[1])
    built(pocket, asked, block=BlockSpec(wall_mm=told))


def test_a_keyhole_whose_lip_would_not_hold_the_head_is_refused(tile):
    """(6.5 - 5.0) / 2 of the head is held on each side; a wall plate refuses it in the same words."""
    thick = BlockSpec(wall_mm=9.0, floor_mm=6.0)
    thin = opening("keyhole", Through.BACK, diameter_mm=5.0, head_mm=6.5)
    with pytest.raises(
        HolderError,
        match=r"opening\[1\]: a lip of 0.8 mm on each side of the slot is too little to hold a head of 6.5",
    ):
        built(tile, thin, block=thick)


def test_a_keyhole_on_a_sloping_wall_is_refused(tile):
    with pytest.raises(HolderError, match="not flat"):
        built(
            tile,
            opening("keyhole", Through.BACK, screw="M3"),
            block=BlockSpec(wall_mm=9.0, floor_mm=6.0, flare_mm=6.0),
        )


def test_a_magnet_s_recess_has_its_allowance(tile, plain):
    holder = built(tile, opening("magnet", diameter_mm=10, depth_mm=3, at_mm=(4.0, -3.0)))
    low, high = extent(plug(plain, holder))
    # 0.15 mm around, 0.2 mm deeper
    assert high - low == pytest.approx([10.3, 10.3, 3.2], abs=0.03)
    assert low[2] == 0
    assert (high + low)[:2] / 2 == pytest.approx([4, -3], abs=1e-6)
    with pytest.raises(HolderError, match="past the edge of the floor"):
        built(tile, opening("magnet", diameter_mm=10, depth_mm=3, at_mm=(20.0, 0.0)))
    with pytest.raises(HolderError, match="magnet would break into the pocket"):
        built(tile, opening("magnet", diameter_mm=10, depth_mm=6))


def test_four_feet_stand_as_far_out_as_they_fit(tile, plain):
    holder = built(tile, opening("feet", diameter_mm=8, depth_mm=1.5))
    parts = solids.pieces(plug(plain, holder))
    assert len(parts) == 4
    centres = np.array([extent(part).mean(axis=0)[:2] for part in parts])
    assert np.abs(centres).min(axis=0) == pytest.approx(np.abs(centres).max(axis=0), abs=1e-6)
    for part in parts:
        assert np.ptp(extent(part), axis=0) == pytest.approx([8.5, 8.5, 1.5], abs=0.03)
    points = holder.feet_mm
    assert np.ptp(points, axis=0) == pytest.approx(np.ptp(centres, axis=0) + 8.5, abs=0.03)
    with pytest.raises(HolderError, match="do not fit"):
        built(tile, opening("feet", diameter_mm=20, depth_mm=1.5))
    with pytest.raises(HolderError, match=r"one at \(1.50, -6.20\) mm meet .* 4.3 mm or more from there"):
        built(tile, opening("feet", diameter_mm=8, depth_mm=1.5, at_mm=(1.5, -6.2)))


@pytest.mark.parametrize(
    ("spec", "message"),
    [
        (opening("window", Through.FRONT, width_mm=60, height_mm=8), "60.0 mm wide"),
        (opening("window", Through.FRONT, at_mm=(0, 26), width_mm=10, height_mm=7.5), "open at the rim"),
        (
            opening("window", Through.FRONT, at_mm=(0, 2), width_mm=10, height_mm=8),
            "below the pocket's floor",
        ),
        (opening("notch", Through.FRONT, width_mm=10, depth_mm=40), "below the pocket's floor"),
        (opening("notch", Through.FRONT, width_mm=10, at_mm=(0, 31)), "not below the rim"),
        (opening("notch", Through.LEFT, width_mm=30, depth_mm=10), "30.0 mm wide"),
        (opening("round", Through.FRONT, diameter_mm=60), "below the pocket's floor"),
        (
            opening("round", Through.LEFT, at_mm=(0, 15), diameter_mm=27),
            "27.0 mm wide; at .* from -13.0 to 13.0 mm",
        ),
        (
            opening("round", Through.FRONT, at_mm=(15, 15), diameter_mm=14),
            "14.0 mm wide; at .* from 9.0 to 21.0 mm, and the pocket behind it lies between -20.5 and 20.5 mm",
        ),
        (opening("slot", Through.FRONT, at_mm=(0, 15), width_mm=4, length_mm=46), "46.0 mm wide"),
        (opening("slot", Through.FRONT, width_mm=4, length_mm=90, turn_deg=90), "below the pocket's floor"),
        (opening("window", Through.FRONT, at_mm=(0, 12.2), width_mm=80, height_mm=0.5), "80.0 mm wide"),
        (opening("screw", Through.FRONT, screw="M4", at_mm=(40, 15)), "does not meet the pocket"),
        (opening("round", Through.FLOOR, at_mm=(60, 0), diameter_mm=5), "has no pocket above it"),
        (opening("keyhole", Through.BACK, screw="M8", at_mm=(0, 8)), "past the edge of the back wall"),
    ],
)
def test_what_does_not_fit_is_refused_with_its_place(tile, spec, message):
    with pytest.raises(HolderError, match=rf"opening\[1\].*{message}"):
        built(tile, spec)


@pytest.mark.parametrize(
    "spec",
    [
        opening("round", Through.LEFT, at_mm=(0, 15), diameter_mm=24.6),
        opening("slot", Through.FRONT, at_mm=(0, 15), width_mm=6, length_mm=40.6),
        opening("slot", Through.BACK, at_mm=(4, 15), width_mm=6, length_mm=24, turn_deg=90),
    ],
)
def test_a_hole_as_wide_as_the_pocket_behind_it_is_cut(tile, spec):
    assert len(solids.pieces(built(tile, spec).solid)) == 1


def test_a_round_hole_narrows_with_the_pocket_behind_it():
    """In the wall of a bowl a hole goes down to where it is too wide, not to where the box around it is."""
    hole = opening("round", Through.FRONT, at_mm=(0, 13), diameter_mm=24)
    built(pocket_of(stacked([0, 40], [circle(8), circle(40)])), hole)
    with pytest.raises(HolderError, match=r"24\.0 mm wide; at .* it reaches"):
        built(pocket_of(stacked([0, 40], [circle(2), circle(40)])), hole)


@pytest.mark.parametrize("lacks", [0.1, 0.2, 0.3, 0.7, 1.0])
def test_the_floor_asked_behind_a_recess_is_one_figure_however_much_it_lacks(tile, lacks):
    """A magnet's recess is 0.2 mm deeper; two lines of 0.42 mm behind it, and 0.1 mm for what a rough pocket leaves open."""
    deep = BLOCK.floor_mm - 0.2 - 0.4 + lacks
    asked = ceil(10 * (deep + 0.2 + 2 * 0.42 + 0.1)) / 10
    with pytest.raises(HolderError, match=rf"make the floor {asked:g} mm thick or the magnet less deep"):
        built(tile, opening("magnet", diameter_mm=8, depth_mm=deep))


def test_what_is_left_behind_a_recess_is_told_to_a_hundredth(tile):
    """A pocket that is a few thousandths nearer when finished asks no other wall."""
    asked = []
    for nearer in (0.002, -0.002):
        near = built(tile, opening("magnet", diameter_mm=8, depth_mm=BLOCK.floor_mm - 0.2 - 0.64 + nearer))
        asked.append(findings(near, tile)["recess-near-pocket"].advice)
    assert asked[0] == asked[1]
    assert asked[0].startswith("make the floor at the magnet 0.2 mm")


def findings(holder, pocket, block=BLOCK):
    return {f.code: f for f in opening_findings(holder, block=block, printer=PrinterSpec())}


def test_openings_near_the_rim_one_another_or_the_pocket_are_doubted(tile):
    high = built(tile, opening("window", Through.FRONT, at_mm=(0, 24), width_mm=10, height_mm=9))
    near_rim = findings(high, tile)["opening-near-rim"]
    assert (round(near_rim.measured, 6), 'kind = "notch"' in near_rim.advice) == (1.0, True)
    words = built(tile, opening("label", Through.FRONT, at_mm=(0, 25), text="EGG", height_mm=8))
    assert findings(words, tile)["opening-near-rim"].advice == "move it down, or make its letters lower"
    near = built(
        tile,
        opening("round", Through.FRONT, at_mm=(-3.2, 15), diameter_mm=6),
        opening("round", Through.FRONT, at_mm=(3.2, 15), diameter_mm=6),
    )
    assert findings(near, tile)["openings-near"].measured == pytest.approx(0.4, abs=0.03)
    eaten = built(
        tile,
        opening("label", Through.FRONT, at_mm=(0, 15), text="EGG", height_mm=8),
        opening("window", Through.FRONT, at_mm=(0, 15), width_mm=6, height_mm=6),
    )
    assert (
        "the label and the window run into one another" in findings(eaten, tile)["openings-overlap"].message
    )
    one = built(
        tile,
        opening("round", Through.FRONT, at_mm=(-2, 15), diameter_mm=6),
        opening("round", Through.FRONT, at_mm=(2, 15), diameter_mm=6),
    )
    assert "openings-overlap" not in findings(one, tile)  # together they are one slot
    thin = built(tile, opening("magnet", diameter_mm=8, depth_mm=5.2))
    assert findings(thin, tile)["recess-near-pocket"].measured == pytest.approx(0.6, abs=1e-6)
    calm = built(tile, opening("window", Through.FRONT, at_mm=(0, 15), width_mm=10, height_mm=9))
    assert findings(calm, tile) == {}


def test_a_driver_must_reach_the_screw(tile):
    screw = opening("countersunk", Through.BACK, at_mm=(0.0, 15.0), screw="M4")
    blocked = built(tile, screw)
    assert blocked.fixed_to_wall
    assert "driver-out-of-reach" in findings(blocked, tile)
    way_in = opening("round", Through.FRONT, at_mm=(0.0, 15.0), diameter_mm=11.0)
    assert (
        findings(built(tile, screw, way_in), tile) == {}
    )  # they meet in the pocket, where nothing is cut away
    below = built(tile, opening("countersunk", Through.FLOOR, screw="M4"))
    assert not below.fixed_to_wall
    assert findings(below, tile) == {}


def test_a_round_or_flared_back_does_not_lie_against_a_wall(tile):
    flared = BlockSpec(wall_mm=5.0, floor_mm=6.0, flare_mm=3.0)
    holder = built(tile, opening("screw", Through.BACK, screw="M4"), block=flared)
    assert "mount-not-flat" in findings(holder, tile, flared)


def test_a_screw_in_a_curved_pocket_keeps_its_head_out_of_it():
    pocket = make_pocket(
        prepared(stacked([0, 40], [circle(15, points=180)] * 2)),
        clearance=clearance_profile([0, 40], [None, None], default_mm=0.5),
        direction=UP,
        top_mm=30,
    )
    block = BlockSpec(wall_mm=6.0, floor_mm=5.0)
    holder = built(pocket, opening("countersunk", Through.BACK, at_mm=(0.0, 15.0), screw="M4"), block=block)
    # the head is as wide as the cone at the pocket's furthest point, 15.5 mm behind the middle
    level = solids.cut_regions(holder.solid, np.array([15.0 + holder.lift_mm]))[0]
    probe = planar.region(np.array([[-4.65, 10], [4.65, 10], [4.65, 15.5], [-4.65, 15.5]]))
    assert region_measures.area_mm2(planar.common(level, probe)) == pytest.approx(0, abs=0.02)
    deeper = planar.region(np.array([[-4.65, 15.6], [4.65, 15.6], [4.65, 21], [-4.65, 21]]))
    assert region_measures.area_mm2(planar.common(level, deeper)) > 10
