"""Overhangs, bridges, thin parts and grip, on shapes whose answers are known."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from pockets import make_pocket, pocket_of
from sampling import surface_points
from stacked import UP, circle, rectangle, stacked

from cradle.checks.grip import engagement_findings, spacing_findings
from cradle.checks.holder_findings import in_thing_frame
from cradle.checks.overhang import Overhang, overhang_findings, overhangs
from cradle.checks.thin_features import thin_findings, thin_parts
from cradle.finding import Finding, Severity
from cradle.geometry.mesh import corners
from cradle.geometry.solid import difference, extruded, mesh_of, moved, solid, transformed, union
from cradle.holder.holder import make_holder
from cradle.matching.ring_stack import RingStack
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.prepared_body import prepared
from cradle.project.block import BlockSpec
from cradle.project.convert import AUTO
from cradle.project.fit import FitSpec
from cradle.project.opening import SlotSpec, Through
from cradle.project.printer import PrinterSpec
from cradle.project.project import Project
from cradle.project.section import MeasuredSource, SectionSpec
from cradle.project.thing import ObjectSpec
from cradle.sections.profiles import Profiles

PRINTER = PrinterSpec()
LEVEL_X = np.array([[0, 0, 1, 0], [1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 0, 1]], dtype=float)


def cone(half_angle_deg, *, height=10.0, foot=10.0):
    """A cone that widens upward: its side hangs over by the half angle."""
    top = foot + height * np.tan(np.radians(half_angle_deg))
    return stacked([0, height], [circle(foot, points=180), circle(top, points=180)])


@pytest.mark.parametrize(("half_angle", "patches"), [(0, 0), (30, 0), (45, 0), (50, 1), (70, 1)])
def test_a_widening_cone_hangs_over_by_its_half_angle(half_angle, patches):
    # up to 45 degrees from upright prints without support: rule of thumb (O'Reilly book on printing)
    found = overhangs(cone(half_angle))
    assert len(found) == patches
    if patches:
        foot, top = 10.0, 10 + 10 * np.tan(np.radians(half_angle))
        lateral = np.pi * (foot + top) * np.hypot(10, top - foot)
        assert found[0].steepest_deg == pytest.approx(half_angle, abs=0.1)
        assert found[0].area_mm2 == pytest.approx(lateral, rel=1e-3)


def test_what_lies_on_the_bed_does_not_hang_over_and_a_ceiling_does():
    box = extruded(rectangle(40, 30), low_mm=0, high_mm=30, where="box")
    assert overhangs(mesh_of(box)) == ()
    tunnel = transformed(extruded(rectangle(12, 8), low_mm=-50, high_mm=50, where="tunnel"), LEVEL_X)
    (ceiling,) = overhangs(mesh_of(difference(box, [moved(tunnel, (0, 0, 15))], where="box")))
    assert ceiling.spans
    assert ceiling.area_mm2 == pytest.approx(12 * 40)
    assert ceiling.span_mm == pytest.approx(12)
    assert ceiling.place_mm == pytest.approx((0, 0, 19))
    (found,) = overhang_findings((ceiling,), printer=PRINTER, corner_mm=(-30.0, -20.0), openings=[""])
    assert (found.code, found.severity) == ("bridge", Severity.WARN)
    assert "30 mm from the holder's left edge and 20 mm from its front, 19 mm above the bed" in found.message


@pytest.mark.parametrize(("diameter", "severity"), [(8.0, Severity.NOTE), (20.0, Severity.WARN)])
def test_the_crown_of_a_level_round_hole_is_a_bridge_as_wide_as_its_chord(diameter, severity):
    box = extruded(rectangle(60, 30), low_mm=0, high_mm=40, where="box")
    hole = transformed(extruded(circle(diameter / 2), low_mm=-50, high_mm=50, where="hole"), LEVEL_X)
    (crown,) = overhangs(mesh_of(difference(box, [moved(hole, (0, 0, 20))], where="box")))
    # over 46 degrees from upright: the chord there is d cos 44... of the circle
    assert crown.span_mm == pytest.approx(diameter * np.sin(np.radians(44)), abs=0.2)
    (found,) = overhang_findings((crown,), printer=PRINTER, corner_mm=(-30.0, -20.0), openings=[""])
    assert found.severity is severity


def test_a_shelf_that_juts_out_is_an_overhang_not_a_bridge():
    post = stacked([0, 20, 26], [rectangle(10, 30), rectangle(10, 30), rectangle(30, 30)])
    patches = overhangs(post)
    found = overhang_findings(
        patches, openings=[""] * len(patches), printer=PRINTER, corner_mm=(-30.0, -20.0)
    )
    (found,) = found
    assert (found.code, found.severity) == ("overhang", Severity.WARN)
    assert found.measured == pytest.approx(np.degrees(np.arctan(10 / 6)), abs=0.01)
    assert found.message.endswith(", and 1 more like it")


def patch(span, *, spans=True):
    return Overhang(
        steepest_deg=90.0,
        area_mm2=8 * span,
        span_mm=span,
        width_mm=3.0,
        spans=spans,
        place_mm=(0.0, 0.0, 9.0),
    )


def test_ceilings_that_print_as_bridges_are_told_once_with_the_widest():
    found = overhang_findings(
        [patch(3.0), patch(5.4), patch(3.1), patch(12.0)],
        openings=["a hole of the plate", "slot 2", "a hole of the plate", "window 1"],
        printer=PRINTER,
        corner_mm=(0.0, 0.0),
    )
    assert [(f.severity, f.measured) for f in found] == [(Severity.NOTE, 5.4), (Severity.WARN, 12.0)]
    assert found[0].message.startswith("a ceiling 5.4 mm across (43 mm²) in slot 2, ")
    assert found[0].message.endswith(", and 2 more no wider")


def test_what_hangs_over_in_one_opening_is_told_once_and_elsewhere_for_each_place():
    patches = [patch(6.0, spans=False), patch(4.0, spans=False)]
    for openings, wide in (
        (["window 1"] * 2, ["6.0"]),
        (["window 1", "slot 2"], ["6.0", "4.0"]),
        (["", ""], ["6.0", "4.0"]),
    ):
        found = overhang_findings(patches, openings=openings, printer=PRINTER, corner_mm=(0.0, 0.0))
        assert [f.message.split(" mm")[0].rpartition(" ")[2] for f in found] == wide


@pytest.mark.parametrize(("wide", "told"), [(0.3, 0), (1.2, 1)])
def test_a_lip_all_round_is_told_where_a_printed_line_has_no_hold(wide, told):
    # 30 mm across, but only so wide: less than a line (0.45 mm) lies mostly on the one below
    post = extruded(circle(15.0 - wide, points=90), low_mm=0, high_mm=6, where="post")
    head = extruded(circle(15.0, points=90), low_mm=6, high_mm=10, where="head")
    (lip,) = overhangs(mesh_of(union([post, head], where="post")))
    assert lip.span_mm == pytest.approx(30, abs=0.05)
    assert lip.width_mm == pytest.approx(wide, rel=0.01)
    assert len(overhang_findings((lip,), printer=PRINTER, corner_mm=(0.0, 0.0), openings=[""])) == told


@pytest.fixture(scope="module")
def tile():
    return pocket_of(stacked([0, 40], [rectangle(40, 24)] * 2), clearance_mm=0.4)


@pytest.mark.parametrize(("apart", "thin"), [(0.3, True), (1.2, False), (0.019, False)])
def test_a_web_thinner_than_a_line_between_two_openings_is_found(tile, apart, thin):
    slots = tuple(
        SlotSpec(
            through=Through.FRONT,
            at_mm=(x, 15.0),
            width_mm=5,
            length_mm=14,
            turn_deg=90,
        )
        for x in (-(5 + apart) / 2, (5 + apart) / 2)
    )
    holder = make_holder([tile], block=BlockSpec(), openings=slots, under=np.zeros((1, 2)))
    parts = thin_parts(holder, line_mm=0.42)
    found = [*thin_findings(parts, openings=holder.openings, printer=PRINTER, corner_mm=(-30.0, -20.0))]
    assert [f.code for f in found] == (["feature-thin"] if thin else [])
    if thin:
        assert found[0].place_mm[0] == pytest.approx(0, abs=0.1)
        assert found[0].place_mm[1] < -12


@pytest.mark.parametrize(("wide", "thin"), [(0.02, False), (0.2, False), (0.3, True)])
def test_beside_a_gap_that_no_printer_leaves_open_there_is_no_thin_wall(tile, wide, thin):
    """Slits inside a wall, as folds of a pocket leave them, were told as walls that may be missing."""
    plain = make_holder([tile], block=BlockSpec(wall_mm=5.0), openings=(), under=np.zeros((1, 2)))
    near = -12.4 - 0.06  # so far in front of the pocket
    slit = extruded(
        rectangle(18, wide) + np.array([0.0, near - wide / 2]), low_mm=14, high_mm=20, where="slit"
    )
    holder = replace(plain, solid=difference(plain.solid, [slit], where="slit"))
    found = thin_parts(holder, line_mm=0.42)
    assert [part.length_mm > 15 for part in found] == [True] * len(found)
    assert bool(found) is thin


def test_places_are_told_in_the_thing_s_frame():
    matrix = np.eye(4)
    matrix[:3, 3] = [1, 2, 5]
    here = Finding(code="a", severity=Severity.NOTE, message="m", place_mm=(1.0, 2.0, 9.0))
    nowhere = Finding(code="b", severity=Severity.NOTE, message="m")
    moved_one, same = in_thing_frame([here, nowhere], print_from_thing=matrix)
    assert moved_one.place_mm == pytest.approx((0, 0, 4))
    assert same is nowhere


def project(*, measured_to=40.0, **changes):
    source = MeasuredSource(form="ellipse", width_mm=30, depth_mm=30)
    sections = tuple(SectionSpec(name=str(z), height_mm=z, source=source) for z in (0.0, 20.0, measured_to))
    return Project(file=Path("holder.toml"), sections=sections, **changes)


@pytest.mark.parametrize(
    ("overall", "severity"), [(None, None), (90.0, None), (150.0, Severity.NOTE), (250.0, Severity.WARN)]
)
def test_a_low_grip_is_told_with_how_far_the_top_moves(overall, severity):
    found = grip(overall=overall, foot=1.1, rim=0.3)
    assert [f.severity for f in found] == ([severity] if severity else [])
    if severity:
        # (a + b) H / h
        assert f"{(1.1 + 0.3) * overall / 40:.1f} mm" in found[0].message
        assert f"make the block {overall / 3:.0f} mm high" in found[0].advice


def grip(*, overall, foot=0.5, rim=0.5, radii=(20, 21), measured_to=40.0, **fit):
    """What is told of a holder 40 mm high of a round thing, by how high that is and its radius at 0 and 60 mm."""
    clearance = clearance_profile([0, 40], [foot, rim], default_mm=0.5)
    pocket = make_pocket(
        prepared(stacked([0, 60], [circle(radius) for radius in radii])),
        clearance=clearance,
        direction=UP,
        top_mm=40,
    )
    one = project(
        measured_to=measured_to,
        thing=ObjectSpec(height_mm=overall),
        block=BlockSpec(height_mm=40),
        fit=FitSpec(**fit),
    )
    return [*engagement_findings(one, clearance=clearance, pocket=pocket)]


def test_no_remedy_for_a_low_grip_is_named_that_would_not_help():
    (by_hand,) = grip(overall=123.0, clearance_mm=0.5, measured_to=60.0)
    assert by_hand.advice == "make the block 41 mm high, or make the clearance smaller"
    (least_already,) = grip(overall=123.0, clearance_mm=AUTO, measured_to=60.0)
    assert least_already.advice == "make the block 41 mm high"
    (beyond,) = grip(
        overall=150.0, clearance_mm=AUTO
    )  # a block above the highest section would be warned of in its turn
    assert beyond.advice == "make the block 50 mm high, and measure one more section just above that"
    (narrower_above,) = grip(overall=150.0, radii=(20, 10), clearance_mm=AUTO)
    assert narrower_above.advice == ""


def test_sections_too_far_apart_for_a_round_thing_are_told():
    # the skin of a ball R 40 cut every 10 mm leaves a straight loft by h^2 / 8R = 0.31 mm at its widest,
    # by 0.5 mm and more nearer the poles (spherical zones)
    heights = np.arange(10.0, 71.0, 10.0)
    rings = np.array(
        [np.column_stack([circle(np.sqrt(1600 - (z - 40) ** 2), points=90), np.full(90, z)]) for z in heights]
    )
    stack = RingStack(
        rings_mm=rings[:, :, :2],
        heights_mm=heights,
        names=tuple(str(z) for z in heights),
        unlike_mm=(0.0,) * 6,
    )
    ball = project(block=BlockSpec(height_mm=60))

    def even(clearance_mm, *, between_mm=0.0):
        none = [None] * len(heights)
        return clearance_profile(heights, none, default_mm=clearance_mm, between_mm=between_mm)

    tight = [*spacing_findings(stack, profiles=Profiles(), project=ball, clearance=even(0.1))]
    assert [f.severity for f in tight] == [Severity.NOTE]
    assert tight[0].measured > 0.2
    assert not [*spacing_findings(stack, profiles=Profiles(), project=ball, clearance=even(5.0))]
    assert tight[0].where.startswith("section ")
    # a side that was read, by a profile or in a view, shows where the skin bulges
    seen = Profiles(front=np.array([[0.0, -40.0], [80.0, -40.0]]))
    assert not [*spacing_findings(stack, profiles=seen, project=ball, clearance=even(0.1))]
    # room that is given between the sections alone counts there
    assert not [
        *spacing_findings(stack, profiles=Profiles(), project=ball, clearance=even(0.1, between_mm=5.0))
    ]


def test_points_spread_over_faces_leave_no_hole_larger_than_a_step():
    mesh = mesh_of(solid(stacked([0, 30], [rectangle(50, 4)] * 2), where="box"))
    points = surface_points(mesh, step_mm=2.0)
    rng = np.random.default_rng(5)
    weights = rng.dirichlet([1, 1, 1], size=200)
    there = np.einsum("sk,fkc->fsc", weights, corners(mesh)).reshape(-1, 3)
    away = np.linalg.norm(there[:, None] - points, axis=2).min(axis=1)
    assert away.max() < 2.0
    assert len(points) < 5000
