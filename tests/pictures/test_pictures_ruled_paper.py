"""Lines printed on a paper are taken out of what was drawn on it; sides of the drawing are not."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from painted import Table, box, scanned
from stacked import circle

from cradle.pictures.drawn_line import find_lines
from cradle.pictures.image import read_picture
from cradle.pictures.line_middle import middle_of
from cradle.pictures.ruled_paper import _missed, without_ruling


def _printed(turn_deg, *, squared):
    """Darkness of ruled paper, 10 px for each mm."""
    dark = np.zeros((700, 900), np.uint8)
    for turn in (turn_deg, turn_deg + 90)[: 1 + squared]:
        ahead = np.array([np.cos(np.radians(turn)), np.sin(np.radians(turn))])
        for k in range(-20, 21):
            middle = np.array([450, 350]) + 60.0 * k * np.array([-ahead[1], ahead[0]])
            one, other = (np.rint(middle + side * 1200 * ahead).astype(int).tolist() for side in (-1, 1))
            cv2.line(dark, one, other, 45, 2)
    return dark


@pytest.mark.slow
@pytest.mark.parametrize("squared", [False, True])
@pytest.mark.parametrize("turn_deg", [0.0, 7.3])
def test_printed_lines_go_and_what_is_drawn_over_them_stays(turn_deg, squared):
    dark = _printed(turn_deg, squared=squared)
    drawn = np.zeros_like(dark)
    cv2.ellipse(drawn, (450, 350), (230, 160), 20, 0, 360, 120, 5)
    left = without_ruling(np.maximum(dark, drawn), px_per_mm=10.0, least=12.0)
    assert (left[drawn > 0] > 0).all()
    assert (left[(drawn == 0) & (dark > 0)] > 0).mean() < 0.01


@pytest.mark.parametrize("below", [60, 300])
def test_printed_lines_of_which_a_rule_hides_nearly_all_go_too(below):
    dark = _printed(0.0, squared=True)
    dark[: 700 - below, 100:400] = 0  # what a rule covers is not looked at
    left = without_ruling(dark, px_per_mm=10.0, least=12.0)
    assert (left[700 - below :, 100:400] > 0).sum() == 0


@pytest.mark.parametrize("insets", [(60,), (60, 120), (40, 70, 150)], ids=["one", "two", "three"])
def test_long_sides_of_drawings_are_no_ruling(insets):
    dark = np.zeros((700, 900), np.uint8)
    for inset in insets:
        cv2.rectangle(dark, (inset, inset), (900 - inset, 700 - inset), 90, 5)
    assert np.array_equal(without_ruling(dark, px_per_mm=10.0, least=12.0), dark)


def test_a_pencil_line_on_squared_paper_is_read(tmp_path):
    table = Table(60, 60, 12, (247, 246, 242), 4)
    for at in np.arange(2.0, 60.0, 5.0).tolist():
        table.paint(box(at, 0, at + 0.2, 60), colour=(176, 190, 216))
        table.paint(box(0, at, 60, at + 0.2), colour=(176, 190, 216))
    table.line(circle(17.0, points=400) + 30.0, width_mm=0.5, colour=(70, 70, 75), darkness=np.full(400, 0.7))
    seen = scanned(table, dpi=200)
    (line,) = find_lines(read_picture(seen.save(tmp_path / "a.png")), px_per_mm=200 / 25.4).closed
    middle, _ = middle_of(line.outside_px, line.inside_px)
    away = np.hypot(*(middle - seen.px_from_mm([(30.0, 30.0)])[0]).T) * 25.4 / 200
    assert away.mean() == pytest.approx(17.0, abs=0.05)
    assert np.abs(away - 17.0).max() < 0.35


def test_a_line_seen_alone_in_its_direction_tells_of_no_others():
    """Where the view draws lines together, one of a ruling may run 2 degrees from the rest."""
    turn = np.radians([0.0, 0.0, 0.0, 0.0, 2.5])
    ahead = np.column_stack([np.cos(turn), np.sin(turn)])
    starts = np.column_stack([np.zeros(5), [60.0, 120.0, 180.0, 300.0, 360.0]])
    places, ways = _missed(starts, ahead, (390, 400), 10.0)
    assert sorted(places[:, 1].round().tolist()) == [0.0, 240.0, 360.0]
    assert (ways == ahead[0]).all()
