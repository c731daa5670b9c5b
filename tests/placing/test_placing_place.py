import numpy as np
import pytest
from section_shapes import about_perimeter, codes, jug, outline, pear, pebble, polar, spec
from section_shapes import placed as placed_of

from cradle.errors import SectionError
from cradle.finding import Severity
from cradle.geometry.arrays import frozen
from cradle.geometry.ring import extents, size, turned
from cradle.project.section import Align, Form, MeasuredSource, SectionSpec
from cradle.sections.profiles import Profiles
from cradle.sections.section import PlacedBy


def stack(count):
    return [spec(name=f"s{i}", height_mm=5.0 + 10 * i) for i in range(count)]


def middle(section):
    x0, y0, x1, y1 = extents(section.points_mm)
    return np.array([(x0 + x1) / 2, (y0 + y1) / 2])


def place(rings, **more):
    placed = placed_of([outline(r) for r in rings], specs=more.pop("specs", stack(len(rings))), **more)
    return placed.sections, placed.findings


def apart(a, b):
    """Largest distance between points of the same number."""
    return np.hypot(*(a.points_mm - b).T).max()


FACTORS = (1.0, 1.1, 0.85)


def test_asymmetric_sections_laid_down_anyhow_come_back_into_line():
    straight = [about_perimeter(pebble(), f) for f in FACTORS]
    rings = [
        straight[0],
        turned(straight[1], angle_deg=50) + [30, -10],
        turned(straight[2], angle_deg=-120) + [-5, 44],
    ]
    sections, findings = place(rings)
    offset = sections[0].points_mm[0] - straight[0][0]
    for section, ring in zip(sections, straight, strict=True):
        assert apart(section, ring + offset) < 0.02
    assert {s.placed_by for s in sections} == {PlacedBy.MATCH}
    assert sum(f.code == "section-turned" for f in findings) == 2


def on_a_page(rings):
    """Their zero outside of what is drawn, as that of a page in its corner is."""
    return [ring + [150.0 + 5.0 * i, 120.0 - 3.0 * i] for i, ring in enumerate(rings)]


@pytest.mark.parametrize("shape", [pebble, pear])
def test_from_pages_the_middle_of_all_sections_or_their_mirror_plane_is_the_zero(shape):
    sections, _ = place(on_a_page([about_perimeter(shape(), f) for f in FACTORS]))
    points = np.concatenate([section.points_mm for section in sections])
    assert points.min(axis=0) + points.max(axis=0) == pytest.approx([0, 0], abs=0.01)


def test_of_sheets_side_by_side_on_one_page_the_middle_of_all_sections_is_the_zero():
    # the first lies about the page's zero, so that all of them together hold it
    rings = [about_perimeter(pear(), f) + [120.0 * i, 7.0] for i, f in enumerate(FACTORS)]
    sections, _ = place(rings)
    points = np.concatenate([s.points_mm for s in sections])
    assert np.abs(points.min(axis=0) + points.max(axis=0)).max() < 2.0


@pytest.mark.parametrize("behind_mm", [None, -0.4, 0.4, 12.0])
@pytest.mark.parametrize("shape", [pebble, pear])
def test_drawings_about_their_own_zero_or_before_a_wall_move_by_nothing_on_average(shape, behind_mm):
    # the inner constraint of a free network: the shifts of all points sum to nothing (P. Meissl, 1962; from memory)
    rings = [about_perimeter(shape(), f) + [6.0 + 2 * i, -3.0 * i] for i, f in enumerate(FACTORS)]
    if behind_mm is not None:  # traced a little into the wall, off it, or hung before it
        rings = [ring - [0.0, min(r[:, 1].min() for r in rings) - behind_mm] for ring in rings]
    sections, _ = place(rings)
    moved = [extents(s.points_mm) - np.array(extents(ring)) for s, ring in zip(sections, rings, strict=True)]
    assert np.abs(moved).max() > 1.0
    assert np.mean(moved, axis=0) == pytest.approx(np.zeros(4), abs=0.01)


@pytest.mark.parametrize("turn", [0.0, 33.0])
def test_a_face_down_section_is_flipped_and_told(turn):
    straight = [about_perimeter(pebble(), f) for f in FACTORS]
    rings = [straight[0], turned(straight[1][::-1] * [-1.0, 1.0], angle_deg=turn) + [9, 9], straight[2]]
    sections, findings = place(rings)
    # the points run alike again
    assert np.hypot(*(sections[1].points_mm - sections[0].points_mm).T).max() < 6
    offset = sections[0].points_mm[0] - straight[0][0]
    back = sections[1].points_mm
    assert max(np.hypot(*(back - p).T).min() for p in straight[1] + offset) < 0.02
    (flip,) = [f for f in findings if f.code == "outline-flipped"]
    assert flip.where == 'section "s1"'
    assert flip.severity is Severity.WARN


def test_the_odd_one_out_is_flipped_even_if_it_comes_first():
    rings = [pebble()[::-1] * [-1.0, 1.0], pebble() * 1.05, pebble() * 0.95]
    sections, findings = place(rings)
    assert [f.where for f in findings if f.code == "outline-flipped"] == ['section "s0"']
    assert (
        np.hypot(*(sections[1].points_mm - sections[1].points_mm[0] - (rings[1] - rings[1][0])).T).max()
        < 1e-3
    )


def test_nothing_is_flipped_without_need():
    rng = np.random.default_rng(0)
    for shape in (pebble, pear, jug):
        _, findings = place([shape() * f + rng.normal(0, 0.05, (600, 2)) for f in FACTORS])
        assert not codes(findings) & {"outline-flipped"}


@pytest.mark.slow
def test_sections_of_different_shape_keep_the_turn_they_were_drawn_with():
    rng = np.random.default_rng(7)
    order = np.arange(1, 7)[:, None]
    turns, flips, matched = [], 0, 0
    for _ in range(15):
        phase = rng.uniform(0, 6, (6, 1))
        shared, own = rng.normal(0, 1, (6, 1)), rng.normal(0, 1, (2, 6, 1))
        waves = (shared + 0.5 * own) * np.array([0, 4, 2, 1, 0.6, 0.4])[:, None]
        t = np.arange(300) * (2 * np.pi / 300)
        radii = 25 + (waves * np.cos(order * t + phase)).sum(axis=1)
        sections, findings = place(
            [np.column_stack([r * np.cos(t), r * np.sin(t)]) for r in radii], align=Align.MATCH
        )
        turns += [abs(f.measured) for f in findings if f.code == "section-turned"]
        flips += "outline-flipped" in codes(findings)
        matched += sections[1].placed_by is PlacedBy.MATCH
    assert matched == 15
    assert flips == 0
    assert max(turns, default=0.0) <= 5.0


@pytest.mark.parametrize("shape", [pebble, pear])
def test_start_vertex_direction_and_translation_change_nothing(shape):
    rings = on_a_page([about_perimeter(shape(), f) for f in FACTORS])
    base, _ = place(rings)
    changed = [
        np.roll(rings[0], 31, axis=0) + [100, 50],
        rings[1][::-1] + [-7, 3],
        np.roll(rings[2], 5, axis=0),
    ]
    other, _ = place(changed)
    for a, b in zip(base, other, strict=True):
        assert max(np.hypot(*(b.points_mm - p).T).min() for p in a.points_mm) < 0.01


@pytest.mark.parametrize("shape", [pear, jug])
def test_turned_drawings_of_symmetric_sections_give_the_same(shape):
    base, _ = place(on_a_page([shape() * f for f in FACTORS]))
    other, findings = place(
        on_a_page([turned(shape() * f, angle_deg=a) for f, a in zip(FACTORS, (8, -31, 3), strict=True)])
    )
    for a, b in zip(base, other, strict=True):
        assert apart(a, b.points_mm) < 0.25  # askew, they look less alike
    assert sum(f.code == "section-turned" for f in findings) == 3


def test_mirrored_drawings_give_mirrored_sections():
    rings = [about_perimeter(pebble(), f) for f in FACTORS]
    base, _ = place([r + [4.0 * i, 0] for i, r in enumerate(rings)])
    other, _ = place([(r + [4.0 * i, 0])[::-1] * [-1.0, 1.0] for i, r in enumerate(rings)])
    for a, b in zip(base, other, strict=True):
        assert apart(a, b.points_mm[::-1] * [-1.0, 1.0]) < 0.01


def test_a_mirror_line_puts_x_at_zero_and_y_comes_from_the_match():
    rings = [about_perimeter(pear(), f) + [60 + 3.0 * i, 10.0 * i] for i, f in enumerate(FACTORS)]
    sections, _ = place(rings)
    for i, (section, ring) in enumerate(zip(sections, rings, strict=True)):
        assert middle(section)[0] == pytest.approx(0, abs=0.01)
        assert section.asymmetry_mm < 0.01
        moved = section.points_mm - ring
        assert moved[:, 1] == pytest.approx(sections[0].points_mm[0, 1] - rings[0][0, 1] - 10.0 * i, abs=0.02)


def test_half_a_turn_is_put_right_when_the_neighbours_say_so():
    sections, findings = place([pear(), turned(pear() * 1.1, angle_deg=183), pear() * 0.9])
    assert apart(sections[1], sections[0].points_mm * 1.1 + [0, 0]) < 1.0
    (found,) = [f for f in findings if f.code == "section-turned"]
    assert found.measured == pytest.approx(177, abs=0.05)
    assert found.severity is Severity.WARN


def test_two_sections_29_and_35_mm_wide_are_centred():
    # two widths of a tapering thing (common practice, no source): measured sections need no alignment
    specs = [
        SectionSpec(
            name=n, height_mm=h, width_mm=w, source=MeasuredSource(form=Form.ELLIPSE, width_mm=w, depth_mm=20)
        )
        for n, h, w in (("low", 0.0, 29.0), ("top", 49.0, 35.0))
    ]
    rings = [polar(360, lambda t: 1 + 0 * t) * [w / 2, 10.0] for w in (29, 35)]
    sections, findings = place(rings, specs=specs)
    assert [size(s.points_mm)[0] for s in sections] == pytest.approx([29, 35])
    for section, ring in zip(sections, rings, strict=True):
        assert apart(section, ring) < 1e-4
    assert {f.code for f in findings} <= {"lean-not-known"}


def test_side_profiles_set_y_and_leave_x_to_the_mirror_line():
    lean = Profiles(front=frozen([[0, -20], [40, 0]]))
    sections, _ = place([pear() + [55, 5], pear() + [41, 70]], profiles=lean)
    for section in sections:
        assert extents(section.points_mm)[1] == pytest.approx(-20 + section.height_mm / 2, abs=0.05)
        assert middle(section)[0] == pytest.approx(0, abs=0.01)
        assert section.placed_by is PlacedBy.PROFILES


def test_profiles_that_do_not_reach_leave_it_to_the_match():
    lean = Profiles(front=frozen([[0, -20], [10, -20]]))
    sections, findings = place([pear(), pear() + [0, 9]], profiles=lean)
    assert apart(sections[1], sections[0].points_mm) < 0.01
    assert "profile-silent" in codes(findings)


def test_given_shift_and_turn_win():
    specs = [
        spec("low", 5.0, shift_mm=(1.0, 2.0), turn_deg=10.0),
        spec("mid", 15.0, shift_mm=(-3.0, 4.0)),
        spec("top", 25.0, turn_deg=0.0),
    ]
    profiles = Profiles(front=frozen([[0, 0], [40, 0]]))
    sections, findings = place([pebble()] * 3, specs=specs, profiles=profiles)
    assert middle(sections[0]) == pytest.approx([1, 2])
    assert middle(sections[1]) == pytest.approx([-3, 4])
    turned_ring = turned(pebble(), angle_deg=10)
    assert np.abs(np.diff(sections[0].points_mm - turned_ring, axis=0)).max() < 1e-4
    assert extents(sections[2].points_mm)[1] == pytest.approx(0, abs=0.5)
    assert np.abs(np.diff(sections[2].points_mm - pebble(), axis=0)).max() < 1e-4  # its turn is 0 as given
    assert [s.placed_by for s in sections] == [PlacedBy.GIVEN] * 3
    assert "reading-disagrees" in codes(findings)


def test_the_shift_of_one_section_alone_moves_all_and_is_told():
    specs = stack(3)
    free, _ = place([pebble()] * 3, specs=specs)
    specs[1] = spec(name="s1", height_mm=15.0, shift_mm=tuple(middle(free[1]) + [3.0, -1.0]))
    sections, findings = place([pebble()] * 3, specs=specs)
    for before, now in zip(free, sections, strict=True):
        assert middle(now) - middle(before) == pytest.approx([3.0, -1.0], abs=0.01)
    (found,) = [f for f in findings if f.code == "shift-alone"]
    assert found.where == 'section "s1"'
    lean = Profiles(front=frozen([[0, -20], [40, -20]]), left=frozen([[0, -20], [40, -20]]))
    assert "shift-alone" not in codes(place([pebble()] * 3, specs=specs, profiles=lean)[1])
    specs[2] = spec(name="s2", height_mm=25.0, shift_mm=(0.0, 0.0))
    assert "shift-alone" not in codes(place([pebble()] * 3, specs=specs)[1])


def test_a_gap_between_given_shifts_is_bridged_by_height():
    specs = [spec("a", 0.0, shift_mm=(0.0, 0.0)), spec("b", 10.0), spec("c", 40.0, shift_mm=(0.0, 8.0))]
    sections, _ = place([pebble()] * 3, specs=specs, align=Align.MATCH)
    assert middle(sections[1]) == pytest.approx([0, 2], abs=0.02)


def test_profile_alignment_keeps_the_drawing_where_profiles_are_silent():
    arc = np.radians(np.linspace(-90, 90, 91))
    half = np.column_stack([20 * np.cos(arc), 30 * np.sin(arc)])
    specs = [spec("low", 5.0, half=True), spec("top", 15.0)]
    sections = placed_of(
        [outline(half + [50, 9], open_ends=True), outline(pebble() + [3, 80])],
        specs=specs,
        align=Align.PROFILES,
        profiles=Profiles(back=frozen([[0, 25], [40, 25]])),
    ).sections
    assert middle(sections[0])[0] == pytest.approx(0, abs=5e-3)  # a half outline's mirror line is x = 0
    assert sections[1].points_mm[:, 0] == pytest.approx(pebble()[:, 0] + 3, abs=5e-3)
    assert [extents(s.points_mm)[3] for s in sections] == pytest.approx([25, 25], abs=0.05)


def test_drawing_keeps_the_drawings_places():
    rings = [pear() + [100, 20], turned(pebble(), angle_deg=30) + [90, 25]]
    sections, findings = place(rings, align=Align.DRAWING)
    for section, ring in zip(sections, rings, strict=True):
        assert section.points_mm == pytest.approx(ring)
        assert section.placed_by is PlacedBy.DRAWING
        assert section.asymmetry_mm is None
    assert codes(findings) == {"scale-unchecked"}


def test_a_half_outline_is_whole_to_scale_and_centred():
    arc = np.radians(np.linspace(-90, 90, 91))
    half = np.column_stack([20 * np.cos(arc), 30 * np.sin(arc)])
    specs = [spec("low", 5.0, half=True, width_mm=40.8, depth_mm=60.6)]
    placed = placed_of([outline(turned(half, angle_deg=4) + [50, 90], open_ends=True)], specs=specs)
    sections, findings = placed.sections, placed.findings
    assert size(sections[0].points_mm) == pytest.approx((40.8, 60.6), abs=2e-3)
    assert middle(sections[0]) == pytest.approx([0, 0], abs=1e-6)
    assert sections[0].traced_mm == pytest.approx((40, 60), abs=2e-3)
    assert codes(findings) == {"half-squared-up", "trace-scaled"}
    kept = placed_of([outline(half + [50, 9], open_ends=True)], specs=specs, align=Align.DRAWING).sections
    assert middle(kept[0]) == pytest.approx([50, 9])


def test_calipers_read_after_the_turn():
    width, depth = size(pear())
    specs = [spec("low", 5.0, width_mm=width * 1.004, depth_mm=depth)]
    sections = placed_of([outline(turned(pear(), angle_deg=40))], specs=specs).sections
    assert sections[0].scale == pytest.approx((1.004, 1.0), abs=2e-3)
    assert size(sections[0].points_mm) == pytest.approx((width * 1.004, depth), abs=0.01)


def test_mirror_alignment_tells_where_no_line_was_found():
    _, findings = place([pear(), pebble()], align=Align.MIRROR)
    (found,) = [f for f in findings if f.code == "no-mirror-line"]
    assert found.where == 'section "s1"'


def test_to_align_by_profiles_there_must_be_one():
    with pytest.raises(SectionError, match="needs at least one side profile"):
        place([pear()], align=Align.PROFILES)


def test_the_same_input_gives_the_same_bytes():
    rings = [turned(pebble() * f, angle_deg=20 * i) for i, f in enumerate(FACTORS)]
    a, b = place(rings)[0], place(rings)[0]
    assert [s.points_mm.tobytes() for s in a] == [s.points_mm.tobytes() for s in b]
    assert not a[0].points_mm.flags.writeable


def rods(heights, profiles):
    """Alike ellipses at these heights, all with calipers, and the sides that were read."""
    exact = MeasuredSource(form=Form.ELLIPSE, width_mm=40.0, depth_mm=30.0)
    specs = [SectionSpec(name=f"s{i}", height_mm=z, source=exact) for i, z in enumerate(heights)]
    rings = [polar(360, lambda t: 1 / np.hypot(np.cos(t) / 20, np.sin(t) / 15)) for _ in heights]
    return placed_of([outline(r) for r in rings], specs=specs, profiles=profiles)


def read_every(step_mm, bend):
    """Left and right of a rod 40 mm wide whose middle lies at ``bend(z)``."""
    z = np.arange(0.0, 75.0, step_mm)
    return {
        side: frozen(np.column_stack([z, bend(z) + at])) for side, at in (("left", -20.0), ("right", 20.0))
    }


@pytest.mark.parametrize("begins", np.linspace(0.0, 6.0, 7))
def test_a_rod_that_bends_to_and_fro_lies_where_its_sides_were_read(begins):
    def bend(z):
        return 6 * np.sin(2 * np.pi * z / 25 + begins)

    heights = np.array([8.1, 40.1, 56.1, 60.1])
    result = rods(heights, Profiles(**read_every(6.0, bend)))
    assert not [f for f in result.findings if f.code == "reading-disagrees"]
    at = [middle(s)[0] for s in result.sections]
    # half way between two readings a straight line misses 6 (1 − cos 43°) = 1.6 mm of the bend; upright it would be 6
    assert np.abs(at - bend(heights)).max() < 3


def test_a_reading_of_an_upright_rod_that_all_others_contradict_is_doubted():
    sides = read_every(6.0, lambda z: 0.03 * z)
    left = np.array(sides["left"])
    left[7, 1] -= 5.0
    result = rods([8.0, 42.0, 60.0], Profiles(left=frozen(left), right=sides["right"]))
    assert "reading-disagrees" in codes(result.findings)
    assert middle(result.sections[1])[0] == pytest.approx(0.03 * 42, abs=0.3)


def test_where_some_were_drawn_about_their_middle_and_some_on_a_page_the_middle_of_all_is_the_zero():
    rings = [about_perimeter(pebble(), f) for f in (1.0, 1.02, 0.98, 1.0)]
    low, high = extents(rings[0])[:2], extents(rings[0])[2:]
    corner = (np.array(high) - np.array(low)) * 0.6  # their zero lies beside them, and within the others
    sections, _ = place([r + corner * (i % 2) for i, r in enumerate(rings)])
    ends = np.array([extents(s.points_mm) for s in sections])
    assert (ends[:, :2].min(axis=0) + ends[:, 2:].max(axis=0)) / 2 == pytest.approx([0.0, 0.0], abs=0.5)
