"""One rule fixes the scale along itself; the user is told which way nothing checks it, and what to do."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from picture_scene import capture_sheet, ellipse, id_card, moved, ruler_mm, sheet_of_colour
from render_pictures import render_photo, render_scan, save
from traced_grid import BLUE

from cradle.calibration.calibration import from_scale
from cradle.calibration.picture_view import UNEVEN_PERCENT
from cradle.calibration.scale import Scale, ScaleKind
from cradle.capture.tracing import trace_outline, trace_picture
from cradle.capture_sheet.sheet import SHEETS
from cradle.finding import Severity
from cradle.geometry.arrays import frozen
from cradle.project.picture import PictureSource, Traced
from cradle.scale.unverified_axis import one_way_note

PICTURES = Path(__file__).parents[2] / "demo_data/ocarina/pictures"
PIECE = sheet_of_colour(ellipse(60, 40, centre=(70, 120)), colour=BLUE, shadow_mm=0)
PAGE = (180.0, 180.0)


def told(path, scene, *, spec=None, **how):
    save(render_scan(scene, page_mm=PAGE, dpi=100, **how), path, grey="RGB")
    found = trace_picture(path, spec or PictureSource(file=path.name))
    return found, [f for f in found.findings if f.code == "scale-one-way"]


def lying(turn_deg):
    return moved(moved(ruler_mm(length_mm=110), by_mm=(-55, 20)), by_mm=(90, 60), turn_deg=turn_deg)


@pytest.mark.parametrize(
    ("turn", "words"),
    [
        (2.0, "up and down the picture (y)"),
        pytest.param(-93.0, "from left to right (x)", marks=pytest.mark.further),
        pytest.param(35.0, "125° from the", marks=pytest.mark.further),
    ],
)
def test_the_direction_that_one_rule_leaves_open_is_named(tmp_path, turn, words):
    scene = (*moved(PIECE, by_mm=(60, 30) if abs(turn) > 20 else (0, 10)), *lying(turn))
    found, (note,) = told(tmp_path / "a.png", scene)
    assert found.scales.used.kind.value == "ruler"
    assert words in note.message
    assert note.severity is Severity.NOTE
    assert "second ruler" in note.advice


@pytest.mark.parametrize(
    ("turn", "words"), [(2.0, "up and down"), (-93.0, "from left to right"), (35.0, "125° from the")]
)
def test_the_direction_across_one_length_is_named(turn, words):
    ahead = np.array([np.cos(np.radians(turn)), -np.sin(np.radians(turn))])  # pixels count downwards
    scale = Scale(
        kind=ScaleKind.RULER,
        calibration=from_scale(0.1, 0.1, height_px=900, source="test"),
        told="rule",
        ends_px=frozen([[[400.0, 400.0], [400.0, 400.0] + 300 * ahead]]),
        known_mm=frozen([30.0]),
    )
    (note,) = one_way_note(scale, [scale], where="a.png")
    assert words in note.message


@pytest.mark.slow
def test_what_it_may_cost_is_what_a_stretched_scan_costs(tmp_path):
    """Along the rule all is true; across it the piece is wrong by the stretch, and the note says how much that may be."""
    even, _ = told(tmp_path / "a.png", (*PIECE, *lying(0.0)))
    found, (note,) = told(tmp_path / "a.png", (*PIECE, *lying(0.0)), stretch=(1.0, 1 + UNEVEN_PERCENT / 100))
    width, depth = np.subtract(found.pieces[0].size_mm, even.pieces[0].size_mm)
    assert width == pytest.approx(0, abs=0.03)
    assert depth == pytest.approx(note.measured, abs=0.06)
    assert "0.2 mm over 40 mm" in note.message


@pytest.mark.slow
def test_a_second_rule_across_checks_both_ways(tmp_path):
    across = moved(ruler_mm(length_mm=110), by_mm=(150, 40), turn_deg=90)
    found, notes = told(tmp_path / "two.png", (*PIECE, *lying(0.0), *across))
    assert found.scales.used.told.startswith("2 × ruler")
    assert notes == []


def test_a_card_checks_both_ways(tmp_path):
    card = moved(id_card(), by_mm=(75, 8))
    found, notes = told(
        tmp_path / "card.png", (*moved(PIECE, by_mm=(0, 25)), *moved(lying(0.0), by_mm=(0, 20)), *card)
    )
    assert {s.kind.value for s in found.scales.found} >= {"ruler", "bank card"}
    assert notes == []


@pytest.mark.slow
def test_the_sheet_checks_both_ways(tmp_path):
    sheet = (*capture_sheet(SHEETS["A4"]), *sheet_of_colour(ellipse(60, 40, centre=(105, 140)), colour=BLUE))
    save(render_photo(sheet, size_px=(1200, 1600), focal_px=1200), tmp_path / "s.jpg", grey="RGB")
    found = trace_picture(tmp_path / "s.jpg", PictureSource(file="s.jpg"))
    assert found.scales.used.kind.value == "sheet"
    assert not [f for f in found.findings if f.code == "scale-one-way"]


@pytest.mark.slow
def test_two_points_leave_the_other_direction_open_and_a_stated_scale_does_not(tmp_path):
    spec = PictureSource(file="a.png", from_px=(10.0, 20.0), to_px=(403.7008, 20.0), apart_mm=100.0)
    _, (note,) = told(tmp_path / "a.png", PIECE, spec=spec)
    assert "the two points give the scale in one direction only; up and down" in note.message
    found, notes = told(tmp_path / "a.png", PIECE, spec=PictureSource(file="a.png", dpi=100.0))
    assert found.scales.used.kind.value == "given"
    assert notes == []


@pytest.mark.slow
def test_a_second_picture_of_the_back_tells_its_own_doubts(tmp_path):
    spec = PictureSource(file="belly-front.jpg", shape=Traced.CUT_OUT, back_file="belly-back.jpg")
    places = {f.where for f in trace_outline(PICTURES, spec, depth_mm=33.25).findings}
    assert {"belly-front.jpg", "belly-back.jpg"} <= places
