"""A picture of several sections' outlines is looked at once, with the outlines that each would have alone."""

from dataclasses import replace

import numpy as np
import pytest
from traced_grid import scan_of_ellipses

from cradle.capture import tracing
from cradle.capture.one_look import OneLook
from cradle.capture.tracing import look_at, trace_picture
from cradle.errors import CaptureError
from cradle.project.picture import PictureSource

TWO = PictureSource(file="a.png", dpi=150)
ASKED = [TWO, replace(TWO, pick=1), replace(TWO, pick=2), replace(TWO, point_px=(470, 180))]


@pytest.fixture
def looked(monkeypatch):
    """The files that were looked at, in their order."""
    files = []

    def counted(path, spec):
        files.append(path.name)
        return look_at(path, spec)

    monkeypatch.setattr(tracing, "look_at", counted)
    return files


def test_whichever_piece_is_asked_for_is_as_if_it_alone_were(tmp_path, looked):
    file = scan_of_ellipses((30.0, 40.0), tmp_path / "a.png")
    trace = OneLook()
    for spec in ASKED:
        found = trace(file, spec)
        alone = trace_picture(file, spec)
        assert [p.number for p in found.pieces] == [p.number for p in alone.pieces]
        assert all(
            np.array_equal(p.ring_mm, q.ring_mm) for p, q in zip(found.pieces, alone.pieces, strict=True)
        )
        assert found.findings == alone.findings
    assert len(trace(file, TWO).pieces) == 2
    assert looked == ["a.png"] * (1 + len(ASKED))  # once by one look, and once for each alone


def test_a_file_that_has_changed_and_another_scale_are_looked_at_anew(tmp_path, looked):
    file = scan_of_ellipses((30.0, 40.0), tmp_path / "a.png")
    trace = OneLook()
    (first,) = trace(file, replace(TWO, pick=2)).pieces
    scan_of_ellipses((30.0, 44.0), file)
    (wider,) = trace(file, replace(TWO, pick=2)).pieces
    (larger,) = trace(file, replace(TWO, pick=2, dpi=75)).pieces
    assert [round(p.size_mm[0]) for p in (first, wider, larger)] == [40, 44, 88]
    assert looked == ["a.png"] * 3


def test_what_is_wrong_with_a_picture_is_found_once_and_told_each_time(tmp_path, looked):
    trace = OneLook()
    for _ in range(2):
        with pytest.raises(CaptureError, match=r"gone\.png: there is no such file"):
            trace(tmp_path / "gone.png", replace(TWO, file="gone.png"))
    assert looked == ["gone.png"]
