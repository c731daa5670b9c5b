"""Pixels finer than an edge is are averaged, and its place stays."""

from __future__ import annotations

import numpy as np
import pytest

from cradle.pictures.contour import piece_contour
from cradle.pictures.crop import crop_of
from cradle.pictures.image import Picture
from cradle.pictures.light import level_of, light_of
from cradle.pictures.pieces import pieces_of
from cradle.pictures.regions import find_things
from cradle.pictures.resolution import Resolution

RADIUS_PX, MIDDLE_PX = 160.4, (1000.7, 210.3)


def _picture():
    """A disc on a long strip, as a fine scan shows it: the small copy has five of its pixels in one."""
    y, x = np.mgrid[0:420, 0:4500].astype(np.float32)
    part = np.clip(RADIUS_PX + 0.5 - np.hypot(x - MIDDLE_PX[0], y - MIDDLE_PX[1]), 0, 1)
    one, other = light_of(np.array([200.0, 80.0]))
    grey = np.rint(level_of(one + part * (other - one))).astype(np.uint8)
    return Picture(file="a", grey=grey, colour=None, resolution=Resolution(dpi=None, told_by="none"))


@pytest.mark.parametrize(("grain_mm", "times"), [(0.1, 1), (0.04, 2)])
def test_an_edge_lies_where_it_does_however_fine_the_pixels_are(grain_mm, times):
    picture = _picture()
    regions = pieces_of(find_things(picture))
    assert crop_of(picture, regions, 1, grain_mm=grain_mm, least_pad=8).times == times
    edge = piece_contour(picture, regions, 1, grain_mm=grain_mm)
    assert edge.ring_px.mean(axis=0) == pytest.approx(MIDDLE_PX, abs=0.1)
    away = np.hypot(*(edge.ring_px - MIDDLE_PX).T)
    assert away.mean() == pytest.approx(RADIUS_PX, abs=0.15)
    assert np.abs(away - RADIUS_PX).max() < 0.45


def test_points_go_to_the_crop_and_back():
    picture = _picture()
    crop = crop_of(picture, pieces_of(find_things(picture)), 1, grain_mm=0.04, least_pad=8)
    points = np.array([[850.0, 60.5], [1011.25, 300.0]])
    assert crop.in_picture(crop.from_picture(points)) == pytest.approx(points, abs=1e-9)
    # by hand: the middle between the two pixels that are averaged to the crop's first
    assert crop.in_picture(np.zeros((1, 2))) == pytest.approx(np.array(crop.corner_px)[None] + 0.5)
