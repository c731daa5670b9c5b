"""A card that runs out of the picture is told with the side; a round thing or a table's edge that does so is not."""

from __future__ import annotations

import numpy as np
import pytest
from painted import KRAFT, Table, box, scanned
from things_painted import card_on, egg, placed

from cradle.capture.tracing import trace_picture
from cradle.cards.unseen_card import unseen_card
from cradle.errors import CaptureError
from cradle.pictures.image import read_picture
from cradle.pictures.regions import find_things
from cradle.project.picture import PictureSource


def _things(path, table):
    return find_things(read_picture(scanned(table, dpi=100, tag=False).save(path / "a.png"), where="a.png"))


@pytest.mark.parametrize(
    ("at_mm", "side"),
    [((-25, 12), "left"), ((70, 12), "right"), ((20, -15), "lower"), ((-25, -15), "left and lower")],
)
def test_the_side_at_which_a_card_is_cut_off_is_told(tmp_path, at_mm, side):
    table = Table(120, 120, 6, seed=5)
    table.paint(placed(egg(40, 30), at_mm=(60, 92)), colour=KRAFT)
    card_on(table, at_mm=at_mm, turn_deg=3.0)
    seen = scanned(table, dpi=100, tag=False).save(tmp_path / "a.png")
    with pytest.raises(
        CaptureError, match=f"a bank card seems to be cut off at the picture's {side} edge: show all"
    ):
        trace_picture(seen, PictureSource(file="a.png"))


@pytest.mark.parametrize(
    "ring",
    [placed(egg(60, 50), at_mm=(0, 40)), np.array([[-5.0, -5], [125, -5], [125, 30], [-5, 30]])],
    ids=["round", "from side to side"],
)
def test_other_things_that_run_out_are_no_cards(tmp_path, ring):
    table = Table(120, 120, 6, seed=5)
    table.paint(ring, colour=KRAFT)
    assert unseen_card(_things(tmp_path, table)) is None


def test_a_whole_card_is_not_cut_off(tmp_path):
    table = Table(120, 120, 6, seed=5)
    card_on(table, at_mm=(15, 20))
    assert unseen_card(_things(tmp_path, table)) is None


def test_checks_of_a_cloth_that_run_out_are_no_cards_and_the_cloth_is_told(tmp_path):
    table = Table(120, 120, 6, seed=5)
    for x in (-12, 30, 72):
        for y in (-6, 36, 78):
            table.paint(box(x, y, x + 24, y + 24), colour=KRAFT)
    told = unseen_card(_things(tmp_path, table))
    assert told is not None
    assert told.startswith("9 things with straight sides are seen")
