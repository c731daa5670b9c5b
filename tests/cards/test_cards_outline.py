"""A card's sides are found to a small part of a pixel, wherever they lie between pixels and however a file keeps colours."""

from __future__ import annotations

import numpy as np
import pytest
from picture_scene import Shape, id_card, moved
from PIL import Image
from render_pictures import render_scan, save

from cradle.cards.card import LONG_MM, SHORT_MM
from cradle.cards.card_outline import card_outlines
from cradle.geometry.arrays import frozen
from cradle.pictures.image import read_picture

# ISO/IEC 7810 ID-1
CORNERS = np.array([[0.0, 0.0], [LONG_MM, 0.0], [LONG_MM, SHORT_MM], [0.0, SHORT_MM]])
STRAIGHT_MM = 6.0
WOOD = (110, 92, 78)


def _sides_off_px(tmp_path, *, name, colour, at_mm, turn_deg=0.0, ground=WOOD, mode="RGB"):
    """How far outside its side what is found of each lies in the mean, px, of a card without a shadow."""
    card = moved(id_card(colour=colour)[1:], by_mm=(at_mm, at_mm), turn_deg=turn_deg)
    corners = moved((Shape(rings_mm=(CORNERS,), colour=(0, 0, 0)),), by_mm=(at_mm, at_mm), turn_deg=turn_deg)
    scan = render_scan(card, page_mm=(115, 90), dpi=114, background=ground, blur_px=1.0, noise=3.0)
    save(scan, tmp_path / name, grey=mode)
    if mode == "L":  # as cameras write a picture that they show without colour
        with Image.open(tmp_path / name) as picture:
            picture.convert("RGB").save(tmp_path / name, quality=85)
    true = scan.project(corners[0].rings_mm[0], 0.0)
    found = next(card_outlines(read_picture(tmp_path / name), frozen(true + [[2.0, -1.0]])))
    per_mm = float(np.hypot(*(true[1] - true[0]))) / LONG_MM
    off = []
    for a, b in zip(true, np.roll(true, -1, axis=0), strict=True):
        ahead = (b - a) / np.hypot(*(b - a))
        along = (found - a) @ ahead
        away = (found - a) @ [-ahead[1], ahead[0]]
        straight = (along > STRAIGHT_MM * per_mm) & (along < np.hypot(*(b - a)) - STRAIGHT_MM * per_mm)
        off.append(float(np.median(away[straight & (np.abs(away) < 3.0)])))
    return off


@pytest.mark.parametrize("at_mm", [12.0, 12.05, 12.1, 12.15])
@pytest.mark.parametrize("name", ["a.png", "a.jpg"])
def test_a_side_along_the_pixels_is_not_drawn_to_one_of_them(tmp_path, name, at_mm):
    off = _sides_off_px(tmp_path, name=name, colour=(20, 30, 60), at_mm=at_mm)
    assert np.abs(off).max() < 0.12


@pytest.mark.parametrize(("at_mm", "turn_deg"), [(12.0, 0.0), (12.06, 0.0), (14.0, 4.0)])
def test_colour_alone_kept_for_pairs_of_pixels_does_not_move_a_side(tmp_path, at_mm, turn_deg):
    """As bright as the wood: half way between its light lies inside a card whose colours were mixed as levels."""
    off = _sides_off_px(tmp_path, name="a.jpg", colour=(60, 95, 150), at_mm=at_mm, turn_deg=turn_deg)
    assert abs(np.mean(off)) < 0.1
    assert np.abs(off).max() < 0.3


@pytest.mark.parametrize("name", ["a.png", "a.jpg"])
def test_a_picture_without_colour_shows_a_card_too(tmp_path, name):
    off = _sides_off_px(
        tmp_path, name=name, colour=(40, 40, 40), at_mm=12.05, ground=(190, 190, 190), mode="L"
    )
    assert np.abs(off).max() < 0.12
