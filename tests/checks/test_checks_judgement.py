import numpy as np
import pytest
from stacked import circle, rectangle, stacked

from cradle.checks.clearance import (
    clearance_findings,
    least_gap,
    seated,
    undercut_findings,
    withdrawal_overlap_mm3,
)
from cradle.checks.control import control_dimensions
from cradle.checks.standing import standing, standing_findings, tip_angle
from cradle.checks.walls import bed_findings, thinnest_wall, wall_findings
from cradle.finding import Severity
from cradle.geometry.mesh import centroid_mm
from cradle.geometry.solid import solid
from cradle.holder.holder import make_holder
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.pocket import make_pocket
from cradle.project.spec import BlockSpec, PrinterSpec

CONE = stacked([0, 40], [circle(15), circle(19)])


@pytest.fixture(scope="module")
def pocket():
    return make_pocket(
        CONE,
        clearance=clearance_profile([0, 40], [None, None], default_mm=0.4),
        insertion=(0, 0, 1),
        top_mm=30,
        lead_in_mm=1,
    )


@pytest.fixture(scope="module")
def holder(pocket):
    return make_holder(pocket, block=BlockSpec(flare_mm=4), openings=(), balance_xy=np.zeros(2))


@pytest.fixture(scope="module")
def seat(holder):
    return seated(solid(CONE, where="cone"), holder.print_from_stand)


def test_tip_angle_is_the_arc_tangent_of_distance_over_height():
    # edge 40 mm away, centre 60 mm high: atan(40 / 60) = 33.690 degrees (elementary statics)
    result = tip_angle(rectangle(80, 200), np.array([0, 0, 60.0]))
    assert result.tip_angle_deg == pytest.approx(33.690, abs=1e-3)
    assert abs(result.direction_deg) in (0, 180)


@pytest.mark.parametrize(("angle", "share"), [(10, 0.17633), (15, 0.26795)])
def test_distance_needed_per_height(angle, share):
    # IEC 60335-1 clause 20.1 tips by 10 degrees; tan 10 and tan 15 derived
    result = tip_angle(rectangle(2 * share * 100, 500), np.array([0, 0, 100.0]))
    assert result.tip_angle_deg == pytest.approx(angle, abs=1e-3)


def test_a_centre_outside_the_hull_falls():
    # support polygon = convex hull of the contacts: Bretl & Lall, IEEE Trans. Robotics 24(4) (2008)
    result = tip_angle(rectangle(80, 80), np.array([50.0, 0, 30]))
    assert result.margin_mm == -10
    assert result.tip_angle_deg < 0
    (found,) = standing_findings(result)
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
        thing_centre_mm=np.array([20, 0, 60.0]),
        thing_g=50,
    )
    centre = (np.array([0, 0, 15.0]) * 25 + np.array([20, 0, 60.0]) * 50) / 75
    assert sparse.tip_angle_deg == pytest.approx(tip_angle(rectangle(80, 80), centre).tip_angle_deg)


def test_the_gap_is_measured_in_the_finished_holder(holder, seat):
    gap = least_gap(holder, seat, clearance_mm=0.4)
    assert gap.least_mm == pytest.approx(0.4, abs=0.005)
    assert clearance_findings(gap, asked_mm=0.4, tolerance_mm=0.005) == ()
    wide = least_gap(holder, seat, clearance_mm=0.2)
    assert wide.at_least
    (short,) = clearance_findings(gap, asked_mm=0.5, tolerance_mm=0.005)
    assert short.severity is Severity.FAIL


def test_withdrawal_is_free_upward_and_blocked_sideways(holder, seat):
    up = withdrawal_overlap_mm3(holder, seat, direction=np.array([0, 0, 1.0]), steps=8, stroke_mm=35)
    side = withdrawal_overlap_mm3(holder, seat, direction=np.array([1.0, 0, 0]), steps=8, stroke_mm=35)
    assert up == 0
    assert side > 100


def test_an_undercut_is_told_with_its_depth_and_height(pocket):
    waist = stacked([0, 20, 40], [circle(20), circle(17), circle(20)])
    profile = clearance_profile([0, 40], [None, None], default_mm=0.4)
    found = undercut_findings(make_pocket(waist, clearance=profile, insertion=(0, 0, 1), top_mm=40))
    assert found[0].severity is Severity.WARN
    assert found[0].measured == pytest.approx(3, abs=0.05)
    assert undercut_findings(pocket) == ()


def test_the_thinnest_wall_of_a_flaring_cone_is_at_its_top(holder, pocket):
    wall = thinnest_wall(holder, pocket, block=BlockSpec(flare_mm=4))
    straight = 3.0
    assert wall.least_mm == pytest.approx(straight + 0.25, abs=0.25)
    assert wall.height_mm > 25
    assert wall_findings(wall, block=BlockSpec(), printer=PrinterSpec()) == ()
    thick_line = PrinterSpec(line_mm=2.0)
    assert [f.code for f in wall_findings(wall, block=BlockSpec(floor_mm=0.4), printer=thick_line)] == [
        "wall-thin",
        "floor-thin",
    ]


def test_a_holder_larger_than_the_bed_fails_unless_a_quarter_turn_helps():
    printer = PrinterSpec(bed_mm=(200, 100, 100))
    assert bed_findings((90, 190, 50), printer=printer) == ()
    assert bed_findings((190, 110, 50), printer=printer)[0].severity is Severity.FAIL
    assert bed_findings((50, 50, 150), printer=printer)


def test_control_dimensions_are_the_section_plus_the_clearance_on_both_sides(holder, pocket):
    found = control_dimensions(holder, pocket, heights_mm=[("low", 10.0), ("above", 35.0)], block=BlockSpec())
    by_name = {c.name: c for c in found}
    slope = np.hypot(1, 4 / 40)
    assert by_name["pocket width at low"].length_mm == pytest.approx(32 + 0.8 * slope, abs=0.02)
    assert by_name["pocket width at low"].height_mm == pytest.approx(10 + holder.lift_mm)
    assert "pocket width at above" not in by_name
    assert by_name["floor"].length_mm == 4
    assert by_name["pocket depth below the rim"].length_mm == pytest.approx(30.4, abs=0.01)
