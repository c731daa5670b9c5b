"""A piece narrower than the small copy keeps is found where it is long and stands out; grain and lines of the ground are not."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from painted import OAK, Table, photographed
from things_painted import box, placed, rule_on

from cradle.capture.tracing import trace_picture
from cradle.pictures.masks import without_grain
from cradle.project.picture import PictureSource


@pytest.mark.slow
def test_a_slender_piece_before_a_camera_is_traced(tmp_path):
    """A bar of 70 x 3 mm, four pixels wide where the whole picture is 900 px long."""
    table = Table(240, 220, 8, OAK, 2)
    bar = placed(box(-35, -1.5, 35, 1.5), at_mm=(120, 150), turn_deg=25)
    table.paint(bar, colour=(232, 232, 228))
    rule_on(table, at_mm=(60, 60), length_mm=130)
    seen = photographed(table, size_px=(2600, 2600), distance_mm=560, tilt_deg=0.0)
    (piece,) = trace_picture(seen.save(tmp_path / "a.png"), PictureSource(file="a.png")).pieces
    long, _ = (np.ptp(piece.ring_mm @ way) for way in _along(25))
    assert long == pytest.approx(70.0, abs=0.7)


def _along(turn_deg):
    turn = np.radians(turn_deg)
    return np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])


@pytest.mark.parametrize(
    ("ends", "wide", "part", "kept"),
    [
        ((60, 150), 3, 1.0, True),
        ((60, 150), 3, 0.4, False),  # hardly differs
        ((60, 90), 3, 1.0, False),  # short
        ((60, 150), 2, 1.0, False),  # a hair
        ((0, 150), 3, 1.0, False),  # runs out of the picture: a mat's line
        ((60, 90), 5, 0.0, True),  # wide enough, whatever it differs by
    ],
)
def test_of_what_is_narrow_the_long_and_clear_is_kept(ends, wide, part, kept):
    differs = np.zeros((120, 200), np.uint8)
    differs[50 : 50 + wide, ends[0] : ends[1]] = 1
    clear = differs > 0
    clear[:, ends[0] + round(part * (ends[1] - ends[0])) :] = False
    found = without_grain(differs, clear=clear)
    assert bool(found.any()) is kept
    assert not kept or cv2.countNonZero(found) == cv2.countNonZero(differs)


def test_what_is_wide_at_one_place_is_kept_as_far_as_it_is_narrow_and_a_line_beside_a_broad_thing_is_not():
    differs = np.zeros((120, 200), np.uint8)
    differs[50:53, 60:150] = 1
    differs[49:54, 100:106] = 1
    assert cv2.countNonZero(without_grain(differs, clear=differs > 0)) == cv2.countNonZero(differs)
    differs[40:70, 120:150] = 1
    assert not without_grain(differs, clear=differs > 0)[51, 65]
