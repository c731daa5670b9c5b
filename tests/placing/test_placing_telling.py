"""What is told of sections beyond their places: halves drawn alone, sizes that nothing checks, a lean by one profile."""

import re
from dataclasses import replace

import numpy as np
import pytest
from section_shapes import codes, outline, placed, polar, spec
from stacked import ellipse, rectangle

from cradle.finding import Severity
from cradle.geometry.arrays import frozen
from cradle.geometry.ring import size, turned
from cradle.project.picture import PictureSource
from cradle.sections.profiles import Profiles

HEIGHTS = (5.0, 20.0, 35.0)


def egg(factor=1.0):
    return polar(400, lambda t: factor * (24 + 4 * np.cos(2 * t) + 2.5 * np.sin(t)))


def right_side(ring):
    """The half at x > 0, closed by a straight line."""
    half = ring[ring[:, 0] > 0]
    return half[np.argsort(np.arctan2(half[:, 1], half[:, 0]))]


def drawn(z, **more):
    return spec(f"s{z:g}", z, **more)


def found(rings, specs, code, **more):
    result = placed([outline(r) for r in rings], specs=specs, **more)
    return [f for f in result.findings if f.code == code]


@pytest.mark.parametrize("odd", range(3))
@pytest.mark.parametrize("turn", [0, 90])
def test_a_half_drawn_alone_is_told_whichever_section_it_is(odd, turn):
    rings = [egg(f) for f in (0.95, 1.0, 1.03)]
    rings[odd] = right_side(rings[odd])
    if turn:
        rings = [r[:, ::-1] * [-1, 1] for r in rings]
    told = found(rings, [drawn(z) for z in HEIGHTS], "half-outline")
    assert [f.where for f in told] == [f'section "s{HEIGHTS[odd]:g}"']
    assert "set half = true" in told[0].advice


@pytest.mark.parametrize(
    "odd",
    [egg(0.5), rectangle(26, 50), rectangle(56, 44), egg(1.02)],
    ids=["a small egg", "a narrow rectangle", "a rectangle", "an egg like the others"],
)
def test_what_is_small_or_straight_alone_is_no_half(odd):
    assert not found([egg(), odd, egg()], [drawn(z) for z in HEIGHTS], "half-outline")


def test_a_size_that_nothing_checks_is_told_once_for_all_drawings():
    rings = [egg(f / 25.4) for f in (0.95, 1.0, 1.03)]
    (told,) = found(rings, [drawn(z) for z in HEIGHTS], "scale-unchecked")
    assert "at most 2.3 mm wide" in told.message
    read = [drawn(HEIGHTS[0]), drawn(HEIGHTS[1], width_mm=size(rings[1])[0]), drawn(HEIGHTS[2])]
    assert not found(rings, read, "scale-unchecked")
    back = Profiles(front=frozen([[0.0, -1.0], [40.0, -1.0]]), back=frozen([[0.0, 1.0], [40.0, 1.0]]))
    assert not found(
        [egg(f / 25.4) for f in (1, 1, 1)], [drawn(z) for z in HEIGHTS], "scale-unchecked", profiles=back
    )
    pictures = [replace(spec(f"s{z:g}", z), source=PictureSource(file="a.png")) for z in HEIGHTS]
    assert not found(rings, pictures, "scale-unchecked")


@pytest.mark.parametrize(
    ("side", "axis", "sign", "ways"),
    [
        ("front", 1, -1, ("back", "front")),
        ("back", 1, 1, ("back", "front")),
        ("left", 0, -1, ("right", "left")),
        ("right", 0, 1, ("right", "left")),
    ],
)
@pytest.mark.parametrize("slope", [0.1, -0.1])
def test_the_lean_by_one_profile_is_told_with_its_sense(side, axis, sign, ways, slope):
    rings = [egg(f) for f in (0.95, 1.0, 1.03)]
    half = [size(r)[axis] / 2 for r in rings]
    profile = frozen([[z, slope * z + sign * h] for z, h in zip(HEIGHTS, half, strict=True)])
    told = found(
        rings, [drawn(z) for z in HEIGHTS], "lean-by-one-profile", profiles=Profiles(**{side: profile})
    )
    assert [f.where for f in told] == [f"side.{side}"]
    one, other = ways if slope > 0 else ways[::-1]
    assert (
        told[0].message == f"by this profile the thing leans {np.degrees(np.arctan(0.1)):.1f}° to the {one}"
    )
    assert f"if it leans to the {other}" in told[0].advice


def test_findings_of_one_kind_come_from_bottom_to_top():
    rings = [egg(f) for f in (0.95, 1.0, 1.03)]
    names = ("top", "middle", "bottom")
    specs = [
        spec(n, z, width_mm=1.05 * size(r)[0], depth_mm=size(r)[1])
        for n, z, r in zip(names, HEIGHTS, rings, strict=True)
    ]
    told = found(rings, specs, "trace-off-caliper")
    assert [f.where for f in told] == [f'section "{n}"' for n in names]
    assert codes(told) == {"trace-off-caliper"}
    assert all("% along its width: " in f.message for f in told)  # its depth is scaled by another factor


@pytest.mark.parametrize("factor", [1.05, 0.95])
def test_drawings_that_are_all_off_alike_are_told_once(factor):
    rings = [ellipse(30, 20), ellipse(25, 22), ellipse(20, 15)]
    readings = [size(ring) for ring in rings]
    specs = [
        spec(f"s{i}", 10.0 + 20 * i, width_mm=round(w, 2), depth_mm=round(d, 2))
        for i, (w, d) in enumerate(readings)
    ]
    scaled = placed([outline(factor * ring) for ring in rings], specs=specs)
    told = [f for f in scaled.findings if f.severity is Severity.WARN and f.code.startswith("trace")]
    assert [f.code for f in told] == ["traces-scaled-alike"]
    assert f"about 5 % too {'large' if factor > 1 else 'small'}" in told[0].message
    # one that is off by itself is told by itself
    alone = placed([outline(factor * rings[0]), *map(outline, rings[1:])], specs=specs)
    told = [f for f in alone.findings if f.severity is Severity.WARN and f.code.startswith("trace")]
    assert {(f.code, f.where) for f in told} == {("trace-off-caliper", 'section "s0"')}


def test_outlines_that_were_scaled_a_little_are_told_once():
    rings = [egg(f) for f in (0.95, 1.0, 1.03)]
    factors = [(1.0, 1.01), (0.99, 1.02), (1.0, 1.0)]
    specs = [
        drawn(z, width_mm=w * size(r)[0], depth_mm=d * size(r)[1])
        for z, (w, d), r in zip(HEIGHTS, factors, rings, strict=True)
    ]
    (told,) = found(rings, specs, "trace-scaled")
    assert told.where == ""
    assert re.fullmatch(
        r"the outlines of 3 sections were scaled to 99\.\d\d to 10[12]\.\d\d % to agree with the calipers, most the depth "
        r'of section "s20": \S+ mm as traced, \S+ mm with calipers',
        told.message,
    )
    (one,) = found(rings, [specs[0], drawn(HEIGHTS[1]), drawn(HEIGHTS[2])], "trace-scaled")
    assert one.where == f'section "s{HEIGHTS[0]:g}"'
    assert "most its depth: " in one.message


@pytest.mark.parametrize(("unit", "mm"), [("cm", 10.0), ("inches", 25.4)])
def test_a_girth_in_another_unit_is_told_as_such(unit, mm):
    around = np.pi * 50  # of a circle 50 mm wide
    ring = spec("s0", 10.0, width_mm=50.0, depth_mm=50.0, girth_mm=round(around / mm, 2))
    found = placed([outline(ellipse(25, 25))], specs=[ring]).findings
    (told,) = [f for f in found if f.code == "girth-disagrees"]
    assert told.advice == f"the girth looks as if it were in {unit}: write it in mm"


@pytest.mark.parametrize("factor", [1.0, 0.995])
@pytest.mark.parametrize(("both", "slip"), [(True, 1.0), (False, 1.5)])  # of two others less can be said
def test_a_reading_a_millimetre_off_is_told_where_all_others_agree(factor, both, slip):
    rings = [ellipse(26, 22), ellipse(33.2, 27.5), ellipse(24, 21.5)]
    off = np.array([[0.03, -0.04], [-slip, 0.05], [0.05, 0.0]])
    read = factor * np.array([size(ring) for ring in rings]) + off

    def told(read):
        specs = [
            spec(f"s{z:g}", z, width_mm=w, depth_mm=d if both else None)
            for z, (w, d) in zip(HEIGHTS, read.tolist(), strict=True)
        ]
        return found(rings, specs, "reading-out-of-line")

    (one,) = told(read)
    assert one.where == 'section "s20"'
    assert re.search(
        rf"the width of \S+ mm is (?:{slip:.1f}|{slip + 0.1:.1f}) mm less .* all other readings are within 0.1 mm of theirs",
        one.message,
    )
    assert "measure the width again" in one.advice
    # cut by hand, any of them may be off by as much
    rough = [[0.9, -0.8], [-0.9, 0.6], [-0.3, -0.7]]
    assert not told(factor * np.array([size(ring) for ring in rings]) + rough)


@pytest.mark.parametrize(("long", "severity"), [(3.5, Severity.WARN), (1.3, Severity.NOTE)])
def test_a_long_section_that_was_turned_by_degrees_is_doubted(long, severity):
    bent = polar(400, lambda t: 20 + 2 * np.cos(3 * t) + 1.5 * np.sin(2 * t)) * [long, 1.0]
    rings = [bent, turned(bent, angle_deg=3.0), bent]
    specs = [spec(f"s{z:g}", z, width_mm=size(bent)[0], depth_mm=size(bent)[1]) for z in HEIGHTS]
    (told,) = found(rings, specs, "section-turned")
    assert told.where == 'section "s20"'
    assert told.severity is severity
    assert ("moves its ends by" in told.message) is (severity is Severity.WARN)


def test_two_long_sections_that_were_turned_apart_are_doubted_once():
    bent = polar(400, lambda t: 20 + 2 * np.cos(3 * t) + 1.5 * np.sin(2 * t)) * [3.5, 1.0]
    rings = [turned(bent, angle_deg=a) for a in (0.0, 3.0, -3.0, 0.0)]
    specs = [
        spec(f"s{z:g}", z, width_mm=size(bent)[0], depth_mm=size(bent)[1]) for z in (5.0, 15.0, 25.0, 35.0)
    ]
    (told,) = found(rings, specs, "section-turned")
    assert told.where == 'section "s15", section "s25"'
    assert re.search(
        r"were rotated by -\d\S+ ± \S+ and \d\S+ ± \S+, .* moves their ends by up to \d", told.message
    )
    assert "one of these sheets or a neighbour's" in told.advice


def wavering(width, depth, *, by_mm):
    """A rectangle with round corners whose line wavers about it; the largest waves stand out on both its sides."""
    ring = polar(
        800,
        lambda t: (
            1 / ((2 * np.abs(np.cos(t)) / width) ** 6 + (2 * np.abs(np.sin(t)) / depth) ** 6) ** (1 / 6)
        ),
    )
    angle = np.arctan2(ring[:, 1], ring[:, 0])
    return ring * (1 + by_mm * np.cos(24 * angle) / np.hypot(*ring.T))[:, None]


def test_that_a_wavering_line_is_used_larger_than_read_is_told_with_the_reason():
    rings = [wavering(60.0, 86.0, by_mm=0.15) for _ in HEIGHTS]
    read = [drawn(z, width_mm=60.0, depth_mm=86.0) for z in HEIGHTS]
    (told,) = found(rings, read, "size-off-reading")
    assert told.severity is Severity.NOTE
    used = [float(mm) for mm in re.findall(r"(\d+\.\d\d) mm", told.message)]
    assert 0.1 < used[1] - used[0] < 0.5
    assert "wavers" in told.message
    assert "profiles" not in told.message


def test_a_steady_line_is_used_as_large_as_read():
    rings = [egg(f) for f in (0.95, 1.0, 1.03)]
    read = [drawn(z, width_mm=size(r)[0] * 1.01) for z, r in zip(HEIGHTS, rings, strict=True)]
    assert not found(rings, read, "size-off-reading")


def test_that_profiles_made_a_section_larger_than_read_is_told_with_the_reason():
    rings = [egg() for _ in HEIGHTS]
    width, depth = size(rings[0])
    read = [drawn(z, width_mm=width, depth_mm=depth - 0.9) for z in HEIGHTS]
    steep = {
        side: frozen([[0.0, at], [40.0, at]]) for side, at in (("front", -depth / 2), ("back", depth / 2))
    }
    (told,) = found(rings, read, "size-off-reading", profiles=Profiles(**steep))
    assert "the profiles, the views and the other sections" in told.message
    assert "wavers" not in told.message


def test_a_scale_that_opposite_profiles_check_is_not_told_to_be_unchecked():
    rings = [egg(f) for f in (0.95, 1.0, 1.03)]
    read = [drawn(HEIGHTS[0], width_mm=size(rings[0])[0]), *map(drawn, HEIGHTS[1:])]
    assert len(found(rings, read, "no-caliper-reading")) == 2
    half = size(egg())[1] / 2
    front, back = (frozen([[0.0, at], [40.0, at]]) for at in (-half, half))
    assert not found(rings, read, "no-caliper-reading", profiles=Profiles(front=front, back=back))
    assert len(found(rings, read, "no-caliper-reading", profiles=Profiles(front=front))) == 2
