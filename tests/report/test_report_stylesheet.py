"""Colours of words on what they stand on: WCAG 2.2, success criterion 1.4.3, at least 4.5 : 1."""

import itertools
import re

import pytest

from cradle.export import sheet_svg, svg
from cradle.report.stylesheet import STYLE

NAMED = dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", STYLE))
GROUNDS = ("#ffffff", NAMED["paper"], NAMED["panel"])


def luminance(colour):
    """Relative luminance (WCAG 2.2, definitions)."""
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_black_on_white_has_the_contrast_that_the_guideline_states():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize(
    ("name", "ground"), [*itertools.product(["ink", "soft", "sea", "thing", "go", "wait", "stop"], GROUNDS)]
)
def test_words_can_be_read_on_every_ground(name, ground):
    assert contrast(NAMED[name], ground) >= 4.5


def test_lines_and_words_of_the_drawings_can_be_read_on_white():
    inks = {*svg._INKS, sheet_svg._DARK, sheet_svg._FAINT, *sheet_svg._INKS.values()}
    assert all(contrast(ink, "#ffffff") >= 4.5 for ink in inks)
