"""Which piece of a picture is meant."""

import re
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from stacked import rectangle

from cradle.capture.piece_selection import picked, the_only
from cradle.capture.traced_picture import TracedPiece
from cradle.errors import CaptureError
from cradle.pictures.grain import Grain
from cradle.project.picture import PictureSource, Traced


def piece(number, *, at=(0.0, 0.0), size=(20.0, 10.0)):
    ring = rectangle(*size) + np.array(at)
    return TracedPiece(number=number, ring_mm=ring, ring_px=ring * 10)


IN_MM = Grain(mm=0.1)
PIECES = (piece(1), piece(2, at=(50, 0)), piece(3, at=(0, 40), size=(60, 50)))


def numbers(**source):
    found = picked(PIECES, PictureSource(file="a.png", **source), grain=IN_MM, where="section[1]")
    return [p.number for p in found]


def test_all_are_meant_where_none_is_asked_for():
    assert numbers() == [1, 2, 3]


def test_a_number_or_a_point_picks_one():
    assert numbers(pick=2) == [2]
    assert numbers(point_px=(500.0, 0.0)) == [2]
    assert numbers(point_px=(250.0, 390.0)) == [3]


def test_front_and_back_come_in_this_order():
    assert numbers(pick=3, back=1) == [3, 1]
    assert numbers(back=2) == [1, 2]


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ({"pick": 5}, r"no piece 5, the picture shows 3 \(1: 20 x 10 mm, 2: 20 x 10 mm, 3: 60 x 50 mm\)"),
        ({"pick": 1, "back": 9}, "no piece 9"),
        (
            {"point_px": (3000.0, 5.0)},
            r"the point \(3000, 5\) px lies on no piece; the picture shows 3 \(1: at \(.*\) px, .*3: at \(.*; give a point on",
        ),
    ],
)
def test_what_is_not_there_is_told_with_what_is(source, words):
    with pytest.raises(CaptureError, match=words) as caught:
        numbers(**source)
    assert str(caught.value).startswith("section[1]")


def test_the_points_told_in_place_of_one_beside_all_pieces_lie_on_them():
    bent = np.array([[0, 0], [400, 0], [400, 20], [20, 20], [20, 400], [0, 400]], dtype=np.float64)
    pieces = (*PIECES, TracedPiece(number=4, ring_mm=bent / 10, ring_px=bent + 2000))
    with pytest.raises(CaptureError) as caught:
        picked(pieces, PictureSource(file="a.png", point_px=(1500.0, 5.0)), grain=IN_MM, where="s")
    told = re.findall(r"(\d+): at \((-?\d+), (-?\d+)\) px", str(caught.value))
    assert len(told) == 4
    for number, x, y in told:
        point = (float(x), float(y))
        asked = PictureSource(file="a.png", point_px=point)
        assert [p.number for p in picked(pieces, asked, grain=IN_MM, where="s")] == [int(number)]


def test_of_hundreds_of_pieces_the_first_are_told_and_the_others_counted():
    many = tuple(piece(k + 1, at=(30 * k, 0)) for k in range(700))
    with pytest.raises(CaptureError, match="12: 20 x 10 mm and 688 more") as caught:
        picked(many, PictureSource(file="a.png", pick=701), grain=IN_MM, where="s")
    assert len(str(caught.value)) < 600
    with pytest.raises(CaptureError, match=r"12: at \(.* px and 688 more") as caught:
        picked(many, PictureSource(file="a.png", point_px=(-900.0, 0.0)), grain=IN_MM, where="s")
    assert len(str(caught.value)) < 600


def test_where_hollows_are_meant_they_are_taken_before_whole_outlines():
    none = CaptureError("the piece has no hollow")
    whole = [replace(piece, no_notch=none) for piece in PIECES[:2]]
    cut_outs = PictureSource(file="a.png", shape=Traced.CUT_OUT)
    hollows = picked([*whole, piece(4, at=(90, 0))], cut_outs, grain=IN_MM, where="s")
    assert [p.number for p in hollows] == [4]
    for asked in (cut_outs, replace(cut_outs, pick=2), replace(cut_outs, point_px=(500.0, 0.0))):
        with pytest.raises(CaptureError, match="the piece has no hollow"):
            picked(whole, asked, grain=IN_MM, where="s")


def test_the_only_piece_needs_no_picking_and_several_do():
    assert the_only(SimpleNamespace(pieces=PIECES[:1]), where="s") is PIECES[0]
    with pytest.raises(CaptureError, match=r"shows 2 pieces .* pick one"):
        the_only(SimpleNamespace(pieces=PIECES[:2], grain=IN_MM), where="s")
