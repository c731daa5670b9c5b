import numpy as np
import pytest
from daily import case
from pockets import make_pocket
from stacked import UP, circle, egg, rectangle, stacked

from cradle.errors import HolderError
from cradle.geometry import planar, region_measures
from cradle.geometry import solid as solids
from cradle.geometry.mesh import bounds_mm, edge_statistics, surface_area_mm2, volume_mm3
from cradle.geometry.slivers import thicknesses
from cradle.holder.block import block_plan, block_solid, check_rim
from cradle.holder.holder import make_holder
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.prepared_body import prepared
from cradle.project.block import BlockForm, BlockSpec, CornerForm
from cradle.project.opening import DrainSpec, NotchSpec, RoundSpec, SlotSpec, Through
from cradle.tolerances import TOLERANCES

ORIGIN = np.zeros((1, 2))
PROFILE = clearance_profile([0, 50], [None, None], default_mm=0.4)


def pocket_of(mesh, *, top=30.0, lead_in=1.0, lean=0.0):
    return make_pocket(
        prepared(mesh), clearance=PROFILE, direction=UP, top_mm=top, lead_in_mm=lead_in, lean_deg=lean
    )


@pytest.fixture(scope="module")
def can():
    return pocket_of(stacked([0, 40], [circle(15)] * 2))


@pytest.fixture(scope="module")
def tile():
    return pocket_of(stacked([0, 40], [rectangle(40, 24)] * 2))


THINGS = {
    "can": stacked([0, 40], [circle(15)] * 2),
    "tile": stacked([0, 40], [rectangle(40, 24)] * 2),
    "egg": egg(),
}


# ovals and hugging blocks have no corners to cut: that they do not mind is asked less often
@pytest.mark.parametrize(
    ("thing", "form", "corner_form"),
    [
        case((thing, form, corner_form), further=form is not BlockForm.BOX and corner_form is CornerForm.CUT)
        for thing in THINGS
        for form in BlockForm
        for corner_form in CornerForm
    ],
)
def test_every_form_leaves_the_wall_everywhere(thing, form, corner_form):
    pocket = pocket_of(THINGS[thing])
    spec = BlockSpec(form=form, wall_mm=3.0, corner_form=corner_form)
    plan = block_plan(pocket.plan(), spec, under=ORIGIN)
    away = region_measures.distance_to_boundary_mm(pocket.levels, plan)
    assert away.min() == pytest.approx(3.0, abs=0.02)
    assert region_measures.area_mm2(planar.without(pocket.plan(), plan)) == 0


@pytest.mark.parametrize("form", BlockForm)
@pytest.mark.parametrize("thing", ["can", "tile"])
def test_a_leaned_pocket_has_its_wall_between_its_levels_too(thing, form):
    """A foot's edge lies between two of them, and stood out by 0.02 to 0.06 mm."""
    pocket = pocket_of(THINGS[thing], top=20.0, lean=12.0)
    spec = BlockSpec(form=form, wall_mm=3.0)
    plan = block_plan(pocket.plan(), spec, under=ORIGIN)
    vertices = solids.mesh_of(pocket.solid).vertices_mm
    below = vertices[vertices[:, 2] <= pocket.top_mm, :2]
    assert region_measures.near_boundary(below, plan, within_mm=2.985).sum() == 0
    assert region_measures.inside(below, plan).all()


def test_a_cut_corner_is_a_flat_at_45_degrees_as_far_back_as_asked(can):
    block = BlockSpec(corner_mm=8.0, corner_form=CornerForm.CUT, chamfer_mm=0.0)
    holder = make_holder([can], block=block, openings=(), under=ORIGIN)
    (ring,) = planar.outer_rings(solids.cut_regions(holder.solid, np.array([15.0]))[0])
    half = 15.4 + 3.0
    assert region_measures.bounds(planar.region(ring)) == pytest.approx([-half, -half, half, half], abs=0.01)
    # the flats lie (2 half - 8) / sqrt(2) from the middle, and what they take off is four triangles of 8 x 8 / 2 mm2
    away = [(ring @ np.array(d)).max() / np.sqrt(2) for d in ((1, 1), (1, -1), (-1, 1), (-1, -1))]
    assert away == pytest.approx([(2 * half - 8) / np.sqrt(2)] * 4, abs=0.01)
    assert region_measures.area_mm2(planar.region(ring)) == pytest.approx((2 * half) ** 2 - 4 * 32, abs=1.0)


def test_a_cut_corner_goes_no_further_than_the_wall_allows(tile):
    block = BlockSpec(corner_mm=12.0, corner_form=CornerForm.CUT)
    plan = block_plan(tile.plan(), block, under=ORIGIN)
    assert region_measures.distance_to_boundary_mm(tile.levels, plan).min() == pytest.approx(3.0, abs=0.02)
    # round a pocket's corner of 0.4 mm the flat may go back by (2 - sqrt 2)(3 + 0.4) mm; steps are 1/16 of the asked
    gone = (40.8 + 6) * (24.8 + 6) - region_measures.area_mm2(plan)
    back = np.sqrt(gone / 2)
    most = (2 - np.sqrt(2)) * 3.4
    assert most - 12 / 16 < back < most + 0.02


def test_a_box_measures_the_pocket_plus_two_walls_and_a_floor(tile):
    holder = make_holder([tile], block=BlockSpec(wall_mm=3, floor_mm=4), openings=(), under=ORIGIN)
    size = np.ptp(bounds_mm(holder.mesh), axis=0)
    # sections lose points within 0.002 mm and are grown by as much; round joints are polygons around the arc
    assert size == pytest.approx([40.8 + 6, 24.8 + 6, 30 + 0.4 + 4], abs=0.014)
    assert bounds_mm(holder.mesh)[0, 2] == 0
    assert edge_statistics(holder.mesh).closed


def test_a_box_is_as_wide_and_deep_as_asked_about_the_pockets_middle_and_corners_may_be_as_round_as_asked(
    tile,
):
    spec = BlockSpec(wall_mm=3, width_mm=90.0, depth_mm=50.0, corner_mm=20.0)
    plan = block_plan(tile.plan(), spec, under=ORIGIN)
    assert region_measures.bounds(plan) == pytest.approx([-45, -25, 45, 25], abs=0.005)
    # four corners lose (4 - pi) / 4 of their square each; 4 degrees a step loses a thousandth of the arcs' area more
    assert region_measures.area_mm2(plan) == pytest.approx(90 * 50 - (4 - np.pi) * 20**2, abs=1.5)
    assert region_measures.distance_to_boundary_mm(tile.levels, plan).min() > 12.5
    one_way = block_plan(tile.plan(), BlockSpec(wall_mm=3, depth_mm=50.0), under=ORIGIN)
    assert region_measures.bounds(one_way) == pytest.approx([-23.4, -25, 23.4, 25], abs=0.01)


def test_a_flare_comes_on_top_of_a_boxs_own_width(tile):
    block = BlockSpec(width_mm=90.0, flare_mm=4.0, chamfer_mm=0.0)
    holder = make_holder([tile], block=block, openings=(), under=ORIGIN)
    assert np.ptp(bounds_mm(holder.mesh), axis=0)[0] == pytest.approx(98.0, abs=0.01)


@pytest.mark.parametrize(
    ("name", "needs"), [("width", "46.9"), ("depth", "30.9")]
)  # 40.8 + 6, 24.8 + 6 and what the offset adds, rounded up
def test_a_box_smaller_than_its_pocket_and_its_walls_is_refused_with_what_they_need(tile, name, needs):
    def plan(size_mm):
        return block_plan(tile.plan(), BlockSpec(wall_mm=3, **{f"{name}_mm": size_mm}), under=ORIGIN)

    with pytest.raises(
        HolderError, match=rf"block\.{name}: found 30 mm; the pocket and the walls need {needs} mm"
    ):
        plan(30.0)
    plan(float(needs))


def test_block_less_pocket_less_openings_is_the_holder(can):
    # vol(block) - vol(holder) = vol(block ∩ cut)
    block = BlockSpec(form=BlockForm.OVAL, flare_mm=5)
    holder = make_holder([can], block=block, openings=(), under=ORIGIN)
    whole = block_solid(holder.plan, block, height_mm=holder.height_mm)
    cut = solids.moved(solids.union([can.solid, can.mouth], where="cut"), (0, 0, holder.lift_mm))
    shared = solids.overlap_mm3(whole, cut)
    assert shared > 1000
    # slivers are taken out: the surface moves by no more than points that count as one lie apart
    moved = TOLERANCES.duplicate_mm * surface_area_mm2(holder.mesh)
    assert solids.volume_mm3(whole) - volume_mm3(holder.mesh) == pytest.approx(shared, abs=moved)


def test_flare_widens_the_foot_per_side_and_not_the_rim(tile):
    plain = make_holder([tile], block=BlockSpec(chamfer_mm=0), openings=(), under=ORIGIN)
    flared = make_holder([tile], block=BlockSpec(chamfer_mm=0, flare_mm=6), openings=(), under=ORIGIN)
    cut = [
        region_measures.bounds(solids.cut_regions(h.solid, np.array([1e-3, h.height_mm - 1e-3])))
        for h in (plain, flared)
    ]
    assert cut[1][0, 2] - cut[0][0, 2] == pytest.approx(6, abs=0.03)
    assert cut[1][1, 2] - cut[0][1, 2] == pytest.approx(0, abs=0.03)


def test_chamfers_cut_the_outer_edges(tile):
    holder = make_holder([tile], block=BlockSpec(chamfer_mm=1.0, lead_in_mm=0.5), openings=(), under=ORIGIN)
    z = np.array([1e-3, 1.0, holder.height_mm - 1e-3])
    edge = region_measures.bounds(solids.cut_regions(holder.solid, z))[:, 2]
    assert edge - edge[1] == pytest.approx([-1, 0, -1], abs=0.02)


@pytest.mark.parametrize("through", [t for t in Through if t is not Through.FLOOR])
def test_a_round_hole_goes_through_its_wall_only(through, tile):
    plain = make_holder([tile], block=BlockSpec(), openings=(), under=ORIGIN)
    hole = RoundSpec(through=through, at_mm=(2.0, 15.0), diameter_mm=6.0)
    holder = make_holder([tile], block=BlockSpec(), openings=(hole,), under=ORIGIN)
    gone = volume_mm3(plain.mesh) - volume_mm3(holder.mesh)
    # the 3 mm wall under a 6 mm hole, a 48-gon around its circle
    assert gone == pytest.approx(np.pi * 9 * 3, rel=0.005)
    difference = solids.difference(plain.solid, [holder.solid], where="plug")
    low, high = bounds_mm(solids.mesh_of(difference))
    facing = 1 if through in (Through.FRONT, Through.BACK) else 0
    assert (low[1 - facing] + high[1 - facing]) / 2 == pytest.approx(2.0, abs=0.01)
    assert (low[2] + high[2]) / 2 == pytest.approx(15.0 + holder.lift_mm, abs=0.01)
    outward = {Through.FRONT: -1, Through.BACK: 1, Through.LEFT: -1, Through.RIGHT: 1}[through]
    assert np.sign((low + high)[facing]) == outward


def test_a_drain_goes_through_the_floor_and_nothing_else(can):
    drain = DrainSpec(diameter_mm=5)
    plain = make_holder([can], block=BlockSpec(floor_mm=4), openings=(), under=ORIGIN)
    holder = make_holder([can], block=BlockSpec(floor_mm=4), openings=(drain,), under=ORIGIN)
    gone = volume_mm3(plain.mesh) - volume_mm3(holder.mesh)
    assert gone == pytest.approx(np.pi * 2.5**2 * 4, rel=0.01)


def test_a_cut_into_two_parts_is_refused(can):
    """Two notches beside each other, and a slot that takes the foot of what is left between them."""
    cuts = [NotchSpec(through=Through.FRONT, width_mm=5, at_mm=(x, 15)) for x in (-4, 4)]
    slot = SlotSpec(through=Through.FRONT, at_mm=(0, 18), width_mm=5, length_mm=14)
    with pytest.raises(HolderError, match="2 parts"):
        make_holder([can], block=BlockSpec(), openings=[*cuts, slot], under=ORIGIN)


def test_no_rim_is_refused():
    check_rim(BlockSpec(wall_mm=2.0), between_mm=None)
    check_rim(
        BlockSpec(wall_mm=1.9), between_mm=None
    )  # exactly the rim that is needed, but for the last binary digit
    with pytest.raises(HolderError, match=r"block\.wall: .* leaves a rim of 0 mm"):
        check_rim(BlockSpec(wall_mm=1.5), between_mm=None)


def test_the_foot_reaches_under_a_balance_point_outside_the_pocket(can):
    holder = make_holder([can], block=BlockSpec(), openings=(), under=np.array([[30.0, 0.0]]))
    assert region_measures.inside(np.array([[30.0, 0.0]]), holder.foot)[0]


def test_a_leaning_can_stands_in_a_block_on_its_floor():
    pocket = pocket_of(stacked([0, 80], [circle(15)] * 2), lean=20)
    holder = make_holder([pocket], block=BlockSpec(), openings=(), under=ORIGIN)
    assert edge_statistics(holder.mesh).closed
    body = solids.transformed(
        solids.solid(stacked([0, 80], [circle(15)] * 2), where="can"),
        holder.print_from_stand @ pocket.stand_from_thing,
    )
    assert 0.39 <= solids.gap_mm(holder.solid, body, within_mm=1) <= 0.41
    assert solids.lowest_mm(body) == pytest.approx(4 + 0.4, abs=0.02)


@pytest.mark.parametrize("wall", [3.0, 20.0, 36.0, 100.0])
@pytest.mark.parametrize("form", list(BlockForm))
def test_a_block_is_no_wider_than_its_walls_ask_for(form, wall):
    """A thing whose centre of mass lies over its own pocket adds nothing to the block, whatever the wall."""
    pocket = planar.region(circle(20, points=120, squash=0.7))
    spec = BlockSpec(form=form, wall_mm=wall)
    alone = region_measures.bounds(block_plan(pocket, spec, under=np.zeros((0, 2))))
    over = region_measures.bounds(block_plan(pocket, spec, under=np.zeros((1, 2))))
    assert over == pytest.approx(alone, abs=0.01)


def test_of_the_slivers_that_cuts_leave_few_are_left(can):
    holder = make_holder([can], block=BlockSpec(), openings=(), under=ORIGIN)
    cuts = [solids.moved(cut, (0, 0, holder.lift_mm)) for cut in (can.solid, can.mouth)]
    cut = solids.mesh_of(solids.difference(holder.block, cuts))
    left, made = (
        int((thicknesses(mesh.vertices_mm, mesh.faces) < TOLERANCES.duplicate_mm).sum())
        for mesh in (cut, holder.mesh)
    )
    assert made < left / 3
