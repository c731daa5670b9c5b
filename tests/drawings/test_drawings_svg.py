"""SVG in true mm, whatever its units, view box and transforms."""

import math
import tracemalloc

import numpy as np
import pytest
from drawn_files import RECT, box, codes, off_circle, read, svg

from cradle.drawings.svg_frame import numbers, transform
from cradle.drawings.svg_path import segments
from cradle.errors import CaptureError, InputError, OutlineError
from cradle.geometry.ring import signed_area, size

MM = 'width="200mm" height="100mm" viewBox="0 0 200 100"'


def test_y_runs_up_from_the_lower_edge(tmp_path):
    outline = read(tmp_path, "a.svg", svg(MM, '<path d="M10 90 H30 V60 L10 80 Z"/>'))
    assert box(outline) == [10.0, 10.0, 20.0, 30.0]
    highest = outline.points_mm[np.argmax(outline.points_mm[:, 1])]
    assert highest.tolist() == [30.0, 40.0]


R = '<rect id="r" width="20" height="10"/>'


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        (f'<g transform="translate(30,40)">{R}</g>', [30, 50, 20, 10]),
        (f'<g transform="translate(30 40) scale(2)">{R}</g>', [30, 40, 40, 20]),
        (f'<g transform="scale(2, 3)"><g transform="translate(5)">{R}</g></g>', [10, 70, 40, 30]),
        (f'<g transform="rotate(90)">{R}</g>', [-10, 80, 10, 20]),
        (f'<g transform="rotate(90 10 5)">{R}</g>', [5, 85, 10, 20]),
        (f'<g transform="matrix(0 1 -1 0 50 0)">{R}</g>', [40, 80, 10, 20]),
        (f'<g transform="skewX(45)">{R}</g>', [0, 90, 30, 10]),
        (f'<g transform="skewY(45)">{R}</g>', [0, 70, 20, 30]),
        (f'<g transform="scale(-1 1)">{R}</g>', [-20, 90, 20, 10]),
        ('<rect transform="translate(1),translate(2)" width="20" height="10"/>', [3, 90, 20, 10]),
        (f'<defs>{R}</defs><use xlink:href="#r" x="7" y="9"/>', [7, 81, 20, 10]),
        (
            f'<defs><g id="g" transform="scale(2)">{R}</g></defs><use href="#g" transform="translate(10 0)" x="5"/>',
            [15, 80, 40, 20],
        ),
        (f'<svg x="10" y="20" width="40" height="40" viewBox="0 0 20 20">{R}</svg>', [10, 60, 40, 20]),
        (f'<svg x="10" y="20" viewBox="0 0 20 10" width="50%" height="50%">{R}</svg>', [10, 30, 100, 50]),
        (
            f'<symbol id="s" viewBox="0 0 20 10">{R}</symbol><use href="#s" x="5" y="5" width="40" height="20"/>',
            [5, 75, 40, 20],
        ),
        ('<rect x="1cm" y="10%" width="50%" height="1in"/>', [10 * 96 / 25.4, -6, 100, 96]),
        ('<ellipse cx="50" cy="50" rx="30" ry="20"/>', [20, 30, 60, 40]),
        ('<circle cx="50" cy="50" r="20" transform="scale(1 0.5)"/>', [30, 65, 40, 20]),
        ('<polygon points="0,0 20,0 20,10 0,10"/>', [0, 90, 20, 10]),
        ('<polyline points="0 0 20 0 20 10 0 10 0 0"/>', [0, 90, 20, 10]),
        ('<path d="m0,0h20v10h-20z"/>', [0, 90, 20, 10]),
        ('<path d="M0 0 20 0 20 10 0 10"/><line x1="0" y1="10" x2="0" y2="0"/>', [0, 90, 20, 10]),
        (
            '<line x2="20"/><line x1="20" x2="20" y2="10"/><line y1="10" x2="20" y2="10"/><line y2="10"/>',
            [0, 90, 20, 10],
        ),
        ('<path d="M0 5 A10 5 0 0120 5 10 5 0 010 5"/>', [0, 90, 20, 10]),
        ('<path d="M0 0 L20 0 A0 5 0 0 1 20 10 L0 10 Z"/>', [0, 90, 20, 10]),
        ('<rect width="20" height="10" rx="5"/>', [0, 90, 20, 10]),
        ('<rect width="20" height="10" ry="50"/>', [0, 90, 20, 10]),
    ],
)
def test_a_shape_lies_where_its_units_and_transforms_put_it(tmp_path, body, expected):
    # transforms: SVG 2, section 8.5; use and symbol: 5.5, 5.6; shapes: chapter 10; values by hand
    outline = read(tmp_path, "a.svg", svg(MM, body))
    assert box(outline) == pytest.approx(expected, abs=1e-9)
    assert codes(outline) == set()


def test_curves_reach_their_extremes(tmp_path):
    # the height of a symmetric cubic arch is 3/4 of its handles' (Bernstein form at t = 1/2)
    outline = read(tmp_path, "a.svg", svg(MM, '<path d="M0 50 C0 10 60 10 60 50 Z"/>'))
    assert box(outline) == pytest.approx([0, 50, 60, 30], abs=1e-12)
    # a quadratic arch reaches half its handle; T continues it by reflection
    outline = read(tmp_path, "a.svg", svg(MM, '<path d="M0 50 Q10 10 20 50 T40 50 V90 H0 Z"/>'))
    assert outline.points_mm[:, 1].max() == pytest.approx(70.0, abs=1e-12)


def test_circles_are_round_and_rounded_corners_too(tmp_path):
    circle = read(tmp_path, "a.svg", svg(MM, '<path d="M30 50a20 20 0 1 0 40 0a20 20 0 1 0-40 0z"/>'))
    assert off_circle(circle, (50, 50), 20) < 1e-9
    assert signed_area(circle.points_mm) == pytest.approx(math.pi * 400, rel=1e-3)
    rounded = read(tmp_path, "a.svg", svg(MM, '<rect width="60" height="40" rx="8"/>'))
    assert signed_area(rounded.points_mm) == pytest.approx(2400 - (4 - math.pi) * 64, abs=0.4)


def test_transforms_are_those_of_a_second_reader():
    # reference library: svgelements' own transform parser
    import svgelements

    text = "translate(3,-4) rotate(33) scale(2 .5) skewX(12) matrix(1 .2 -.3 1 5 6) rotate(-70 4 5) skewY(-8)"
    matrix, other = transform(text, where="a"), svgelements.Matrix(text)
    assert matrix.T.ravel() == pytest.approx(
        [other.a, other.b, other.c, other.d, other.e, other.f], rel=1e-12
    )


BOTH = '<rect id="keep" width="20" height="10"/>'


@pytest.mark.parametrize(
    "hidden",
    [
        '<rect width="5" height="5" style="display:none"/>',
        '<rect width="5" height="5" display="none"/>',
        '<g style="stroke:red;display: none"><g><rect width="5" height="5"/></g></g>',
        '<g visibility="hidden"><rect width="5" height="5"/></g>',
        '<rect width="5" height="5" visibility="collapse"/>',
        '<style>.x, #y { display: none }</style><rect class="w x" width="5" height="5"/><circle id="y" r="3"/>',
        '<defs><rect width="5" height="5"/></defs>',
        '<clipPath id="c"><rect width="5" height="5"/></clipPath><marker><path d="M0 0L9 9L9 0z"/></marker>',
        '<symbol><rect width="5" height="5"/></symbol>',
        '<text x="5" y="5">60 mm</text><image href="photo.png" width="10" height="10"/>',
        '<other:rect xmlns:other="urn:other" width="5" height="5"/>',
        '<use href="other.svg#x"/><use xlink:href="file:///etc/hostname#x"/>',
        '<title>t</title><desc>d</desc><metadata><rect width="5" height="5"/></metadata>',
        '<rect width="0" height="5"/><circle r="0"/><path d=""/><path/>',
    ],
)
def test_what_is_not_drawn_is_left_out(tmp_path, hidden):
    outline = read(tmp_path, "a.svg", svg(MM, hidden + BOTH))
    assert size(outline.points_mm) == (20.0, 10.0)
    with pytest.raises(CaptureError, match="found no curve"):
        read(tmp_path, "a.svg", svg(MM, hidden))


CUTTERS = """<defs>
<clipPath id="whole"><rect width="200" height="100"/></clipPath>
<clipPath id="parts"><rect x="-1" y="-1" width="12" height="12"/><path d="M10 -1h12v12h-12z"/></clipPath>
<clipPath id="half"><rect width="10" height="100"/></clipPath>
<clipPath id="moved" transform="translate(15)"><rect width="100" height="100"/></clipPath>
<clipPath id="none"/>
<clipPath id="share" clipPathUnits="objectBoundingBox"><rect width="0.5" height="1"/></clipPath>
<clipPath id="again"><rect width="200" height="100" clip-path="url(#again)"/></clipPath>
<mask id="mask"><rect width="10" height="100" fill="white"/></mask>
</defs><style>.halved { clip-path: url( "#half" ) }</style>"""
"""What cuts the rectangle of 20 x 10, or does not."""


@pytest.mark.parametrize(
    "cut",
    ['clip-path="url(#whole)"', 'style="clip-path:url(#parts)"', 'clip-path="url(#gone)"', 'mask="none"'],
)
def test_a_clip_path_that_leaves_all_of_an_outline_changes_nothing(tmp_path, cut):
    body = f'{CUTTERS}<g {cut}><rect width="20" height="10"/></g><g clip-path="url(#none)"><text/></g>'
    assert size(read(tmp_path, "a.svg", svg(MM, body)).points_mm) == (20.0, 10.0)


@pytest.mark.parametrize(
    "on", ['<g {}><rect width="20" height="10"/></g>', '<rect {} width="20" height="10"/>']
)
@pytest.mark.parametrize(
    ("cut", "words"),
    [
        ('clip-path="url(#half)"', "a clip-path cuts off a part"),
        ("style=\"clip-path:url('#moved')\"", "a clip-path cuts off a part"),
        ('class="halved"', "a clip-path cuts off a part"),
        ('clip-path="url(#none)"', "a clip-path cuts off a part"),
        ('clip-path="url(#share)"', "a clip-path cuts off a part"),
        ('mask="url(#mask)"', "a mask cuts off a part"),
        ('clip-path="url(#again)"', "without end"),
    ],
)
def test_an_outline_of_which_a_part_is_cut_off_is_refused(tmp_path, on, cut, words):
    with pytest.raises(CaptureError, match=words) as caught:
        read(tmp_path, "a.svg", svg(MM, CUTTERS + on.format(cut)))
    assert "rect (line 10)" in str(caught.value) or "g (line 10)" in str(caught.value)
    assert caught.value.hint.startswith("take the clip path or mask away")


def test_a_clip_path_of_the_whole_page_counts_too(tmp_path):
    body = CUTTERS + '<rect width="20" height="10"/>'
    whole = read(tmp_path, "a.svg", svg(f'{MM} clip-path="url(#whole)"', body))
    assert size(whole.points_mm) == (20.0, 10.0)
    with pytest.raises(CaptureError, match="a clip-path cuts off a part"):
        read(tmp_path, "a.svg", svg(f'{MM} clip-path="url(#half)"', body))


def test_a_visible_child_of_a_hidden_group_is_drawn(tmp_path):
    body = '<g visibility="hidden"><rect width="5" height="5"/><rect visibility="visible" width="20" height="10"/></g>'
    assert size(read(tmp_path, "a.svg", svg(MM, body)).points_mm) == (20.0, 10.0)


TWO = '<g id="low"><rect id="inner" width="20" height="10"/></g><circle cx="50" cy="50" r="15"/>'


def test_several_loops_are_listed_with_their_sizes_and_the_names_that_tell_them_apart(tmp_path):
    with pytest.raises(OutlineError) as caught:
        read(tmp_path, "a.svg", svg(MM, TWO))
    text = str(caught.value)
    assert text.startswith("a.svg: found 2 separate curves")
    larger, smaller = (
        "circle (line 1), closed, 30.00 x 30.00 mm",
        'rect "inner" (line 1), closed, 20.00 x 10.00 mm',
    )
    assert text.index(larger) < text.index(smaller)
    assert text.endswith('say by layer which one is meant: "low"')
    with pytest.raises(
        OutlineError, match=r"path .line 1., part 1.*path .line 1., part 2.*a layer of its own"
    ):
        read(tmp_path, "a.svg", svg(MM, '<path d="M0 0h30v30h-30z M5 5h9v9h-9z"/>'))


@pytest.mark.parametrize("layer", ["low", "inner"])
def test_a_group_or_id_picks_one(tmp_path, layer):
    assert size(read(tmp_path, "a.svg", svg(MM, TWO), layer=layer).points_mm) == (20.0, 10.0)


def test_a_layer_that_is_not_there_is_told_with_those_that_are(tmp_path):
    with pytest.raises(CaptureError, match=r'no curve on "high".*"inner", "low"'):
        read(tmp_path, "a.svg", svg(MM, TWO), layer="high")
    with pytest.raises(CaptureError, match='did you mean "inner"') as caught:
        read(tmp_path, "a.svg", svg(MM, TWO), layer="iner")
    assert "low" in caught.value.hint


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ('<path d="M0 0 L10 10 X 5 5"/>', '"X 5 5" at character 13'),
        ('<path d="L0 0 10 10 5 0z"/>', "does not begin with M"),
        ('<path d="M0 0 L10"/>', "breaks off"),
        ('<path d="M0 0 C1 1 2 2"/>', "breaks off"),
        ('<path d="M0 0 L nan 4"/>', '"nan 4" at character 8'),
        ('<path d="M0 0 L1e999 4 L3 3z"/>', "not a finite number"),
        ('<path d="M0 0 A1e300 1e300 0 0 1 10 10 L3 3z"/>', "a.svg"),
        ('<polygon points="0,0 10,0 10"/>', "expected pairs, not 5"),
        ('<polygon points="0,0 10,x 10,3"/>', "expected numbers"),
        ('<rect width="-5" height="5"/>', "cannot be negative"),
        ('<rect width="5em" height="5"/>', '"em" cannot be turned into mm'),
        ('<circle r="five"/>', 'expected a length, not "five"'),
        ('<circle r="-2"/>', "cannot be negative"),
        ('<g transform="turn(3)"><circle r="5"/></g>', "not understood"),
        ('<g transform="scale(0)"><circle r="5"/></g>', "leaves nothing"),
        ('<g transform="rotate(1 2)"><circle r="5"/></g>', "not understood"),
        ('<circle r="5" style="transform:scale(3)"/>', '"transform" stands in a style'),
        ('<circle r="5" transform="scale(3)" transform-origin="9 9"/>', '"transform-origin" is not read'),
        (
            '<g transform="scale(3)" style="transform-box:fill-box"><circle r="5"/></g>',
            '"transform-box" is not',
        ),
        ('<circle style="r:5px"/>', '"r" stands in a style'),
        ('<use href="#nothing"/>', 'nothing has the id "nothing"'),
        ('<g id="g"><use href="#g"/></g>', "refers to itself"),
        ('<svg viewBox="0 0 0 5"><circle r="5"/></svg>', "above 0"),
        ('<path d="M0 0 L10 10 M0 0"/>', "the outline is open"),
        ('<circle r="50000"/>', "check the unit"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_line(tmp_path, body, words):
    with pytest.raises(InputError, match=words) as caught:
        read(tmp_path, "a.svg", svg(MM, "\n\n" + body))
    assert str(caught.value).startswith("a.svg: ")
    assert caught.value.hint
    if "open" not in words:
        assert "line 3" in str(caught.value)


def test_entities_are_refused_and_nothing_is_fetched(tmp_path):
    secret = tmp_path / "secret.txt"
    secret.write_text("M0 0h20v10h-20z")
    doubling = "".join(f'<!ENTITY l{k} "{f"&l{k - 1};" * 10}">' for k in range(1, 12))
    bombs = [
        f'<!DOCTYPE svg [<!ENTITY l0 "M0 0 ">{doubling}]>' + svg(MM, '<path d="&l11;"/>'),
        f'<!DOCTYPE svg [<!ENTITY x SYSTEM "{secret.as_uri()}">]>' + svg(MM, '<path d="&x;"/><g>&x;</g>'),
        f'<!DOCTYPE svg [<!ENTITY % x SYSTEM "{secret.as_uri()}"> %x;]>' + svg(MM, RECT),
    ]
    for bomb in bombs:
        with pytest.raises(CaptureError, match="entity"):
            read(tmp_path, "a.svg", bomb)
    plain = '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://example.invalid/svg11.dtd">' + svg(
        MM, RECT
    )
    assert size(read(tmp_path, "a.svg", plain).points_mm) == (96.0, 48.0)


@pytest.mark.slow
def test_drawings_that_multiply_without_end_are_refused(tmp_path):
    body = '<g id="g0"><text/></g>'
    for k in range(1, 9):
        body += f'<g id="g{k}">' + f'<use href="#g{k - 1}"/>' * 10 + "</g>"
    with pytest.raises(CaptureError, match="more than 30000 elements"):
        read(tmp_path, "a.svg", svg(MM, body))
    with pytest.raises(CaptureError, match="within each other"):
        read(tmp_path, "a.svg", svg(MM, "<g>" * 5000 + RECT + "</g>" * 5000))


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ('<path d="M0 0h30v20h-30z' + "z" * 60 + '"/>', "more than 50 points"),
        ('<path d="' + "M1 1" * 60 + '"/>', "more than 50 points"),
        ('<polygon points="' + "0 1 " * 60 + '"/>', "points: more than 100 numbers"),
        ('<g transform="' + "rotate(1)" * 60 + f'">{RECT}</g>', "transform: more than 50 steps"),
    ],
    ids=["ends", "beginnings", "corners", "turns"],
)
def test_what_draws_nothing_counts_too(tmp_path, monkeypatch, body, words):
    monkeypatch.setattr("cradle.drawings.bounds.MOST_POINTS", 50)
    monkeypatch.setattr("cradle.drawings.svg_frame._MOST_NUMBERS", 100)
    monkeypatch.setattr("cradle.drawings.svg_frame._MOST_STEPS", 50)
    with pytest.raises(CaptureError, match=words):
        read(tmp_path, "a.svg", svg(MM, body))


def test_a_long_list_of_numbers_is_read_in_little_memory():
    tracemalloc.start()
    try:
        assert len(numbers("0 1 " * 50_000, where="points")) == 100_000
        assert tracemalloc.get_traced_memory()[1] < 10_000_000  # the numbers themselves take 3
    finally:
        tracemalloc.stop()


def test_path_data_is_scanned_in_linear_time():
    with pytest.raises(CaptureError, match="character 200001 cannot be read"):
        list(segments("," * 200_000 + "?"))
    assert len(list(segments("M0 0" + " 1" * 100_000))) == 50_001


def test_half_outlines_may_be_open(tmp_path):
    body = '<path d="M50 10 C90 10 90 90 50 90"/>'
    outline = read(tmp_path, "a.svg", svg(MM, body), half=True)
    assert outline.open_ends
    assert sorted(outline.points_mm[[0, -1]].tolist()) == [[50.0, 10.0], [50.0, 90.0]]
    with pytest.raises(
        OutlineError, match=r"the outline is open: its ends .50.00, 90.00. and .50.00, 10.00. are 80 mm apart"
    ):
        read(tmp_path, "a.svg", svg(MM, body))
    closed = read(tmp_path, "a.svg", svg(MM, '<path d="M50 10 C90 10 90 90 50 90z"/>'), half=True)
    assert not closed.open_ends
