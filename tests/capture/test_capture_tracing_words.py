"""What is told of an outline that was traced and is none."""

import numpy as np
import pytest
from picture_scene import capture_sheet, ellipse, moved, pencil_line, ruler_mm, sheet_of_colour
from render_pictures import render_photo, render_scan, save
from traced_grid import BLUE

from cradle.capture.traced_picture import TracedPicture, TracedPiece
from cradle.capture.tracing import trace_outline, trace_picture
from cradle.capture_sheet.sheet import SHEETS
from cradle.errors import CaptureError, OutlineError
from cradle.geometry.arrays import frozen
from cradle.pictures.grain import Grain
from cradle.project.picture import PictureSource, Traced


def test_a_traced_edge_that_crosses_itself_asks_for_another_picture(tmp_path):
    """Not for another drawing."""
    bow_tie = frozen(np.array([[0.0, 0.0], [50.0, 40.0], [50.0, 0.0], [0.0, 40.0]]))
    piece = TracedPiece(number=1, ring_mm=bow_tie, ring_px=bow_tie)
    traced = TracedPicture(
        picture=None, scales=None, pieces=(piece,), grain=Grain(mm=0.1), size_findings=(), form_findings=()
    )
    with pytest.raises(OutlineError, match="as traced, the outline crosses") as refused:
        trace_outline(tmp_path, PictureSource(file="a.png"), trace=lambda path, spec: traced)
    assert "take the picture again" in refused.value.hint


@pytest.mark.first_daily
@pytest.mark.parametrize(("rows", "told"), [(6, True), (3, False)])
def test_a_pattern_that_looks_like_pieces_is_named_and_the_piece_that_is_picked_is_not_doubted(
    tmp_path, rows, told
):
    spots = [
        part
        for row in range(rows)
        for column in range(6)
        for part in sheet_of_colour(
            ellipse(12.0, 6.0, centre=(21.0 + 20 * column, 11.0 + 10 * row), count=90), colour=BLUE
        )
    ]
    scene = (*spots, *moved(ruler_mm(length_mm=110), by_mm=(15, 105)))
    save(render_scan(scene, page_mm=(140, 140), dpi=110), tmp_path / "a.png", grey="RGB")

    def many(**spec):
        found = trace_picture(tmp_path / "a.png", PictureSource(file="a.png", **spec)).findings
        return [f for f in found if f.code == "pieces-many"]

    assert [f.measured for f in many()] == [36.0] * told
    assert not many(pick=2)


@pytest.mark.slow
def test_of_a_line_over_the_sheets_marks_it_is_said_to_keep_clear_of_them(tmp_path):
    scene = (*capture_sheet(SHEETS["A4"]), *pencil_line(ellipse(90, 90, centre=(105, 60))))
    save(render_photo(scene, size_px=(1500, 2000), focal_px=1500.0), tmp_path / "p.jpg")
    with pytest.raises(CaptureError, match="no closed line") as told:
        trace_picture(tmp_path / "p.jpg", PictureSource(file="p.jpg", shape=Traced.LINE))
    assert "keep it clear of the capture sheet's marks" in told.value.hint


@pytest.mark.parametrize(("table", "told"), [(True, "such as a table"), (False, "lower edge")])
def test_a_table_traced_with_what_stands_on_it_is_named(tmp_path, table, told):
    from PIL import Image, ImageDraw

    seen = Image.new("RGB", (500, 400), "white")
    paint = ImageDraw.Draw(seen)
    wood = (120, 84, 50)  # of another colour, the thing would be told from the table
    paint.rectangle((200, 100, 300, 400), fill=wood)
    if table:
        paint.rectangle((0, 300, 500, 400), fill=wood)
    seen.save(tmp_path / "front.png")
    source = PictureSource(file="front.png").of_any_size
    cut_off = {f.code: f for f in trace_picture(tmp_path / "front.png", source).findings}["piece-cut-off"]
    assert told in cut_off.message
    assert ("one plain colour" in cut_off.advice) == table
