"""A body between unlike sections always exists: blended outlines, and stacks whose columns cross."""

import numpy as np
import pytest
import trimesh
from bodies import bracket, ellipse, gear, keyhole, lofted, prismoid_volume, rectangle, section
from daily import each_value_daily, rest_further
from sampling import hausdorff_mm

from cradle.finding import Severity
from cradle.geometry import planar, region_measures
from cradle.geometry import ring as plane
from cradle.geometry.arrays import frozen
from cradle.geometry.mesh import component_count, edge_statistics, volume_mm3
from cradle.geometry.solid import cut_regions, solid, wound_rings
from cradle.loft import unlike
from cradle.loft.blend import blend
from cradle.loft.loft import loft
from cradle.loft.loft_findings import few_point_findings
from cradle.loft.pairing import paired_columns, pairings
from cradle.loft.unlike import levels_between
from cradle.matching.ring_stack import RingStack
from cradle.matching.rings import match_sections
from cradle.project.section import Between, LoftSpec
from cradle.sections.profiles import Profiles


def lobed(lobes, *, size=20.0, deep=0.8, turn=0.0, points=300):
    """A rosette: one long lobe to a side, or several."""
    angle = np.arange(points) * 2 * np.pi / points
    reach = size * (1 - deep + deep * np.abs(np.cos(lobes * (angle - turn) / 2)) ** 3)
    return np.column_stack([reach * np.cos(angle), reach * np.sin(angle)])


def spiky(seed):
    chance = np.random.default_rng(seed)
    count = int(chance.integers(5, 24))
    angle = (np.arange(count) + chance.uniform(-0.4, 0.4, count)) * 2 * np.pi / count
    reach = chance.uniform(4, 30, count)
    return np.column_stack([reach * np.cos(angle), reach * np.sin(angle)])


def open_ring(width, *, gap=0.4, radius=25.0):
    angle = np.linspace(gap, 2 * np.pi - gap, 80)
    outer = np.column_stack([np.cos(angle), np.sin(angle)])
    return np.concatenate([radius * outer, (radius - width) * outer[::-1]])


PAIRS = {
    "two circles": (ellipse(10, 10), ellipse(20, 20)),
    "circle to square": (ellipse(12, 12), rectangle(20, 20)),
    "one lobe to three": (lobed(1), lobed(3, turn=0.5)),
    "L to O": (bracket(10) - [15, 15], ellipse(20, 20)),
    "C to O": (open_ring(4.0), ellipse(20, 20)),
    "C to C from the other side": (open_ring(4.0), -open_ring(4.0)),
}


@pytest.mark.parametrize("part", [0.2, 0.5, 0.9])
def test_the_blend_of_concentric_circles_grows_evenly(part):
    # signed distances of circles are r - radius, so the blend's radius runs straight from 10 to 20; half way 15
    # (CHECKS R4 of the method: Raya & Udupa 1990; Herman, Zheng & Bucholtz 1992) [exact]
    ring = blend(ellipse(10, 10), ellipse(20, 20)).outline(part)
    assert np.hypot(*ring.T) == pytest.approx(10 + 10 * part, abs=1e-2)
    same = blend(ellipse(15, 10), ellipse(15, 10)).outline(part)
    assert hausdorff_mm(same, ellipse(15, 10), step_mm=0.2) < 1e-2


@pytest.mark.parametrize("name", PAIRS)
def test_blended_outlines_are_one_piece_between_both(name):
    """In one frame a blend holds what both share and nothing that neither covers (the method's own bounds)."""
    lower, upper = (plane.counter_clockwise(ring - plane.centroid(ring)) for ring in PAIRS[name])
    spread = [np.sqrt(np.diag(plane.second_moments(ring))) for ring in (lower, upper)]
    upper = upper * spread[0] / spread[1]  # as large: then the frame is the drawing's own
    whole = blend(lower, upper)
    moved = whole.centres_mm[1] - whole.centres_mm[0]
    upper = upper - moved
    last = None
    for part in np.linspace(0.02, 0.98, 13):
        ring = whole.outline(part) - part * moved
        assert region_measures.are_simple([ring])[0]
        area = planar.region(ring)
        neither = planar.without(area, planar.union([planar.region(lower), planar.region(upper)]))
        filled = planar.region(
            planar.outer_rings(planar.union([planar.region(lower), planar.region(upper)]))[0]
        )
        assert region_measures.area_mm2(planar.without(area, filled)) < 0.5
        assert len(planar.holes(area)) == 0
        if name in {"two circles", "circle to square", "one lobe to three", "L to O"}:
            both = planar.common(planar.region(lower), planar.region(upper))
            assert region_measures.area_mm2(planar.without(both, area)) < 0.5
            assert region_measures.area_mm2(neither) < 0.5
        last = area
    assert region_measures.area_mm2(last) > 10


def test_blend_of_outlines_too_thin_for_a_grid_is_none():
    slanted = rectangle(100, 0.01) @ np.array([[0.8, 0.6], [-0.6, 0.8]])
    assert blend(slanted, rectangle(100, 100)) is None


def test_partners_of_concentric_circles_lie_on_one_ray():
    (to,) = pairings([ellipse(10, 10)], [ellipse(12, 12)])
    at = np.linspace(0, 1, 50, endpoint=False)
    turn = np.mod(to.at(at) - at + 0.5, 1) - 0.5
    assert np.abs(turn).max() < 0.01
    half = paired_columns(ellipse(10, 10), ellipse(12, 12), to=to).mean(axis=0)
    assert np.abs(np.hypot(*half.T) - 11).max() < 0.01


def test_loops_of_a_ring_are_left_out():
    # a square with a small loop beyond one corner: what it runs round the other way is not part of it
    crossed = np.array([[0.0, 0], [10, 0], [10, 10], [1, 10], [-1, 8], [-1, 10], [0, 9]])
    assert not region_measures.are_simple(crossed[None])[0]
    pieces = wound_rings(crossed)
    assert region_measures.are_simple([pieces[0]])[0]
    assert 90 < plane.signed_area(pieces[0]) < 100
    assert wound_rings(rectangle(4, 4)[::-1]) == []
    assert hausdorff_mm(wound_rings(rectangle(4, 4))[0], rectangle(4, 4), step_mm=1.0) < 1e-9


def assert_sound(body, sections):
    """Closed, one piece, one outline at every height, and each section met."""
    mesh = body.mesh
    assert edge_statistics(mesh).closed
    assert component_count(mesh) == 1
    assert volume_mm3(mesh) > 0
    read = trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False)
    assert read.is_watertight
    assert read.is_winding_consistent
    assert body.section_error_mm <= 0.01
    low, high = body.heights_mm[[0, -1]]
    heights = np.linspace(low, high, 17)[1:-1] + 1e-4
    kernel = solid(mesh, where="body")
    for level in cut_regions(kernel, heights):
        outer = planar.outer_rings(level)
        assert sum(abs(plane.signed_area(ring)) > 1e-3 for ring in outer) == 1
        assert sum(abs(plane.signed_area(ring)) for ring in planar.holes(level)) < 1e-3
    for one in sections:
        for height in (one.height_mm - 1e-3, one.height_mm + 1e-3):
            if low < height < high:
                cut = planar.outer_rings(cut_regions(kernel, np.array([height]))[0])[0]
                assert hausdorff_mm(one.points_mm, cut, step_mm=0.5) < 0.05


@pytest.mark.slow
@pytest.mark.parametrize(("name", "between"), each_value_daily(PAIRS, [Between.STRAIGHT, Between.SMOOTH]))
def test_unlike_pairs_give_a_sound_body(name, between):
    lower, upper = PAIRS[name]
    sections = [section(0, lower), section(15, upper), section(30, lower)]
    body = lofted(sections, between=between)
    assert_sound(body, sections)
    if name in {"two circles", "circle to square"}:  # convex: what lies between stays within both bounds
        shared = planar.common(planar.region(lower), planar.region(upper))
        covered = planar.union([planar.region(lower), planar.region(upper)])
        assert (
            30 * region_measures.area_mm2(shared)
            <= volume_mm3(body.mesh)
            <= 30 * region_measures.area_mm2(covered)
        )
    # prismoidal formula over every layer, its middle section by the body's own columns;
    # Kern & Bland, Solid Mensuration, 2nd ed. 1948, section 30
    areas = [plane.signed_area(ring) for ring in body.rings_mm]
    middle = body.rings_at(0.5 * (body.heights_mm[1:] + body.heights_mm[:-1]))
    whole = sum(
        prismoid_volume(high - low, a, plane.signed_area(ring), b)
        for low, high, a, b, ring in zip(
            body.heights_mm, body.heights_mm[1:], areas, areas[1:], middle, strict=False
        )
    )
    assert volume_mm3(body.mesh) == pytest.approx(whole, rel=0.01)


@pytest.mark.parametrize("between", [Between.STRAIGHT, Between.SMOOTH])
def test_columns_that_cross_are_led_over_levels_and_told(between):
    ring = plane.resample(bracket(10), count=60)
    rings = frozen([ring, np.roll(ring, 29, axis=0), np.roll(ring, 29, axis=0)])  # half a turn of twist
    stack = RingStack(heights_mm=frozen([0, 10, 20]), rings_mm=rings, names=("heel", "waist", "neck"))
    body = loft(stack, spec=LoftSpec(between=between), profiles=Profiles(), low_mm=-2, high_mm=22)
    assert edge_statistics(body.mesh).closed
    assert component_count(body.mesh) == 1
    assert body.section_error_mm <= 0.01
    # the same outline at both ends: nothing else lies between them
    assert volume_mm3(body.mesh) == pytest.approx(24 * plane.signed_area(bracket(10)), rel=0.01)
    finding = next(f for f in body.findings if f.code == "sections-unlike")
    assert str(finding).count('"heel" and "waist"') == 1
    assert finding.severity is Severity.NOTE
    assert finding.measured == 10
    assert region_measures.are_simple(body.rings_mm).all()


def clasp(tip):
    """A clasp that is open to the left: a spike of the lower jaw, its tip at some x, reaches past a post of the upper one."""
    lower = [[-20, -4], [15, -4], [15, 14]]
    upper = [[-20, 14], [-20, 10], [-0.5, 10], [-0.5, 4.5], [0.5, 4.5], [0.5, 10], [10, 10]]
    return np.array([*lower, *upper, [10, 0], [4, 0], [tip, 5], [-4, 0], [-20, 0]], dtype=float)


def test_columns_that_cross_and_part_again_are_seen():
    before, after = clasp(-12.0), clasp(8.0)
    # the spike goes through the post at 0.6 of the way up: at no quarter
    crosses = [
        not region_measures.are_simple([clasp(-12.0 + 20 * part)])[0] for part in (0.25, 0.5, 0.6, 0.75)
    ]
    assert crosses == [False, False, True, False]
    stack = RingStack(heights_mm=frozen([0, 10]), rings_mm=frozen([before, after]), names=("heel", "neck"))
    body = loft(stack, spec=LoftSpec(between=Between.STRAIGHT), profiles=Profiles(), low_mm=0, high_mm=10)
    assert "sections-unlike" in [finding.code for finding in body.findings]
    assert region_measures.are_simple(body.rings_mm).all()
    assert body.section_error_mm <= 0.01


def random_sections(seed):
    chance = np.random.default_rng(seed)
    kinds = (
        lambda: ellipse(*chance.uniform(5, 30, 2), points=int(chance.integers(12, 200))),
        lambda: rectangle(*chance.uniform(5, 50, 2)),
        lambda: lobed(int(chance.integers(1, 6)), deep=chance.uniform(0.2, 0.85), turn=chance.uniform(0, 6)),
        lambda: bracket(chance.uniform(4, 12)),
        lambda: spiky(int(chance.integers(1000))),
        lambda: open_ring(chance.uniform(2, 8)),
        lambda: gear(chance.uniform(10, 30)),
        lambda: keyhole(chance.uniform(5, 12), chance.uniform(2, 8), chance.uniform(5, 30)),
    )
    heights = np.cumsum(chance.uniform(2, 20, int(chance.choice([2, 3, 4]))))
    found = []
    for height in heights:
        turn = chance.uniform(0, 2 * np.pi)
        matrix = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        ring = kinds[int(chance.integers(len(kinds)))]() @ matrix
        found.append(section(height, ring + chance.normal(0, chance.choice([0, 3, 15]), 2)))
    return found


@pytest.mark.slow
@pytest.mark.parametrize("seed", rest_further(range(9), daily=[0, 3, 5, 6, 8]))
def test_any_stack_of_simple_sections_gives_a_sound_body(seed):
    sections = random_sections(seed)
    assert all(region_measures.are_simple([one.points_mm])[0] for one in sections)
    body = lofted(sections, low=0.0)
    assert_sound(body, sections)
    # as fine as sections of up to 300 points: a skin that crumples between them takes faces by the hundred thousand
    assert len(body.mesh.faces) < 60_000


def test_an_ellipsoid_has_its_published_volume():
    # V = 4/3 pi a b c; cut at 33 heights by the cosine of equal angles (CRC Standard Mathematical Tables, from memory)
    a, b, c = 30.0, 20.0, 25.0
    up = np.linspace(-1, 1, 33)[1:-1] * np.pi / 2
    sections = [section(c * np.sin(t), ellipse(a * np.cos(t), b * np.cos(t), points=240)) for t in up]
    body = lofted(sections)
    tips = 2 * np.pi * a * b * c * (2 / 3 - np.sin(up[-1]) + np.sin(up[-1]) ** 3 / 3)
    whole = volume_mm3(body.mesh) / (240 / (2 * np.pi) * np.sin(2 * np.pi / 240)) + tips
    assert whole == pytest.approx(4 / 3 * np.pi * a * b * c, rel=2e-3)


def test_few_points_on_a_round_outline_are_told_with_how_far_it_stands_out():
    sections = [section(0, ellipse(30, 30, points=12)), section(20, ellipse(30, 30, points=200))]
    stack = match_sections(sections)
    (finding,) = few_point_findings(stack, trace_mm=0.1)
    assert "12 points" in finding.message
    assert finding.measured == pytest.approx(30 * (1 - np.cos(np.pi / 12)), rel=1e-6)
    assert finding.severity is Severity.WARN
    # it cannot be told from the tracing
    assert not list(few_point_findings(stack, trace_mm=finding.measured + 0.01))


def test_levels_between_concentric_circles_are_circles_between_them():
    # straight columns of a cone: at the height z the radius is 10 + z by similar triangles
    low, high = ellipse(10, 10), ellipse(20, 20)
    levels = levels_between(
        low,
        high,
        low_mm=0.0,
        high_mm=10.0,
        rings_at=lambda z: (1 - z / 10) * low + z / 10 * high,
        extents_at=lambda z: np.array([[-10.0 - z] * 2, [10.0 + z] * 2]),
    )
    assert len(levels.columns_mm) == len(levels.heights_mm) + 1
    assert sorted(levels.heights_mm) == list(levels.heights_mm)
    assert levels.heights_mm
    for height, (outline, _) in zip(levels.heights_mm, levels.columns_mm[1:], strict=True):
        assert 0 < height < 10
        assert np.hypot(*plane.vertices(outline).T) == pytest.approx(10 + height, abs=1e-9)


def test_levels_where_columns_cross_are_simple_and_of_the_extents_asked_for():
    ring = plane.resample(bracket(10), count=60)
    crossed = np.roll(ring, 29, axis=0)
    extents = np.array([[-3.0, -2.0], [33.0, 47.0]])
    levels = levels_between(
        ring,
        crossed,
        low_mm=0.0,
        high_mm=10.0,
        rings_at=lambda z: (1 - z / 10) * ring + z / 10 * crossed,
        extents_at=lambda z: extents,
    )
    assert not region_measures.are_simple([0.5 * (ring + crossed)])[0]  # the columns do cross
    assert region_measures.are_simple([outline for outline, _ in levels.columns_mm[1:]]).all()
    for outline, _ in levels.columns_mm[1:]:
        assert np.array([outline.min(axis=0), outline.max(axis=0)]) == pytest.approx(extents)


def test_a_blend_goes_from_the_lower_section_to_the_upper_one_wherever_they_lie():
    # of the box around it a circle fills pi / 4, a square all: by construction what lies between fills ever more
    circle, square = ellipse(20, 20, points=60), plane.resample(rectangle(40, 40), count=60)

    def crossed(height):
        assert 30.0 <= height <= 50.0
        return np.concatenate([circle[:40], circle[:40:-1]])

    levels = levels_between(
        circle,
        square,
        low_mm=30.0,
        high_mm=50.0,
        rings_at=crossed,
        extents_at=lambda z: np.array([[-20.0, -20.0], [20.0, 20.0]]),
    )
    filled = [plane.signed_area(plane.vertices(outline)) / 40**2 for outline, _ in levels.columns_mm[1:]]
    assert len(filled) > 2
    assert (np.diff([np.pi / 4, *filled, 1.0]) > 0.01).all()


@pytest.mark.slow
@pytest.mark.parametrize(("from_mm", "led_by_columns"), [(30.0, True), (54.0, False)])
def test_columns_that_cross_in_one_place_still_lead_everywhere_else(monkeypatch, from_mm, led_by_columns):
    """Columns carry a bulge which no blend knows; straight ones cross right above the lower section, or all the way up it."""
    low, high = 0.0, 30.0

    def bulged(height):
        return ellipse(15 + 12 * np.sin(np.pi * height / high) ** 2, 20, points=120)

    def extents(height):
        return np.array([[-15.0, -20.0], [15.0, 20.0]])

    plain = unlike._never_cross

    def apart(columns):
        below, above = np.ptp(columns[:, :, 0], axis=1)
        return plain(columns) and not (below <= from_mm + 1e-6 and above > 30.0 + 1e-6)

    monkeypatch.setattr(unlike, "_never_cross", apart)
    levels = levels_between(
        bulged(low), bulged(high), low_mm=low, high_mm=high, rings_at=bulged, extents_at=extents
    )
    widest = max(np.ptp(outline[:, 0]) for outline, _ in levels.columns_mm[1:])
    # by the formula above 54 mm half way; by the extents that blends are brought to 30
    assert widest == pytest.approx(54.0 if led_by_columns else 30.0, abs=0.5)


@pytest.mark.parametrize("seed", range(6))
def test_columns_that_all_but_meet_do_meet(seed):
    """Between sections with corners of their own, facets would be a hundred-thousandth of a millimetre wide."""
    lower, upper = spiky(seed), spiky(seed + 1000)
    (to,) = pairings([lower], [upper])
    columns = paired_columns(lower, upper, to=to)
    for ring in columns:
        apart = np.hypot(*(ring - np.roll(ring, 1, axis=0)).T)
        assert ((apart == 0) | (apart > 0.9e-3)).all()
