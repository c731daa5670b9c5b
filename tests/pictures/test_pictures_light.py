"""A blurred edge mixes light, not levels: pieces lighter and darker than their ground come out alike."""

from __future__ import annotations

import io
from dataclasses import replace

import cv2
import numpy as np
import pytest
from PIL import Image

from cradle.pictures.contour import piece_contour
from cradle.pictures.image import Picture
from cradle.pictures.light import level_of, light_of, light_scale
from cradle.pictures.pieces import pieces_of
from cradle.pictures.regions import find_things
from cradle.pictures.resolution import Resolution

RADIUS_PX, MIDDLE_PX = 70.3, (150.2, 140.6)
UNTOLD = Resolution(dpi=None, told_by="no resolution")


def test_light_of_levels_is_another_librarys():
    # OpenCV's CIE L* of grey, which is (L + 16)^3 / 116^3 of the light where it is above 8 (CIE 15:2004)
    levels = np.array([60.0, 100.0, 128.0, 188.0, 255.0])
    grey = np.repeat(levels[None, :, None] / 255.0, 3, axis=2).astype(np.float32)
    lightness = cv2.cvtColor(grey, cv2.COLOR_RGB2LAB)[0, :, 0].astype(np.float64)
    assert light_of(levels) == pytest.approx(((lightness + 16) / 116) ** 3, abs=2e-3)
    assert level_of(light_of(levels)) == pytest.approx(levels, abs=1e-6)


def _disc(piece, ground, *, times=1, shape=(290, 300)):
    """A disc's picture, blurred in light, and its region."""
    y, x = np.mgrid[0 : shape[0] * times, 0 : shape[1] * times] + 0.5
    away = np.hypot(x / times - 0.5 - MIDDLE_PX[0], y / times - 0.5 - MIDDLE_PX[1])
    part = np.clip((RADIUS_PX - away) * times + 0.5, 0, 1)[..., None]
    one, other = light_of(np.array(ground)), light_of(np.array(piece))
    mixed = cv2.GaussianBlur(one + part * (other - one), (0, 0), 0.9 * times)
    colour = np.rint(level_of(mixed)).astype(np.uint8)
    grey = cv2.cvtColor(colour, cv2.COLOR_RGB2GRAY)
    return Picture(file="a", grey=np.asarray(grey), colour=colour, resolution=UNTOLD)


@pytest.mark.parametrize(
    ("piece", "ground"),
    [
        ((30.0, 30.0, 32.0), (250.0, 250.0, 250.0)),
        ((240.0, 240.0, 236.0), (40.0, 42.0, 46.0)),
        ((150.0, 150.0, 152.0), (244.0, 244.0, 242.0)),
        ((216.0, 178.0, 126.0), (104.0, 74.0, 54.0)),
    ],
    ids=["black on white", "white on black", "grey on white", "wood on wood"],
)
def test_a_piece_is_as_large_on_dark_ground_as_on_light(piece, ground):
    picture = _disc(piece, ground)
    edge = piece_contour(picture, pieces_of(find_things(picture)), 1, grain_mm=0.1)
    radius = np.hypot(*(edge.ring_px - MIDDLE_PX).T)
    assert radius.mean() == pytest.approx(RADIUS_PX, abs=0.12)  # by levels: up to 0.5 px off


COLOURED = {
    "red": (170.0, 40.0, 44.0),
    "blue": (40.0, 80.0, 150.0),
    "kraft": (172.0, 134.0, 92.0),
    "cork": (190.0, 150.0, 104.0),
}


def _as_jpeg(picture, *, sampling):
    """The picture written and read again; ``sampling`` 0 keeps colour at every pixel, 2 at every second one each way."""
    kept = io.BytesIO()
    Image.fromarray(picture.colour).save(kept, "JPEG", quality=90, subsampling=sampling)
    colour = np.array(Image.open(kept))
    grey = cv2.cvtColor(colour, cv2.COLOR_RGB2GRAY)
    return replace(picture, colour=colour, grey=np.asarray(grey), colour_px=1 if sampling == 0 else 2)


@pytest.mark.parametrize("sampling", [0, 2], ids=["colour of every pixel", "colour of every second"])
@pytest.mark.parametrize("piece", COLOURED.values(), ids=COLOURED)
def test_a_coloured_piece_is_as_large_as_it_is(piece, sampling):
    picture = _as_jpeg(_disc(piece, (246.0, 246.0, 244.0)), sampling=sampling)
    edge = piece_contour(picture, pieces_of(find_things(picture)), 1, grain_mm=0.1)
    radius = np.hypot(*(edge.ring_px - MIDDLE_PX).T)
    # by levels of the colour: 0.4 to 0.7 px too small
    assert radius.mean() == pytest.approx(RADIUS_PX, abs=0.17)
    # 10 to 90 % of a blur of 0.9 px, of the pixel, and of the field's
    assert np.quantile(edge.width_px, 0.5) < 4.0
    assert np.sqrt((edge.unsure_px**2).mean()) < 0.3


def test_beside_a_deep_shadow_an_edge_is_as_unsure_as_it_is_off():
    """Half the disc lies in a shadow that takes up to 0.6 of the light and ends 4 px outside it."""
    picture = _disc(COLOURED["red"], (246.0, 246.0, 244.0))
    y, x = np.mgrid[0:290, 0:300]
    away = np.hypot(x - MIDDLE_PX[0], y - MIDDLE_PX[1])
    deep = 0.6 / (1 + np.exp((away - RADIUS_PX - 4.0) / 2.0)) * (x > MIDDLE_PX[0]) * (away > RADIUS_PX)
    shaded = np.rint(level_of(light_of(picture.colour.astype(float)) * (1 - deep[..., None]))).astype(
        np.uint8
    )
    picture = _as_jpeg(replace(picture, colour=shaded), sampling=2)
    edge = piece_contour(picture, pieces_of(find_things(picture)), 1, grain_mm=0.1)
    off = np.hypot(*(edge.ring_px - MIDDLE_PX).T) - RADIUS_PX
    unsure = float(np.sqrt((edge.unsure_px**2).mean()))
    assert np.quantile(np.abs(off), 0.95) < 1.7
    assert unsure > 0.3  # beside none it is 0.1
    assert float(np.sqrt((off**2).mean())) < 2 * unsure


def test_where_mixing_turns_the_field_back_there_is_no_scale():
    # red turned blue: half way, the levels of both channels together lie above both ends
    assert light_scale(ground=np.full(3, 250.0), piece=np.full(3, 30.0), weight=np.ones(3) / 3) is not None
    weight = np.array([0.5, 0.0, 0.5])
    assert light_scale(ground=np.array([200.0, 9, 20]), piece=np.array([20.0, 9, 202]), weight=weight) is None
