"""What lies beside the piece stops nothing, and only the piece asked for is traced."""

from __future__ import annotations

import re

import numpy as np
import pytest
from daily import rest_further
from painted import GREY, KRAFT, WHITE, Table, box, scanned
from PIL import Image
from scored import p95_mm
from things_painted import egg, placed, rule_on, sheet_on

from cradle.capture import piece_tracing
from cradle.capture.told_once import pieces_named, told_once
from cradle.capture.traced_picture import TracedPiece
from cradle.capture.tracing import trace_picture
from cradle.capture_sheet.sheet import SHEETS, middle_mm
from cradle.finding import doubt
from cradle.pictures.contour import piece_contour
from cradle.pictures.thin_tips import thin_tips
from cradle.project.picture import PictureSource


def _crumbs(seed):
    """Two pieces, and crumbs and threads of many sizes round them."""
    rng = np.random.default_rng(seed)
    table = Table(110, 90, 10, seed=seed)
    rings = [placed(egg(36, 26), at_mm=(x, 58), turn_deg=20) for x in (28, 76)]
    for ring in rings:
        table.paint(ring, colour=KRAFT)
    for _ in range(40):
        x, y = rng.uniform(4, 106), rng.uniform(33, 86)
        if min(abs(x - 28), abs(x - 76)) < 22 and abs(y - 58) < 19:
            continue
        size = rng.uniform(0.5, 4.5)
        crumb = rng.standard_normal((7, 2)) * size / 4
        table.paint(crumb + (x, y), colour=tuple(rng.uniform(90, 200, 3)), alpha=rng.uniform(0.1, 0.9))
    rule_on(table, at_mm=(8, 24), length_mm=90, depth_mm=16)
    return scanned(table, dpi=200), rings


@pytest.mark.slow
@pytest.mark.parametrize(
    "seed", [0, pytest.param(1, marks=pytest.mark.further), pytest.param(2, marks=pytest.mark.further)]
)
def test_crumbs_stop_no_picture(tmp_path, seed):
    seen, rings = _crumbs(seed)
    traced = trace_picture(seen.save(tmp_path / "a.png"), PictureSource(file="a.png"))
    large = [p for p in traced.pieces if p.size_mm[0] > 20]
    assert len(large) == 2
    for piece, ring in zip(large, rings, strict=True):
        assert p95_mm(traced, piece, seen, ring) < 0.08


@pytest.mark.parametrize("turn_deg", [0, 20])
def test_a_stroke_or_a_hair_is_no_piece(tmp_path, turn_deg):
    table = Table(60, 50, 12, WHITE, 3)
    table.paint(placed(egg(30, 22), at_mm=(22, 25)), colour=KRAFT)
    table.paint(placed(box(0, 0, 14, 0.42), at_mm=(42, 12), turn_deg=turn_deg), colour=(40, 40, 44))
    path = scanned(table, dpi=300).save(tmp_path / "a.png")
    assert len(trace_picture(path, PictureSource(file="a.png", dpi=300)).pieces) == 1


@pytest.mark.slow
@pytest.mark.parametrize("point", rest_further([False, True], daily={1}))
def test_only_the_picked_piece_is_traced(tmp_path, monkeypatch, point):
    seen, rings = _crumbs(7)
    path = seen.save(tmp_path / "a.png")
    every = trace_picture(path, PictureSource(file="a.png"))
    meant = next(
        p for p in every.pieces if np.hypot(*(p.ring_px.mean(0) - seen.px_from_mm(rings[1]).mean(0))) < 20
    )
    asked = []

    def seen_by_test(picture, regions, number, **more):
        asked.append(number)
        return piece_contour(picture, regions, number, **more)

    monkeypatch.setattr(piece_tracing, "piece_contour", seen_by_test)
    where = {"point_px": tuple(seen.px_from_mm([(76, 58)])[0].tolist())} if point else {"pick": meant.number}
    traced = trace_picture(path, PictureSource(file="a.png", **where))
    assert asked == [meant.number]
    assert [p.number for p in traced.pieces] == [meant.number]
    assert np.array_equal(traced.pieces[0].ring_mm, meant.ring_mm)


def _told(table, tmp_path):
    seen = scanned(table, dpi=200)
    return trace_picture(seen.save(tmp_path / "a.png"), PictureSource(file="a.png", dpi=200))


def _bridged(*, gap_mm):
    """Two pieces, the left one larger, and a narrow bridge from one to the other with a gap in it."""
    table = Table(88, 50, 10, seed=2)
    rings = [placed(egg(34, 28), at_mm=(24, 25)), placed(egg(24, 20), at_mm=(66, 25))]
    half = (54 - 40 - gap_mm) / 2
    bridges = [np.array([[x, 24.4], [x + half, 24.4], [x + half, 25.6], [x, 25.6]]) for x in (40, 54 - half)]
    for ring in [*rings, *bridges]:
        table.paint(ring, colour=GREY)
    return table, rings


@pytest.mark.parametrize("at_mm", [None, (66, 25), (24, 25)])
def test_a_part_that_is_left_out_is_told_and_can_be_picked_by_a_point_on_it(tmp_path, at_mm):
    table, (larger, smaller) = _bridged(gap_mm=0.3)
    seen = scanned(table, dpi=200)
    point = None if at_mm is None else tuple(seen.px_from_mm([at_mm])[0].tolist())
    spec = PictureSource(file="a.png", dpi=200, point_px=point)
    traced = trace_picture(seen.save(tmp_path / "a.png"), spec)
    (piece,) = traced.pieces
    (told,) = (f for f in traced.findings if f.code == "piece-in-parts")
    half_bridge_mm = 6.85
    meant, other = (smaller, larger) if at_mm == (66, 25) else (larger, smaller)
    assert np.abs(piece.size_mm - np.ptp(meant, axis=0) - (half_bridge_mm, 0)).max() < 1.0
    assert told.severity.value == "warn"
    assert told.measured == pytest.approx(np.ptp(other, axis=0)[0] + half_bridge_mm, abs=1.0)


def test_of_a_piece_in_one_part_no_other_is_told(tmp_path):
    table, _ = _bridged(gap_mm=0.0)
    assert "piece-in-parts" not in {f.code for f in _told(table, tmp_path).findings}


@pytest.mark.parametrize("depth", [0.3, 0.45])
def test_an_edge_beside_a_shadow_nearly_as_dark_as_the_piece_is_told_to_be_unsure(tmp_path, depth):
    table = Table(56, 48, 10, seed=2)
    ring = placed(egg(36, 24), at_mm=(27, 25))
    table.shade(ring, by_mm=(1.6, -1.2), soft_mm=0.9, depth=depth)
    table.paint(ring, colour=GREY)
    traced = _told(table, tmp_path)
    unsure = [f for f in traced.findings if f.code == "edge-unsure"]
    assert len(unsure) == (1 if depth > 0.4 else 0)
    assert all(f.measured > f.limit and f.severity.value == "warn" for f in unsure)
    assert (traced.pieces[0].edge_mm > 0.1) == (depth > 0.4)


@pytest.mark.first_daily
@pytest.mark.parametrize("tint", [(214.0, 216.0, 220.0), (222.0, 214.0, 200.0)])
def test_a_pale_card_is_told_from_its_own_shadow_by_a_tint_of_six_levels(tmp_path, tint):
    """The shadow is as dark as the card, and hides its edge from all but colour; by brightness it lay 0.2 mm off."""
    table = Table(70, 60, 12, (243.0, 243.0, 241.0), seed=4)
    ring = placed(egg(36, 26), at_mm=(34, 30))
    table.shade(ring, by_mm=(0.15, 0.3), soft_mm=0.15, depth=0.2)
    table.paint(ring, colour=tint)
    seen = scanned(table, dpi=400)
    seen.save(tmp_path / "a.png")
    traced = trace_picture(tmp_path / "a.png", PictureSource(file="a.png", dpi=400))
    (piece,) = traced.pieces
    assert p95_mm(traced, piece, seen, ring) < 0.05
    assert not {f.code for f in traced.findings} & {"edge-soft", "edge-unsure"}


@pytest.mark.parametrize("soft_mm", [0.05, 1.5])
def test_a_stain_is_left_out_and_told_and_a_small_piece_is_not(tmp_path, soft_mm):
    table = Table(56, 40, 10, seed=2)
    table.shade(placed(egg(9, 7), at_mm=(46, 30)), by_mm=(0, 0), soft_mm=soft_mm, depth=0.5)
    table.paint(placed(egg(30, 22), at_mm=(20, 18)), colour=KRAFT)
    traced = _told(table, tmp_path)
    notes = [f for f in traced.findings if f.code in ("spots-left-out", "shadow-left-out")]
    assert len(traced.pieces) == (1 if soft_mm > 1 else 2)
    assert len(notes) == (1 if soft_mm > 1 else 0)
    assert all(5 < note.measured < 20 and note.severity.value == "note" for note in notes)


@pytest.mark.parametrize("half_deg", [4.0, 7.0])
def test_a_tip_so_slender_that_a_small_copy_loses_it_keeps_its_point(tmp_path, half_deg):
    """A wedge 60 mm long and 300 dpi: its last millimetres are narrower than what is looked for in the small copy."""
    rise = 60 * np.tan(np.radians(half_deg))
    table = Table(110, 60, 12, seed=4)
    table.paint([[75, 30], [15, 30 + rise], [15, 30 - rise]], colour=GREY)
    traced = trace_picture(scanned(table, dpi=300).save(tmp_path / "a.png"), PictureSource(file="a.png"))
    (piece,) = traced.pieces
    assert piece.size_mm[0] == pytest.approx(60.0, abs=0.3)


def test_a_line_that_runs_up_to_a_piece_is_no_tip():
    field = np.zeros((120, 160), np.float32)
    field[20:100, 20:60] = 1.0
    reached = field > 0
    reached[:, :62] = True
    field[58:62, 60:110] = 1.0  # a line 4 px wide
    for k in range(40):  # a tip 8 px wide where it begins
        field[80 + k // 10 : 88 - k // 10, 60 + k] = 1.0
    tips = thin_tips(field, reached=reached, shrink=1.0, grain_mm=0.1)
    assert tips[84, 62:98].all()
    assert not tips[50:70].any()
    assert not thin_tips(field, reached=reached, shrink=1.0, grain_mm=0.5).any()  # 20 mm of it
    # of a small copy that keeps nothing narrower than 15 px
    assert thin_tips(field, reached=reached, shrink=3.0, grain_mm=0.5)[84, 62:98].all()


@pytest.mark.parametrize("blot", [False, True])
def test_a_sharp_tip_is_traced_and_one_under_a_blot_is_told(tmp_path, blot):
    half = np.radians(12.0)
    table = Table(60, 34, 12, seed=4)
    table.paint([[52, 17], [8, 17 + 44 * np.tan(half)], [8, 17 - 44 * np.tan(half)]], colour=KRAFT)
    if blot:
        table.paint(placed(egg(0.9, 0.7), at_mm=(49.5, 17)), colour=(235, 235, 230))
    traced = trace_picture(
        scanned(table, dpi=150).save(tmp_path / "a.png"), PictureSource(file="a.png", dpi=150)
    )
    (piece,) = traced.pieces
    told = [f for f in traced.findings if f.code == "tip-unclear"]
    assert len(told) == (1 if blot else 0)
    assert all(0.4 < f.measured < 2.0 and f.severity.value == "warn" for f in told)
    if not blot:
        assert piece.size_mm[0] == pytest.approx(44.0, abs=0.2)  # geometry; a level line is 0.9 mm short


def test_of_many_faint_pieces_the_faintest_is_told_in_full():
    def faint(number: int, levels: float) -> TracedPiece:
        told = doubt("edge-faint", f"by {levels} levels", "other paper", measured=levels, limit=30.0)
        return TracedPiece(number=number, ring_mm=np.eye(3, 2), ring_px=np.eye(3, 2), findings=(told,))

    pieces = [faint(k, levels) for k, levels in enumerate([20.0, 12.0, 25.0, 28.0], start=1)]
    assert [
        str(f) for f in told_once(((p, p.findings) for p in pieces), where="a.png", named=pieces_named)
    ] == [
        "a.png: piece 2: by 12.0 levels; other paper",
        "a.png: pieces 1, 3, 4: like piece 2, to a lesser degree; other paper",
    ]


@pytest.mark.parametrize("pick", [None, 1])
def test_a_piece_cut_off_beside_a_whole_one_is_told(tmp_path, pick):
    """It was left out in silence."""
    table = Table(80, 60, 6, seed=4)
    for x in (30, 80):
        table.paint(placed(egg(30, 24), at_mm=(x, 30)), colour=KRAFT)
    scanned(table, dpi=120).save(tmp_path / "a.png")
    traced = trace_picture(tmp_path / "a.png", PictureSource(file="a.png", dpi=120, pick=pick))
    told = [finding for finding in traced.findings if finding.code == "piece-left-out"]
    assert len(traced.pieces) == 1
    assert len(told) == (pick is None)
    assert all("right edge cuts it off" in finding.message for finding in told)


def _pale_card(*, dark):
    """A rule and a pale card on a scanner's lid, and a dark piece if asked for; the card."""
    table = Table(120, 100, 10, (243, 243, 241), seed=4)
    rule_on(table, at_mm=(8, 24), length_mm=100, depth_mm=16)
    card = placed(egg(44, 32), at_mm=(86, 62), turn_deg=30)
    table.paint(card, colour=(228, 226, 222))
    if dark:
        table.paint(placed(egg(36, 26), at_mm=(30, 62)), colour=KRAFT)
    return scanned(table, dpi=150), card


def test_a_pale_card_beside_a_dark_piece_is_told(tmp_path):
    seen, card = _pale_card(dark=True)
    traced = trace_picture(seen.save(tmp_path / "a.png"), PictureSource(file="a.png"))
    assert len(traced.pieces) == 1
    (told,) = (finding for finding in traced.form_findings if finding.code == "piece-left-out")
    assert told.measured == pytest.approx(np.ptp(card, axis=0).max(), abs=1.5)
    at = np.array(re.findall(r"\((\d+), (\d+)\) px", told.message)[0], dtype=float)
    assert at == pytest.approx(seen.px_from_mm([(86, 62)])[0], abs=60)


@pytest.mark.first_daily
@pytest.mark.parametrize("dark", [False, True])
def test_a_pale_card_is_traced_alone_and_where_a_point_picks_it(dark, tmp_path):
    seen, card = _pale_card(dark=dark)
    point = {"point_px": tuple(seen.px_from_mm([(86, 62)])[0].tolist())} if dark else {}
    traced = trace_picture(seen.save(tmp_path / "a.png"), PictureSource(file="a.png", **point))
    (piece,) = traced.pieces
    assert p95_mm(traced, piece, seen, card) < 0.15
    assert "piece-hollow" not in {finding.code for finding in traced.form_findings}


@pytest.mark.first_daily
@pytest.mark.parametrize("beside_mm", [1.4, 8.0])
def test_on_the_capture_sheet_a_shadow_over_its_marks_is_no_piece_and_one_beside_them_is_whole(
    tmp_path, beside_mm
):
    design = SHEETS["A4"]
    low = middle_mm(design)[:2]
    table = Table(*design.page_mm, 5, WHITE, 3)
    sheet_on(table, design, at_mm=(0.0, 0.0))
    arm = box(120, 200, 230, 240)
    table.shade(placed(arm, at_mm=(0, 0), turn_deg=12), by_mm=(0, 0), soft_mm=0.6, depth=0.45)
    piece = box(0, 0, 40, 24) + np.array(low) + beside_mm
    table.paint(piece, colour=KRAFT)
    scanned(table, dpi=120).save(tmp_path / "a.png")
    traced = trace_picture(tmp_path / "a.png", PictureSource(file="a.png"))
    (found,) = traced.pieces
    assert found.size_mm == pytest.approx((40.0, 24.0), abs=0.3)
    assert "piece-cut-off" not in {f.code for f in traced.findings}


def test_a_capture_sheet_seen_in_part_contradicts_a_wrong_resolution(tmp_path):
    design = SHEETS["A4"]
    table = Table(*design.page_mm, 5, WHITE, 3)
    sheet_on(table, design, at_mm=(0.0, 0.0))
    table.paint(box(0, 0, 40, 24) + np.array(middle_mm(design)[:2]) + 8.0, colour=KRAFT)
    whole = scanned(table, dpi=120).image
    high, wide = whole.shape[:2]
    tagged = (150, 150)  # of a copy that was made larger
    Image.fromarray(whole[high // 3 :, : 2 * wide // 3]).save(tmp_path / "a.png", dpi=tagged)
    traced = trace_picture(tmp_path / "a.png", PictureSource(file="a.png"))
    (found,) = traced.pieces
    assert found.size_mm == pytest.approx((40.0, 24.0), abs=0.3)
    (told,) = [f for f in traced.findings if f.code == "scales-disagree"]
    assert "25.0" in told.message
