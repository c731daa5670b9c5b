"""What the page tells of a picture in which several pieces lie."""

from types import SimpleNamespace

import pytest

from cradle.capture.told_once import pieces_named, told_once
from cradle.finding import Finding, Severity
from cradle.page.trace_job import _findings
from cradle.project.picture import PictureSource


def doubt(message, where=""):
    return Finding(code=message.replace(" ", "-"), severity=Severity.WARN, message=message, where=where)


def piece(number, *doubts):
    return SimpleNamespace(number=number, line_width_mm=None, findings=tuple(map(doubt, doubts)))


@pytest.mark.parametrize(
    ("pick", "told"),
    [
        (None, ["it leans", "piece 1: soft", "piece 2: cut off", "pieces 1, 2: faint"]),
        (1, ["it leans", "soft", "faint"]),
        (2, ["it leans", "cut off", "faint"]),
    ],
)
def test_doubts_of_other_pieces_than_the_chosen_one_are_not_told_and_none_without_its_piece(pick, told):
    pieces = (piece(1, "soft", "faint"), piece(2, "cut off", "faint"))
    of_pieces = told_once(((one, one.findings) for one in pieces), where="a.jpg", named=pieces_named)
    traced = SimpleNamespace(pieces=pieces, findings=(doubt("it leans", "a.jpg"), *of_pieces))
    spec = PictureSource(file="a.jpg", pick=pick)
    assert sorted(f.message for f in _findings(traced, spec, "a.jpg")) == sorted(told)
