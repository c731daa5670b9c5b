"""Lines on what a piece lies on, such as a mat's grid: its edge is true across them, or doubted along them."""

from __future__ import annotations

import numpy as np
import pytest
from picture_scene import ellipse, mat, moved, sheet_of_colour
from test_capture_tracing import RULE, SMALL_PAGE, SMALL_RULE, missed_mm, traced
from traced_grid import BLUE, PAPER

OVAL = ellipse(121, 71, centre=(86, 110))


def on_a_mat(*, shadow_mm=0.5, colour=PAPER, ground=(38, 92, 74), line=(190, 196, 120)):
    """An oval that lines of a mat's grid meet at every angle, the smallest included."""
    below = moved(mat(300, 300, colour=ground, line=line), by_mm=(-50, -50))
    return (*below, *sheet_of_colour(OVAL, colour=colour, shadow_mm=shadow_mm), *RULE)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("dpi", "turn", "shadow", "worst"),
    [
        (200, 2, 0.5, 0.06),
        pytest.param(150, 7, 0.0, 0.15, marks=pytest.mark.further),
        pytest.param(150, 2, 0.25, 0.12, marks=pytest.mark.further),
        pytest.param(300, 2, 0.25, 0.04, marks=pytest.mark.further),
    ],
)
def test_a_shadow_and_a_mat_with_a_grid_do_not_move_the_edge(tmp_path, dpi, turn, shadow, worst):
    found = traced(tmp_path, on_a_mat(shadow_mm=shadow), dpi=dpi, turn_deg=turn)
    (piece,) = found.pieces
    assert missed_mm(piece.ring_mm, OVAL) < worst
    assert "lines-like-piece" not in {f.code for f in found.findings}


@pytest.mark.slow
@pytest.mark.parametrize(
    ("middle", "dpi"),
    [
        pytest.param((80.0, 110.0), 200, id="each tip on a line of the mat"),
        pytest.param((81.9, 115.4), 120, id="lines passing by the tips"),
    ],
)
def test_lines_dimmer_than_the_piece_cut_no_tip_where_colours_are_kept_coarsely(tmp_path, middle, dpi):
    """A star in a JPEG file, which keeps the colour of every second pixel."""
    turn = np.radians(np.arange(8) * 45.0)
    out = np.where(np.arange(8) % 2, 14.0, 40.0)
    star = np.column_stack([np.cos(turn), np.sin(turn)]) * out[:, None] + middle
    below = moved(mat(300, 300, colour=(38, 92, 74), line=(165, 173, 140)), by_mm=(-50, -50))
    scene = (*below, *sheet_of_colour(star, colour=PAPER, shadow_mm=0.2), *RULE)
    found = traced(tmp_path, scene, name="a.jpg", grey="RGB", dpi=dpi, turn_deg=3)
    (piece,) = found.pieces
    assert missed_mm(star, piece.ring_mm) < 0.3
    assert not {f.code for f in found.findings} & {"lines-like-piece", "tip-unclear"}


@pytest.mark.slow
def test_grey_lines_round_a_piece_known_by_its_colour_do_not_move_its_edge(tmp_path):
    scene = on_a_mat(colour=BLUE, ground=(235, 235, 232), line=(120, 120, 125))
    (piece,) = traced(tmp_path, scene, dpi=150, turn_deg=2).pieces
    assert missed_mm(piece.ring_mm, OVAL) < 0.13


@pytest.mark.slow
@pytest.mark.parametrize(
    ("dpi", "turn", "grey", "worst"),
    [
        (200, 7, "RGB", 0.15),
        pytest.param(200, 7, "L", 0.1, marks=pytest.mark.further),
        pytest.param(300, 3, "RGB", 0.05, marks=pytest.mark.further),
    ],
)
def test_the_edge_is_carried_on_across_lines_of_the_piece_s_own_colour(tmp_path, dpi, turn, grey, worst):
    scene = on_a_mat(line=(225, 230, 225))
    found = traced(tmp_path, scene, dpi=dpi, turn_deg=turn, grey=grey)
    (doubt,) = [f for f in found.findings if f.code == "lines-like-piece"]
    assert doubt.severity.value == "note"
    assert "another colour" in doubt.advice
    assert missed_mm(found.pieces[0].ring_mm, OVAL) < worst


@pytest.mark.slow
def test_a_side_that_lies_along_a_line_of_its_own_colour_is_doubted(tmp_path):
    below = moved(mat(200, 200, colour=(38, 92, 74), line=(225, 230, 225)), by_mm=(-50, -50))
    side = np.array([[30.0, 50], [80, 50], [80, 84.5], [30, 84.5]])  # its lower side on a line
    scene = (*below, *sheet_of_colour(side, colour=PAPER, shadow_mm=0.2), *SMALL_RULE)
    found = traced(tmp_path, scene, dpi=150, page_mm=SMALL_PAGE)
    (doubt,) = [f for f in found.findings if f.code == "lines-like-piece"]
    assert doubt.severity.value == "warn"


@pytest.mark.slow
def test_corners_and_sides_that_lie_along_lines_of_their_colour_stay_as_seen(tmp_path):
    """A line hides its own width, 0.3 mm, of a side that lies on it; no corner is cut."""
    block = np.array([[10.0, 45], [100, 45], [100, 95], [60, 95], [60, 72], [10, 72]])  # x: lines of the mat
    ground = moved(mat(300, 300, line=(225, 230, 225)), by_mm=(-50, -50))
    scene = (*ground, *sheet_of_colour(block, colour=PAPER), *SMALL_RULE)
    (piece,) = traced(tmp_path, scene, dpi=200, turn_deg=7, page_mm=SMALL_PAGE).pieces
    assert missed_mm(piece.ring_mm, block) < 0.3
