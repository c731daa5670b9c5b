"""Colours of words on what they stand on: WCAG 2.2, success criterion 1.4.3, at least 4.5 : 1."""

import itertools
import re

import pytest
from contrast import contrast

from cradle.export import sheet_svg, svg
from cradle.report.page import STYLE

NAMED = dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", STYLE.read_text(encoding="utf-8")))
GROUNDS = ("#ffffff", NAMED["paper"], NAMED["panel"])


@pytest.mark.parametrize(
    ("name", "ground"), [*itertools.product(["ink", "soft", "sea", "thing", "go", "wait", "stop"], GROUNDS)]
)
def test_words_can_be_read_on_every_ground(name, ground):
    assert contrast(NAMED[name], ground) >= 4.5


def test_lines_and_words_of_the_drawings_can_be_read_on_white():
    inks = {*svg._INKS, sheet_svg._DARK, sheet_svg._FAINT, *sheet_svg._INKS.values()}
    assert all(contrast(ink, "#ffffff") >= 4.5 for ink in inks)
