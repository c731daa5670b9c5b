"""A picture whose file tells nothing is taken for a scan where its light is even and its card level, and only there."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from painted import KRAFT, Table, photographed, scanned
from things_painted import card_on, egg, placed, rule_on
from traced_grid import picture_of

from cradle.calibration.on_glass import ruled_on_glass
from cradle.capture.tracing import trace_picture
from cradle.geometry.arrays import frozen
from cradle.pictures.image import read_picture
from cradle.pictures.regions import find_things
from cradle.project.picture import PictureSource
from cradle.rulers.marked_picture import MarkedPicture
from cradle.rulers.ruler import find_rulers
from cradle.scale.scale_search import find_scales


def _table(*, width_mm=130):
    table = Table(width_mm, 118, 8, (238, 238, 237), 3)
    card_on(table, at_mm=(16, 12), turn_deg=2.0)
    table.paint(placed(egg(44, 32), at_mm=(60, 92)), colour=KRAFT)
    return table


def _told(scales):
    return scales.camera, {f.code for f in scales.findings}


def _seen(path):
    scales, _ = find_scales(read_picture(path, where="a.png"), PictureSource(file="a.png"))
    return _told(scales)


def test_a_scan_without_a_tag_is_known_by_its_light_and_its_card(tmp_path):
    path = scanned(_table(), dpi=150, tag=False).save(tmp_path / "a.png")
    traced = trace_picture(path, PictureSource(file="a.png"))
    camera, codes = _told(traced.scales)
    assert not camera
    assert "taken-for-scan" in codes
    assert "card-raised" not in codes
    assert not [f for f in traced.findings if f.severity.value == "warn"]
    (piece,) = traced.pieces
    # as painted; the card's own length, 85.60 by ISO/IEC 7810 ID-1, give or take its edges
    assert piece.size_mm[0] == pytest.approx(44.0, abs=0.15)


@pytest.mark.first_daily
@pytest.mark.parametrize(("tilt_deg", "fall"), [(3.0, 0.0), (0.0, 0.25)])
def test_a_photograph_that_leans_or_is_unevenly_lit_is_none(tmp_path, tilt_deg, fall):
    table = _table(width_mm=150)
    table.light(fall)
    seen = photographed(table, size_px=(1150, 900), distance_mm=220, tilt_deg=tilt_deg)
    camera, codes = _seen(seen.save(tmp_path / "a.png"))
    assert camera
    assert "taken-for-scan" not in codes


@pytest.mark.first_daily
@pytest.mark.parametrize("ground", [(90, 92, 95), (38, 38, 40)])
@pytest.mark.parametrize(("dpi", "fall", "camera"), [(150, 0.0, False), (163, 0.0, True), (150, 0.25, True)])
def test_a_level_card_on_a_dark_ground_tells_a_scan_of_a_round_resolution_only(
    tmp_path, ground, dpi, fall, camera
):
    table = Table(210, 160, 8, ground, 3)
    table.levels[:, : table.levels.shape[1] // 2] += 1.7  # as a lid's own colour varies
    card_on(table, at_mm=(16, 12), colour=(200, 205, 215))
    table.light(fall)
    found, codes = _seen(scanned(table, dpi=dpi, tag=False).save(tmp_path / "a.png"))
    assert found == camera
    assert ("taken-for-scan" in codes) == (not camera)


def test_a_file_that_tells_is_believed(tmp_path):
    assert _seen(scanned(_table(), dpi=150).save(tmp_path / "a.png")) == (False, set())


def _ruled(*, fall=0.0):
    table = Table(150, 118, 8, (238, 238, 237), 3)
    rule_on(table, at_mm=(12, 14), length_mm=110, depth_mm=16)
    table.paint(placed(egg(44, 32), at_mm=(70, 82)), colour=KRAFT)
    table.light(fall)
    return table


@pytest.mark.first_daily
@pytest.mark.parametrize(("dpi", "fall", "camera"), [(150, 0.0, False), (173, 0.0, True), (150, 0.25, False)])
def test_a_scan_beside_one_rule_is_known_by_its_light_or_even_marks_and_its_round_resolution(
    tmp_path, dpi, fall, camera
):
    path = scanned(_ruled(fall=fall), dpi=dpi, tag=False).save(tmp_path / "a.png")
    traced = trace_picture(path, PictureSource(file="a.png"))
    found, codes = _told(traced.scales)
    assert found == camera
    assert ("taken-for-scan" in codes) == (not camera)
    # a camera may lean, so that lengths are less sure
    assert (max(traced.pieces[0].scale_share) > 0.004) == camera
    assert traced.pieces[0].size_mm[0] == pytest.approx(44.0, abs=0.15)


def test_of_a_picture_by_a_lens_so_far_away_a_rule_tells_no_scan(tmp_path):
    path = scanned(_ruled(), dpi=150, tag=False).save(tmp_path / "a.png")
    scales, _ = find_scales(read_picture(path, where="a.png"), PictureSource(file="a.png", distance_mm=400.0))
    assert scales.camera


@cache
def _rule_seen(*, fall=0.0):
    """A scan of a rule, what is read of it, and the ground it lies on."""
    picture = picture_of(scanned(_ruled(fall=fall), dpi=150, tag=False))
    things = find_things(picture)
    (rule,) = find_rulers(MarkedPicture(picture), things).scales
    assert rule.known is not None
    return picture, rule, things.ground


@pytest.mark.parametrize(("change", "scan"), [(0.0, True), (0.005, False)])
def test_marks_that_grow_nearer_to_each_other_are_seen_by_a_lens(change, scan):
    """A camera half a degree off vertical brings the far ones nearer by so much; its picture's light falls off, as here."""
    picture, rule, ground = _rule_seen(fall=0.25)
    (row, *_) = rule.known.rows
    part = (row.at_px[:, :1] - row.at_px[0, 0]) / np.ptp(row.at_px[:, 0])
    seen = replace(row, at_px=frozen(row.at_px - change / 2 * part**2 * (row.at_px[-1] - row.at_px[0])))
    rule = replace(rule, known=replace(rule.known, rows=(seen,)))
    assert ruled_on_glass(picture, [rule], ground) == scan


@pytest.mark.parametrize(("slope", "scan"), [(0.0, True), (0.1, False), (-0.1, False)])
def test_marks_that_lean_either_way_are_seen_by_a_lens(slope, scan):
    picture, rule, ground = _rule_seen()
    leaning = replace(rule, known=replace(rule.known, slope=slope))
    assert ruled_on_glass(picture, [leaning], ground) == scan


@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("carries", "width_mm", "dpi", "camera"),
    [
        *(
            (carries, *case)
            for carries in (rule_on, card_on)
            for case in ((210, 150, False), (210, 157, True))
        ),
        (card_on, 200, 150, True),
    ],
)
def test_a_scan_of_a_whole_sheet_is_known_whatever_its_light(tmp_path, carries, width_mm, dpi, camera):
    table = Table(width_mm, 297, 8, (150, 118, 80), 12)  # A4 is 210 x 297 mm by ISO 216
    carries(table, at_mm=(16, 14))
    table.light(0.1)
    found, codes = _seen(scanned(table, dpi=dpi, tag=False).save(tmp_path / "a.png"))
    assert found == camera
    assert ("taken-for-scan" in codes) == (not camera)
