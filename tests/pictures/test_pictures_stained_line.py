"""A line that a stain runs into is read without it; a line that does not close stays open."""

from __future__ import annotations

import numpy as np
import pytest
from painted import Table, scanned
from stacked import circle

from cradle.capture.tracing import trace_picture
from cradle.errors import CaptureError
from cradle.project.picture import PictureSource, Traced

SPEC = PictureSource(file="a.png", dpi=200, shape=Traced.LINE)
PENCIL, COFFEE = (80, 80, 84), (186, 158, 132)


def _sheet(tmp_path, *, gap: bool):
    """A circle of 36 mm drawn in pencil, the rim of a cup of 30 mm left across its side; with or without 8 mm of the line missing."""
    table = Table(80, 60, 12, (243, 241, 235), 7)
    table.line(circle(15.0, points=300) + (52.0, 30.0), width_mm=1.8, colour=COFFEE)
    ring = circle(18.0, points=400) + (30.0, 30.0)
    dark = np.full(400, 0.9)
    if gap:
        dark[190:220] = 0.0
    table.line(ring, width_mm=0.5, colour=PENCIL, darkness=dark)
    scanned(table, dpi=200).save(tmp_path / "a.png")
    return tmp_path / "a.png"


def test_a_line_that_a_stain_runs_into_is_read_without_it_and_that_is_told(tmp_path):
    found = trace_picture(_sheet(tmp_path, gap=False), SPEC)
    (line,) = found.pieces
    assert line.size_mm == pytest.approx((36.0, 36.0), abs=0.15)
    (told,) = (finding for finding in found.findings if finding.code == "line-stained")
    assert told.where == "a.png"


def test_a_line_with_a_gap_does_not_close_because_a_stain_runs_into_it(tmp_path):
    with pytest.raises(CaptureError, match="no closed line was found"):
        trace_picture(_sheet(tmp_path, gap=True), SPEC)
