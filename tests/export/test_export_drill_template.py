"""The drill template, read back by a PDF library that nobody here wrote."""

import io
import re

import numpy as np
import pytest

from cradle.export.drill_template import drill_template_pdf
from cradle.geometry.vectors import left_of
from cradle.units import PAPER_MM

pypdf = pytest.importorskip("pypdf")
MM = 72 / 25.4


def read(data):
    return pypdf.PdfReader(io.BytesIO(data))


def crosses(page):
    """Where the two strokes of a cross meet, mm on the page, lower left first."""
    from pypdf.generic import ContentStream

    lines, start, scale, stack = [], None, 1.0, []
    for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
        values = [float(v) for v in operands if isinstance(v, int | float)] if operands else []
        if operator == b"q":
            stack.append(scale)
        elif operator == b"Q":
            scale = stack.pop()
        elif operator == b"cm":
            scale *= values[0]
        elif operator == b"m":
            start = scale / MM * np.array(values)
        elif operator == b"l":
            lines.append((start, scale / MM * np.array(values)))
    across = [(a + b) / 2 for a, b in lines if abs(a[1] - b[1]) < 1e-6 and abs(b[0] - a[0] - 14) < 1e-3]
    up = [(a + b) / 2 for a, b in lines if abs(a[0] - b[0]) < 1e-6 and abs(b[1] - a[1] - 14) < 1e-3]
    return np.array(sorted(p.tolist() for p in across if any(np.allclose(p, q, atol=1e-3) for q in up)))


def plate(wide, tall):
    return np.array([[0, 0], [wide, 0], [wide, tall], [0, tall]], dtype=float) - [wide / 2, 5.0]


@pytest.mark.parametrize("page", ["A4", "Letter"])
def test_the_crosses_are_as_far_apart_as_the_screws(page):
    places = np.array([[-36.0, 4.0], [-36.0, 33.6], [36.0, 4.0], [36.0, 33.6]])
    data = drill_template_pdf(plate(90, 47), places, page=page, title="nozzle", screws=())
    assert data == drill_template_pdf(plate(90, 47), places, page=page, title="nozzle", screws=())
    (only,) = read(data).pages
    assert (float(only.mediabox.width) / MM, float(only.mediabox.height) / MM) == pytest.approx(
        PAPER_MM[page], abs=0.01
    )
    found = crosses(only)
    assert found - found.mean(axis=0) == pytest.approx(places - places.mean(axis=0), abs=0.01)
    text = only.extract_text()
    assert "nozzle: drill template" in text
    assert "Screws: 72.0 mm across, 29.6 mm up" in text
    assert "must measure 100 mm" in text
    assert "cables and pipes" in text


def test_a_plate_larger_than_the_page_goes_on_several():
    places = np.array([[-190.0, 20.0], [190.0, 20.0]])
    pages = read(drill_template_pdf(plate(400, 60), places, page="A4", title="rack", screws=())).pages
    assert len(pages) == 2
    assert all(
        "diamond" in page.extract_text() and "380.0 mm across" in page.extract_text() for page in pages
    )
    assert {re.search(r"row \d, column \d", page.extract_text())[0] for page in pages} == {
        f"row {k}, column 1"
        for k in range(1, len(pages) + 1)  # it lies on its side: two sheets instead of three
    }


def test_one_screw_has_nothing_to_be_apart_from():
    (page,) = read(
        drill_template_pdf(plate(40, 40), np.array([[0.0, 20.0]]), page="A4", title="hook", screws=())
    ).pages
    assert "One screw" in page.extract_text()
    assert crosses(page).shape == (1, 2)


@pytest.mark.parametrize("page", ["A4", "Letter"])
def test_a_wide_plate_lies_on_its_side_on_one_sheet(page):
    places = np.array([[-87.8, 4.0], [-87.8, 22.6], [87.8, 4.0], [87.8, 22.6]])
    (only,) = read(drill_template_pdf(plate(190, 33), places, page=page, title="row", screws=())).pages
    found, turned = crosses(only), np.column_stack([-places[:, 1], places[:, 0]])
    turned = turned[np.lexsort((turned[:, 1], turned[:, 0]))]
    assert found - found.mean(axis=0) == pytest.approx(turned - turned.mean(axis=0), abs=0.01)
    assert "Screws: 175.6 mm across, 18.6 mm up." in only.extract_text()


def test_a_plate_higher_than_wide_stands_upright():
    places = np.array([[0.0, 4.0], [0.0, 200.0]])
    (only,) = read(drill_template_pdf(plate(60, 210), places, page="A4", title="rack", screws=())).pages
    assert np.ptp(crosses(only), axis=0) == pytest.approx([0.0, 196.0], abs=0.01)


@pytest.mark.parametrize("wide", [250.0, 400.0, 640.0])
def test_on_several_sheets_every_cross_is_whole_on_one_of_them(wide):
    places = np.array([[x, 20.0] for x in np.arange(-wide / 2 + 9, wide / 2 - 8, 13.0)])
    outline = plate(wide, 300.0)
    from cradle.export.drill_template import _windows
    from cradle.export.paper_pages import room_mm

    for ring, spots in ((outline, places), (left_of(outline), left_of(places))):
        room = room_mm(PAPER_MM["A4"])
        corners = [np.array([w.x_mm, w.y_mm]) for w in _windows(ring, spots, page_mm=PAPER_MM["A4"])]
        for spot in spots:
            assert any(((spot - 7 >= c - 1e-6) & (spot + 7 <= c + room + 1e-6)).all() for c in corners)


def test_the_sheet_says_which_screws_and_how_far_a_keyhole_s_stand_out():
    words = ["4 \u00d7 M4 pan head screw for a keyhole: leave 2.0 to 2.5 mm between wall and head."]
    (page,) = read(
        drill_template_pdf(plate(40, 40), np.array([[0.0, 20.0]]), screws=words, page="A4", title="hook")
    ).pages
    assert words[0] in page.extract_text()
