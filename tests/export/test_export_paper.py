import io
import itertools
import re

import numpy as np
import pytest
import shapely
from daily import each_value_daily
from stacked import circle

from cradle.export.named_ring import NamedRing
from cradle.export.paper import packed, paper_pdf
from cradle.export.paper_pages import OVERLAP_MM, tiled
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
    assert "belly, 12 mm" in text
    assert "front" in text
    assert "must measure 100 mm" in text


def test_outlines_are_drawn_at_true_size():
    ring = circle(30, points=90, squash=0.5)
    reader = pypdf.PdfReader(io.BytesIO(paper_pdf([named(ring)], page="A4", title="vase")))
    (drawn,) = path_points(reader.pages[0])
    assert np.ptp(drawn, axis=0) == pytest.approx(np.ptp(ring, axis=0), abs=0.01)
    assert (drawn - drawn.mean(axis=0)) == pytest.approx(ring - ring.mean(axis=0), abs=0.01)


@pytest.mark.slow
@pytest.mark.parametrize(("page", "seed"), each_value_daily(["A4", "Letter"], range(6)))
def test_outlines_share_pages_and_lie_clear_of_each_other_and_of_the_words(page, seed):
    rng = np.random.default_rng(seed)
    sizes = rng.uniform(4.0, 85.0, (14, 2))
    rings = [
        named(circle(a, squash=b / a) + rng.uniform(-50, 50, 2), name=f"level number {k}", height=float(k))
        for k, (a, b) in enumerate(sizes)
    ]
    wide, tall = PAPER_MM[page]
    pages = packed(rings, page_mm=(wide, tall))
    assert 1 < len(pages) < 14
    assert [placed.ring for group in pages for placed in group] == rings
    for group in pages:
        boxes = []
        for placed in group:
            points = placed.ring.points_mm + np.array(placed.by_mm)
            (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
            words = 0.62 * 3.2 * len(f"{placed.ring.name}, {placed.ring.height_mm:g} mm")
            half = max(x1 - x0, words) / 2
            middle = (x0 + x1) / 2
            boxes.append(shapely.box(middle - half, y0 - 12, middle + half, y1))
        for one, other in itertools.combinations(boxes, 2):
            assert not shapely.intersects(one, other)
        for box in boxes:
            assert shapely.contains(shapely.box(11.99, 12 + 44, wide - 11.99, tall - 11.99), box)
    reader = pypdf.PdfReader(io.BytesIO(paper_pdf(rings, page=page, title="vase")))
    assert len(reader.pages) == len(pages)
    assert sum(len(path_points(sheet)) for sheet in reader.pages) == 14


def test_a_large_outline_is_covered_by_overlapping_pages():
    ring = circle(190, squash=0.8)
    windows = tiled(ring, page_mm=PAPER_MM["A4"])
    assert len(windows) > 1
    reader = pypdf.PdfReader(io.BytesIO(paper_pdf([named(ring)], page="A4", title="vase")))
    assert len(reader.pages) >= len(windows)  # with room for its name under it
    width, height = 210 - 24, 297 - 24 - 44
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


@pytest.mark.parametrize("page", ["A4", "Letter"])
def test_long_names_leave_the_foot_and_the_outlines_their_room(page):
    """Names ran off the page with which sheet it was, and a small outline of a long name went over several sheets."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    name, title = "just where the handle's boss begins to widen", "the heavy flat iron of my grandmother" * 3
    rings = [named(circle(r, squash=0.8), name=name * 3, height=30.0) for r in (10, 190)]
    small, *large = pypdf.PdfReader(io.BytesIO(paper_pdf(rings, page=page, title=title))).pages
    assert "page 1" in small.extract_text()
    for sheet in large:
        (foot,) = (line for line in sheet.extract_text().splitlines() if "column" in line)
        assert re.search(r", 30 mm, row \d, column \d$", foot)
        assert "just where the" in foot
        assert "the heavy flat iron" in foot
        assert stringWidth(foot, "Helvetica-Bold", 4.0) <= PAPER_MM[page][0] - 24


@pytest.mark.parametrize("lower", [0, 1])
def test_the_arrow_stands_before_the_middle_of_a_flat_front(lower):
    """It stood at one of the front's ends, whichever a hair's breadth put lower."""
    ring = np.array([[-10.0, 0.0], [10.0, 0.0], [9.0, 12.0], [-9.0, 12.0]])
    ring[lower, 1] = -0.01
    page = pypdf.PdfReader(io.BytesIO(paper_pdf([named(ring)], page="A4", title="vase"))).pages[0]
    names = []
    page.extract_text(visitor_text=lambda text, _, place, *more: names.append((text.strip(), place[4])))
    across = {text: x for text, x in names if text}
    middle = across["belly, 12 mm"] + 10.5  # half of its 12 bold letters of 3.2 mm, about
    assert across["front"] == pytest.approx(middle + 1.6, abs=3)
