"""Of oblong things the one of a card's form is taken for the card; what is like one only is told, or left to be traced."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from painted import KRAFT, Table, box, photographed, scanned
from picture_scene import rounded_rectangle
from things_painted import card_on, egg, placed, rule_on

from cradle.calibration.scale import ScaleKind
from cradle.capture.tracing import trace_picture
from cradle.cards.card import LONG_MM, RADIUS_MM, SHORT_MM
from cradle.errors import CaptureError
from cradle.pictures.image import read_picture
from cradle.project.picture import PictureSource
from cradle.scale.scale_search import find_scales

# LONG_MM, SHORT_MM, RADIUS_MM: ISO/IEC 7810 ID-1
PLATE_MM = (66.0, 42.24, 4.0)
"""Long, short and corner radius of a piece 1.5625 times as long as wide; a card as long would have corners of 2.45."""
PLATE_MM2 = PLATE_MM[0] * PLATE_MM[1] - (4 - np.pi) * PLATE_MM[2] ** 2
SOURCE = PictureSource(file="a.png")


def _table(*plates, card=False):
    """A table with plates above one another, each long, short, corner radius in mm, and a card below them."""
    table = Table(160, 210, 8, (150, 150, 152), 3)
    if card:
        card_on(table, at_mm=(36, 20), turn_deg=4.0)
    for k, plate in enumerate(plates):
        ring = placed(rounded_rectangle(*plate), at_mm=(40, 145 - 65 * k), turn_deg=6.0)
        table.paint(ring, colour=(40, 52, 40))
    return table


def _card_like(long_mm, *, corner=1.0):
    """A plate of a card's form whose corners are so many times as round."""
    part = long_mm / LONG_MM
    return (long_mm, SHORT_MM * part, RADIUS_MM * part * corner)


def _codes(found):
    return {f.code for f in found.findings}


@pytest.mark.first_daily
@pytest.mark.parametrize(("tilt_deg", "azimuth_deg"), [(4.0, 270.0), (18.0, 40.0)])
def test_the_card_is_taken_and_not_a_plate_of_nearly_its_proportions(tmp_path, tilt_deg, azimuth_deg):
    seen = photographed(_table(PLATE_MM, card=True), tilt_deg=tilt_deg, azimuth_deg=azimuth_deg)
    traced = trace_picture(seen.save(tmp_path / "a.png"), SOURCE)
    (piece,) = traced.pieces
    assert shapely.polygons(piece.ring_mm).area == pytest.approx(PLATE_MM2, rel=0.012)
    assert not {code for code in _codes(traced) if code in ("card-unlike", "card-two-alike")}


def test_a_plate_beside_a_resolution_tag_is_a_piece(tmp_path):
    path = scanned(_table(PLATE_MM), dpi=150).save(tmp_path / "a.png")
    traced = trace_picture(path, SOURCE)
    assert traced.scales.used.kind is ScaleKind.TAG
    (piece,) = traced.pieces
    assert shapely.polygons(piece.ring_mm).area == pytest.approx(PLATE_MM2, rel=0.005)


@pytest.mark.first_daily
@pytest.mark.parametrize("long_mm", [66.0, 74.0])
def test_what_is_no_card_by_a_ruler_is_a_piece(tmp_path, long_mm):
    table = _table(_card_like(long_mm))
    rule_on(table, at_mm=(12, 14), length_mm=110, depth_mm=16)
    traced = trace_picture(scanned(table, dpi=150, tag=False).save(tmp_path / "a.png"), SOURCE)
    (piece,) = traced.pieces
    length = shapely.minimum_rotated_rectangle(shapely.polygons(piece.ring_mm)).length
    assert length == pytest.approx(2 * long_mm * (1 + SHORT_MM / LONG_MM), abs=0.6)
    (told,) = [f for f in traced.findings if f.code == "scales-disagree"]
    assert "if what looks like a card is none" in told.advice


def test_a_card_alone_is_no_piece(tmp_path):
    path = scanned(_table(_card_like(66.0)), dpi=150, tag=False).save(tmp_path / "a.png")
    with pytest.raises(CaptureError, match="bank card's form was taken for one"):
        trace_picture(path, SOURCE)


@pytest.mark.first_daily
@pytest.mark.parametrize("tag", [False, True])
def test_where_nothing_else_tells_the_scale_it_is_said_what_was_taken_for_a_card(tmp_path, tag):
    table = _table(_card_like(LONG_MM))
    table.paint(placed(egg(44, 32), at_mm=(70, 35)), colour=KRAFT)
    traced = trace_picture(scanned(table, dpi=150, tag=tag).save(tmp_path / "a.png"), SOURCE)
    assert traced.scales.used.kind is ScaleKind.BANK_CARD
    told = [f for f in traced.findings if f.code == "scale-from-card"]
    assert len(told) == (0 if tag else 1)
    x, y = traced.scales.used.region_px.mean(axis=0)
    assert all(f"near x {x:.0f}, y {y:.0f} px" in f.message for f in told)
    assert all("if that is something else" in f.advice for f in told)


@pytest.mark.first_daily
@pytest.mark.parametrize("tilt_deg", [0.0, 15.0])
def test_a_plate_alone_tells_no_scale(tmp_path, tilt_deg):
    path = photographed(_table(PLATE_MM), tilt_deg=tilt_deg).save(tmp_path / "a.png")
    with pytest.raises(CaptureError, match="does not have a card's corners"):
        find_scales(read_picture(path, where="a.png"), SOURCE)


@pytest.mark.first_daily
@pytest.mark.parametrize("corner", [0.75, 1.25])
@pytest.mark.parametrize("dpi", [None, 150.0])
def test_what_is_nearly_of_a_cards_form_is_told_and_gives_no_sure_scale(tmp_path, dpi, corner):
    table = _table(_card_like(66.0, corner=corner))
    table.paint(placed(egg(44, 32), at_mm=(70, 60)), colour=KRAFT)
    path = scanned(table, dpi=dpi or 150.0, tag=dpi is not None).save(tmp_path / "a.png")
    traced = trace_picture(path, SOURCE)
    (told,) = [f for f in traced.findings if f.code == "card-unlike"]
    assert told.severity.value == "warn"
    assert told.measured == pytest.approx(corner * RADIUS_MM, abs=0.2)
    assert ("scales-disagree" in _codes(traced)) == (dpi is not None)
    (piece,) = traced.pieces
    assert max(piece.scale_share) > 0.09


@pytest.mark.first_daily
@pytest.mark.parametrize(("long_mm", "told"), [(62.0, True), (LONG_MM, False)])
def test_of_two_of_a_cards_form_it_is_told_unless_both_are_cards(tmp_path, long_mm, told):
    table = _table(_card_like(long_mm), _card_like(LONG_MM))
    table.paint(placed(egg(44, 32), at_mm=(70, 35)), colour=KRAFT)
    scales, _ = find_scales(
        read_picture(scanned(table, dpi=150, tag=False).save(tmp_path / "a.png"), where="a.png"), SOURCE
    )
    assert ("card-two-alike" in _codes(scales)) == told
    assert (scales.used.calibration.uncertainty_scale > 0.09) == told


@pytest.mark.first_daily
@pytest.mark.parametrize(
    "field",
    [(0.8, 0.8, 84.8, 53.2), (0.8, 0.8, 84.8, 26.0), (40.0, 0.8, 80.0, 30.0)],
    ids=["all", "half", "part"],
)
def test_a_frame_darker_than_what_it_frames_is_not_taken_for_a_shadow(tmp_path, field):
    """It was, and no scale was found, whether it runs all round the card or beside part of a side."""
    dpi = 300
    table = Table(150, 80, 12, (204, 204, 200), 3)
    ring = placed(rounded_rectangle(LONG_MM, SHORT_MM, RADIUS_MM), at_mm=(10.0, 12.0))
    table.paint(ring, colour=(120, 120, 119))
    table.paint(np.array(box(*field)) + (10.0, 12.0), colour=(160, 160, 158))
    table.paint(egg(32, 24) + (122, 40), colour=(60, 60, 62))
    scales, _ = find_scales(read_picture(scanned(table, dpi=dpi, tag=False).save(tmp_path / "a.png")), SOURCE)
    assert scales.used.kind is ScaleKind.BANK_CARD
    assert scales.used.px_per_mm * 25.4 == pytest.approx(dpi, rel=0.003)
