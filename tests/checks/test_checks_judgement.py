import re
from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from pockets import make_pocket, pocket_of
from sampling import surface_points, withdrawal_overlap_mm3
from scipy.spatial import cKDTree
from seated import seated
from stacked import UP, circle, egg, rectangle, stacked, unit

from cradle.checks.clearance import clearance_findings, least_gap
from cradle.checks.inspection import band_mm, inspection_dimensions
from cradle.checks.standing import standing_findings
from cradle.checks.undercut import undercut_findings
from cradle.checks.walls import thinnest_wall, wall_findings
from cradle.errors import HolderError
from cradle.finding import Severity
from cradle.geometry.mesh import centroid_mm, volume_mm3
from cradle.geometry.solid import mesh_of, solid, transformed
from cradle.holder.holder import make_holder
from cradle.holder.standing import Load, Standing, contact_points, flared_block, standing, tip_angle
from cradle.pocket.budget import FINEST
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.prepared_body import prepared
from cradle.project.block import BlockForm, BlockSpec
from cradle.project.convert import AUTO
from cradle.project.printer import PrinterSpec

told_of = partial(
    undercut_findings, along_easiest_mm=None, lowest_section_mm=0.0, thing_mm=30.0, lining_mm=0.0
)
CONE = stacked([0, 40], [circle(15), circle(19)])


@pytest.fixture(scope="module")
def pocket():
    return pocket_of(CONE, clearance_mm=0.4)


@pytest.fixture(scope="module")
def holder(pocket):
    return make_holder([pocket], block=BlockSpec(flare_mm=4), openings=(), under=np.zeros((1, 2)))


@pytest.fixture(scope="module")
def seat(holder):
    return transformed(solid(CONE, where="cone"), holder.print_from_stand)


def test_tip_angle_is_the_arc_tangent_of_distance_over_height():
    # edge 40 mm away, centre 60 mm high: atan(40 / 60) = 33.690 degrees (elementary statics)
    result = tip_angle(rectangle(80, 200), np.array([0, 0, 60.0]))
    assert result.tip_angle_deg == pytest.approx(33.690, abs=1e-3)
    assert abs(result.direction_deg) in (0, 180)


@pytest.mark.parametrize(("angle", "share"), [(10, 0.17633), (15, 0.26795)])
def test_a_stand_as_wide_as_the_tangent_tips_at_its_angle(angle, share):
    # IEC 60335-1 clause 20.1 tips by 10 degrees; tan 10 and tan 15 derived
    result = tip_angle(rectangle(2 * share * 100, 500), np.array([0, 0, 100.0]))
    assert result.tip_angle_deg == pytest.approx(angle, abs=1e-3)


def test_a_centre_outside_the_hull_falls():
    # support polygon = convex hull of the contacts: Bretl & Lall, IEEE Trans. Robotics 24(4) (2008)
    result = tip_angle(rectangle(80, 80), np.array([50.0, 0, 30]))
    assert result.tip_angle_deg < 0
    (found,) = standing_findings(result, asked_deg=10.0, wider_mm=None)
    assert found.severity is Severity.FAIL


def test_centre_of_a_solid_frustum():
    # frustum 30 / 20 / 50: z = h/4 (A1 + 2 sqrt(A1 A2) + 3 A2) / (A1 + sqrt(A1 A2) + A2) = 21.71053
    centre = centroid_mm(stacked([0, 50], [circle(30), circle(20)]))
    assert centre[2] == pytest.approx(21.71053, abs=1e-5)


def test_standing_takes_the_worse_of_sparse_and_solid():
    sparse = standing(
        rectangle(80, 80),
        holder_centre_mm=np.array([0, 0, 15.0]),
        holder_g=100,
        loads=[Load(centre_mm=np.array([20, 0, 60.0]), mass_g=50)],
    )
    centre = (np.array([0, 0, 15.0]) * 25 + np.array([20, 0, 60.0]) * 50) / 75
    assert sparse.tip_angle_deg == pytest.approx(tip_angle(rectangle(80, 80), centre).tip_angle_deg)


def even(clearance_mm):
    return clearance_profile([0.0, 30.0], [None, None], default_mm=clearance_mm)


def test_the_gap_is_measured_in_the_finished_holder(holder, seat):
    gap = least_gap(holder, seat, clearance=even(0.4))
    assert gap.least_mm == pytest.approx(
        0.4, abs=FINEST.margin_mm
    )  # nothing was added for what the steps take away
    assert not [*clearance_findings(gap, asked_mm=gap.least_mm + 0.004, tolerance_mm=0.005)]
    assert least_gap(holder, seat, clearance=even(0.2)).at_least
    uneven = clearance_profile([0.0, 30.0], [0.1, 0.6], default_mm=0.0)  # nothing of the holder is at 0.1
    wide = least_gap(holder, seat, clearance=uneven)
    assert wide.least_mm == pytest.approx(0.4, abs=FINEST.margin_mm)
    assert not wide.at_least
    (short,) = clearance_findings(gap, asked_mm=0.5, tolerance_mm=0.005)
    assert short.severity is Severity.FAIL


def test_withdrawal_is_free_upward_and_blocked_sideways(holder, seat):
    up = withdrawal_overlap_mm3(holder, seat, direction=np.array([0, 0, 1.0]), steps=8, stroke_mm=35)
    side = withdrawal_overlap_mm3(holder, seat, direction=np.array([1.0, 0, 0]), steps=8, stroke_mm=35)
    assert up == 0
    assert side > 100


def narrowing(*, top_mm, gap_mm=0.4):
    """A frustum that narrows by 1 mm in 10, radius 20 at its foot, in a pocket of 0.4 mm up to ``top_mm``."""
    profile = clearance_profile([0, 40], [None, None], default_mm=gap_mm)
    body = stacked([0, 60], [circle(20), circle(14)])
    return make_pocket(prepared(body), clearance=profile, direction=UP, top_mm=top_mm)


def test_a_thing_that_narrows_is_told_with_the_height_up_to_which_it_is_held():
    # the pocket goes straight up from the foot, the frustum recedes by z/10: it is free by twice the clearance at 8 mm
    pocket = narrowing(top_mm=40)
    (found,) = told_of(pocket)
    assert found.severity is Severity.WARN
    assert found.measured == pytest.approx(4, abs=0.05)
    assert pocket.undercut.held_to_mm(room_mm=0.8) == pytest.approx(8, abs=0.5)
    assert "the holder grips the thing only up to 8 mm" in found.message
    assert 'lift_out = "auto" found' in found.message
    assert "lift_out" not in found.advice
    assert not re.search(r"-0\b(?!\.)", found.message)  # rounded to nothing, it has no sign
    lower = float(re.search(r"make the block (\S+) mm high", found.advice)[1])
    assert lower == pytest.approx(8, abs=0.5)
    for gap_mm in (0.4, 0.385):  # what the fit asks for of a lower block may be a little less
        (followed,) = told_of(narrowing(top_mm=lower, gap_mm=gap_mm))
        assert followed.severity is Severity.NOTE
        assert followed.advice == ""


@pytest.mark.parametrize(("top_mm", "severity"), [(10.0, Severity.NOTE), (13.0, Severity.WARN)])
def test_a_thing_held_most_of_the_way_to_the_rim_is_a_note(top_mm, severity):
    """Held up to 8 mm, as above, of 10 and of 13: more and less than three quarters."""
    (found,) = told_of(narrowing(top_mm=top_mm))
    assert found.severity is severity
    assert "grips the thing only up to 8 mm" in found.message
    assert "make the block" in found.advice


@pytest.mark.parametrize(("beside_mm", "held_mm"), [(0.4, 8), (0.0, 6)])
def test_a_lining_is_no_clearance_by_which_the_thing_is_held(beside_mm, held_mm):
    """Twice the clearance beside the lining, or 0.3 mm where there is none, is reached at so many times ten."""
    pocket = narrowing(top_mm=40, gap_mm=3.0 + beside_mm)
    (found,) = told_of(pocket, lining_mm=3.0)
    assert f"grips the thing only up to {held_mm} mm" in found.message


def test_another_way_out_is_advised_only_where_it_helps():
    pocket = narrowing(top_mm=40)
    (helps,) = told_of(pocket, along_easiest_mm=lambda: 0.6)
    assert helps.advice.startswith('try lift_out = "auto" (about 0.6 mm of extra room)')
    (same,) = told_of(pocket, along_easiest_mm=lambda: 3.9)
    assert "lift_out" not in same.advice
    assert 'lift_out = "auto" finds no better way' in same.message


def test_no_block_below_the_lowest_section_is_advised():
    (found,) = told_of(narrowing(top_mm=40), lowest_section_mm=10.0)
    assert "the holder does not grip the thing" in found.message
    assert "make the block" not in found.advice


def test_a_block_that_would_take_little_of_the_thing_is_not_advised():
    """Held up to 8 mm, as above, of 60 mm: a block so low would be warned of in its turn."""
    (found,) = told_of(narrowing(top_mm=40), thing_mm=60.0)
    assert "grips the thing only up to 8 mm" in found.message
    assert found.advice == "hold the thing upside down, or by a part that widens upwards"


def test_a_waist_that_is_held_below_and_above_is_a_note(pocket):
    waist = stacked([0, 20, 40], [circle(20), circle(17), circle(20)])
    profile = clearance_profile([0, 40], [None, None], default_mm=0.4)
    waisted = make_pocket(prepared(waist), clearance=profile, direction=UP, top_mm=40)
    (found,) = told_of(waisted)
    assert found.severity is Severity.NOTE
    assert found.measured == pytest.approx(3, abs=0.05)
    assert re.search(
        r"narrower at its [a-z ]+, height \d+ mm, than below: .* mm of extra room there", found.message
    )
    assert not list(told_of(pocket))


@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("radii", "whose"),
    [((20, 20.5), "the gap is narrower at the thing's"), ((20, 17), "the thing is narrower at its")],
)
def test_a_thing_that_widens_upwards_is_not_told_to_be_narrower_where_the_gap_is(radii, whose):
    """More room half way, where the shape is less sure, is more than at the rim."""
    gap = clearance_profile([0, 20, 40], [None] * 3, default_mm=0.4, between_mm=np.array([1.0, 0.0]))
    body = prepared(stacked([0, 40], [circle(radius) for radius in radii]))
    pocket = make_pocket(body, clearance=gap, direction=UP, top_mm=40)
    (found,) = told_of(pocket, thing_mm=40.0)
    assert found.message.startswith(whose)


@pytest.mark.parametrize(("top_radius", "told"), [(19.95, 0), (19.8, 1)])
def test_room_that_a_print_errs_by_is_not_told(top_radius, told):
    pocket = make_pocket(
        prepared(stacked([0, 40], [circle(20), circle(top_radius)])),
        clearance=clearance_profile([0, 40], [None, None], default_mm=0.4),
        direction=UP,
        top_mm=40,
    )
    found = list(told_of(pocket, thing_mm=40.0))
    assert len(found) == told


def test_the_thinnest_wall_of_a_flaring_cone_is_at_its_top(holder, pocket):
    wall = thinnest_wall(holder, [pocket], block=BlockSpec(flare_mm=4))
    assert wall.least_mm == pytest.approx(3.0 + 0.25, abs=0.25)
    assert wall.height_mm > 25
    assert wall.floor_mm == pytest.approx(4.0, abs=1e-6)
    assert wall_findings(wall, printer=PrinterSpec(), corner_mm=(-30.0, -20.0)) == ()
    thin = wall_findings(
        replace(wall, floor_mm=0.4), printer=PrinterSpec(line_mm=2.0), corner_mm=(-30.0, -20.0)
    )
    assert [f.code for f in thin] == ["wall-thin", "floor-thin"]
    assert {f.severity for f in thin} == {Severity.WARN}
    (nearly,) = wall_findings(replace(wall, least_mm=0.80), printer=PrinterSpec(), corner_mm=(-30.0, -20.0))
    assert "make the wall 0.1 mm thicker or more" in nearly.advice  # two lines of 0.42 mm; not 0.0 mm
    torn = wall_findings(
        replace(wall, least_mm=0.3, floor_mm=0.1), printer=PrinterSpec(), corner_mm=(-30.0, -20.0)
    )
    assert [f.severity for f in torn] == [Severity.FAIL] * 2


def test_the_thinnest_wall_is_the_least_distance_between_points_of_both_surfaces():
    lean = pocket_of(egg(), direction=unit(0, 0.1, 1), lean_deg=8)
    block = BlockSpec(form=BlockForm.OVAL, flare_mm=5, wall_mm=3, floor_mm=4.0)
    holder = make_holder([lean], block=block, openings=(), under=np.zeros((1, 2)))
    wall = thinnest_wall(holder, [lean], block=block)
    below = holder.height_mm - 1.0
    outside = surface_points(mesh_of(holder.block), step_mm=0.4)
    outside = outside[(outside[:, 2] > 0.01) & (outside[:, 2] < below)]
    inside = mesh_of(lean.solid).vertices_mm + [0, 0, holder.lift_mm]
    inside = inside[inside[:, 2] < below]
    away = cKDTree(outside).query(inside)[0]
    assert len(inside) > 1000
    assert away.min() - 0.1 < wall.least_mm <= away.min() + 1e-9
    place = inside[np.argmin(away)]
    assert np.linalg.norm(place - wall.place_mm) < 4.0
    assert wall.floor_mm == pytest.approx(4.0, abs=1e-6)


def test_a_flare_thins_no_wall_and_a_wall_without_chamfers_is_its_own_thickness():
    can = make_pocket(
        prepared(stacked([0, 40], [circle(15)] * 2)),
        clearance=clearance_profile([0, 40], [None, None], default_mm=0.5),
        direction=UP,
        top_mm=30,
        lead_in_mm=0,
    )
    for flare in (0.0, 34.5):
        block = BlockSpec(form=BlockForm.OVAL, flare_mm=flare, chamfer_mm=0, lead_in_mm=0, wall_mm=5)
        holder = make_holder([can], block=block, openings=(), under=np.zeros((1, 2)))
        assert thinnest_wall(holder, [can], block=block).least_mm == pytest.approx(5, abs=0.02)


def test_inspection_dimensions_are_the_section_plus_the_clearance_on_both_sides(holder, pocket):
    found = inspection_dimensions(
        holder,
        [(pocket, seated(pocket, {"low": 10.0, "above": 35.0}))],
        block=BlockSpec(),
        inside_error_mm=0.0,
    )
    by_name = {c.name: c for c in found}
    slope = np.hypot(1, 4 / 40)
    assert by_name["pocket width at low"].length_mm == pytest.approx(32 + 0.8 * slope, abs=0.02)
    assert by_name["pocket width at low"].height_mm == pytest.approx(10 + holder.lift_mm)
    assert "pocket width at above" not in by_name
    assert by_name["floor"].length_mm == pytest.approx(4)
    # ISO 286-1 grade 13: 0.39 mm for over 30 up to 50 mm (published extract), 0.18 for over 3 up to 6 (from memory)
    assert by_name["pocket width at low"].high_mm - by_name["pocket width at low"].length_mm == pytest.approx(
        0.195
    )
    floor = by_name["floor"]
    assert (floor.low_mm, floor.high_mm) == pytest.approx((4 - 0.09, 4 + 0.09))
    walls = [by_name[f"wall, {side}"].length_mm for side in ("left", "right", "front", "back")]
    assert walls == pytest.approx([walls[0]] * 4, abs=0.02)
    assert 3.2 < walls[0] < 3.8


@pytest.mark.parametrize(("length", "band"), [(45, 0.39), (30, 0.33), (31, 0.39), (79, 0.46), (119, 0.54)])
def test_the_band_is_that_of_iso_286_1_grade_13(length, band):
    # ISO 286-1, IT13 (published extract of the table)
    assert band_mm(length) == band


def test_the_band_follows_the_standard_s_formula():
    # ISO 286-1: i = 0.45 D^(1/3) + 0.001 D um, grade 13 is 250 i, D the geometric mean of the step; to 3 %
    steps = [
        (18, 30),
        (30, 50),
        (50, 80),
        (80, 120),
        (120, 180),
        (180, 250),
        (250, 315),
        (315, 400),
        (400, 500),
    ]
    for low, high in steps:
        d = np.sqrt(low * high)
        assert band_mm(high) == pytest.approx(0.25 * (0.45 * np.cbrt(d) + 0.001 * d), rel=0.03)


def test_calipers_read_what_the_printer_makes_of_a_file_widened_for_it(holder, pocket):
    row = [(pocket, seated(pocket, {"low": 10.0}))]
    plain = {c.name: c for c in inspection_dimensions(holder, row, block=BlockSpec(), inside_error_mm=0.0)}
    printed = {c.name: c for c in inspection_dimensions(holder, row, block=BlockSpec(), inside_error_mm=0.1)}
    name = "pocket width at low"
    assert printed[name].length_mm - plain[name].length_mm == pytest.approx(-0.2)
    assert printed["wall, left"].length_mm - plain["wall, left"].length_mm == pytest.approx(0.1)
    # never so small that more than one side's clearance is gone
    assert printed[name].length_mm - printed[name].low_mm <= 0.3 + 1e-9


@pytest.mark.slow
def test_the_least_flare_that_stands_as_asked():
    can = stacked([0, 60], [circle(15)] * 2)
    pocket = make_pocket(
        prepared(can),
        clearance=clearance_profile([0, 60], [None, None], default_mm=0.4),
        direction=UP,
        top_mm=30,
    )
    block = BlockSpec(flare_mm=AUTO, tip_angle_deg=15.0)

    def load(*centre):
        return {"loads": [Load(centre_mm=np.array(centre), mass_g=500.0)], "density_g_cm3": 1.24}

    high = load(4.0, 0.0, 150.0)
    chosen = flared_block([pocket], block=block, **high)
    tips = {}
    for flare in (chosen.flare_mm, chosen.flare_mm - 0.5):
        holder = make_holder(
            [pocket], block=replace(block, flare_mm=flare), openings=(), under=np.array([[4.0, 0]])
        )
        tips[flare] = standing(
            contact_points(holder.mesh),
            holder_centre_mm=centroid_mm(holder.mesh),
            holder_g=volume_mm3(holder.mesh) / 1000 * 1.24,
            loads=[Load(centre_mm=np.array([4.0, 0, 150.0 + holder.lift_mm]), mass_g=500.0)],
        )
    assert tips[chosen.flare_mm].tip_angle_deg >= 15.0 - 0.05
    assert tips[chosen.flare_mm - 0.5].tip_angle_deg < 15.0
    assert 15 < chosen.flare_mm < 40
    low = load(0.0, 0.0, 15.0)
    assert flared_block([pocket], block=block, **low).flare_mm == 0
    assert flared_block([pocket], block=replace(block, flare_mm=3.0), **high).flare_mm == 3.0
    with pytest.raises(HolderError, match="no flare"):
        flared_block([pocket], block=replace(block, tip_angle_deg=45.0), **load(0.0, 0.0, 900.0))


def test_standing_advice_says_which_way_and_by_how_much():
    result = tip_angle(rectangle(80, 200), np.array([34.0, 0, 60.0]))
    (found,) = standing_findings(result, asked_deg=15.0, wider_mm=10.5)
    assert found.severity is Severity.WARN
    assert "to the right" in found.message
    assert "10.5 mm per side" in found.advice
    (mild,) = standing_findings(
        tip_angle(rectangle(80, 200), np.array([28.0, 0, 60.0])), asked_deg=15.0, wider_mm=None
    )
    assert mild.severity is Severity.NOTE
    assert not [
        *standing_findings(
            tip_angle(rectangle(80, 200), np.array([0.0, 0, 60.0])), asked_deg=15.0, wider_mm=None
        )
    ]


@pytest.mark.parametrize(
    ("tips", "said"),
    [
        ({}, "tilted by 3.0°"),
        ({"without": 1}, "(one thing taken out)"),
        ({"without": 3}, "(3 things taken out)"),
        ({"infill": 0.25, "without": 1}, "(printed with little infill, one thing taken out)"),
    ],
)
def test_when_it_tips_is_told(tips, said):
    tip = Standing(tip_angle_deg=3.0, direction_deg=0.0, **tips)
    (found,) = standing_findings(tip, asked_deg=10.0, wider_mm=None)
    assert found.message.endswith(said)
