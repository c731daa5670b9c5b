"""The wall plate, measured on the holder's own mesh."""

import re
from dataclasses import replace

import numpy as np
import pytest
from pockets import TILE
from seated import seated
from stacked import rectangle, stacked

from cradle.checks.inspection import inspection_dimensions
from cradle.drawing.holder_views import holder_views
from cradle.errors import HolderError
from cradle.geometry import planar, region_measures
from cradle.geometry import solid as solids
from cradle.geometry.mesh import bounds_mm, edge_statistics, volume_mm3
from cradle.holder.holder import make_holder
from cradle.holder.wall_plate import check_way_out, room_on_the_way_mm
from cradle.project.block import BlockSpec, PlateHole, PlateSpec
from cradle.project.opening import NotchSpec, RoundSpec, Through

BLOCK = BlockSpec(wall_mm=6.0, floor_mm=5.0, corner_mm=6.0)
# 40 x 24 mm with 0.5 mm per side and walls of 6 mm; from the floor 5 + 0.5 mm under the resting plane to 30 mm
WIDE, DEEP, TALL = 53.0, 37.0, 35.5
BACK = DEEP / 2
M4_HOLE, M4_HEAD = 4.5, 9.4
"""ISO 273 medium clearance hole; theoretical head of ISO 10642."""
M4_PAN = 8.0
"""ISO 7045, from memory."""
FROM_FRONT = np.array([[1, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1]], dtype=np.float64)


def built(pocket, spec, *openings, block=BLOCK):
    return make_holder([pocket], block=block, openings=openings, under=np.zeros((1, 2)), plate=spec)


def plate(width=95.0, height=None, **sizes):
    return PlateSpec(width_mm=width, height_mm=height, **{"screw": "M4", **sizes})


def seen_at(holder, y):
    """The holder cut upright, square to y: x and z."""
    return solids.cut_regions(solids.transformed(holder.solid, FROM_FRONT), np.array([-y]))[0]


def hole_sizes(area):
    """Middles and extents of a region's holes, from left to right, then upward."""
    boxes = np.array([region_measures.bounds(planar.region(ring[::-1])) for ring in planar.holes(area)])
    boxes = boxes[np.lexsort([boxes[:, 1].round(3), boxes[:, 0].round(3)])]
    return (boxes[:, :2] + boxes[:, 2:]) / 2, boxes[:, 2:] - boxes[:, :2]


def test_a_wide_plate_lies_flush_with_the_back_and_stands_on_the_bed(tile):
    holder = built(tile, plate(thickness_mm=4.0))
    low, high = bounds_mm(holder.mesh)
    assert low == pytest.approx([-47.5, -BACK, 0], abs=0.01)
    assert high == pytest.approx([47.5, BACK, TALL], abs=0.01)
    x0, z0, x1, z1 = region_measures.bounds(seen_at(holder, BACK - 0.01))
    assert (x0, z0, x1, z1) == pytest.approx((-47.5, 0, 47.5, TALL), abs=0.01)
    behind = region_measures.bounds(seen_at(holder, BACK - 4.0 + 0.01))
    before = region_measures.bounds(seen_at(holder, BACK - 4.0 - 0.01))
    assert behind[2] - behind[0] == pytest.approx(95, abs=0.01)
    assert before[2] - before[0] == pytest.approx(WIDE, abs=0.02)
    assert edge_statistics(holder.mesh).closed
    assert len(solids.pieces(holder.solid)) == 1


def test_countersinks_are_those_of_the_screw_and_open_to_the_front(tile):
    holder = built(tile, plate(thickness_mm=4.0))
    at_front, front = hole_sizes(seen_at(holder, BACK - 4.0 + 0.02))
    at_back, back = hole_sizes(seen_at(holder, BACK - 0.01))
    assert len(front) == len(back) == 4
    assert front == pytest.approx(np.full((4, 2), M4_HEAD), abs=0.05)
    assert back == pytest.approx(np.full((4, 2), M4_HOLE), abs=0.03)
    # 90 degrees: half way down the cone the hole is half way between head and shank
    deep = (M4_HEAD - M4_HOLE) / 2
    _, middle = hole_sizes(seen_at(holder, BACK - 4.0 + deep / 2))
    assert middle == pytest.approx(np.full((4, 2), (M4_HEAD + M4_HOLE) / 2), abs=0.05)
    # head, 0.5 mm of room and 2 mm of plate from the edges
    edge = M4_HEAD / 2 + 0.5 + 2.0
    x, z = 47.5 - edge, TALL - edge
    assert at_back == pytest.approx(np.array([[-x, edge], [-x, z], [x, edge], [x, z]]), abs=0.03)
    assert at_front == pytest.approx(at_back, abs=0.03)


def test_upper_corners_are_round_and_lower_ones_square(tile):
    holder = built(tile, plate(corner_mm=9.0, hole=PlateHole.PLAIN))
    seen = seen_at(holder, BACK - 1.0)
    whole = planar.region(planar.outer_rings(seen)[0])
    # a square less its quarter circle is (1 - pi / 4) r^2, twice
    missing = 95 * TALL - region_measures.area_mm2(whole)
    assert missing == pytest.approx(2 * (1 - np.pi / 4) * 81, rel=0.01)
    corners = np.array([[-47.4, 0.1], [47.4, 0.1], [-47.4, TALL - 0.1], [47.4, TALL - 0.1]])
    assert region_measures.inside(corners, whole).tolist() == [True, True, False, False]


def test_the_plate_adds_its_own_volume_beside_the_block(tile):
    plain = make_holder([tile], block=BLOCK, openings=(), under=np.zeros((1, 2)))
    holder = built(tile, plate(hole=PlateHole.PLAIN, corner_mm=0.0))
    wings = (95 - WIDE) * TALL * 4 - 4 * np.pi * M4_HOLE**2 / 4 * 4
    added = volume_mm3(holder.mesh) - volume_mm3(plain.mesh)
    # what the block's own round corners and chamfers at the back lacked comes on top
    corner = 2 * (1 - np.pi / 4) * 36 * TALL + 2 * WIDE * 0.5**2 / 2
    assert wings < added < wings + corner + 20


def test_a_keyhole_goes_right_through_with_its_entry_below(tile):
    holder = built(tile, plate(width=40.0, height=75.0, hole=PlateHole.KEYHOLE))
    middles, sizes = hole_sizes(seen_at(holder, BACK - 2.0))
    assert len(sizes) == 2
    room = M4_PAN / 2 + 0.5
    # from the slot's upper end, half a shank and 0.5 mm over the screw, to the entry's lower end
    assert sizes == pytest.approx(np.tile([2 * room, 2.0 + 0.5 + 3 * room], (2, 1)), abs=0.05)
    screw = room + 2.0
    assert middles[:, 0] == pytest.approx([-(20 - screw), 20 - screw], abs=0.03)
    assert (middles + sizes / 2)[:, 1] == pytest.approx([75 - screw + 2.5] * 2, abs=0.03)
    assert bounds_mm(holder.mesh)[1, 2] == pytest.approx(75)
    assert holder.height_mm == pytest.approx(TALL)


def test_spacing_is_measured_between_the_screws(tile):
    spec = plate(hole=PlateHole.PLAIN, spacing_mm=(75.0, 12.0), edge_mm=10.0)
    middles, sizes = hole_sizes(seen_at(built(tile, spec), BACK - 2.0))
    assert sizes == pytest.approx(np.full((4, 2), M4_HOLE), abs=0.03)
    assert np.ptp(middles, axis=0) == pytest.approx([75, 12], abs=0.03)
    assert middles[:, 1].max() == pytest.approx(TALL - 10, abs=0.03)
    one_row = plate(hole=PlateHole.PLAIN, spacing_mm=(75.0, 0.0))
    assert len(hole_sizes(seen_at(built(tile, one_row), BACK - 2.0))[0]) == 2


def test_a_high_plate_leaves_out_the_holes_that_the_block_covers(tile):
    holder = built(tile, plate(width=WIDE, height=60.0))
    middles, _ = hole_sizes(seen_at(holder, BACK - 0.01))
    assert len(middles) == 2
    assert (middles[:, 1] - M4_HEAD / 2 > TALL).all()


def test_pocket_and_mouth_keep_clear_of_the_plate(tile):
    plain = make_holder([tile], block=BLOCK, openings=(), under=np.zeros((1, 2)))
    holder = built(tile, plate(width=WIDE, height=60.0, thickness_mm=5.0))
    for cut in (tile.solid, tile.mouth):
        seat = solids.moved(cut, (0, 0, holder.lift_mm))
        assert solids.overlap_mm3(holder.solid, seat) == pytest.approx(0, abs=1e-4)
    assert solids.overlap_mm3(plain.solid, holder.solid) == pytest.approx(volume_mm3(plain.mesh), rel=1e-6)


REFUSED = [
    (
        plate(width=40.0),
        r"plate: a plate of 40.0 × 35.5 mm hides behind the block, 53.0 × 35.5 mm, and so do its screws; make the plate's width 7",
    ),
    (
        plate(thickness_mm=3.0),
        r"0.5\d mm of the plate would be left under the screw's head; .* make it 3.7 mm thick",
    ),
    (plate(width=60.0), r"plate: the block covers the head of the screw"),
    (plate(spacing_mm=(40.0, 0.0)), r"plate: the block covers the head of the screw at x -20.0 mm"),
    (
        plate(spacing_mm=(92.0, 0.0)),
        r"plate: the hole at x -46.0 mm, .* leaves less than 2 mm to the plate's edge",
    ),
    (
        plate(spacing_mm=(75.0, 3.0)),
        r"plate: the heads of two screws would touch: their middles are 3\.0 mm apart",
    ),
    (
        plate(hole=PlateHole.KEYHOLE, screw=None, diameter_mm=5.0, head_mm=6.5),
        r"plate: a lip of 0.8 mm on each side of the slot is too little to hold a head of 6.5 mm",
    ),
]


@pytest.mark.parametrize(("spec", "told"), REFUSED)
def test_what_cannot_be_made_is_refused_with_a_remedy(tile, spec, told):
    with pytest.raises(HolderError, match=told):
        built(tile, spec)


@pytest.mark.parametrize("screw", ["M4", "M5", "M6"])
def test_the_thickness_that_is_advised_holds_the_screw(tile, screw):
    """For M5 4.0 mm were advised to one who had 4.0 mm: 4.05 mm, rounded."""
    with pytest.raises(HolderError, match="under the screw's head") as told:
        built(tile, plate(screw=screw, thickness_mm=3.0))
    advised = float(re.search(r"make it (\S+) mm thick", str(told.value))[1])
    assert built(tile, plate(screw=screw, thickness_mm=advised)).plate is not None
    with pytest.raises(HolderError, match="under the screw's head"):
        built(tile, plate(screw=screw, thickness_mm=advised - 0.1))


KEYHOLES = {"hole": PlateHole.KEYHOLE}
OTHERWISE = {
    "width": lambda spec, mm: replace(spec, width_mm=mm),
    "height": lambda spec, mm: replace(spec, height_mm=mm),
    "edge": lambda spec, mm: replace(spec, edge_mm=mm),
    "spacing across": lambda spec, mm: replace(spec, spacing_mm=(mm, spec.spacing_mm[1])),
    "spacing up": lambda spec, mm: replace(spec, spacing_mm=(spec.spacing_mm[0], mm)),
}


@pytest.mark.parametrize(
    ("spec", "words"),
    [
        (plate(width=40.0), {"width", "height"}),
        (plate(width=60.0), {"width", "height"}),
        (plate(width=60.0, edge_mm=12.0), {"width", "height"}),
        (plate(width=76.0, edge_mm=12.0), {"width", "height", "edge"}),
        (plate(width=2.0), {"width"}),
        (plate(width=60.0, **KEYHOLES), {"width", "height"}),
        (plate(height=18.0, **KEYHOLES), {"height"}),
        (plate(edge_mm=3.0), {"edge"}),
        (plate(spacing_mm=(60.0, 0.0)), {"spacing across", "height"}),
        (plate(spacing_mm=(92.0, 0.0)), {"spacing across", "width"}),
        (plate(spacing_mm=(75.0, 3.0)), {"spacing up"}),
    ],
)
def test_each_size_that_is_advised_is_the_nearest_that_lets_the_plate_have_its_screws(tile, spec, words):
    """A wider plate was advised where the holes' spacing was given, which no width changes."""
    with pytest.raises(HolderError) as told:
        built(tile, spec)
    now = {"width": spec.width_mm, "height": spec.height_mm or TALL, "edge": spec.edge_mm}
    now |= dict(zip(("spacing across", "spacing up"), spec.spacing_mm or (None, None), strict=True))
    ways = re.findall(rf"({'|'.join(OTHERWISE)}) (\d\S*) mm", told.value.hint)
    assert {word for word, _ in ways} == words
    above = any(word == "height" and float(mm) > TALL for word, mm in ways)
    assert ("the thing then has to get past it" in told.value.hint) == above
    for word, mm in ways:
        assert built(tile, OTHERWISE[word](spec, float(mm))).plate is not None
        nearer = float(mm) - np.sign(float(mm) - now[word]) * 0.11
        with pytest.raises(HolderError):
            built(tile, OTHERWISE[word](spec, nearer))


def test_where_no_single_size_does_a_width_is_advised_that_does_with_the_rest_left_out(tile):
    spec = plate(width=70.0, height=20.0, spacing_mm=(60.0, 0.0), edge_mm=3.0)
    with pytest.raises(HolderError) as told:
        built(tile, spec)
    wide = re.fullmatch(r"leave edge and spacing out, and make the plate's width (\S+) mm", told.value.hint)[
        1
    ]
    assert built(tile, plate(width=float(wide), height=20.0)).plate is not None


def test_openings_beside_the_plate_are_free_and_those_into_it_refused(tile):
    def slot(y):
        return RoundSpec(through=Through.RIGHT, at_mm=(y, 15.0), diameter_mm=4.0)

    spec = plate(thickness_mm=8.0)
    assert len(built(tile, spec, slot(0.0)).openings) == 1
    with pytest.raises(
        HolderError, match=r"opening\[1\]: this opening would cut into the wall plate; move it away"
    ):
        built(tile, spec, slot(9.5))
    notch = NotchSpec(through=Through.BACK, width_mm=8, depth_mm=10)
    assert built(tile, spec, notch).openings
    with pytest.raises(HolderError, match="this opening would cut into the wall plate"):
        built(tile, plate(width=60.0, height=70.0), notch)


def test_the_thing_s_room_before_the_plate_on_its_way_out(tile):
    high = built(tile, plate(width=WIDE, height=60.0, thickness_mm=5.0)).plate
    body = solids.solid(TILE, where="tile")
    front = BACK - 5.0
    straight = room_on_the_way_mm(high, body, direction=np.array([0.0, 0.0, 1.0]))
    assert straight == pytest.approx(front - 12.0, abs=0.01)
    # lifted backward by 1 in 10, the lowest edge passes the plate's top after rising by all of its height
    way = np.array([0.0, 0.1, 1.0]) / np.hypot(0.1, 1.0)
    assert room_on_the_way_mm(high, body, direction=way) == pytest.approx(
        front - 12.0 - 0.1 * high.top_mm, abs=0.01
    )
    # a thing that widens above the rim counts at the plate's top: 12 mm deep there, 20 at 80 mm
    top = high.top_mm
    flask = solids.solid(
        stacked([0, 30, 80], [rectangle(40, 24), rectangle(40, 24), rectangle(40, 40)]), where="flask"
    )
    widest = 12 + 8 * (top - 30) / 50
    wide = room_on_the_way_mm(high, flask, direction=np.array([0.0, 0.0, 1.0]))
    assert wide == pytest.approx(front - widest, abs=0.01)
    low = built(tile, plate()).plate
    assert room_on_the_way_mm(low, flask, direction=way) is None


@pytest.mark.parametrize(
    ("thick", "clearance", "told"),
    [
        (5.5, 0.3, r"would stand in the pocket's mouth: wall minus lead-in is only 5.0 mm there; make block.wall 0.5 mm thicker"),
        (5.0, 2.0, r"the thing comes within 1.5 mm of the plate; 2.00 mm .*; make block.wall 0.5 mm thicker"),
        (5.5, 2.0, r"the thing comes within 1.0 mm of the plate; 2.00 mm .*; make block.wall 1.0 mm thicker"),
    ],
)  # fmt: skip
def test_the_wall_that_is_advised_clears_mouth_and_way_out_at_once(tile, thick, clearance, told):
    made = built(tile, plate(width=WIDE, height=60.0, thickness_mm=thick)).plate
    body = solids.solid(TILE, where="tile")
    with pytest.raises(HolderError, match=told):
        check_way_out(made, body, direction=np.array([0.0, 0.0, 1.0]), clearance_mm=clearance)


def test_the_plate_is_read_with_calipers_and_drawn(tile):
    holder = built(tile, plate(width=95.0, height=60.0, thickness_mm=5.0))
    read = {
        c.name: c.length_mm
        for c in inspection_dimensions(
            holder, [(tile, seated(tile, {"low": 4.0}))], block=BLOCK, inside_error_mm=0.0
        )
    }
    assert read["outside width"] == 95
    assert read["outside height"] == pytest.approx(60)
    assert not {"plate width", "plate height"} & read.keys()  # the same lengths once
    foot = region_measures.bounds(holder.foot)
    assert read["block width"] == pytest.approx(foot[2] - foot[0])
    assert read["plate countersink diameter"] == M4_HEAD
    edge = M4_HEAD / 2 + 0.5 + 2.0
    assert read["plate hole spacing, across"] == pytest.approx(95 - 2 * edge)
    plan, front, _ = holder_views(holder, [seated(tile, {"low": 9.0 - holder.lift_mm})])
    across = {d.name: d.length_mm for d in plan.dimensions}
    assert across["block width"] == pytest.approx(foot[2] - foot[0])
    assert across["outside width"] == pytest.approx(95)
    screws = [h.at_mm[1] for h in front.heights if h.of == "screws"]
    assert screws == pytest.approx([edge, 60 - edge], abs=0.01)
    drawn = {d.name: d.length_mm for d in front.dimensions}
    assert drawn["outside height"] == pytest.approx(60)
    assert "plate height" not in drawn  # the same length once
    assert drawn["plate hole spacing, up"] == pytest.approx(60 - 2 * edge)
    assert holder.fixed_to_wall
