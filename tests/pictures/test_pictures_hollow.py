"""What is traced as a piece and is only a line round nothing is told."""

import pytest
from painted import GREY, INK, Table, scanned
from things_painted import lobed

from cradle.capture.tracing import trace_picture
from cradle.project.picture import PictureSource, Traced


def _findings(tmp_path, *, width_mm, colour, shape=Traced.PIECE):
    """What is told of a line so wide, or of what it would go round filled."""
    table = Table(70, 60, 10, (243, 243, 240), 3)
    ring = lobed(46) + (35, 30)
    if width_mm is None:
        table.paint(ring, colour=colour)
    else:
        table.line(ring, width_mm=width_mm, colour=colour)
    scanned(table, dpi=150).save(tmp_path / "a.png")
    traced = trace_picture(tmp_path / "a.png", PictureSource(file="a.png", shape=shape, dpi=150))
    return {finding.code for finding in traced.findings}


@pytest.mark.parametrize(("width_mm", "colour"), [(0.9, (70, 70, 76)), (1.6, (190, 30, 40))])
def test_a_drawn_line_traced_as_a_piece_is_told(tmp_path, width_mm, colour):
    assert "piece-hollow" in _findings(tmp_path, width_mm=width_mm, colour=colour)
    assert "piece-hollow" not in _findings(tmp_path, width_mm=width_mm, colour=colour, shape=Traced.LINE)


@pytest.mark.parametrize("colour", [GREY, INK])
def test_a_piece_is_not_hollow(tmp_path, colour):
    assert "piece-hollow" not in _findings(tmp_path, width_mm=None, colour=colour)
