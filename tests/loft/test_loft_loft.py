"""The loft: sound, exact at the sections, no overshoot, the same however it was drawn."""

import numpy as np
import pytest
from bodies import bracket, ellipse, gear, keyhole, lofted, pebble, rectangle, section, superellipse
from sampling import euler_characteristic, hausdorff_mm

from cradle.errors import LoftError
from cradle.finding import Severity
from cradle.geometry import region_measures
from cradle.geometry import ring as plane
from cradle.geometry.arrays import frozen
from cradle.geometry.mesh import component_count, edge_statistics, volume_mm3
from cradle.geometry.ring import signed_area
from cradle.loft.interpolate import straight_at
from cradle.loft.loft import loft
from cradle.loft.skin import cap, skin
from cradle.matching.ring_stack import RingStack
from cradle.project.section import Between, LoftSpec
from cradle.sections.profiles import Profiles

STACKS = {
    "square to circle": [rectangle(20, 20), ellipse(12, 12, points=97)],
    "brackets": [bracket(10), bracket(11) + [1, 2], bracket(9)],
    "gears": [gear(20), gear(24, turn=0.1), gear(22, turn=0.05)],
    "keyhole to oval": [keyhole(10, 8, 12), ellipse(14, 12, points=120)],
    "bracket to circle": [bracket(10), ellipse(22, 22, points=90) + [14, 14]],
    "superellipses": [superellipse(20, 15, 4), superellipse(25, 12, 2.5), superellipse(14, 14, 2)],
    "pebbles": [pebble(i, points=140 + i, turn=0.01 * i) for i in range(5)],
}


def stacked(name):
    return [section(12 * i + 2, p) for i, p in enumerate(STACKS[name])]


@pytest.mark.parametrize("between", list(Between))
@pytest.mark.parametrize("name", STACKS)
def test_the_body_is_closed_in_one_piece_and_without_slivers(name, between):
    body = lofted(stacked(name), between=between, low=0, high=40)
    mesh, edges = body.mesh, edge_statistics(body.mesh)
    assert edges.closed
    assert component_count(mesh) == 1
    # closed mesh without holes: 3 F = 2 E, V - E + F = 2, signed volume above 0; common practice
    assert 3 * len(mesh.faces) == 2 * edges.edges
    assert euler_characteristic(mesh) == 2
    assert volume_mm3(mesh) > 500
    corners = mesh.vertices_mm[mesh.faces]
    areas = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    wall = areas[np.ptp(corners[:, :, 2], axis=1) > 0]
    assert wall.min() > 1e-6
    assert region_measures.are_simple(body.rings_mm).all()
    assert body.heights_mm[0] == 0
    assert body.heights_mm[-1] == max(40, stacked(name)[-1].height_mm)


@pytest.mark.parametrize("between", list(Between))
@pytest.mark.parametrize("name", STACKS)
def test_the_body_is_exact_at_its_sections(name, between):
    sections = stacked(name)
    body = lofted(sections, between=between)
    assert body.section_error_mm < 1e-9
    for one in sections:
        at = int(np.flatnonzero(body.heights_mm == one.height_mm)[0])
        assert hausdorff_mm(one.points_mm, body.rings_mm[at], step_mm=1.0) < 1e-9


@pytest.mark.parametrize("name", ["pebbles", "superellipses", "gears"])
def test_smooth_skin_does_not_overshoot_its_neighbours(name):
    sections = stacked(name)
    body = lofted(sections)
    given = [body.rings_mm[body.heights_mm == one.height_mm][0] for one in sections]
    looked_at = 0
    for below, above, low, high in zip(sections, sections[1:], given, given[1:], strict=False):
        inner = body.rings_mm[(body.heights_mm > below.height_mm) & (body.heights_mm < above.height_mm)]
        assert (inner >= np.minimum(low, high) - 1e-9).all()
        assert (inner <= np.maximum(low, high) + 1e-9).all()
        looked_at += len(inner)
    assert looked_at > 5


def test_straight_is_chosen_for_two_sections_and_smooth_for_three():
    two, three = stacked("pebbles")[:2], stacked("pebbles")[:3]
    assert len(lofted(two).heights_mm) == 2
    assert len(lofted(three).heights_mm) > 3
    assert len(lofted(three, between=Between.STRAIGHT).heights_mm) == 3
    assert len(lofted(two, between=Between.SMOOTH).heights_mm) == 2


@pytest.mark.parametrize("name", STACKS)
def test_columns_join_points_on_the_same_side(name):
    """Partners lie on the same side: columns run about as steeply as the rings are apart."""
    body = lofted(stacked(name), between=Between.STRAIGHT)
    rings = body.rings_mm - body.rings_mm.mean(axis=1, keepdims=True)
    here, there = rings[:-1] @ [1, 1j], rings[1:] @ [1, 1j]
    mean_turn = np.degrees(np.angle((here.conj() * there).sum(axis=1)))
    assert np.abs(mean_turn).max() < 20


MOVES = {
    "start": lambda p: np.roll(p, 37, axis=0),
    "direction": lambda p: p[::-1],
    "shift": lambda p: p + [120.0, -45.0],
    "quarter turn": lambda p: np.column_stack([-p[:, 1], p[:, 0]]),
    "mirror": lambda p: p * [-1, 1],
    "turn": lambda p: p @ np.array([[np.cos(0.7), np.sin(0.7)], [-np.sin(0.7), np.cos(0.7)]]),
}
STAYS_PUT = {"start", "direction"}


def drawn(outlines, between):
    return lofted([section(10 * i, p) for i, p in enumerate(outlines)], between=between)


def columns(rings):
    return rings.transpose(1, 0, 2).reshape(rings.shape[1], -1)


@pytest.mark.parametrize("move", MOVES)
@pytest.mark.parametrize("between", [Between.STRAIGHT, Between.SMOOTH])
def test_nothing_depends_on_how_sections_are_drawn(move, between):
    if move == "turn" and between is Between.SMOOTH:
        pytest.skip("the smooth skin is monotone in x and in y, so only quarter turns leave it as it is")
    outlines = [pebble(i + 20, points=140 + 9 * i) for i in range(4)]
    plain = drawn(outlines, between)
    moved = drawn([MOVES[move](p) for p in outlines], between)
    assert volume_mm3(moved.mesh) == pytest.approx(volume_mm3(plain.mesh), rel=1e-9)
    expected = (
        plain.rings_mm if move in STAYS_PUT else np.array([MOVES[move](ring) for ring in plain.rings_mm])
    )
    assert moved.rings_mm.shape == expected.shape
    nearest = [np.abs(columns(expected) - column).max(axis=1).min() for column in columns(moved.rings_mm)]
    assert len(nearest) >= 140
    assert max(nearest) < 1e-6


def test_turning_a_smooth_stack_changes_it_hardly():
    outlines = [pebble(i + 20, points=140 + 9 * i) for i in range(4)]
    plain = drawn(outlines, Between.SMOOTH)
    moved = drawn([MOVES["turn"](p) for p in outlines], Between.SMOOTH)
    assert volume_mm3(moved.mesh) == pytest.approx(volume_mm3(plain.mesh), rel=2e-3)


@pytest.mark.parametrize(("between", "within"), [(Between.STRAIGHT, 1e-9), (Between.SMOOTH, 1e-4)])
def test_turning_the_stack_over_keeps_a_matched_body(between, within):
    """Smooth columns are followed by layers laid from below: these differ by what layers may leave out."""
    stack_heights = np.array([0.0, 7, 20])
    rings = np.array([ellipse(20 + i, 15 - i, points=60) + [i * i, i] for i in range(3)])

    def volume(heights, rings):
        stack = RingStack(heights_mm=frozen(heights), rings_mm=frozen(rings), names=("a", "b", "c"))
        body = loft(
            stack, spec=LoftSpec(between=between), profiles=Profiles(), low_mm=heights[0], high_mm=heights[0]
        )
        return volume_mm3(body.mesh)

    assert volume(20 - stack_heights[::-1], rings[::-1]) == pytest.approx(
        volume(stack_heights, rings), rel=within
    )


@pytest.mark.parametrize(("low", "code_severity"), [(0.0, Severity.NOTE), (-4.0, Severity.WARN)])
def test_extension_below_is_straight_and_told(low, code_severity):
    body = lofted(stacked("pebbles"), low=low)
    assert body.extended_mm == (pytest.approx(2 - low), 0.0)
    assert np.array_equal(body.rings_mm[0], body.rings_mm[1])
    (finding,) = body.findings
    assert finding.code == "extended-below"
    assert finding.advice.startswith("measure a section close to its foot")
    assert finding.severity is code_severity
    assert finding.measured == pytest.approx(2 - low)
    assert finding.place_mm[2] == low


def test_extension_above_is_straight_and_told():
    body = lofted(stacked("pebbles"), high=60.0)
    top = stacked("pebbles")[-1]
    assert body.extended_mm == (0.0, pytest.approx(60 - top.height_mm))
    extra = volume_mm3(body.mesh) - volume_mm3(lofted(stacked("pebbles")).mesh)
    assert extra == pytest.approx(signed_area(top.points_mm) * (60 - top.height_mm), rel=1e-9)
    (finding,) = body.findings
    assert (finding.code, finding.severity) == ("extended-above", Severity.WARN)
    assert "the 10.00 mm above were not measured and run straight up" in finding.message
    assert finding.advice.endswith("or end the block at 50 mm")
    (near,) = lofted(stacked("pebbles"), high=51.0).findings  # as far as the gap alone takes it
    assert "block" not in near.advice
    assert (
        lofted(stacked("pebbles"), high=53.3, rim=50.0).findings == ()
    )  # the body goes on, the holder does not
    (up_to_the_rim,) = lofted(stacked("pebbles"), high=55.3, rim=52.0).findings
    assert "the 2.00 mm above" in up_to_the_rim.message
    (far,) = lofted(stacked("pebbles"), high=400.0).findings
    assert far.advice.endswith("or end the block at 50 mm; if the heights are in cm, write them in mm")


def test_body_spans_all_sections_even_when_less_is_needed():
    body = lofted(stacked("pebbles"), low=20, high=25)
    assert (body.heights_mm[0], body.heights_mm[-1]) == (2, 50)
    assert body.extended_mm == (0, 0)
    assert body.findings == ()


def test_a_section_that_crosses_itself_is_refused_with_its_place():
    ring = plane.resample(bracket(10), count=60)
    crossed = ring[np.r_[0:20, 40:19:-1, 41:60]]
    stack = RingStack(
        heights_mm=frozen([0, 10, 20]),
        rings_mm=frozen([ring, ring, crossed]),
        names=("heel", "waist", "neck"),
    )
    with pytest.raises(LoftError, match="near x") as caught:
        loft(stack, spec=LoftSpec(), profiles=Profiles(), low_mm=0, high_mm=20)
    assert 'section "neck"' in str(caught.value)


def test_a_stack_that_misses_its_sections_says_so():
    stack = RingStack(
        heights_mm=frozen([0, 10]),
        rings_mm=frozen([ellipse(20, 15), ellipse(20, 15)]),
        names=("a", "b"),
        outlines_mm=(frozen(ellipse(20, 15)), frozen(ellipse(20.5, 15))),
    )
    body = loft(stack, spec=LoftSpec(), profiles=Profiles(), low_mm=0, high_mm=10)
    assert body.section_error_mm == pytest.approx(0.5, abs=0.01)


@pytest.mark.parametrize(("points", "layers"), [(4, 2), (60, 2), (60, 5)])
def test_a_skin_has_as_many_triangles_as_published(points, layers):
    # two loops of m and n points are tiled by m + n triangles, and capped by (m - 2) + (n - 2) more;
    # Keppel, IBM J. Res. Dev. 19(1), 1975; Fuchs, Kedem & Uselton, CACM 20(10), 1977 (from memory)
    ring = ellipse(20, 15, points=points)
    rings = np.array([ring * (1 + 0.1 * i) for i in range(layers)])
    mesh = skin(rings, np.arange(layers) * 5.0, twist_mm=1e-9)
    assert len(mesh.faces) == (layers - 1) * (points + points) + 2 * (points - 2)
    assert euler_characteristic(mesh) == 2
    assert edge_statistics(mesh).closed


def test_twisted_quads_enclose_the_swept_surface():
    rings = np.array([rectangle(20, 20), rectangle(20, 20) @ np.array([[0.8, 0.6], [-0.6, 0.8]])])
    mesh = skin(rings, np.array([0.0, 10.0]), twist_mm=1e-9)
    fine = straight_at(np.array([0.0, 10.0]), rings, np.linspace(0, 10, 2001))
    exact = np.trapezoid([signed_area(ring) for ring in fine], dx=0.005)
    assert volume_mm3(mesh) == pytest.approx(exact, rel=1e-6)
    assert len(mesh.faces) == 4 * 4 + 4
    cut = skin(rings, np.array([0.0, 10.0]), twist_mm=100.0)
    assert len(cut.faces) == 4 * 2 + 4
    assert abs(volume_mm3(cut) / exact - 1) > 1e-3
    assert edge_statistics(mesh).closed
    assert edge_statistics(cut).closed


@pytest.mark.parametrize(
    "ring", [bracket(10), gear(20), keyhole(10, 8, 12)], ids=["bracket", "gear", "keyhole"]
)
def test_caps_fill_rings_that_are_not_convex(ring):
    ring = np.concatenate(
        [np.linspace(a, b, 5)[:-1] for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True)]
    )
    faces = cap(ring)
    a, b, c = ring[faces].transpose(1, 0, 2)
    areas = 0.5 * ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0])
    assert len(faces) == len(ring) - 2
    assert areas.min() > -1e-9
    assert areas.sum() == pytest.approx(signed_area(ring), rel=1e-12)
    assert set(faces.ravel()) == set(range(len(ring)))


def test_an_extension_too_short_to_be_told_is_not_told():
    assert lofted(stacked("pebbles"), low=2.0 - 0.004).findings == ()
    assert "the 0.01 mm below" in lofted(stacked("pebbles"), low=2.0 - 0.006).findings[0].message
