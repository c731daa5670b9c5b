"""Glare beside an edge: white near one between two things that are not white, or what is brighter than the ground, is told."""

import numpy as np
import pytest
from painted import BLACK, Table, box, scanned
from things_painted import egg, placed

from cradle.capture.tracing import trace_picture
from cradle.pictures.unclear_edge import bright_places, brighter_by, glare_places
from cradle.project.picture import PictureSource

OAK = np.array([168.0, 124.0, 82.0])
PALE = np.array([222.0, 222.0, 220.0])


def _places(spot_px, *, ground=OAK, soft=False):
    """Which of 60 places along an upright edge are told, a white spot of that size beside its middle."""
    levels = np.empty((120, 120, 3), np.uint8)
    levels[:, :60], levels[:, 60:] = PALE, ground
    half = spot_px // 2
    levels[60 - half : 60 + half + 1, 66 - half : 66 + half + 1] = 255
    points = np.column_stack([np.full(60, 59.5), np.linspace(5, 115, 60)])
    told = glare_places(
        levels, points, soft=np.full(60, soft), piece=PALE, ground=np.asarray(ground), reach_px=20.0
    )
    return points[told, 1]


def test_an_edge_near_a_white_spot_is_told_there_and_only_there():
    told = _places(21)
    assert len(told) > 10
    assert 20 < told.min() < 50
    assert 70 < told.max() < 100


@pytest.mark.parametrize("spot_px", [0, 3])
def test_writing_and_single_white_pixels_are_no_glare(spot_px):
    assert len(_places(spot_px)) == 0


def test_beside_white_ground_only_what_shows_no_step_is_glare():
    white = (250.0, 250.0, 250.0)
    assert len(_places(21, ground=white)) == 0
    assert len(_places(21, ground=(255.0, 255.0, 255.0), soft=True)) > 0


def test_on_paper_that_is_bright_but_not_white_a_white_spot_is_glare():
    assert len(_places(21, ground=(241.0, 242.0, 237.0))) > 10


def _bright(spot, *, ground=PALE, wide=21):
    """How many of 60 places along the upright edge of a dark piece are told, a spot of that colour beside its middle."""
    levels = np.empty((120, 120, 3), np.float32)
    levels[:] = ground
    half = wide // 2
    levels[60 - half : 60 + half + 1, 60 : 60 + wide] = spot
    own = np.zeros((120, 120), dtype=bool)
    own[:, :60] = True
    levels[own] = 40.0
    points = np.column_stack([np.full(60, 59.5), np.linspace(5, 115, 60)])
    above = brighter_by(levels, np.broadcast_to(np.float32(ground), levels.shape))
    return int(bright_places(above, points, own=own, least_px=9.0, reach_px=9.0).sum())


@pytest.mark.parametrize("spot", [(250.0, 241.0, 236.0), (255.0, 255.0, 255.0), (240.0, 246.0, 244.0)])
def test_what_is_brighter_than_the_ground_at_a_dark_edge_is_told(spot):
    assert 10 < _bright(spot) < 30


@pytest.mark.parametrize(
    ("spot", "wide"),
    [
        ((228.0, 226.0, 226.0), 21),  # uneven light
        ((255.0, 250.0, 120.0), 21),  # something yellow
        ((120.0, 120.0, 120.0), 21),  # a shadow
        ((255.0, 255.0, 255.0), 5),  # a mat's line
    ],
)
def test_other_light_and_colour_beside_a_dark_edge_and_thin_lines_are_no_glare(spot, wide):
    assert _bright(spot, wide=wide) == 0


@pytest.mark.first_daily
@pytest.mark.parametrize("glare", [False, True])
def test_a_reflection_that_takes_a_bite_out_of_a_dark_piece_is_told(tmp_path, glare):
    table = Table(90, 70, 8, (222, 232, 206), 2)
    ring = placed(egg(54, 38), at_mm=(44, 36))
    table.paint(ring, colour=BLACK)
    if glare:
        table.paint(box(36, 46, 46, 56), colour=(250, 241, 236))
        table.paint(box(30, 54.6, 56, 60), colour=(222, 232, 206))
    scanned(table, dpi=200).save(tmp_path / "a.png")
    traced = trace_picture(tmp_path / "a.png", PictureSource(file="a.png", dpi=200))
    assert ("edge-glare" in {f.code for f in traced.findings}) == glare
