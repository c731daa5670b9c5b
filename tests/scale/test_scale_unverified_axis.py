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
from cradle.calibration.scale import FROM_TAG, Scale, ScaleKind
from cradle.capture.outline_reader import read_outline
from cradle.capture.tracing import trace_outline, trace_picture
from cradle.capture_sheet.sheet import SHEETS
from cradle.finding import Finding, Severity
from cradle.geometry.arrays import frozen
from cradle.project.picture import PictureSource, Traced
from cradle.project.section import SectionSpec
from cradle.scale.unverified_axis import judged_by_calipers, one_way_note

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
def test_calipers_both_ways_settle_it_and_none_or_one_are_told(tmp_path):
    told(tmp_path / "a.png", (*PIECE, *lying(0.0)))
    spec = PictureSource(file="a.png")

    def said(**readings):
        section = SectionSpec(name="a", height_mm=1.0, source=spec, **readings)
        findings = read_outline(section, folder=tmp_path).findings
        assert any(f.code == "picture-scale" for f in findings)
        return [f for f in findings if f.code == "scale-one-way"]

    assert said(width_mm=60.0, depth_mm=40.0) == []
    (none,), (one,) = said(), said(depth_mm=40.0)
    assert none.severity is one.severity is Severity.NOTE
    assert "no caliper reading corrects it" in none.message
    assert "the depth alone does not check it" in one.message


@pytest.mark.parametrize("off_mm", [0.2, 0.7, 2.0])
@pytest.mark.parametrize("readings", [(None, None), (50.0, None), (None, 30.0), (50.0, 30.0)])
def test_what_calipers_leave_open_is_a_warning_where_a_fit_would_feel_it(off_mm, readings):
    """Half a percent of a piece of 40 mm is less than any clearance; of one of 200 mm it is not."""
    note = Finding(
        code="scale-one-way", severity=Severity.NOTE, message="one way", measured=off_mm, limit=0.7
    )
    told = judged_by_calipers([note], width_mm=readings[0], depth_mm=readings[1])
    expected = [] if None not in readings else [Severity.WARN if off_mm >= 0.7 else Severity.NOTE]
    assert [f.severity for f in told] == expected


@pytest.mark.slow
def test_a_second_picture_of_the_back_tells_its_own_doubts(tmp_path):
    spec = PictureSource(file="belly-front.jpg", shape=Traced.CUT_OUT, back_file="belly-back.jpg")
    places = {f.where for f in trace_outline(PICTURES, spec, depth_mm=33.25).findings}
    assert {"belly-front.jpg", "belly-back.jpg"} <= places


@pytest.mark.parametrize(
    ("width", "depth", "left"),
    [
        (None, None, (Severity.WARN, "confirms it")),
        (50.0, None, (Severity.NOTE, "the width corrects it, but for the other direction")),
        (None, 30.0, (Severity.NOTE, "the depth corrects it, but for the other direction")),
        (50.0, 30.0, None),
    ],
)
def test_a_tag_that_calipers_correct_is_no_longer_doubted(width, depth, left):
    """Sections are scaled to their readings: it was told all the same that nothing confirms the tag."""
    alone = Finding(code=FROM_TAG, severity=Severity.WARN, message="nothing in the picture confirms it")
    judged = judged_by_calipers([alone], width_mm=width, depth_mm=depth)
    assert [(f.severity, left is not None and left[1] in f.message) for f in judged] == (
        [(left[0], True)] if left else []
    )
