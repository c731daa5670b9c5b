"""Where a picture tells its scale: rules too far away for a copy of half the size, and what a rule says is no card."""

from __future__ import annotations

import numpy as np
import pytest
from painted import GREY, KRAFT, Table, box, photographed
from things_painted import egg, placed, rule_on

from cradle.calibration.scale import ScaleKind
from cradle.capture.tracing import trace_picture
from cradle.geometry.planar import offset, outer_rings, region
from cradle.pictures.image import read_picture
from cradle.pictures.regions import find_things
from cradle.project.picture import PictureSource
from cradle.rulers.marked_picture import MarkedPicture
from cradle.rulers.ruler import find_rulers
from cradle.scale import scale_search
from cradle.scale.scale_search import find_scales
from cradle.units import MM_PER_INCH

TURN = np.radians(20.0)
ALONG = np.array([np.cos(TURN), np.sin(TURN)])
HALVED_PX = 800
"""The picture is 1500 px long: looked at in a copy of half the size, where a mm covers 2.2 px."""


def crossed(path, *, under_mm):
    """A piece within two rules that lie across one another, 4.4 px to the mm."""
    table = Table(230, 180, 10, (28, 28, 30), 3)
    table.paint(placed(egg(50, 36), at_mm=(130, 105), turn_deg=20.0), colour=GREY)
    rule_on(table, at_mm=(35, 60), length_mm=160, unit_mm=under_mm)
    rule_on(table, at_mm=(62, 165), turn_deg=-90, length_mm=125)
    photographed(table, size_px=(1500, 1200), distance_mm=262, tilt_deg=3.0).save(path)
    return read_picture(path)


@pytest.mark.slow
@pytest.mark.parametrize(("under_mm", "seen_halved"), [(1.0, 0), (MM_PER_INCH / 16, 1)])
def test_rules_far_away_are_read_in_the_picture_itself(tmp_path, monkeypatch, under_mm, seen_halved):
    monkeypatch.setattr(scale_search, "LARGEST_PX", HALVED_PX)
    picture = crossed(tmp_path / "p.png", under_mm=under_mm)
    halved = find_rulers(MarkedPicture(picture), find_things(picture), largest_px=HALVED_PX)
    assert len(halved.scales) == seen_halved
    scales, _ = find_scales(picture, PictureSource(file="p.png"))
    assert [s.kind for s in scales.found] == [ScaleKind.RULER] * 2
    (piece,) = trace_picture(tmp_path / "p.png", PictureSource(file="p.png")).pieces
    assert np.ptp(piece.ring_mm @ ALONG) == pytest.approx(50.0, abs=0.3)


@pytest.mark.slow
def test_a_piece_of_a_cards_form_that_a_ruler_says_is_none_is_traced(tmp_path):
    """It was kept out as a card is, though by the ruler it is 6 % too small for one."""
    table = Table(190, 140, 8, (236, 236, 232), 3)
    rule_on(table, at_mm=(20, 134), length_mm=150, depth_mm=20)
    (rounded,) = outer_rings(offset(region(box(3, 3, 77.4, 47.7)), 3.0))
    table.paint(placed(rounded, at_mm=(60, 30)), colour=KRAFT)
    seen = photographed(table, size_px=(2000, 1474), distance_mm=200)
    traced = trace_picture(seen.save(tmp_path / "a.jpg"), PictureSource(file="a.jpg"))
    (piece,) = traced.pieces
    assert sorted(piece.size_mm) == pytest.approx([50.7, 80.4], rel=0.02)
    assert "scales-disagree" in {f.code for f in traced.findings if f.severity == "warn"}
