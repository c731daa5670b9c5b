"""Which style an element has: the order of rules that SVG takes from CSS (SVG 1.1, chapter 6; CSS 2.1, 6.4)."""

import pytest

from cradle.drawings.svg_style import StyleSheet
from cradle.drawings.svg_tree import read_tree
from cradle.errors import CaptureError

SVG = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:x="urn:x">{}</svg>'


def element(text):
    return read_tree(SVG.format(text).encode()).children[0]


@pytest.mark.parametrize(
    ("rules", "drawn", "hidden"),
    [
        ("", '<rect display="none"/>', True),
        ("", '<rect style="display:none"/>', True),
        (".a{display:none}", '<rect class="b a"/>', True),
        (".a{display:none}", '<rect class="ab"/>', False),
        ("#k{display:none}", '<rect id="k"/>', True),
        ("rect{display:none}", "<rect/>", True),
        ("rect{display:none}", "<circle/>", False),
        ("*{display:none}", "<circle/>", True),
        ("rect, circle {fill:red; display : none}", "<circle/>", True),
        (".a{display:none} .a{display:inline}", '<rect class="a"/>', False),
        (".a{display:inline}", '<rect class="a" display="none"/>', False),  # a rule is above an attribute
        (
            ".a{display:none}",
            '<rect class="a" style="display:inline"/>',
            False,
        ),  # and the own style above all
        ("/* .a{display:none} */", '<rect class="a"/>', False),
        ("@media print{.a{display:none}}", '<rect class="a"/>', False),
        ("@media print{.b{fill:red} .a{display:none}} #k{display:none}", '<rect class="a"/>', False),
        ("@media print{.b{fill:red} .a{display:none}} .a{display:none}", '<rect class="a"/>', True),
        ("@MEDIA only print and (color), speech{.a{display:none}}", '<rect class="a"/>', False),
        ("@media not screen{.a{display:none}}", '<rect class="a"/>', False),
        ("@media print{.a{display:none}} @media not print{.a{display:none}}", '<rect class="a"/>', True),
        ("@media print, screen{.a{display:none}}", '<rect class="a"/>', True),
        ("@media (min-width:9px){.a{display:none}}", '<rect class="a"/>', True),
        ("@supports (x:y){@media print{.a{display:none}}}", '<rect class="a"/>', False),
        ('@import "x.css"; .a{display:none}', '<rect class="a"/>', True),
        # the nearer selector wins, then the later rule; important ones before all (CSS 2.1, 6.4)
        ("#k{display:none} .a{display:inline} rect{display:inline}", '<rect class="a" id="k"/>', True),
        (".a{display:none} rect{display:inline} *{display:inline}", '<rect class="a"/>', True),
        ("*{display:inline}", '<rect display="none"/>', False),
        ("*{display:none!important}", '<rect style="display:inline"/>', True),
        ("rect{display:none ! important} rect{display:inline}", "<rect/>", True),
        (".a{display:none!important}", '<rect class="a"/>', True),
        (".a{display:none", '<rect class="a"/>', True),
    ],
)
def test_the_rule_that_counts_hides_or_shows(rules, drawn, hidden):
    assert StyleSheet([rules]).hides(element(drawn)) is hidden


def test_visibility_is_inherited_and_can_be_taken_back():
    styles = StyleSheet([".off{visibility:hidden} .on{visibility:visible}"])
    assert not styles.is_visible(element('<g class="off"/>'), where_visible=True)
    assert styles.is_visible(element('<g class="on"/>'), where_visible=False)
    assert not styles.is_visible(element("<g/>"), where_visible=False)
    assert styles.is_visible(element('<g visibility="inherit"/>'), where_visible=True)


def test_an_element_knows_its_line_and_foreign_names_their_space():
    root = read_tree(SVG.format('\n<x:rect/>\n<rect id="k"/>').encode())
    assert [str(e) for e in root.children] == ["{urn:x}rect (line 2)", 'rect "k" (line 3)']


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"\x1f\x8b\x08", "compressed"),
        (b"<svg>", "line 1, column 6: the file ends too soon; this is not well-formed SVG"),
        (b"<svg>\n<g></h></svg>", 'line 2, column 6: "h></svg>" is not understood here'),
        (b"<svg a=1/>", 'line 1, column 8: "1/>" is not understood here'),
        (b"<html/>", "expected an svg element at the top, not html"),
        (b'<!DOCTYPE s [<!ENTITY a "b">]><svg/>', "line 1: the file declares an entity"),
        (SVG.format("<g>" * 200 + "</g>" * 200).encode(), "more than 128 elements within each other"),
        (b'<?xml version="1.0" encoding="none"?><svg/>', "cannot be decoded|unknown encoding"),
    ],
)
def test_what_is_no_plain_svg_is_refused_with_its_line(data, told):
    with pytest.raises(CaptureError, match=told):
        read_tree(data)


def test_an_element_that_follows_one_that_is_gone_is_judged_by_itself():
    styles = StyleSheet([])
    seen = [
        styles.is_visible(element(f'<g visibility="{said}"/>'), where_visible=True)
        for said in ("hidden", "inherit") * 50
    ]
    assert seen == [False, True] * 50
