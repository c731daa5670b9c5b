"""A card as OpenCV's camera sees it gives the scale, whatever its lean; one of another form gives none."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from opencv_views import SQUARE, opencv_px, picture

from cradle.calibration.calibration import to_mm
from cradle.cards.card import _raised_note, card_scale
from cradle.cards.faint_card import doubted_as_faint
from cradle.errors import CaptureError
from cradle.geometry.ring import resample


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
