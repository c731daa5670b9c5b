"""Sharp tips are carried on to where their sides meet, rounded ones stay round; what is not told is stated.

Truth is geometry throughout: a tip of angle a whose end is rounded to a radius r reaches r (1 / sin(a / 2) - 1)
less far than its sides do.
"""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from shapely import LinearRing, box, hausdorff_distance

from cradle.geometry.level_lines import closed_level_lines
from cradle.geometry.ring import resample
from cradle.pictures.smooth import smoothed
from cradle.pictures.steepest import steepest
from cradle.pictures.tip_fit import Made, Wedge, fitted_tip
from cradle.pictures.tips import with_tips

LONG_MM = 14.0
ANGLES = (15.0, 30.0, 45.0, 60.0)
FINE = 8


def _ring_mm(angle_deg: float, radius_mm: float) -> np.ndarray:
    """A blade that points along x from the origin: straight sides, a rounded end, a round back."""
    half = np.radians(angle_deg) / 2
    middle = LONG_MM - radius_mm / np.sin(half)
    turn = np.linspace(-(np.pi / 2 - half), np.pi / 2 - half, 60)
    end = np.column_stack([middle + radius_mm * np.cos(turn), radius_mm * np.sin(turn)])
    wide = LONG_MM * np.sin(half)
    back = np.linspace(np.pi / 2 - half, 3 * np.pi / 2 + half, 400)[1:-1]
    return np.concatenate([end, wide * np.column_stack([np.cos(back), np.sin(back)])])


def _reach_mm(angle_deg: float, radius_mm: float) -> float:
    return LONG_MM - radius_mm * (1 / np.sin(np.radians(angle_deg) / 2) - 1)


def _seen(ring_mm, *, dpi, turn_deg, shadow=0.0, grain=0.01):
    """The piece's part of the light that a scanner sees; its middle and the direction of the tip in px."""
    per_mm = dpi / 25.4
    size = round(2.4 * LONG_MM * per_mm)
    at = np.array([size / 2 + 0.3, size / 2 - 0.2])
    c, s = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    px = ring_mm @ np.array([[c, s], [-s, c]]) * per_mm + at

    def cover(points):
        whole = np.zeros((size * FINE, size * FINE), np.uint8)
        cv2.fillPoly(whole, [np.rint(((points + 0.5) * FINE - 0.5) * 256).astype(np.int32)], 255, shift=8)
        return cv2.resize(whole, (size, size), interpolation=cv2.INTER_AREA).astype(np.float32) / 255

    piece = cover(px)
    if shadow:
        dark = cv2.GaussianBlur(cover(px + 0.2 * per_mm), (0, 0), 0.3 * per_mm)
        piece = piece + (1 - piece) * shadow * dark
    blur = 0.5 * dpi / 300 + 0.3
    noise = np.random.default_rng(5).normal(0, grain, piece.shape).astype(np.float32)
    field = cv2.GaussianBlur(cv2.GaussianBlur(piece, (0, 0), blur) + noise, (0, 0), 0.8)
    return field, at, np.array([c, s]), per_mm


def _edge(field, per_mm):
    ring = max(closed_level_lines(field, level=0.5), key=len)
    return steepest(field, ring, reach_px=max(4.0, 1.2 * per_mm), look_px=max(4.0, 0.35 * per_mm))


def _tip_mm(edge, at, along, per_mm):
    return float(((edge.ring_px - at) @ along).max()) / per_mm


@pytest.mark.parametrize("angle_deg", ANGLES)
@pytest.mark.parametrize("dpi", [75.0, 150.0, 300.0])
def test_a_sharp_tip_reaches_as_far_as_its_sides(angle_deg, dpi):
    field, at, along, per_mm = _seen(_ring_mm(angle_deg, 0.0), dpi=dpi, turn_deg=angle_deg + 20, shadow=0.2)
    before = _edge(field, per_mm)
    after, unclear = with_tips(before, field)
    assert LONG_MM - _tip_mm(before, at, along, per_mm) > 0.4 / per_mm / np.sin(np.radians(angle_deg) / 2)
    assert _tip_mm(after, at, along, per_mm) == pytest.approx(LONG_MM, abs=max(0.12, 1.0 / per_mm))
    assert len(after.ring_px) == len(before.ring_px) == len(after.unsure_px)
    assert all(tip.unsure_px < 1.0 for tip in unclear)


@pytest.mark.parametrize("angle_deg", ANGLES)
@pytest.mark.parametrize(
    ("radius_mm", "dpi"), [(0.3, 75.0), (0.3, 150.0), (0.5, 300.0), (1.0, 75.0), (1.0, 150.0), (2.0, 300.0)]
)
def test_a_rounded_tip_is_not_sharpened(angle_deg, radius_mm, dpi):
    ring = _ring_mm(angle_deg, radius_mm)
    field, at, along, per_mm = _seen(ring, dpi=dpi, turn_deg=3 * angle_deg, shadow=0.15)
    after, unclear = with_tips(_edge(field, per_mm), field)
    reach = _reach_mm(angle_deg, radius_mm)
    assert _tip_mm(after, at, along, per_mm) == pytest.approx(reach, abs=max(0.1, 0.35 / per_mm))
    assert all(tip.unsure_px < 1.0 for tip in unclear)


@pytest.mark.parametrize("angle_deg", [48.0, 60.0])
@pytest.mark.parametrize("turn_deg", [25.0, 70.0, 140.0])
def test_a_tip_that_goes_on_thinner_than_its_sides_lead_to_is_followed(angle_deg, turn_deg):
    """As hands cut: a tip ends in a thorn that reaches 0.35 mm further than its sides lead to; 0.19 mm of it were missing."""
    base, reach = LONG_MM - 0.2, LONG_MM + 0.35
    wide = 0.2 * np.tan(np.radians(angle_deg / 2))
    ring = np.concatenate([[[base, -wide], [reach, 0.0], [base, wide]], _ring_mm(angle_deg, 0.0)[60:]])
    field, at, along, per_mm = _seen(ring, dpi=300.0, turn_deg=turn_deg, shadow=0.15)
    after, _ = with_tips(_edge(field, per_mm), field)
    assert _tip_mm(after, at, along, per_mm) == pytest.approx(reach, abs=0.1)


@pytest.mark.parametrize("wide_mm", [0.3, 0.5])
def test_a_tongue_at_a_tip_does_not_tell_where_its_sides_would_meet(wide_mm):
    base, reach = LONG_MM - wide_mm / 2 / np.tan(np.radians(24.0)), LONG_MM + 0.8
    tongue = [[base, -wide_mm / 2], [reach, -wide_mm / 2], [reach, wide_mm / 2], [base, wide_mm / 2]]
    ring = np.concatenate([tongue, _ring_mm(48.0, 0.0)[60:]])
    for turn_deg in (25.0, 70.0, 140.0):
        field, at, along, per_mm = _seen(ring, dpi=200.0, turn_deg=turn_deg)
        side = np.radians(24.0)
        back = np.array([[np.cos(side), np.sin(side)], [np.cos(side), -np.sin(side)]])
        inward = -back @ np.array([along, [-along[1], along[0]]])
        guess = Wedge(end_px=at + along * LONG_MM * per_mm, inward=inward, radius_px=1.0, made=Made.OF_PIECE)
        near = fitted_tip(field, guess, length_px=15.0, blur_px=1.0).near
        assert near is None or (near.apex_px - at) @ along / per_mm < reach + 0.5


def test_a_rounding_is_measured_and_a_sharp_tip_has_none_to_speak_of():
    found = {}
    for radius_mm in (0.0, 0.3, 0.6):
        field, at, along, per_mm = _seen(_ring_mm(30.0, radius_mm), dpi=150.0, turn_deg=10)
        side = np.radians(15.0)
        back = np.array([[np.cos(side), np.sin(side)], [np.cos(side), -np.sin(side)]])
        inward = -back @ np.array([along, [-along[1], along[0]]])
        guess = Wedge(end_px=at + along * 12.0 * per_mm, inward=inward, radius_px=2.0, made=Made.OF_PIECE)
        found[radius_mm] = fitted_tip(field, guess, length_px=30.0, blur_px=1.0).wedge.radius_px / per_mm
    assert found[0.0] < 0.07
    assert found[0.3] == pytest.approx(0.3, abs=0.03)
    assert found[0.6] == pytest.approx(0.6, abs=0.03)


def test_a_sharp_nook_is_carried_on_as_well():
    t = np.radians(np.linspace(20, 340, 300))
    field, at, _, per_mm = _seen(
        np.concatenate([12 * np.column_stack([np.cos(t), np.sin(t)]), [[0.0, 0.0]]]), dpi=150.0, turn_deg=70
    )
    before = _edge(field, per_mm)
    after, _ = with_tips(before, field)
    short = [float(np.hypot(*(edge.ring_px - at).T).min()) / per_mm for edge in (before, after)]
    assert short[0] > 0.3
    assert short[1] < 0.12


def test_a_tip_with_a_blot_on_it_stays_as_seen_and_is_told():
    field, at, along, per_mm = _seen(_ring_mm(25.0, 0.0), dpi=150.0, turn_deg=70)
    x, y = np.rint(at + along * (LONG_MM - 2.0) * per_mm).astype(int)
    field = cv2.circle(field.copy(), (int(x), int(y)), 2, 2.5, cv2.FILLED)
    before = _edge(field, per_mm)
    after, unclear = with_tips(before, field)
    assert np.array_equal(after.ring_px, before.ring_px)
    (tip,) = unclear
    assert np.hypot(*(tip.at_px - at - along * LONG_MM * per_mm)) < 2.0 * per_mm
    assert tip.unsure_px > 2.0
    assert after.unsure_px.max() > before.unsure_px.max() + 1.0


@pytest.mark.parametrize(("radius_mm", "least_px"), [(0.0, 0.7), (0.3, 0.15), (1.0, 0.0), (2.0, 0.0)])
@pytest.mark.parametrize("dpi", [100.0, 200.0])
def test_a_square_corner_keeps_its_point_or_its_rounding(radius_mm, least_px, dpi):
    """A level line misses a square corner by most of a pixel."""
    inner = box(radius_mm - 9, radius_mm - 7, 9 - radius_mm, 7 - radius_mm)
    shape = np.asarray(inner.buffer(max(radius_mm, 1e-6), 64).exterior.coords)[:-1]
    field, at, (cos, sin), per_mm = _seen(shape, dpi=dpi, turn_deg=33)
    true = LinearRing(shape @ np.array([[cos, sin], [-sin, cos]]) * per_mm + at)
    before = _edge(field, per_mm)
    after, unclear = with_tips(before, field)
    off = [hausdorff_distance(LinearRing(edge.ring_px), true, 0.01) for edge in (before, after)]
    assert off[0] > least_px
    assert off[1] < 0.3
    assert all(tip.unsure_px < 0.3 for tip in unclear)


@pytest.mark.parametrize("turn_deg", [12, 33, 70])
@pytest.mark.parametrize("dpi", [150.0, 250.0])
def test_a_square_corner_keeps_its_point_in_a_grainy_picture(turn_deg, dpi):
    """A phone's picture leaves open whether a corner is rounded by half a pixel, which moves its point by a fifth of one."""
    shape = np.asarray(box(-9, -7, 9, 7).exterior.coords)[:-1]
    field, at, (cos, sin), per_mm = _seen(shape, dpi=dpi, turn_deg=turn_deg, shadow=0.15, grain=0.1)
    corners = shape @ np.array([[cos, sin], [-sin, cos]]) * per_mm + at
    before = _edge(field, per_mm)
    short = [
        np.hypot(*(edge.ring_px[:, None] - corners).transpose(2, 0, 1)).min(axis=0)
        for edge in (before, with_tips(before, field)[0])
    ]
    assert short[0].max() > 0.8
    assert short[1].max() < 0.7


@pytest.mark.parametrize("turn_deg", [10, 40, 75])
def test_the_tip_of_a_drop_whose_sides_are_hollow_is_as_far_as_it_reaches(turn_deg):
    """Its sides close at 40 degrees at the tip, at 70 degrees 2 mm from it: straight lines along them meet before it."""
    back = np.linspace(0.0, 6.0, 200)
    wide = (
        np.tan(np.radians(20.0)) * back + (np.tan(np.radians(35.0)) - np.tan(np.radians(20.0))) / 4 * back**2
    )
    side = np.column_stack([LONG_MM - back, wide])
    field, at, along, per_mm = _seen(
        np.concatenate([side[::-1], side[1:] * (1, -1)]), dpi=200.0, turn_deg=turn_deg
    )
    after, unclear = with_tips(_edge(field, per_mm), field)
    assert _tip_mm(after, at, along, per_mm) == pytest.approx(LONG_MM, abs=0.1)
    assert all(tip.unsure_px < 1.0 for tip in unclear)


def test_an_edge_without_tips_stays_as_it_is():
    t = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    egg = np.column_stack([12 * np.cos(t), 8 * np.sin(t)])
    for shape in (egg, egg * (1.0, 0.4)):
        field, _, _, per_mm = _seen(shape, dpi=100.0, turn_deg=33)
        before = _edge(field, per_mm)
        after, unclear = with_tips(before, field)
        assert after is before
        assert not unclear


def _lined(field, end, along, *, before_px, slant_deg):
    """A field with a dim line of the ground that crosses the tip's axis before its end, and where its light is."""
    cos, sin = np.cos(np.radians(slant_deg)), np.sin(np.radians(slant_deg))
    ahead = np.array([[cos, -sin], [sin, cos]]) @ along
    y, x = np.mgrid[: field.shape[0], : field.shape[1]]
    at = end - before_px * along
    off = np.abs((x - at[0]) * ahead[1] - (y - at[1]) * ahead[0])
    light = cv2.GaussianBlur(np.clip(2.5 - off, 0, 1).astype(np.float32), (0, 0), 1.0)
    return field + (1 - field) * 0.3 * light, off < 4.5


@pytest.mark.parametrize("slant_deg", [40.0, 70.0, 90.0, 130.0])
def test_a_line_of_the_ground_that_passes_by_a_tip_makes_it_no_less_sure(slant_deg):
    field, at, along, per_mm = _seen(_ring_mm(30.0, 0.0), dpi=150.0, turn_deg=50.0)
    end = at + along * LONG_MM * per_mm
    lined, mixed = _lined(field, end, along, before_px=9.0, slant_deg=slant_deg)
    after, (tip,) = with_tips(_edge(field, per_mm), lined, mixed=mixed)
    assert _tip_mm(after, at, along, per_mm) == pytest.approx(LONG_MM, abs=0.08)
    assert tip.unsure_px < 0.15


def test_a_tip_that_ends_on_a_line_of_the_ground_is_as_far_as_the_light_there_says():
    field, at, along, per_mm = _seen(_ring_mm(30.0, 0.0), dpi=150.0, turn_deg=50.0)
    end = at + along * LONG_MM * per_mm
    lined, mixed = _lined(field, end, along, before_px=0.0, slant_deg=90.0)
    after, (tip,) = with_tips(_edge(field, per_mm), lined, mixed=mixed)
    assert abs(_tip_mm(after, at, along, per_mm) - LONG_MM) < max(0.1, 2 * tip.unsure_px / per_mm)


@pytest.mark.parametrize("angle_deg", [*ANGLES, 90.0])
@pytest.mark.parametrize("grain_mm", [0.042, 0.085, 0.17])
def test_smoothing_an_edge_takes_nothing_from_its_tips(angle_deg, grain_mm):
    ring = resample(_ring_mm(angle_deg, 0.0), count=round(60 / grain_mm))
    tip = int(ring[:, 0].argmax())
    ring[tip] = [LONG_MM, 0.0]
    rough = ring + np.random.default_rng(2).normal(0, 0.01, ring.shape)
    assert smoothed(rough, grain_mm=grain_mm)[:, 0].max() == pytest.approx(LONG_MM, abs=0.03)
