"""A card is seen by its four straight sides where it does not stand out from the ground as a whole."""

from __future__ import annotations

import numpy as np
import pytest
from daily import each_value_daily
from picture_scene import Shape, id_card, lettering, moved, rectangle, sheet_of_colour
from render_pictures import render_scan
from traced_grid import picture_of

from cradle.cards.card import LONG_MM, SHORT_MM
from cradle.errors import CaptureError
from cradle.project.picture import PictureSource
from cradle.scale.scale_search import find_scales

# sizes of ISO/IEC 7810 ID-1
PAGE_MM = (140.0, 110.0)
DPI = 200
STRIPE = sheet_of_colour(rectangle(0.0, 40.0, LONG_MM, 50.0), colour=(25, 25, 28), shadow_mm=0.0)
LYING = {"by_mm": (26.0, 24.0), "turn_deg": 5.0}
NEWS = (192, 191, 187)


def newsprint(rng):
    """Rows of small words, and of large ones that end at the sides of a card lying there."""
    words = ["spring", "rates", "the fox", "market", "who", "1984", "weather"]
    rows = []
    for y in np.arange(3.0, PAGE_MM[1], 3.4):
        text = " ".join(rng.choice(words, 14))
        rows += lettering(text, at_mm=(rng.uniform(-20, 0), y), size_mm=2.0, colour=(75, 75, 75))
    for y in (18.0, 36.0, 58.0, 80.0):
        rows += lettering(" ".join(rng.choice(words, 7)), at_mm=(-4.0, y), size_mm=5.5, colour=(50, 50, 50))
    return tuple(rows)


def corners_off_px(scene, *, ground, faint=(False,)):
    """How far the corners of the card in a scan whose file states no scale lie from where they are, px."""
    scan = render_scan(scene, page_mm=PAGE_MM, dpi=DPI, background=ground)
    scales = find_scales(picture_of(scan), PictureSource(file="a.png"))[0]
    used = scales.used
    assert used.kind.value == "bank card"
    assert ("card-faint" in {f.code for f in scales.findings}) in faint
    sides = Shape(rings_mm=(rectangle(0.0, 0.0, LONG_MM, SHORT_MM),), colour=(0, 0, 0))
    (lying,) = moved((sides,), **LYING)
    true = scan.project(lying.rings_mm[0], 0.0)
    return np.hypot(*np.moveaxis(used.marks_px[:, None] - true, -1, 0)).min(axis=1)


@pytest.mark.first_daily
@pytest.mark.parametrize(("colour", "seed"), each_value_daily([((30, 45, 110),), ((150, 35, 30),)], [1, 2]))
def test_a_card_is_found_among_letters_that_touch_it(colour, seed):
    scene = (*newsprint(np.random.default_rng(seed)), *moved((*id_card(colour=colour), *STRIPE), **LYING))
    assert corners_off_px(scene, ground=NEWS).max() < 0.3


@pytest.mark.first_daily
@pytest.mark.parametrize("colour", [(236, 236, 226), (222, 224, 230)])
def test_a_card_hardly_darker_than_the_paper_is_found_where_its_shadow_begins(colour):
    """Its shadow ends 3 px outside of two of its sides, in a greater step than the side's own."""
    scene = moved((*id_card(colour=colour), *STRIPE), **LYING)
    assert corners_off_px(scene, ground=(250, 250, 249), faint=(True, False)).max() < 0.3


@pytest.mark.first_daily
@pytest.mark.parametrize("seed", [1, 2])
def test_paper_with_sharp_corners_among_letters_is_no_card(seed):
    paper = sheet_of_colour(rectangle(0.0, 0.0, LONG_MM, SHORT_MM), colour=(30, 45, 110))
    scene = (*newsprint(np.random.default_rng(seed)), *moved((*paper, *STRIPE), **LYING))
    with pytest.raises(CaptureError, match="no card"):
        corners_off_px(scene, ground=NEWS)


@pytest.mark.slow
def test_letters_alone_are_no_card():
    with pytest.raises(CaptureError, match="no card"):
        corners_off_px(newsprint(np.random.default_rng(3)), ground=NEWS)


@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("colour", "beside_mm"), each_value_daily([((190, 160, 70),), ((150, 35, 30),)], [1.2, 2.0])
)
def test_a_card_beside_a_mats_lines_is_found_by_its_own_sides(colour, beside_mm):
    """Light lines 10 mm apart, of which some run along the card's sides."""
    at = np.arange(-4, 14) * 10.0 - beside_mm
    lines = [rectangle(x, -60.0, x + 0.4, 160.0) for x in at] + [
        rectangle(-60.0, y, 160.0, y + 0.4) for y in at
    ]
    mat = Shape(rings_mm=tuple(lines), colour=(180, 190, 150))
    scene = moved((mat, *id_card(colour=colour), *STRIPE), **LYING)
    assert corners_off_px(scene, ground=(30, 90, 70)).max() < 0.5


def chips(rng, *, colour, count):
    """Small chips all over the page, as stone has."""
    at = rng.uniform(-60.0, 160.0, (count, 2))
    size = rng.uniform(0.4, 1.6, count)
    rings = tuple(rectangle(x, y, x + s, y + s) for (x, y), s in zip(at, size, strict=True))
    return Shape(rings_mm=rings, colour=colour)


def flowers(*, colour, first_mm):
    """Round spots all over the page, some of which the card half covers."""
    turn = np.linspace(0.0, 2 * np.pi, 24, endpoint=False)
    spot = 5.0 * np.column_stack([np.cos(turn), np.sin(turn)])
    places = [(x, y) for x in np.arange(first_mm, 150.0, 22.0) for y in np.arange(first_mm, 120.0, 11.0)]
    return Shape(rings_mm=tuple(spot + place for place in places), colour=colour)


def checks(side_mm=16.0):
    """A cloth's stripes both ways, darker where they cross: its lines are longer than a card's sides."""
    at = np.arange(-60.0, 160.0, 2 * side_mm)
    stripes = [
        Shape(rings_mm=tuple(ring(a) for a in at), colour=(150, 165, 210))
        for ring in (
            lambda a: rectangle(a, -60.0, a + side_mm, 170.0),
            lambda a: rectangle(-60.0, a, 170.0, a + side_mm),
        )
    ]
    crossed = tuple(rectangle(x, y, x + side_mm, y + side_mm) for x in at for y in at)
    return (*stripes, Shape(rings_mm=crossed, colour=(50, 80, 165)))


@pytest.mark.first_daily
@pytest.mark.parametrize("seed", [1, 2])
def test_a_dark_card_is_found_on_stone_whose_chips_step_more_than_its_sides(seed):
    rng = np.random.default_rng(seed)
    stone = (chips(rng, colour=(170, 168, 166), count=5000), chips(rng, colour=(40, 40, 40), count=5000))
    scene = (*stone, *moved((*id_card(colour=(34, 34, 40)), *STRIPE), **LYING))
    assert corners_off_px(scene, ground=(98, 92, 92)).max() < 0.5


def test_a_card_is_found_on_a_cloth_whose_flowers_have_more_colour_than_it():
    scene = (
        flowers(colour=(200, 40, 50), first_mm=2.0),
        flowers(colour=(235, 170, 40), first_mm=13.0),
        *moved((*id_card(colour=(34, 34, 40)), *STRIPE), **LYING),
    )
    assert corners_off_px(scene, ground=(238, 236, 222)).max() < 0.5


@pytest.mark.first_daily
@pytest.mark.parametrize("colour", [(176, 184, 196), (150, 35, 30)])
def test_a_card_is_found_among_a_cloths_longer_lines(colour):
    scene = (*checks(), *moved((*id_card(colour=colour), *STRIPE), **LYING))
    assert corners_off_px(scene, ground=(243, 238, 226), faint=(True, False)).max() < 0.5
