"""Sections of which one side alone is seen in a picture."""

import numpy as np
import pytest
from picture_scene import Shape, notch_ring, sheet_of_colour
from render_pictures import render_scan, save
from traced_grid import BLUE, DARK

from cradle.capture.tracing import trace_outline, trace_picture
from cradle.errors import CaptureError
from cradle.project.picture import PictureSource, Traced

PAGE = (112.0, 112.0)
RIGHT_HALF = np.linspace(-np.pi / 2, np.pi / 2, 80)


@pytest.mark.slow
@pytest.mark.parametrize("turn_deg", [93, -88])
def test_half_a_hollow_is_mirrored_on_the_side_where_it_was_laid(tmp_path, turn_deg):
    t = np.linspace(np.pi, 2 * np.pi, 120)
    cut = np.column_stack([56 + 24 * np.cos(t), 60 + 15 * np.sin(t)])
    scene = sheet_of_colour(notch_ring(cut, side_mm=10), colour=BLUE)
    save(render_scan(scene, dpi=200, turn_deg=turn_deg, page_mm=PAGE), tmp_path / "a.png")
    source = PictureSource(file="a.png", shape=Traced.CUT_OUT)
    (piece,) = trace_picture(tmp_path / "a.png", source).pieces
    half = trace_outline(tmp_path, source, half=True)
    assert np.ptp(half.points_mm, axis=0) == pytest.approx((15, 48), abs=0.1)  # its mouth upright, as it lay
    to_the_right = piece.cut_px[:, 0].mean() > piece.chord_px[:, 0].mean()
    assert (half.points_mm[:, 0].mean() > half.points_mm[[0, -1], 0].mean()) == to_the_right


def test_half_a_drawn_line_is_asked_to_be_closed(tmp_path):
    outer, inner = (
        [50, 60] + r * np.column_stack([np.cos(RIGHT_HALF), np.sin(RIGHT_HALF)]) for r in (30.25, 29.75)
    )
    drawn = (Shape(rings_mm=(np.concatenate([outer, inner[::-1]]),), colour=DARK),)
    save(render_scan(drawn, dpi=100, page_mm=PAGE), tmp_path / "a.png", grey="L")
    with pytest.raises(CaptureError, match="no closed line") as told:
        trace_outline(tmp_path, PictureSource(file="a.png", shape=Traced.LINE), half=True)
    assert "the straight line between its ends too" in told.value.hint
