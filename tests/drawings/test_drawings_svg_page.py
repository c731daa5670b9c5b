"""The page of an SVG drawing: true sizes, whatever its units and view box."""

from dataclasses import replace

import pytest
from drawn_files import RECT, box, codes, read, svg

from cradle.drawings.svg_page import page_of
from cradle.drawings.svg_tree import read_tree
from cradle.errors import CaptureError
from cradle.finding import Severity
from cradle.geometry.ring import size


@pytest.mark.parametrize(
    ("page", "factor"),
    [
        # an inch is 25.4 mm exactly (NIST SP 811, from memory)
        ('width="2in" height="2in" viewBox="0 0 192 192"', 25.4 / 96),
        ('width="200mm" height="200mm" viewBox="0 0 200 200"', 1.0),
        ('width="20cm" height="20cm" viewBox="0 0 200 200"', 1.0),
        ('width="200mm" height="200mm" viewBox="0 0 2000 2000"', 0.1),
        ('width="200mm" viewBox="0 0 2000 2000"', 0.1),
        ('height="200mm" viewBox="0 0 2000 2000"', 0.1),
        # 1 in = 72 pt = 6 pc, CSS Values and Units Level 3, section 5.2
        ('width="144pt" height="144pt" viewBox="0 0 192 192"', 25.4 / 96),
        ('width="12pc" height="12pc" viewBox="0 0 192 192"', 25.4 / 96),
        ('width="8Q" height="8q" viewBox="0 0 2 2"', 1.0),  # a quarter of a mm: CSS Values and Units 4, 6.2
        # without a view box a user unit is a px, 96 to the inch: SVG 2, section 8.9; CSS Values 3, section 5.2
        ('width="200mm" height="200mm"', 25.4 / 96),
        ('width="2in" height="2in"', 25.4 / 96),
    ],
)
def test_drawings_are_read_in_their_true_size(tmp_path, page, factor):
    outline = read(tmp_path, "a.svg", svg(page, RECT))
    assert size(outline.points_mm) == pytest.approx((96 * factor, 48 * factor), rel=1e-12)
    assert codes(outline) == set()


@pytest.mark.parametrize(
    "page",
    [
        "",
        'width="200"',
        'width="200px" height="200px"',
        'width="100%" height="100%"',
        'viewBox="0 0 200 200"',
    ],
)
def test_without_a_unit_96_px_make_an_inch_and_that_is_told(tmp_path, page):
    # CSS Values and Units Level 3, section 5.2: 1 in = 96 px
    outline = read(tmp_path, "a.svg", svg(page, RECT))
    assert size(outline.points_mm) == pytest.approx((25.4, 12.7), rel=1e-12)
    assert codes(outline) == {"unit-unknown"}


@pytest.mark.parametrize(("unit", "factor"), [("mm", 1.0), ("cm", 10.0), ("in", 25.4)])
@pytest.mark.parametrize(
    "page", ["", 'width="200" height="200"', 'viewBox="0 0 200 200"', 'width="200" viewBox="0 0 200 200"']
)
def test_the_project_may_give_the_unit(tmp_path, page, unit, factor):
    outline = read(tmp_path, "a.svg", svg(page, '<rect width="9" height="5"/>'), unit=unit)
    assert size(outline.points_mm) == pytest.approx((9 * factor, 5 * factor), rel=1e-12)
    assert codes(outline) == set()


def test_a_stated_unit_beats_the_projects_and_is_warned_of_as_in_every_format(tmp_path):
    outline = read(tmp_path, "a.svg", svg('width="200mm" viewBox="0 0 200 200"', RECT), unit="in")
    assert size(outline.points_mm) == (96.0, 48.0)
    table = read(tmp_path, "a.csv", "x_mm,y_mm\n0,0\n9,0\n9,9\n", unit="in")
    assert [(f.code, f.severity) for f in table.findings] == [("unit-disagrees", Severity.WARN)]
    assert replace(table.findings[0], where="a.svg") in outline.findings


@pytest.mark.parametrize(
    ("page", "told"),
    [('width="20cm" viewBox="0 0 200 200"', set()), ('width="20cm" height="20cm"', {"unit-disagrees"})],
    ids=["the page's", "no view box: 96 px to the inch"],
)
def test_a_unit_that_the_file_has_too_is_no_doubt(tmp_path, page, told):
    assert codes(read(tmp_path, "a.svg", svg(page, RECT), unit="cm")) == told


def test_a_300_dpi_scan_placed_at_72_dpi_is_too_large_by_their_ratio(tmp_path):
    # common practice, no source: it comes out at 300/72 of its size and needs scaling to 24 %
    page = 'width="1000pt" height="1000pt" viewBox="0 0 1000 1000"'  # a user unit is a pixel placed at 72 dpi
    body = '<rect width="600" height="300"/>'  # 600 pixels of 300 dpi are 2 in
    placed = read(tmp_path, "a.svg", svg(page, body))
    assert size(placed.points_mm)[0] == pytest.approx(50.8 * 300 / 72)
    scaled = read(tmp_path, "b.svg", svg(page, f'<g transform="scale(0.24)">{body}</g>'))
    assert size(scaled.points_mm) == pytest.approx((50.8, 25.4), rel=1e-12)


@pytest.mark.parametrize(
    ("keep", "expected"),
    [
        # view box 100 x 100 in 200 x 100 mm: SVG 2, section 8.2
        ("", [50.0, 0.0, 100.0, 100.0]),
        ("xMinYMin", [0.0, 0.0, 100.0, 100.0]),
        ("xMaxYMid meet", [100.0, 0.0, 100.0, 100.0]),
        ("none", [0.0, 0.0, 200.0, 100.0]),
        ("xMidYMid slice", [0.0, -50.0, 200.0, 200.0]),
    ],
)
def test_a_view_box_is_placed_as_preserve_aspect_ratio_says(tmp_path, keep, expected):
    page = 'width="200mm" height="100mm" viewBox="-7 3 100 100"' + (
        f' preserveAspectRatio="{keep}"' if keep else ""
    )
    outline = read(tmp_path, "a.svg", svg(page, '<rect x="-7" y="3" width="100" height="100"/>'))
    assert box(outline) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(
    ("page", "words"),
    [
        ('width="0mm" height="5mm"', "above 0"),
        ('width="-3mm" height="5mm"', "above 0"),
        ('width="3 furlongs"', "cannot be turned into mm"),
        ('width="20mm" viewBox="0 0 9"', "expected left, top, width and height"),
        ('width="20mm" viewBox="0 0 0 0"', "expected left, top, width and height"),
        ('width="20mm" height="10mm" viewBox="0 0 9 9" preserveAspectRatio="middle"', "not understood"),
    ],
)
def test_pages_without_a_scale_are_refused(tmp_path, page, words):
    with pytest.raises(CaptureError, match=words):
        read(tmp_path, "a.svg", svg(page, RECT))


def test_the_lower_left_corner_of_the_page_is_the_origin():
    page = page_of(read_tree(svg('width="40mm" height="20mm" viewBox="10 5 80 40"', "").encode()), unit=None)
    assert page.view == (80.0, 40.0)
    assert (page.matrix @ [10.0, 45.0, 1.0]).tolist() == [0.0, 0.0]  # lower left
    assert (page.matrix @ [90.0, 5.0, 1.0]).tolist() == [40.0, 20.0]  # upper right
