"""A lens that bows a card's straight sides is found by that, and taken out of what is traced."""

from __future__ import annotations

import numpy as np
import pytest
from painted import KRAFT, Table, photographed
from things_painted import card_on, egg, placed

from cradle.calibration.bowed_sides import LensSeen, lens_seen
from cradle.calibration.calibration import bent, lens_of, through
from cradle.capture.tracing import trace_picture
from cradle.geometry.ring import signed_area
from cradle.project.picture import PictureSource

SIZE_PX = (2000, 1500)
LEANING = np.array([[1.0, 0.05, -40.0], [0.02, 0.97, 30.0], [2e-5, -3e-5, 1.0]])


def _sides(k1, *, at_px):
    """Sides of a card seen aslant through a lens."""
    x, y = at_px
    corners = np.array([(x, y), (x + 900, y), (x + 900, y + 570), (x, y + 570)], dtype=np.float64)
    parts = np.linspace(0.16, 0.84, 120)[:, None]
    straight = [a + parts * (b - a) for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)]
    return [bent(lens_of(SIZE_PX, k1), through(LEANING, side)) for side in straight]


@pytest.mark.parametrize("k1", [-0.04, 0.0, 0.02, 0.12])
@pytest.mark.parametrize("at_px", [(100, 120), (600, 500)])
def test_the_lens_is_what_makes_the_sides_straight(k1, at_px):
    seen = lens_seen(_sides(k1, at_px=at_px), SIZE_PX, spread_px=0.1)
    assert seen is not None
    assert seen.k1 == pytest.approx(k1, abs=2e-4)


def test_sides_that_are_bowed_unlike_one_another_tell_the_lens_less_surely():
    sides = _sides(0.02, at_px=(100, 120))
    seen = lens_seen(sides, SIZE_PX, spread_px=0.1)
    crooked = sides[0] + (1 - np.linspace(-1, 1, 120)[:, None] ** 2) * (0.0, 2.0)
    unsure = lens_seen([crooked, *sides[1:]], SIZE_PX, spread_px=0.1)
    assert seen is not None
    assert unsure is not None
    assert unsure.spread > 3 * seen.spread


def test_what_sides_hardly_tell_is_not_believed():
    assert LensSeen(k1=0.004, spread=0.02).believed(0.005) == pytest.approx(0.0, abs=5e-4)
    assert LensSeen(k1=0.06, spread=0.03).believed(0.005) == pytest.approx(0.0, abs=2e-3)
    assert LensSeen(k1=0.05, spread=0.008).believed(0.005) == pytest.approx(0.05, rel=0.03)


@pytest.mark.slow
@pytest.mark.parametrize("k1", [-0.03, 0.03])
def test_a_piece_beside_a_card_alone_keeps_its_size_under_a_lens_that_bends_lines(tmp_path, k1):
    table = Table(200, 150, 10, (238, 237, 233), 3)
    card_on(table, at_mm=(12, 40), turn_deg=6)
    piece = placed(egg(56, 40), at_mm=(150, 80), turn_deg=30)
    table.paint(piece, colour=KRAFT)
    photographed(table, size_px=(3200, 2400), distance_mm=200, tilt_deg=5, k1=k1).save(tmp_path / "a.jpg")
    (found,) = trace_picture(tmp_path / "a.jpg", PictureSource(file="a.jpg")).pieces
    larger = np.sqrt(abs(signed_area(found.ring_mm)) / abs(signed_area(piece)))
    assert larger == pytest.approx(1.0, abs=7e-3)
