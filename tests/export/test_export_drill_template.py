"""The drill template, read back by a PDF library that nobody here wrote."""

import io
import re

import numpy as np
import pytest

from cradle.export.drill_template import drill_template_pdf
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
    data = drill_template_pdf(plate(90, 47), places, page=page, title="nozzle")
    assert data == drill_template_pdf(plate(90, 47), places, page=page, title="nozzle")
    (only,) = read(data).pages
    assert (float(only.mediabox.width) / MM, float(only.mediabox.height) / MM) == pytest.approx(
        PAPER_MM[page], abs=0.01
    )
    found = crosses(only)
    assert found - found.mean(axis=0) == pytest.approx(places - places.mean(axis=0), abs=0.01)
    text = only.extract_text()
    assert "nozzle: drill template" in text
    assert "screws: 72.0 mm across, 29.6 mm up" in text
    assert "must measure 100 mm" in text
    assert "cables and pipes" in text


def test_a_plate_larger_than_the_page_goes_on_several():
    places = np.array([[-190.0, 20.0], [190.0, 20.0]])
    pages = read(drill_template_pdf(plate(400, 60), places, page="A4", title="rack")).pages
    assert len(pages) > 1
    assert {re.search(r"row \d, column \d", page.extract_text())[0] for page in pages} == {
        f"row 1, column {k}" for k in range(1, len(pages) + 1)
    }


def test_one_screw_has_nothing_to_be_apart_from():
    (page,) = read(drill_template_pdf(plate(40, 40), np.array([[0.0, 20.0]]), page="A4", title="hook")).pages
    assert "one screw" in page.extract_text()
    assert crosses(page).shape == (1, 2)
