"""Sources of scale that contradict one another, and views that nothing checks: told, with an honest figure."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from daily import rest_further
from opencv_views import ACROSS, ALONG, SQUARE, as_scale, opencv_px, picture, rule
from painted import BLACK, GREY, LID, OAK, Table, photographed, scanned
from scored import piece_at
from things_painted import egg, egg_beside_one_rule, placed, rule_on, sheet_on

from cradle.calibration.calibration import to_mm
from cradle.calibration.camera import FILM_DIAGONAL_MM, USUAL_FOCAL_MM
from cradle.calibration.picture_view import length_shares
from cradle.calibration.scale import ScaleKind
from cradle.capture.tracing import trace_picture
from cradle.capture_sheet.sheet import SHEETS
from cradle.project.picture import PictureSource
from cradle.scale.scale_choice import chosen
from cradle.scale.unverified_axis import CODE
from cradle.scale.view_uncertainty import scale_uncertainty, view_doubt

RING = placed(egg(50, 36), at_mm=(72, 66), turn_deg=20)


def _traced(seen, path, **spec):
    return trace_picture(seen.save(path / "a.png"), PictureSource(file="a.png", **spec))


def _warned(traced):
    return {f.code: f for f in traced.findings if f.severity == "warn"}


@pytest.mark.slow
@pytest.mark.parametrize("off", rest_further([0.0, 0.01, -0.1], daily={1}))
def test_rulers_across_one_another_that_contradict_are_told_without_a_tag(tmp_path, off):
    table = Table(115, 112, 8)
    table.paint(RING, colour=GREY)
    rule_on(table, at_mm=(32, 22), length_mm=75, depth_mm=16)
    rule_on(table, at_mm=(22, 106), turn_deg=-90, length_mm=75, depth_mm=16, stretch=1 + off)
    warned = _warned(_traced(scanned(table, dpi=200, tag=False), tmp_path))
    assert ("rulers-disagree" in warned) is (off != 0.0)
    if off:
        assert warned["rulers-disagree"].measured == pytest.approx(
            100 * abs(1 - 1 / (1 + off) ** -1), rel=0.12
        )


@pytest.mark.slow
def test_two_edges_of_one_rule_are_one_and_its_mm_are_believed(tmp_path):
    table = Table(115, 112, 8)
    table.paint(RING, colour=GREY)
    rule_on(table, at_mm=(10, 30), length_mm=95, both_edges=True)
    traced = _traced(scanned(table, dpi=200), tmp_path)
    rulers = [s for s in traced.scales.found if s.kind.value == "ruler"]
    assert [s.told for s in rulers] == ["ruler, 96 marks of 1 mm"]
    assert not _warned(traced)
    assert len(traced.pieces) == 1


@pytest.mark.slow
def test_one_ruler_before_a_camera_is_told_by_a_figure_that_holds(tmp_path):
    """Of a rule with a round end whose marks spread inwards by as much as on a bevelled edge: neither tells how the view leans."""
    seen, ring = egg_beside_one_rule()
    traced = _traced(seen, tmp_path)
    (told,) = [f for f in traced.findings if f.code == CODE]
    assert told.message.count("further away") == 1
    piece = piece_at(traced.pieces, seen.px_from_mm(ring))
    assert piece is not None
    assert np.abs(piece.size_mm - np.ptp(ring, axis=0)).max() < told.measured < 3.0
    # by hand: a plane that leans by t up the picture is seen larger by t v / f at the height v; lengths across
    # the slope go by that once, lengths along it twice, and all are told by the ruler's, which lies across
    focal_px = USUAL_FOCAL_MM / FILM_DIAGONAL_MM * float(np.hypot(1700, 1700))
    ruler = traced.scales.used.ends_px.reshape(-1, 2).mean(axis=0)[1] - 849.5
    here = (piece.ring_px[:, 1].max() + piece.ring_px[:, 1].min()) / 2 - 849.5
    lean = np.tan(np.radians(3))
    face = (
        1.6 / traced.scales.view.distance_mm
    )  # how high a ruler's face lies, root mean square, over the lens' distance
    by_lean = np.sqrt(np.square(piece.scale_share) - face**2)
    assert by_lean[0] == pytest.approx(lean * abs(here - ruler) / focal_px, rel=0.1)
    assert by_lean[1] == pytest.approx(lean * abs(2 * here - ruler) / focal_px, rel=0.1)
    assert told.measured == pytest.approx(2 * np.multiply(by_lean, piece.size_mm).max(), rel=0.02)
    assert told.unit == "mm"


@pytest.mark.parametrize(("long_mm", "told"), [(12.0, False), (60.0, True)])
def test_what_the_view_leaves_open_is_told_where_a_fit_would_feel_it(long_mm, told):
    """As large a share of a small piece is less than any clearance."""
    camera = {"lean_deg": 3.0, "way_deg": 20.0}
    scales = chosen(
        PictureSource(file="a.png"),
        [as_scale(rule(((-60.0, -50.0), (-20.0, -50.0)), **camera), "a rule")],
        [],
        picture=picture(),
    )
    ring = opencv_px(SQUARE / np.ptp(SQUARE) * long_mm + (20.0, 20.0), **camera)
    known = scale_uncertainty(scales, ring_px=ring)
    assert known.by_view > 0.01
    assert known.long_mm == pytest.approx(long_mm, rel=0.1)
    found = [f for f in view_doubt(scales, [known], where="a.png") if f.code == CODE]
    assert [f.measured for f in found] == [pytest.approx(2 * known.by_view * known.long_mm)] * told


@pytest.mark.parametrize(
    ("kinds", "cure"),
    [
        ([ScaleKind.RULER], "lay a second ruler across the first"),
        ([ScaleKind.RULER, ScaleKind.RULER], "lay the rulers close to the piece"),
        ([ScaleKind.BANK_CARD], "use the capture sheet"),
    ],
)
def test_what_the_view_leaves_open_is_told_with_what_shows_it(kinds, cure):
    beside = [((-60.0, -50.0), (-20.0, -50.0)), ((-60.0, -44.0), (-20.0, -44.0))]
    camera = {"lean_deg": 3.0, "way_deg": 20.0}
    sources = [
        replace(
            as_scale(rule(ends, np.random.default_rng(3), **camera), "a source"),
            kind=kind,
            marks_px=opencv_px(ends, **camera),
        )
        for ends, kind in zip(beside, kinds, strict=False)
    ]
    scales = chosen(PictureSource(file="a.png"), sources, [], picture=picture())
    far = scale_uncertainty(scales, ring_px=opencv_px(SQUARE + (30.0, 30.0), **camera))
    (told,) = [f for f in view_doubt(scales, [far], where="a.png") if f.code == CODE]
    assert told.advice.startswith(cure)
    assert told.advice.endswith("or measure both ways with calipers")


@pytest.mark.slow
@pytest.mark.parametrize("over_mm", [-6.0, 5.0, pytest.param(20.0, marks=pytest.mark.further)])
def test_a_piece_over_the_sheet_s_marks_is_cut_off(tmp_path, over_mm):
    table = Table(230, 317, 5, OAK, 3)
    sheet_on(table, SHEETS["A4"])
    ring = placed(egg(60, 44), at_mm=(10 + 11.5 + 22 + 30 - over_mm, 170))
    table.paint(ring, colour=BLACK if over_mm < 0 else (60, 90, 140))
    seen = photographed(table, size_px=(1080, 1440), distance_mm=330)
    assert ("piece-cut-off" in _warned(_traced(seen, tmp_path))) is (over_mm > 0)


@pytest.mark.slow
def test_a_scan_has_its_uncertainties_along_and_across_the_ruler(tmp_path):
    table = Table(115, 112, 8, LID)
    table.paint(RING, colour=GREY)
    rule_on(table, at_mm=(10, 30), length_mm=95)
    traced = _traced(scanned(table, dpi=200), tmp_path)
    (piece,) = traced.pieces
    x, y = piece.scale_share
    assert 0.0003 < x < 0.001  # the rule's own 0.15 mm in 150
    # half a percent, evenly spread, that nothing checks
    assert y == pytest.approx(0.005 / np.sqrt(3), rel=0.1)
    assert 0.02 <= piece.edge_mm < 0.06


@pytest.mark.first_daily
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


def test_only_of_a_ruler_that_a_camera_may_have_seen_the_face_counts():
    camera = {"lean_deg": 0.0, "way_deg": 0.0}
    ring = opencv_px(SQUARE, **camera)
    for kind, by_camera in ((ScaleKind.POINTS, False), (ScaleKind.POINTS, True)):
        sources = [replace(as_scale(rule(ends, **camera), "a rule"), kind=kind) for ends in (ALONG, ACROSS)]
        scales = chosen(PictureSource(file="a.png"), sources, [], picture=picture(by_camera=by_camera))
        known = scale_uncertainty(scales, ring_px=ring)
        assert known.share == pytest.approx(length_shares(scales.view, ring))
