from __future__ import annotations

from io import BytesIO

import numpy as np
import pypdf
import pytest

from cradle.capture_sheet.sheet import (
    CHECK_LENGTH_MM,
    SHEETS,
    black_shapes,
    check_line,
    chess_corners,
    design_named,
    marker_corners,
    middle_mm,
    sheet_pdf,
)
from cradle.errors import CaptureError

PT = 25.4 / 72
# ISO 216:2007 A4; ANSI/ASME Y14.1 size A is 8.5 × 11 in
PAGES = {"A4": (210.0, 297.0), "Letter": (8.5 * 25.4, 11 * 25.4)}


def _operations(data: bytes):
    page = pypdf.PdfReader(BytesIO(data)).pages[0]
    return page, page.get_contents().operations


@pytest.mark.parametrize("name", SHEETS)
def test_the_page_has_the_papers_size(name):
    page, _ = _operations(sheet_pdf(SHEETS[name]))
    size = [float(v) * PT for v in (page.mediabox.width, page.mediabox.height)]
    assert size == pytest.approx(PAGES[name], abs=1e-3)
    assert (
        pypdf.PdfReader(BytesIO(sheet_pdf(SHEETS[name]))).root_object["/ViewerPreferences"]["/PrintScaling"]
        == "/None"
    )


@pytest.mark.parametrize("name", SHEETS)
def test_the_same_sheet_gives_the_same_bytes_all_vectors(name):
    data = sheet_pdf(SHEETS[name])
    page, _ = _operations(data)
    assert data == sheet_pdf(SHEETS[name])
    assert "/XObject" not in page["/Resources"] or not page["/Resources"]["/XObject"]
    assert len(data) < 40_000


@pytest.mark.parametrize("name", SHEETS)
def test_the_file_draws_the_designs_black_squares_where_they_belong(name):
    design = SHEETS[name]
    _, operations = _operations(sheet_pdf(design))
    drawn = np.array([[float(v) * PT for v in args] for args, op in operations if op == b"re"])
    wanted = np.concatenate(black_shapes(design))
    assert len(drawn) == len(wanted) > 500
    assert drawn == pytest.approx(wanted, abs=1e-3)


@pytest.mark.parametrize("name", SHEETS)
def test_the_check_length_is_150_mm_in_the_file(name):
    design = SHEETS[name]
    page, operations = _operations(sheet_pdf(design))
    points = [[float(v) * PT for v in args] for args, op in operations if op in (b"m", b"l")]
    ends = check_line(design)
    for end in ends:
        assert min(np.hypot(*(np.array(p) - end)) for p in points) < 1e-3
    assert np.hypot(*(ends[1] - ends[0])) == pytest.approx(CHECK_LENGTH_MM)
    text = page.extract_text()
    for words in (
        "this line must measure 150.0 mm",
        "100 %",
        "thing",
        "section",
        "height",
        "Knives are sharp",
    ):
        assert words in text


@pytest.mark.parametrize("name", SHEETS)
def test_every_chess_corner_is_where_two_black_and_two_white_squares_meet(name):
    design = SHEETS[name]
    squares = black_shapes(design)[0]
    corners = chess_corners(design)
    black = {(round(x, 6), round(y, 6)) for x, y, _, _ in squares}
    for x, y in corners:
        s = design.square_mm
        around = [(round(x - a, 6), round(y - b, 6)) in black for a in (0, s) for b in (0, s)]
        assert sum(around) == 2
        assert around[0] == around[3]
    assert len(corners) >= 60


@pytest.mark.parametrize("name", SHEETS)
def test_marks_keep_clear_of_the_middle_and_of_the_printers_margin(name):
    design = SHEETS[name]
    x0, y0, x1, y1 = middle_mm(design)
    assert x1 - x0 >= 140
    assert y1 - y0 >= 180
    rects = np.concatenate(black_shapes(design))
    left, low, right, high = rects[:, 0], rects[:, 1], rects[:, 0] + rects[:, 2], rects[:, 1] + rects[:, 3]
    inside = (right > x0 + 1e-9) & (left < x1 - 1e-9) & (high > y0 + 1e-9) & (low < y1 - 1e-9)
    assert not inside.any()
    assert min(left.min(), low.min()) >= 6  # common printers leave about 5 mm blank; no source
    assert right.max() <= design.page_mm[0] - 6
    assert high.max() <= design.page_mm[1] - 6


def test_the_two_sizes_share_no_marker():
    a, b = (set(marker_corners(design)) for design in SHEETS.values())
    assert len(a) >= 60
    assert len(b) >= 60
    assert not a & b


def test_a_size_is_named_in_any_case_and_unknown_ones_are_refused():
    assert design_named("a4").name == "A4"
    assert design_named("LETTER").name == "Letter"
    with pytest.raises(CaptureError, match="A4 or Letter"):
        design_named("A3")
