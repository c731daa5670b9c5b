"""Pieces that touch count as one; the user is told when one looks like several, and when a number is missing."""

from __future__ import annotations

import numpy as np
import pytest
from picture_scene import ellipse, moved, notch_ring, rectangle, ruler_mm, sheet_of_colour
from render_pictures import render_scan, save
from traced_grid import BLUE

from cradle.capture.tracing import trace_picture
from cradle.errors import CaptureError
from cradle.geometry.planar import outer_rings, region, union
from cradle.pictures.grain import Grain, LengthUnit
from cradle.pictures.touching_pieces import neck_doubt, neck_of
from cradle.project.picture import PictureSource

ARC = np.linspace(np.pi, 2 * np.pi, 60)
HOLLOW = np.column_stack([40 * np.cos(ARC), 25 * np.sin(ARC)])
WHOLE = {
    "oval": ellipse(120, 70),
    "bean": np.column_stack(
        [62 * np.cos(t := np.arange(360) * np.pi / 180), 45 * np.sin(t) + 15 * np.cos(2 * t)]
    ),
    "notched": notch_ring(HOLLOW, side_mm=20),
    "strip": rectangle(0, 0, 150, 9),
    "waisted": np.column_stack([(20 + 8 * np.cos(2 * t)) * np.cos(t), (20 + 8 * np.cos(2 * t)) * np.sin(t)]),
    "with a tab": np.array([[0.0, 0], [60, 0], [60, 20], [64, 20], [64, 24], [60, 24], [60, 40], [0, 40]]),
}


@pytest.mark.parametrize("name", WHOLE)
def test_one_piece_is_not_taken_for_two(name):
    assert neck_of(WHOLE[name]) is None


@pytest.mark.parametrize("bridge", [0.4, 2.0, 5.0])
def test_the_width_of_a_neck_is_that_of_the_bridge(bridge):
    low, high = 20 - bridge / 2, 20 + bridge / 2
    two = np.array(
        [
            [0.0, 0],
            [40, 0],
            [40, low],
            [43, low],
            [43, 0],
            [90, 0],
            [90, 40],
            [43, 40],
            [43, high],
            [40, high],
        ]
    )
    ring = np.concatenate([two, [[40.0, 40], [0, 40]]])
    neck = neck_of(ring)
    assert neck.parts == 2
    assert bridge <= neck.width_mm < bridge + 1.2
    assert neck.smaller_mm == pytest.approx(2 * np.sqrt(40 * 40 / np.pi), rel=0.06)


def _joined(apart, *, width):
    """Two discs of 30 and 24 mm whose middles are so far apart, joined by a bar as a hand cuts it."""
    x = np.linspace(0, apart, 60)
    wobble = 0.12 * np.sin(1.7 * x)
    bar = np.concatenate(
        [np.column_stack([x, width / 2 + wobble]), np.column_stack([x, -width / 2 + wobble])[::-1]]
    )
    whole = union([region(ellipse(30, 30)), region(ellipse(24, 24, centre=(apart, 0.0))), region(bar)])
    return outer_rings(whole)[0]


@pytest.mark.parametrize(
    ("apart", "width", "own"),
    [
        (40, 2.5, True),
        (60, 4.0, True),
        (36, 3.0, True),
        (26.8, 0.1, False),
        (26.7, 0.1, False),
        (29.0, 4.0, False),
    ],
)
def test_a_long_neck_is_a_thing_s_own_and_where_pieces_touch_it_is_short(apart, width, own):
    ring = _joined(apart, width=width)
    assert neck_of(ring).own is own
    grain = Grain(mm=0.1, unit=LengthUnit.MM)
    assert len(list(neck_doubt(ring, grain=grain))) == (not own)


@pytest.mark.slow
def test_touching_pieces_are_told_when_a_number_is_missing_and_when_none_is_asked_for(tmp_path):
    scene = (
        *sheet_of_colour(ellipse(60, 40, centre=(45, 110)), colour=BLUE),
        *sheet_of_colour(ellipse(50, 40, centre=(99.9, 110)), colour=BLUE),
        *sheet_of_colour(ellipse(30, 20, centre=(60, 70)), colour=BLUE),
        *moved(ruler_mm(length_mm=110), by_mm=(15, 45)),
    )
    save(render_scan(scene, page_mm=(140, 140), dpi=110), tmp_path / "a.png", grey="RGB")
    found = trace_picture(tmp_path / "a.png", PictureSource(file="a.png"))
    assert len(found.pieces) == 2
    (doubt,) = [f for f in found.findings if f.code == "pieces-touch"]
    assert doubt.where == "a.png: piece 1"
    assert doubt.severity.value == "warn"
    with pytest.raises(CaptureError, match="no piece 3, the picture shows 2") as error:
        trace_picture(tmp_path / "a.png", PictureSource(file="a.png", pick=3))
    assert "1: 110 x 40 mm, 2: 30 x 20 mm" in error.value.found
    assert "those that touch each other count as one" in error.value.hint
    assert "piece 1 looks like several that touch" in error.value.hint
    (one,) = trace_picture(tmp_path / "a.png", PictureSource(file="a.png", pick=2)).pieces
    assert not [f for f in one.findings if f.code == "pieces-touch"]
