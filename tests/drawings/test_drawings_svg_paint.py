"""What of an SVG drawing is seen, and what lies behind it."""

import pytest
from drawn_files import box, codes, read, svg

from cradle.drawings.svg_drawing import read_svg
from cradle.errors import CaptureError, OutlineError
from cradle.geometry.ring import signed_area, size

MM = 'width="200mm" height="100mm" viewBox="0 0 200 100"'

PAINTED = '<path fill="none" stroke="#000" d="M100 50h20v10h-20z"/>'
UNSEEN = [
    '<rect id="u" width="5" height="5" fill="none"/>',
    '<rect id="u" width="5" height="5" fill="none" stroke="none"/>',
    '<rect id="u" width="5" height="5" fill="NONE" stroke="transparent"/>',
    '<rect id="u" width="5" height="5" fill="#fff0" stroke="#00000000"/>',
    '<rect id="u" width="5" height="5" fill="rgba(9, 9, 9, 0)" stroke="rgb(0 0 0 / 0%)"/>',
    '<rect id="u" width="5" height="5" fill="hsla(9, 9%, 9%, .0)"/>',
    '<rect id="u" width="5" height="5" fill-opacity="0"/>',
    '<g stroke="red" stroke-opacity="0.0" fill="none"><g><rect id="u" width="5" height="5"/></g></g>',
    '<g stroke="red" style="opacity: 0%"><g opacity="1"><rect id="u" width="5" height="5"/></g></g>',
    '<style>.u{fill:none} #u{opacity:0}</style><rect id="u" stroke="red" width="5" height="5"/>',
    '<style>.u{fill:none;stroke:none!important}</style><rect id="u" class="u" stroke="red" width="5" height="5"/>',
    '<g fill="none"><symbol id="s"><rect width="5" height="5"/></symbol></g><use id="u" href="#s" fill="none"/>',
    '<g stroke="none"><line id="u" x2="5"/></g>',
]
"""Shapes that nobody sees (SVG 2, chapter 13)."""


@pytest.mark.parametrize("unseen", UNSEEN)
@pytest.mark.parametrize("order", [1, -1])
def test_what_is_not_seen_is_left_out_where_something_is(tmp_path, unseen, order):
    both = svg(MM, "".join([unseen, PAINTED][::order]))
    outline = read(tmp_path, "a.svg", both)
    assert box(outline) == pytest.approx([100, 40, 20, 10])
    assert signed_area(outline.points_mm) == pytest.approx(200)
    assert read_svg(tmp_path / "a.svg", where="a.svg").ignored == ("1 without fill and stroke",)
    with pytest.raises(
        CaptureError, match=r'no curve on "x" \(the drawing also holds 1 without fill and stroke\)'
    ):
        read(tmp_path, "a.svg", layer="x")


@pytest.mark.parametrize("unseen", UNSEEN[:-1])
def test_what_is_not_seen_is_read_where_it_is_named_or_alone(tmp_path, unseen):
    for body in (unseen, unseen + PAINTED):
        layer = "u" if PAINTED in body else None
        assert box(read(tmp_path, "a.svg", svg(MM, body), layer=layer)) == pytest.approx([0, 95, 5, 5])


@pytest.mark.parametrize(
    "seen",
    [
        '<rect width="5" height="5"/>',
        '<rect width="5" height="5" fill="none" stroke="rgb(0,0,0)"/>',
        '<rect width="5" height="5" fill="rgb(9,9,0)"/>',
        '<rect width="5" height="5" fill="rgba(0,0,0,0.05)"/>',
        '<rect width="5" height="5" fill="url(#none)" opacity=".01"/>',
        '<g fill="none"><rect width="5" height="5" fill="inherit" stroke="#0000ff"/></g>',
        '<g fill="none"><rect width="5" height="5" style="fill:black"/></g>',
        '<style>rect{fill:none} g > rect{stroke:red}</style><g><rect width="5" height="5"/></g>',
        '<style>.a{stroke:red} rect{stroke:none;fill:none}</style><rect class="a" width="5" height="5"/>',
        '<style>@media print{rect{fill:none}}</style><rect width="5" height="5"/>',
        '<style media="print">rect{fill:none}</style><rect width="5" height="5"/>',
        '<line x2="5"/>',
        '<rect width="5" height="5" style="fill:none;stroke:red;stroke-width:0px"/>',
    ],
)
def test_what_is_faintly_seen_or_painted_in_ways_that_are_not_followed_counts(tmp_path, seen):
    with pytest.raises(OutlineError, match="found 2 separate curves"):
        read(tmp_path, "a.svg", svg(MM, seen + PAINTED))


@pytest.mark.parametrize(
    "page",
    [
        '<rect id="b" width="100%" height="100%" fill="white"/>',
        '<rect id="b" x="-5" y="-5" width="210" height="110" style="fill:#fff;stroke:none"/>',
        '<g><g><path id="b" d="M0 0H200V99.9H0z" fill="#eee" stroke-width="2"/></g></g>',
        '<polygon id="b" points="0 0 0 100 200 100 200 0"/>',
        '<rect fill="none" width="7" height="7"/><rect id="b" width="200" height="100" fill="white"/>',
    ],
)
def test_a_background_is_left_out(tmp_path, page):
    outline = read(tmp_path, "a.svg", svg(MM, page + PAINTED))
    assert box(outline) == pytest.approx([100, 40, 20, 10])
    assert codes(outline) == {"background-left-out"}
    assert "1 background" in read_svg(tmp_path / "a.svg", where="a.svg").ignored
    assert size(read(tmp_path, "a.svg", layer="b").points_mm)[0] >= 200
    alone = svg(MM, page.replace('<rect fill="none" width="7" height="7"/>', ""))
    assert size(read(tmp_path, "a.svg", alone).points_mm)[0] >= 200


@pytest.mark.parametrize(
    "body",
    [
        PAINTED + '<rect width="200" height="100"/>',  # before all
        '<rect width="200" height="100"/><rect width="20" height="10" fill="none"/>',  # all else is unseen
        '<rect width="200" height="100" stroke="red"/>' + PAINTED,
        '<rect width="199" height="100"/>' + PAINTED,
        '<rect x="1" width="200" height="100"/>' + PAINTED,
        '<rect width="200" height="100" rx="9"/>' + PAINTED,
        '<path d="M0 0H200V100H100V50H0z"/>' + PAINTED,
    ],
)
def test_what_is_no_background_counts(tmp_path, body):
    with pytest.raises(OutlineError, match="found 2 separate curves"):
        read(tmp_path, "a.svg", svg(MM, body))


def test_without_a_page_size_there_is_no_background(tmp_path):
    with pytest.raises(OutlineError, match="found 2 separate curves"):
        read(tmp_path, "a.svg", svg("", '<rect width="200" height="100"/>' + PAINTED))
