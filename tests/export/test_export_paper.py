import io

import numpy as np
import pytest
from stacked import circle

from cradle.export.drawing import NamedRing
from cradle.export.paper import OVERLAP_MM, paper_pdf, tiled
from cradle.units import PAPER_MM

pypdf = pytest.importorskip("pypdf")
MM = 72 / 25.4


def named(points, *, name="belly", height=12.0):
    return NamedRing(name=name, height_mm=height, points_mm=points)


def path_points(page):
    """Points of the closed paths on a page, in mm on the page."""
    from pypdf.generic import ContentStream

    found, current = [], []
    scale, move = 1.0, np.zeros(2)
    stack = []
    for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
        values = [float(v) for v in operands if isinstance(v, int | float)] if operands else []
        if operator == b"q":
            stack.append((scale, move))
        elif operator == b"Q":
            scale, move = stack.pop()
        elif operator == b"cm":
            move = move + scale * np.array(values[4:])
            scale *= values[0]
        elif operator in (b"m", b"l"):
            current = current if operator == b"l" else []
            current.append(move + scale * np.array(values))
        elif operator == b"h" and len(current) > 20:
            found.append(np.array(current) / MM)
    return found


@pytest.mark.parametrize(("page", "size"), [("A4", (210, 297)), ("Letter", (215.9, 279.4))])
def test_pages_have_their_standard_size(page, size):
    # ISO 216 A4 210 x 297; Letter 8.5 x 11 in (common practice, no source)
    reader = pypdf.PdfReader(io.BytesIO(paper_pdf([named(circle(20))], page=page, title="vase")))
    box = reader.pages[0].mediabox
    assert (float(box.width) / MM, float(box.height) / MM) == pytest.approx(size, abs=0.01)
    text = reader.pages[0].extract_text()
    assert "vase: section belly at 12 mm" in text
    assert "must measure 100.0 mm" in text


def test_outlines_are_drawn_at_true_size():
    ring = circle(30, points=90, squash=0.5)
    reader = pypdf.PdfReader(io.BytesIO(paper_pdf([named(ring)], page="A4", title="vase")))
    (drawn,) = path_points(reader.pages[0])
    assert np.ptp(drawn, axis=0) == pytest.approx(np.ptp(ring, axis=0), abs=0.01)
    assert (drawn - drawn.mean(axis=0)) == pytest.approx(ring - ring.mean(axis=0), abs=0.01)


def test_one_page_for_each_height():
    rings = [
        named(circle(20)),
        named(circle(20.3), name="belly plus 0.30"),
        named(circle(25), name="top", height=40),
    ]
    reader = pypdf.PdfReader(io.BytesIO(paper_pdf(rings, page="A4", title="vase")))
    assert len(reader.pages) == 2
    assert len(path_points(reader.pages[0])) == 2


def test_a_large_outline_is_covered_by_overlapping_pages():
    ring = circle(190, squash=0.8)
    windows = tiled(ring, page_mm=PAPER_MM["A4"])
    assert len(windows) > 1
    reader = pypdf.PdfReader(io.BytesIO(paper_pdf([named(ring)], page="A4", title="vase")))
    assert len(reader.pages) == len(windows)
    width, height = 210 - 24, 297 - 24 - 26
    inside = np.array(
        [
            (ring[:, 0] >= w.x_mm)
            & (ring[:, 0] <= w.x_mm + width)
            & (ring[:, 1] >= w.y_mm)
            & (ring[:, 1] <= w.y_mm + height)
            for w in windows
        ]
    )
    assert inside.any(axis=0).all()
    xs = sorted({w.x_mm for w in windows})
    assert np.diff(xs) == pytest.approx(width - OVERLAP_MM)


def test_the_same_outlines_make_the_same_bytes():
    first = paper_pdf([named(circle(20))], page="A4", title="vase")
    assert first == paper_pdf([named(circle(20))], page="A4", title="vase")
    assert first != paper_pdf([named(circle(21))], page="A4", title="vase")
