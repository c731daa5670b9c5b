"""One view from all known lengths: true to OpenCV's camera, as uncertain as it says, and contradicted sources named."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from cradle.errors import CaptureError
from cradle.geometry.arrays import frozen
from cradle.geometry.ring import resample
from cradle.pictures.image import Picture
from cradle.pictures.resolution import Resolution
from cradle.project.picture import PictureSource
from cradle.scale.calibration import from_scale, to_mm
from cradle.scale.camera import FILM_DIAGONAL_MM, USUAL_FOCAL_MM
from cradle.scale.card import _raised_note, card_scale
from cradle.scale.faint_card import doubted_as_faint
from cradle.scale.scale import Scale, ScaleKind
from cradle.scale.scale_choice import _contradicted, _together, chosen
from cradle.scale.view import Known, MarkRow, calibration_of, fit_view, length_shares, setting_of
from cradle.scale.view_uncertainty import scale_uncertainty

SIZE = (1700, 1300)
FOCAL_PX = USUAL_FOCAL_MM / FILM_DIAGONAL_MM * float(np.hypot(*SIZE))
ALONG = ((-50.0, -45.0), (50.0, -45.0))
ACROSS = ((-60.0, 40.0), (-60.0, -40.0))
SQUARE = np.array([[-20.0, -20], [20, -20], [20, 20], [-20, 20]])


def picture(*, by_camera=True, dpi=None):
    grey = np.zeros(SIZE[::-1], dtype=np.uint8)
    resolution = Resolution(dpi=dpi, told_by="a test") if dpi else Resolution(dpi=None, told_by="nothing")
    return Picture(file="a.png", grey=grey, colour=None, resolution=resolution, by_camera=by_camera)


def opencv_px(points_mm, *, lean_deg, way_deg, distance_mm=300.0, focal_px=FOCAL_PX, bend=0.0):
    """Where OpenCV's pinhole camera sees points of a plane that leans about an axis through the picture's middle."""
    axis = np.radians(lean_deg) * np.array([np.cos(np.radians(way_deg)), np.sin(np.radians(way_deg)), 0.0])
    turn = cv2.Rodrigues(axis)[0] @ np.diag([1.0, -1.0, -1.0])  # paper's y is up, and it is seen from above
    matrix = np.array([[focal_px, 0, (SIZE[0] - 1) / 2], [0, focal_px, (SIZE[1] - 1) / 2], [0, 0, 1]])
    flat = np.column_stack([points_mm, np.zeros(len(points_mm))])
    radius = float(np.hypot(*SIZE)) / 2 / focal_px
    seen, _ = cv2.projectPoints(
        flat,
        cv2.Rodrigues(turn)[0],
        np.array([0.0, 0.0, distance_mm]),
        matrix,
        np.array([bend / radius**2, 0, 0, 0.0]),
    )
    return seen.reshape(-1, 2)


def rule(ends, rng=None, *, count=81, stretch=1.0, spread_px=0.05, share=6e-4, **camera):
    a, b = np.array(ends)
    points = a + np.linspace(0, 1, count)[:, None] * (b - a)
    px = opencv_px(points, **camera)
    px = px if rng is None else px + rng.normal(0.0, spread_px, px.shape)
    along = np.linspace(0, float(np.hypot(*(b - a))), count) / stretch
    return Known(rows=(MarkRow(at_px=frozen(px), along_mm=frozen(along), spread_px=spread_px),), share=share)


def sides(view, **camera):
    at = to_mm(calibration_of(view, source="test"), opencv_px(SQUARE, **camera))
    return np.hypot(*(np.roll(at, -1, axis=0) - at).T)


@pytest.mark.parametrize(
    ("lean", "way", "focal", "bend"), [(0, 0, 1, 0), (12, 30, 1.1, 0), (25, 75, 0.9, 0), (14, -50, 1, -0.03)]
)
def test_two_rules_across_one_another_give_the_view_that_opencv_saw(lean, way, focal, bend):
    camera = {"lean_deg": lean, "way_deg": way, "focal_px": focal * FOCAL_PX, "bend": bend}
    rows = [rule(ends, spread_px=0.002, **camera) for ends in (ALONG, ACROSS)]
    view = fit_view(setting_of(picture(), camera=True), rows)
    assert sides(view, **camera) == pytest.approx(40.0, rel=1e-3 if bend else 3e-4)
    assert view.lean_deg == pytest.approx(lean, abs=2.5 if bend else 0.6)


@pytest.mark.slow
def test_lengths_are_as_uncertain_as_it_says():
    """Views drawn from what is usual, rules wrong by their own spread: errors by their uncertainties have variance one."""
    rng = np.random.default_rng(4)
    for ends, least in (((ALONG,), 0.004), ((ALONG, ACROSS), 0.0002)):
        by_own = []
        for _ in range(24):
            lean = np.degrees(np.arctan(np.tan(np.radians(3.0)) * rng.standard_normal(2)))
            camera = {
                "lean_deg": float(np.hypot(*lean)),
                "way_deg": float(np.degrees(np.arctan2(*lean))),
                "focal_px": FOCAL_PX * float(np.exp(0.25 * rng.standard_normal())),
            }
            rows = [
                rule(each, rng, stretch=float(np.exp(6e-4 * rng.standard_normal())), **camera)
                for each in ends
            ]
            view = fit_view(setting_of(picture(), camera=True), rows)
            x, y = length_shares(view, opencv_px(SQUARE, **camera))
            assert x > least
            seen = sides(view, **camera)
            by_own += [(seen[[0, 2]].mean() / 40 - 1) / x, (seen[[1, 3]].mean() / 40 - 1) / y]
        assert 0.6 < float(np.sqrt(np.mean(np.square(by_own)))) < 1.3


def test_a_scanner_s_directions_are_known_each_by_its_own_rule():
    setting = setting_of(picture(by_camera=False, dpi=(300.0, 300.0)), camera=False)
    x, y = 25.4 / 300 * 1.004, 25.4 / 300 * 0.997
    at = np.column_stack([np.linspace(100, 1300, 101), np.full(101, 400.0)])
    along = Known(
        rows=(MarkRow(at_px=frozen(at), along_mm=frozen(at[:, 0] * x), spread_px=0.05),), share=6e-4
    )
    up = Known(
        rows=(MarkRow(at_px=frozen(at[:, ::-1]), along_mm=frozen(at[:, 0] * y), spread_px=0.05),), share=6e-4
    )
    both = calibration_of(fit_view(setting, [along, up]), source="test")
    assert both.mm_from_px[0, 0] == pytest.approx(x, rel=2e-4)
    assert -both.mm_from_px[1, 1] == pytest.approx(y, rel=2e-4)
    one = fit_view(setting, [along])
    share_x, share_y = length_shares(one, np.array([[500.0, 500], [700, 700]]))
    assert share_x == pytest.approx(6e-4, rel=0.05)
    # half a percent, evenly spread
    assert share_y == pytest.approx(np.hypot(6e-4, 0.005 / np.sqrt(3)), rel=0.02)
    assert calibration_of(one, source="test").lens is None


def as_scale(known, name):
    row = known.rows[0]
    return Scale(
        kind=ScaleKind.RULER,
        calibration=from_scale(0.2, 0.2, height_px=SIZE[1], source=name),
        told=name,
        ends_px=frozen(row.at_px[[0, -1]][None]),
        known_mm=frozen([float(np.ptp(row.along_mm))]),
        known=known,
    )


def test_the_rule_that_all_others_speak_against_is_left_out_and_named():
    camera = {"lean_deg": 8.0, "way_deg": 20.0}
    second = ((-50.0, 50.0), (50.0, 50.0))
    rules = [
        as_scale(rule(ends, np.random.default_rng(k), stretch=stretch, **camera), name)
        for k, (ends, stretch, name) in enumerate(
            [(ALONG, 1.02, "wrong"), (ACROSS, 1.0, "across"), (second, 1.0, "beyond")]
        )
    ]
    scales = chosen(PictureSource(file="a.png"), rules, [], picture=picture())
    assert [s.told for s in scales.members] == ["across", "beyond"]
    (finding,) = [f for f in scales.findings if f.code == "scales-disagree"]
    assert finding.measured == pytest.approx(2.0, abs=0.2)
    assert "wrong" in finding.message
    assert "all others contradict the other one" in finding.message
    agreeing = chosen(PictureSource(file="a.png"), rules[1:], [], picture=picture())
    assert not [f for f in agreeing.findings if f.severity == "warn"]
    assert agreeing.used.told == "across, with beyond"
    alike = chosen(
        PictureSource(file="a.png"), [replace(r, told="a ruler") for r in rules[1:]], [], picture=picture()
    )
    assert alike.used.told == "2 × a ruler"


def card_px(*, size_mm=(85.60, 53.98), turn_deg=20.0, **camera):
    """The outline of a card with corners of 3.18 mm (ISO/IEC 7810), as OpenCV's camera sees it."""
    quarter = np.radians(np.arange(0, 91, 3.0))
    arc = 3.18 * np.column_stack([np.cos(quarter), np.sin(quarter)])
    middles = (np.array(size_mm) / 2 - 3.18) * [[1, 1], [-1, 1], [-1, -1], [1, -1]]
    turns = [np.linalg.matrix_power(np.array([[0, 1], [-1, 0]]), k) for k in range(4)]
    ring = np.concatenate([arc @ turn + middle for turn, middle in zip(turns, middles, strict=True)])
    dense = resample(ring, count=899)
    cos, sin = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    return opencv_px(dense @ [[cos, sin], [-sin, cos]], **camera)


@pytest.mark.parametrize("backwards", [False, True])
@pytest.mark.parametrize(("lean", "way"), [(0, 0), (8, 10), (25, 60), (25, 110)])
def test_a_card_is_one_up_to_25_degrees(lean, way, backwards):
    camera = {"lean_deg": lean, "way_deg": way}
    ring = card_px(**camera)[:: -1 if backwards else 1]
    scale = card_scale(ring, picture(), camera=True)
    at = to_mm(scale.calibration, opencv_px(SQUARE, **camera))
    assert np.hypot(*(np.roll(at, -1, axis=0) - at).T) == pytest.approx(40.0, rel=0.004)
    told = card_scale(ring, picture(), camera=True, distance_mm=300.0)
    grown = 0.76 / (300 - 0.76)  # pinhole, ISO/IEC 7810: 0.76 mm thick
    # the usual focal length tells how far away the lens was, within a quarter
    assert length(scale, ring) / length(told, ring) == pytest.approx(1.0, abs=0.35 * grown)
    assert "this was corrected" in scale.findings[0].message


def test_half_of_a_card_s_height_is_taken_out_where_a_scanner_may_have_seen_it():
    ring, silent = card_px(lean_deg=0, way_deg=0), replace(picture(), by_camera=False)
    flat, either = (card_scale(ring, silent, camera=camera) for camera in (False, True))
    grown = 0.76 / (300 - 0.76)
    assert length(either, ring) / length(flat, ring) == pytest.approx(1 + grown / 2, abs=0.2 * grown)
    assert either.known.share == pytest.approx(np.hypot(flat.known.share, grown / 2), rel=0.1)


@pytest.mark.parametrize("turn", [0.0, 30.0])
@pytest.mark.parametrize(
    "missed", [(0.3, 0.0), (0.0, 0.3), (0.3, 0.3)], ids=["short side", "long side", "both"]
)
def test_a_faint_card_is_doubted_unless_a_scanner_shows_a_card_s_form(turn, missed):
    scan = replace(picture(), by_camera=False)
    told, cameras = [], []
    for off in ((0.0, 0.0), missed):
        size = (85.60 + off[0], 53.98 + off[1])
        ring = card_px(size_mm=size, turn_deg=turn, lean_deg=0, way_deg=0)
        flat, seen = (card_scale(ring, scan, camera=camera) for camera in (False, True))
        told.append("card-faint" in {f.code for f in doubted_as_faint(flat).findings})
        cameras.append("card-faint" in {f.code for f in doubted_as_faint(seen).findings})
    assert told == [False, True]
    assert all(cameras)


def length(scale, ring):
    """A length on the card by its scale, mm."""
    return float(np.hypot(*np.diff(to_mm(scale.calibration, ring[[0, 300]]), axis=0)[0]))


@pytest.mark.parametrize("lean", [0, 15])
@pytest.mark.parametrize("size", [(89.0, 53.98), (85.60, 57.0)])
def test_a_card_of_another_shape_is_none_and_its_own_is_told(lean, size):
    with pytest.raises(CaptureError, match=r"times as long as wide, a card 1\.586 times"):
        card_scale(card_px(size_mm=size, lean_deg=lean, way_deg=40.0), picture(), camera=True)


@pytest.mark.parametrize(("doubtful", "told"), [(0.00003, None), (0.0005, "give or take 0.05 %")])
def test_an_uncertainty_that_would_read_as_none_is_not_told_of_a_raised_card(doubtful, told):
    (note,) = _raised_note(0.002, doubtful)
    assert "0.20 % larger" in note.message
    assert (told or "; this was") in note.message
    assert ("give or take" in note.message) is (told is not None)


@pytest.mark.parametrize("lean_deg", [0.0, 8.0])
@pytest.mark.parametrize("distance_mm", [250.0, 450.0])
def test_how_high_a_ruler_s_face_lies_counts_among_what_is_uncertain(distance_mm, lean_deg):
    """By similar triangles lengths on the paper come out too small by t / (D - t) where faces lie t higher than it."""
    camera = {"lean_deg": lean_deg, "way_deg": 30.0}
    ring = opencv_px(SQUARE, **camera, distance_mm=distance_mm)
    off = []
    for face_mm in np.linspace(0.5, 2.5, 21):
        sources = [
            as_scale(rule(ends, **camera, distance_mm=distance_mm - face_mm), "a rule")
            for ends in (ALONG, ACROSS)
        ]
        scales = chosen(PictureSource(file="a.png"), sources, [], picture=picture())
        at = to_mm(scales.calibration, ring)
        off.append([float(np.hypot(*(at[1] - at[0]))) / 40 - 1, float(np.hypot(*(at[2] - at[1]))) / 40 - 1])
    known = scale_uncertainty(scales, ring_px=ring)
    alone = np.array(length_shares(scales.view, ring))
    face = np.sqrt(np.array(known.share) ** 2 - alone**2)
    assert face == pytest.approx(np.sqrt((np.array(off) ** 2).mean(axis=0)), rel=0.06)
    assert known.by_view == pytest.approx(alone.max())


def test_only_of_a_ruler_that_a_camera_surely_saw_the_face_counts():
    camera = {"lean_deg": 0.0, "way_deg": 0.0}
    ring = opencv_px(SQUARE, **camera)
    for kind, by_camera in ((ScaleKind.RULER, False), (ScaleKind.POINTS, True)):
        sources = [replace(as_scale(rule(ends, **camera), "a rule"), kind=kind) for ends in (ALONG, ACROSS)]
        scales = chosen(PictureSource(file="a.png"), sources, [], picture=picture(by_camera=by_camera))
        known = scale_uncertainty(scales, ring_px=ring)
        assert known.share == pytest.approx(length_shares(scales.view, ring))


@pytest.mark.parametrize(("stretch", "contradicted"), [(0.5, True), (1.0, False), (1.8, False), (2.2, True)])
def test_a_length_that_is_hardly_foretold_may_be_as_many_times_as_long_as_short(stretch, contradicted):
    """A short rule with coarse marks foretells one across the picture to 18 %: three times that is a factor of 1.7."""
    camera = {"lean_deg": 3.0, "way_deg": 20.0}
    rng = np.random.default_rng(1)
    short = as_scale(rule(((-75.0, -20.0), (-75.0, -35.0)), rng, count=36, spread_px=2.0, **camera), "short")
    long = as_scale(rule(((-70.0, 55.0), (90.0, 55.0)), rng, count=142, stretch=stretch, **camera), "long")
    setting = setting_of(picture(), camera=True)
    setting = replace(setting, spreads=setting.spreads._replace(lean_x=0.4, lean_y=0.4))
    assert _contradicted(*_together([short], setting), long) is contradicted
