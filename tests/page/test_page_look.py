"""What can be told of the page's look without a browser: contrast, names, and one place for everything."""

import re
from itertools import pairwise
from pathlib import Path

import pytest
from contrast import contrast, luminance
from html_read import read

from cradle.page.server import WEB
from cradle.report import viewer

SHARED = Path(viewer.__file__).parent / "web"
STYLE = (WEB / "style.css").read_text(encoding="utf-8")
LIGHT, DARK = (
    dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", block)) for block in STYLE.split("@media", 2)[:2]
)


def test_the_measure_is_that_of_the_guideline():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)  # WCAG 2.2, contrast ratio
    # the well-known grey that just fails
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("ground", ["paper", "panel", "field"])
@pytest.mark.parametrize("ink", ["ink", "soft", "sea", "go", "wait", "stop"])
def test_words_stand_out_from_every_ground(look, ground, ink):
    assert contrast(look[ink], look[ground]) >= 4.5  # WCAG 2.2, success criterion 1.4.3


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=["light", "dark"])
def test_buttons_and_lines_stand_out(look):
    assert contrast(look["on-sea"], look["sea"]) >= 4.5
    for line in ("sea", "thing", "stop", "soft"):
        assert contrast(look[line], look["field"]) >= 3  # WCAG 2.2, success criterion 1.4.11


def test_the_colours_of_the_gap_differ_in_lightness():
    view = (SHARED / "solid.js").read_text(encoding="utf-8")
    shades = re.findall(r'swatch\("(#[0-9a-f]{6})"', view)
    assert len(shades) == 5
    wide = [luminance(colour) for colour in shades[1:4]]  # from what was asked for to wide
    assert wide == sorted(wide, reverse=True)
    assert all(contrast(a, b) > 1.5 for a, b in pairwise(shades[1:4]))
    assert contrast(shades[0], shades[1]) > 3  # too little against what was asked for


def test_the_page_has_each_of_its_places_once():
    page = read((WEB / "index.html").read_bytes())
    seen, ids = page.seen, page.ids
    assert len(ids) == len(set(ids)) > 8
    used = set()
    for script in WEB.rglob("*.js"):
        used |= set(re.findall(r"""\bat\("([\w-]+)"\)""", script.read_text(encoding="utf-8")))
    assert used <= set(ids)
    assert len(used) > 5
    assert dict(seen)["html"]["lang"] == "en"
    assert any(given.get("name") == "viewport" for tag, given in seen if tag == "meta")
    assert [
        given.get("aria-live") or given.get("role") for _, given in seen if given.get("id") == "trouble"
    ] == ["alert"]
