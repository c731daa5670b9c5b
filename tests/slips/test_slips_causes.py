"""Stacks with one slip: each ends placed right, or refused with the right sheet and the right cause."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from daily import each_value_daily, rest_further
from scipy.ndimage import gaussian_filter1d
from section_shapes import codes, outline, pebble, polar, spec
from section_shapes import placed as placed_of
from sheet_stacks import (
    FACTORS,
    HEIGHTS,
    SHAPES,
    boot,
    box,
    can,
    changed,
    egg,
    off,
    placed,
    shoe,
    sides,
    specs,
    truth,
)

from cradle.errors import CombinedError, SectionError
from cradle.geometry.arrays import frozen
from cradle.geometry.ring import extents, resample, size, turned
from cradle.placing.disagreements import doubted
from cradle.project.fit import SpreadSpec
from cradle.project.side import Side
from cradle.sections.posterior import ReadingKind
from cradle.sections.profiles import Profiles
from cradle.sections.reading_spreads import ExtentSpread
from cradle.views.views import Seen


@pytest.mark.parametrize("shape", rest_further(SHAPES, daily=[0, 3]))
def test_sheets_askew_by_five_degrees_are_put_right(shape):
    rings = truth(SHAPES[shape])
    drawn = [turned(r, angle_deg=a) + [7, -3] for r, a in zip(rings, (5, -5, 3, -4), strict=True)]
    result = placed(drawn, specs(rings))
    assert off(result.sections, rings) < 1.0


@pytest.mark.parametrize("shape", rest_further(SHAPES, daily=[1, 2]))
def test_a_thing_askew_to_the_calipers_by_eight_degrees_is_scaled_right(shape):
    rings = [turned(r, angle_deg=8) for r in truth(SHAPES[shape])]
    result = placed(
        [turned(r, angle_deg=a) for r, a in zip(rings, (1, -1, 0.5, -2), strict=True)], specs(rings)
    )
    for section in result.sections:
        assert section.scale == pytest.approx((1, 1), abs=0.01)
    assert off(result.sections, rings) < 1.5


@pytest.mark.slow
@pytest.mark.parametrize(("shape", "odd"), each_value_daily(["egg", "boot", "pebble"], range(4)))
def test_the_sheet_turned_half_round_is_the_one_that_is_turned(shape, odd):
    rings = truth(SHAPES[shape])
    drawn = [turned(r, angle_deg=180) if i == odd else r for i, r in enumerate(rings)]
    result = placed(drawn, specs(rings))
    told = [
        f.where
        for f in result.findings
        if f.code in ("section-turned", "outline-flipped") and f.severity == "warn"
    ]
    assert told == [f'section "s{odd}"']
    assert off(result.sections, rings) < 0.5


@pytest.mark.parametrize(("shape", "odd"), each_value_daily([shoe, pebble], range(4)))
def test_the_sheet_captured_face_down_is_the_one_that_is_flipped(shape, odd):
    rings = truth(shape)
    drawn = [r[::-1] * [-1.0, 1.0] if i == odd else r for i, r in enumerate(rings)]
    result = placed(drawn, specs(rings))
    assert [f.where for f in result.findings if f.code == "outline-flipped"] == [f'section "s{odd}"']
    assert off(result.sections, rings) < 0.5


@pytest.mark.parametrize(
    ("shape", "odd", "change", "words"),
    each_value_daily(
        ["box", "egg", "boot"],
        [0, 2],
        [
            (lambda w, d: {"width_mm": d, "depth_mm": w}, "width and depth are swapped"),
            (lambda w, d: {"width_mm": w / 2, "depth_mm": d / 2}, "half of what was drawn"),
            (lambda w, d: {"width_mm": w / 2}, "the width given is half of what was drawn"),
            (lambda w, d: {"width_mm": w / 25.4, "depth_mm": d / 25.4}, "calipers read inches"),
            (lambda w, d: {"width_mm": w / 10, "depth_mm": d / 10}, "readings are in cm"),
            (lambda w, d: {"width_mm": w / 25.4}, "the width is in inches: write it in mm, or with its unit"),
            (lambda w, d: {"depth_mm": d / 10}, "the depth is in cm: write it in mm, or with its unit"),
            (lambda w, d: {"width_mm": w * 1.3}, "the width was misread or mistyped"),
            (lambda w, d: {"depth_mm": d + 12}, "the depth was misread or mistyped"),
        ],
    ),
)
def test_wrong_readings_of_one_section_are_named(shape, odd, change, words):
    rings = truth(SHAPES[shape])
    width, depth = size(rings[odd])
    with pytest.raises(SectionError, match=rf'section "s{odd}".*{words}'):
        placed(rings, specs(rings, **{f"s{odd}": change(width, depth)}))


@pytest.mark.parametrize("odd", [0, 2])
@pytest.mark.parametrize("share", [0.84, 1.2])
def test_a_wrong_reading_of_a_sheet_laid_face_down_is_refused_as_any_other(odd, share):
    """It was taken as read: a slip was looked for on sheets that lay straight alone."""
    rings = truth(shoe)
    drawn = [r[::-1] * [-1.0, 1.0] if i == odd else r for i, r in enumerate(rings)]
    width, _ = size(rings[odd])
    with pytest.raises(SectionError, match=rf'section "s{odd}".*the width was misread or mistyped'):
        placed(drawn, specs(rings, **{f"s{odd}": {"width_mm": share * width}}))


@pytest.mark.parametrize(
    ("odd", "factor", "words"),
    each_value_daily(
        [0, 1, 3],
        [
            (1 / 25.4, "drawing is in inches"),
            (1 / 10, "drawing is in cm"),
            (72 / 300, "300-dpi scan had been placed at 300 dpi|at 300 dpi: scale|had been placed at"),
            (96 / 25.4, "numbers are mm|read as px"),
            (300 / 25.4, "pixels of a 300-dpi scan had been read as mm"),
        ],
    ),
)
def test_a_drawing_of_a_wrong_size_is_named(odd, factor, words):
    rings = truth(boot)
    drawn = [r * factor if i == odd else r for i, r in enumerate(rings)]
    with pytest.raises(SectionError, match=rf'section "s{odd}".*({words})'):
        placed(drawn, specs(rings))


@pytest.mark.parametrize("odd", [0, 1, 3])
def test_a_drawing_in_inches_is_named_without_any_reading(odd):
    rings = truth(egg)
    drawn = [r / 25.4 if i == odd else r for i, r in enumerate(rings)]
    with pytest.raises(SectionError, match=rf'section "s{odd}".*in inches'):
        placed(drawn, [spec(f"s{i}", z) for i, z in enumerate(HEIGHTS)])


def test_a_whole_outline_said_to_be_a_half_is_named():
    rings = truth(box)
    right = rings[1] + [size(rings[1])[0] / 2, 0]  # drawn whole, beside its left edge
    given = specs(rings)
    with pytest.raises(SectionError, match=r"leave out half = true|straight edge"):
        placed_of(
            [outline(rings[0]), outline(right), outline(rings[2]), outline(rings[3])],
            specs=[
                s if i != 1 else spec("s1", 20.0, half=True, width_mm=s.width_mm, depth_mm=s.depth_mm)
                for i, s in enumerate(given)
            ],
        )


def test_the_width_of_a_half_given_with_its_half_outline_is_named():
    t = np.linspace(-np.pi / 2, np.pi / 2, 60)
    half = np.column_stack([20 * np.cos(t), 30 * np.sin(t)])
    with pytest.raises(SectionError, match=r"of the whole thing, not of the half: give them whole"):
        placed_of([outline(half)], specs=[spec("low", 5.0, half=True, width_mm=20.0, depth_mm=60.0)])


@pytest.mark.parametrize("turn", rest_further([0, 13, 40], daily=[1]))
def test_a_round_cans_turn_is_not_told(turn):
    rng = np.random.default_rng(turn)
    rings = [can() * f + rng.normal(0, 0.1, (400, 2)) for f in FACTORS]
    result = placed([turned(r, angle_deg=turn) for r in rings], specs(rings))
    assert not codes(result.findings) & {"section-turned", "outline-flipped"}
    assert max(abs(f.posterior.estimate[:, 2]).max() for f in [result]) < np.radians(3)


def test_profiles_give_the_lean_and_nothing_is_doubted():
    rings = truth(egg)
    result = placed(rings, specs(rings), profiles=sides(rings))
    middles = result.posterior.estimate[:, 1]
    assert np.polyfit(HEIGHTS, middles, 1)[0] == pytest.approx(0.1, abs=0.03)
    assert not codes(result.findings) & {"reading-disagrees", "lean-not-known", "profile-sense-doubtful"}
    assert result.posterior.lean_known == (True, True)


def test_without_profiles_the_lean_is_not_known():
    rings = truth(egg)
    result = placed(rings, specs(rings))
    (found,) = [f for f in result.findings if f.code == "lean-not-known"]
    assert found.measured > 0.2
    assert result.posterior.lean_known == (False, False)


def test_one_misread_profile_point_is_told_and_not_averaged_in():
    rings = truth(egg)
    p = sides(rings, lean=0.0)
    wrong = np.array(p.back)
    wrong[5:9, 1] += 6.0  # around the second section
    result = placed(rings, specs(rings), profiles=changed(p, back=frozen(wrong)), spread=SpreadSpec())
    assert [f.where for f in result.findings if f.code == "reading-disagrees"] == ['section "s1"']
    assert np.ptp(result.posterior.estimate[:, 1] - [np.mean(extents(r)[1::2]) for r in rings]) < 0.3


@pytest.mark.parametrize(
    ("read", "by", "check"), [(False, "profiles or views", "distance"), (True, "calipers", "readings")]
)
def test_a_size_that_no_tracing_explains_is_told_by_what_said_so(read, by, check):
    rings = truth(egg)
    given = specs(rings) if read else [spec(f"s{i}", z) for i, z in enumerate(HEIGHTS)]
    with pytest.raises(SectionError, match="too much for a tracing error") as caught:
        placed([1.21 * rings[0], *rings[1:]], given, profiles=sides(rings))
    assert by in str(caught.value)
    assert check in caught.value.hint


@pytest.mark.parametrize("per_side_mm", [-0.6, 0.8])
@pytest.mark.parametrize(("trace_mm", "taken"), [(0.25, True), (0.05, False)])
def test_a_small_outline_may_be_off_by_what_its_tracing_is(per_side_mm, trace_mm, taken):
    """A foot 14 by 10 mm traced too large or too small, by calipers and by four profiles alike: one error, not four."""
    rings = [polar(200, lambda t: 6 + np.cos(2 * t)), *truth(pebble)[1:]]
    drawn = [polar(200, lambda t: 6 + np.cos(2 * t) + per_side_mm), *rings[1:]]
    ends = np.array([extents(r) for r in rings])
    sides = dict(zip(("left", "front", "right", "back"), ends.T, strict=True))
    profiles = Profiles(**{name: frozen(np.column_stack([HEIGHTS, v])) for name, v in sides.items()})
    spread = SpreadSpec(trace_mm=trace_mm)
    if not taken:
        with pytest.raises(SectionError, match="too much for a tracing error"):
            placed(drawn, specs(rings), profiles=profiles, spread=spread)
        return
    result = placed(drawn, specs(rings), profiles=profiles, spread=spread)
    assert size(result.sections[0].points_mm) == pytest.approx(size(rings[0]), abs=0.15)
    assert "calipers-scale" in codes(result.findings) or any(
        "scaled to" in f.message for f in result.findings if f.severity == "warn"
    )


@pytest.mark.parametrize("away", [0.4, 1.5, 2.6])
def test_a_thin_sheet_askew_is_not_refused_for_what_a_profile_shows_at_a_step(away):
    """A strip above a wide foot, drawn askew by a little: the profiles, read every 3 mm, make a slope of the step between."""
    heights = np.arange(2.0, 50.0, 3.0)
    deep = np.where(heights < 16.0, 80.0, 16.0)
    sides = {"front": -8.0 + 0 * deep, "back": deep - 8.0, "left": -56.0 + 0 * deep, "right": 56.0 + 0 * deep}
    profiles = Profiles(**{k: frozen(np.column_stack([heights, v])) for k, v in sides.items()})
    rings = [box(width=112.0, depth=d) for d in (80.0, 16.0, 16.0)]
    given = [
        spec(f"s{i}", z, width_mm=112.0, depth_mm=d)
        for i, (z, d) in enumerate(((5.0, 80.0), (17.0 - away, 16.0), (47.0, 16.0)))
    ]
    drawn = [rings[0] + [0.0, 32.0], turned(rings[1], angle_deg=-1.3), rings[2]]
    result = placed(drawn, given, profiles=profiles)
    assert size(result.sections[1].points_mm)[1] == pytest.approx(16.0, abs=0.4)


@pytest.mark.parametrize("seed", [0, 3, 4])
def test_a_thin_piece_traced_unsteadily_is_not_called_out_of_scale(seed):
    wavering = gaussian_filter1d(
        np.random.default_rng(seed).standard_normal((250, 2)), 8.0, axis=0, mode="wrap"
    )
    strip = resample(box(width=110.0, depth=16.0), count=250) + 0.25 * wavering / wavering.std()
    assert size(strip)[1] > 1.03 * 16.0
    given = [spec(f"s{i}", z, width_mm=110.0, depth_mm=16.0) for i, z in enumerate((5.0, 25.0))]
    result = placed([strip, box(width=110.0, depth=16.0)], given, spread=SpreadSpec(trace_mm=0.25))
    assert "trace-off-caliper" not in codes(result.findings)
    read = [replace(given[0], depth_mm=15.2), given[1]]
    far = placed([strip, box(width=110.0, depth=16.0)], read, spread=SpreadSpec(trace_mm=0.25))
    assert "trace-off-caliper" in codes(far.findings)


@pytest.mark.parametrize(
    ("unit", "factor", "words"),
    [
        ("cm", 10.0, "the drawing's numbers are mm, whatever unit the section states: leave out its unit"),
        ("in", 25.4, "the drawing's numbers are mm, whatever unit the section states: leave out its unit"),
        (None, 25.4 / 96, 'its unit was taken as 1/96 in: say unit = "mm"'),
        (None, 1.05 * 25.4 / 96, 'its unit was taken as 1/96 in: say unit = "mm"'),
    ],
)
def test_a_unit_that_was_stated_wrongly_or_not_at_all_is_named_for_every_drawing(unit, factor, words):
    rings = truth(egg)
    given = [replace(one, source=replace(one.source, unit=unit)) for one in specs(rings)]
    with pytest.raises(CombinedError) as caught:
        placed([factor * r for r in rings], given)
    assert [words in str(error) for error in caught.value.errors] == [True] * 4


@pytest.mark.parametrize("askew", [(0, 0, 0, 0), (2, -2, 1, -3)])
def test_halves_of_all_sections_taken_for_whole_outlines_are_named_alike(askew):
    rings = truth(egg)
    halves = [
        turned(r[np.abs(np.angle(r @ [1, 1j])) <= np.pi / 2 + 1e-9], angle_deg=a)
        for r, a in zip(rings, askew, strict=True)
    ]
    with pytest.raises(CombinedError) as caught:
        placed(halves, specs(rings))
    assert ["set half = true" in str(error) for error in caught.value.errors] == [True] * 4


def test_sizes_exchanged_though_neither_is_far_off_are_named():
    rings = truth(lambda: box(width=62.0, depth=58.0))
    given = specs(
        rings, **{f"s{i}": {"width_mm": 58.0 * f, "depth_mm": 62.0 * f} for i, f in enumerate(FACTORS)}
    )
    with pytest.raises(CombinedError, match="too much for a tracing error; width and depth are swapped"):
        placed(rings, given)


def test_an_edge_of_a_view_is_not_called_a_profile():
    found = SimpleNamespace(
        observations=[SimpleNamespace(kind=ReadingKind.LEFT, spread=0.2, section=0)],
        left=[5.0],
        lying=[SimpleNamespace(laid=SimpleNamespace(where='section "s0"', spec=spec("s0", 5.0)))],
    )
    assert (
        "the left profile at 5 mm" in doubted(found, views=Seen(profiles=Profiles(), spreads={}))[0].message
    )
    spread = ExtentSpread(own_mm=0.3, tilt_rad=0.0, middle_mm=(0.0, 0.0))
    (told,) = doubted(found, views=Seen(profiles=Profiles(), spreads={Side.LEFT: spread}))
    assert "the left edge in the view at 5 mm" in told.message
    assert 'check from which side the view was taken ("from")' in told.advice
    assert "handle" not in told.advice
    found.left = [-6.0]  # out to the left
    (told,) = doubted(found, views=Seen(profiles=Profiles(), spreads={Side.LEFT: spread}))
    assert "where a handle or a spout shows there" in told.advice


@pytest.mark.parametrize("name", ["front", "back", "left", "right"])
@pytest.mark.parametrize(("unit", "mm"), [("cm", 10.0), ("inches", 25.4)])
@pytest.mark.parametrize("of", ["distances", "heights and distances"])
def test_one_profile_in_another_unit_is_doubted(name, unit, mm, of):
    rings = [egg() * f for f in (0.6, 0.9, 1.1, 0.8)]
    one = getattr(sides(rings, lean=0.0), name) + [0.0, 7.0]
    scale = np.array([1.0 if of == "distances" else 1 / mm, 1 / mm])
    result = placed(rings, specs(rings), profiles=Profiles(**{name: frozen(one * scale)}))
    (told,) = [f for f in result.findings if f.code == "profile-unit-doubtful"]
    assert told.where == f"side.{name}"
    assert told.message.startswith(f"this profile's {of} look as if they were in {unit}: ")
    assert "lean-by-one-profile" not in codes(result.findings)
    result = placed(rings, specs(rings), profiles=Profiles(**{name: frozen(one)}))
    assert "profile-unit-doubtful" not in codes(result.findings)


@pytest.mark.parametrize(("unit", "mm"), [("cm", 10.0), ("inches", 25.4)])
def test_a_profile_that_ends_below_all_sections_but_one_is_doubted_though_the_thing_bends(unit, mm):
    """A doll's face: its middles bend by more than a third of what the other unit makes of them."""
    rings = [egg() * f for f in (0.6, 0.9, 1.1, 0.8)]
    front = sides(rings, lean=0.0).front.copy()
    front[:, 1] -= 2.0 * np.sin(2 * np.pi * front[:, 0] / front[:, 0].max())
    result = placed(rings, specs(rings), profiles=Profiles(front=frozen(front / mm)))
    (told,) = [f for f in result.findings if f.code == "profile-unit-doubtful"]
    assert told.message.startswith(f"this profile's heights and distances look as if they were in {unit}: ")
    result = placed(rings, specs(rings), profiles=Profiles(front=frozen(front)))
    assert "profile-unit-doubtful" not in codes(result.findings)


@pytest.mark.parametrize("name", ["front", "back", "left", "right"])
@pytest.mark.parametrize(("unit", "mm"), [("cm", 10.0), ("inches", 25.4)])
def test_one_of_two_opposite_profiles_in_another_unit_is_refused_with_it(name, unit, mm):
    rings = [egg() * f for f in (0.6, 0.9, 1.1, 0.8)]
    read = sides(rings, lean=0.0)
    in_unit = frozen(getattr(read, name) / mm)
    with pytest.raises(SectionError, match=f"of the {name} profile look as if they were in {unit}") as caught:
        placed(rings, specs(rings), profiles=changed(read, **{name: in_unit}))
    assert caught.value.where == f"side.{name}"
    placed(rings, specs(rings), profiles=read)
    short = frozen(getattr(read, name)[:4])  # read to no more than a quarter of the height, in mm
    placed(rings, specs(rings), profiles=changed(read, **{name: short}))
