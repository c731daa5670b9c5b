"""A sheet of paper with a scale on it, or over its edge, is what the pieces lie on; a piece with a rule laid on it stays one."""

from __future__ import annotations

import numpy as np
import pytest
from painted import BLACK, GREY, KRAFT, WHITE, Table, box, scanned
from things_painted import egg, placed, rule_on

from cradle.capture.tracing import trace_picture
from cradle.project.picture import PictureSource

DARK = (26, 26, 28)
EGG = placed(egg(36, 28), at_mm=(70, 86), turn_deg=20.0)


def _traced(folder, *, under, colour, on, of):
    """What is traced of a scan of a sheet, its corners in mm, with a rule and a thing on it, in the dark."""
    table = Table(140, 120, 10, DARK, 3)
    table.paint(under, colour=colour)
    table.paint(on, colour=of)
    rule_on(table, at_mm=(22, 36), length_mm=96)
    scanned(table, dpi=200).save(folder / "a.png")
    return trace_picture(folder / "a.png", PictureSource(file="a.png", dpi=200))


def _is_like(ring, other):
    return np.ptp(ring, axis=0) == pytest.approx(np.ptp(other, axis=0), abs=0.3)


@pytest.mark.first_daily
@pytest.mark.parametrize("of", [KRAFT, BLACK])
@pytest.mark.parametrize(
    "sheet", [box(8, 8, 132, 112), np.array([(9, 8), (40, 9), (131, 7), (132, 110), (70, 112), (7, 111)])]
)
def test_what_lies_on_the_paper_is_the_piece(tmp_path, sheet, of):
    traced = _traced(tmp_path, under=sheet, colour=WHITE, on=EGG, of=of)
    (piece,) = traced.pieces
    assert _is_like(piece.ring_mm, EGG)
    assert [f.code for f in traced.findings].count("pieces-on-paper") == 1


@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("piece", "colour"), [(box(8, 8, 132, 112), GREY), (placed(egg(124, 100), at_mm=(70, 56)), WHITE)]
)
def test_what_is_dark_or_no_sheet_is_the_piece_itself(tmp_path, piece, colour):
    traced = _traced(tmp_path, under=piece, colour=colour, on=placed(egg(14, 10), at_mm=(70, 80)), of=BLACK)
    widest = max(float(np.ptp(found.ring_mm[:, 0])) for found in traced.pieces)
    assert widest == pytest.approx(np.ptp(piece[:, 0]), abs=0.3)
    assert "pieces-on-paper" not in [f.code for f in traced.findings]


@pytest.mark.first_daily
@pytest.mark.parametrize("at_mm", [(22, 36), (22, 14)])
@pytest.mark.parametrize("colour", [(70, 110, 60), (240, 150, 60), (150, 60, 140)])
def test_paper_of_any_colour_is_told_by_a_rule_on_it_or_over_its_edge(tmp_path, colour, at_mm):
    """On a table of another colour, light or dark; from the table beside it nothing is taken for a piece."""
    table = Table(150, 124, 8, (206, 188, 160), 3)
    table.paint(box(9, 9, 141, 115), colour=colour)
    for x in range(4, 150, 12):
        table.paint(box(x, 2, x + 6, 8), colour=(120, 60, 50))
    table.paint(EGG, colour=BLACK)
    rule_on(table, at_mm=at_mm, length_mm=96)
    scanned(table, dpi=150).save(tmp_path / "a.png")
    traced = trace_picture(tmp_path / "a.png", PictureSource(file="a.png", dpi=150))
    (piece,) = traced.pieces
    assert _is_like(piece.ring_mm, EGG)
    assert [f.code for f in traced.findings].count("pieces-on-paper") == 1


@pytest.mark.slow
def test_a_hole_through_which_the_table_shows_makes_no_paper_of_a_piece(tmp_path):
    table = Table(150, 124, 8, (206, 188, 160), 3)
    piece = box(9, 9, 141, 115)
    table.paint(piece, colour=(70, 110, 60))
    table.paint(EGG, colour=(206, 188, 160))
    rule_on(table, at_mm=(22, 14), length_mm=96)
    scanned(table, dpi=150).save(tmp_path / "a.png")
    traced = trace_picture(tmp_path / "a.png", PictureSource(file="a.png", dpi=150))
    assert max(float(np.ptp(found.ring_mm[:, 0])) for found in traced.pieces) > 130.0
    assert "pieces-on-paper" not in [f.code for f in traced.findings]
