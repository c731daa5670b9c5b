"""What lies over a rule is told: as a warning where it is all there is, as a note beside other pieces."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from painted import Table, box, scanned
from things_painted import rule_on

from cradle.capture.on_rule import marks_of_end, told_on_rules, told_unread, without_ends_of_rules
from cradle.capture.traced_picture import TracedPiece
from cradle.capture.tracing import trace_picture
from cradle.finding import doubt
from cradle.pictures.grain import Grain
from cradle.project.picture import PictureSource

RULE = np.array([[0.0, 0], [1000, 0], [1000, 120], [0, 120]])
SOFT = doubt("edge-soft", "no step", "softer light")


def _box(number, low_px, *, high_px=300.0):
    x = np.linspace(200.0, 320.0, 61)
    y = np.linspace(low_px, high_px, 61)
    ring = np.concatenate(
        [
            np.column_stack([x, np.full(61, low_px)]),
            np.column_stack([np.full(61, 320.0), y]),
            np.column_stack([x[::-1], np.full(61, high_px)]),
            np.column_stack([np.full(61, 200.0), y[::-1]]),
        ]
    )
    return TracedPiece(number=number, ring_mm=ring * 0.1, ring_px=ring, findings=(SOFT,))


def _told(*pieces):
    told = told_on_rules(pieces, [RULE], grain=Grain(mm=0.1))
    return [[(f.code, f.severity.value) for f in piece.findings] for piece in told]


@pytest.mark.parametrize("low_px", [60.0, 119.5, 121.0])
def test_beside_another_piece_it_is_a_note_alone(low_px):
    free, over = _told(_box(1, 150.0), _box(2, low_px))
    assert free == [("edge-soft", "warn")]
    assert over == [("piece-on-rule", "note")]


def test_alone_it_is_a_warning_and_what_else_is_doubtful_stays():
    (over,) = told_on_rules([_box(1, 121.0)], [RULE], grain=Grain(mm=0.1))
    assert [(f.code, f.severity.value) for f in over.findings] == [
        ("edge-soft", "warn"),
        ("piece-on-rule", "warn"),
    ]
    assert over.findings[-1].measured == pytest.approx(12.0, abs=0.5)  # its side of 120 px, and the corners


def test_what_holds_the_rule_is_doubted_beside_what_else_is():
    around = np.array([[-50.0, -40], [1050, -40], [1050, 160], [-50, 160]])
    told = _told(replace(_box(1, 130.0), ring_px=around), _box(2, 130.0))
    assert told == [[("edge-soft", "warn"), ("piece-holds-rule", "warn")], [("edge-soft", "warn")]]


def test_clear_of_the_rule_nothing_is_said_and_a_corner_that_touches_is_nothing():
    assert _told(_box(1, 130.0)) == [[("edge-soft", "warn")]]
    side = np.linspace(0.0, 20.0, 41)
    tip = np.concatenate(
        [
            np.column_stack([500 - side[::-1], 116 + side[::-1]]),
            np.column_stack([500 + side[1:], 116 + side[1:]]),
        ]
    )
    assert _told(TracedPiece(number=1, ring_mm=tip * 0.1, ring_px=tip)) == [[]]


ACROSS = np.array([[200.0, -400], [320, -400], [320, 700], [200, 700]])
"""A rule over the left end of `RULE`, of which 200 px are seen beyond it."""


def _end(number, *, right_px=201.0, low_px=0.0, high_px=120.0):
    corners = np.array([[0.0, low_px], [right_px, low_px], [right_px, high_px], [0.0, high_px]])
    parts = np.linspace(0.0, 1.0, 50, endpoint=False)[:, None]
    ring = np.concatenate(
        [a + parts * (b - a) for a, b in zip(corners, np.roll(corners, -1, 0), strict=True)]
    )
    return TracedPiece(number=number, ring_mm=ring * 0.1, ring_px=ring)


def _kept(piece, rules=(RULE + [320, 0], ACROSS)):
    far = _box(1, 900.0, high_px=999.0)
    kept, notes = without_ends_of_rules([far, piece], rules, grain_mm=0.1, where="a.png")
    assert [note.code for note in notes] == ["rule-end"] * (2 - len(kept))
    return len(kept) == 2


def test_the_end_of_a_rule_under_another_one_is_no_piece():
    assert not _kept(_end(2))
    # seen by a lens: all is shrunk towards the right, and lines stay lines
    view = lambda points: points / (1 + 0.0004 * points[:, :1])  # noqa: E731
    end = _end(2)
    seen = TracedPiece(number=2, ring_mm=end.ring_mm, ring_px=view(end.ring_px))
    assert not _kept(seen, (view(RULE + [320, 0]), view(ACROSS)))


@pytest.mark.parametrize(
    "piece",
    [
        _end(2, high_px=150.0),  # stands out at the side
        _end(2, low_px=50.0),  # is far narrower
        _end(2, right_px=190.0),  # does not touch the rule across
    ],
)
def test_what_does_not_carry_a_rule_on_is_a_piece(piece):
    assert _kept(piece)


def test_beside_one_rule_alone_nothing_is_its_end():
    assert _kept(_end(2), (RULE + [201, 0],))


@pytest.mark.parametrize(
    ("box", "end"),
    [
        ((20, 5, 172, 50), True),
        ((20, 5, 120, 50), False),  # does not reach the rule across
        ((20, 300, 172, 50), False),  # beside the rule
    ],
)
def test_marks_at_the_end_of_a_rule_under_another_one_are_no_line(box, end):
    assert marks_of_end(box, (RULE + [320, 0], ACROSS), grain_mm=0.1) == end


@pytest.mark.parametrize(("beyond", "codes"), [(0, ["ruler-unread"]), (7, ["ruler-unread"]), (9, [])])
def test_marks_that_nobody_can_read_are_told_of_the_piece_that_carries_them(beyond, codes):
    """Of 40 marks four in five must lie on it, so that a mat's lines that run by are not told."""
    row = np.column_stack([np.linspace(205.0, 315.0, 40), np.full(40, 200.0)])
    row[:beyond, 1] = 600.0
    other, piece = told_unread([_box(1, 150.0), _box(2, 150.0)], [row])[:2]
    assert [f.code for f in piece.findings if f.code == "ruler-unread"] == codes
    assert all(f.severity.value == "note" for f in piece.findings if f.code == "ruler-unread")
    assert not told_unread([_box(1, 150.0)], [row + [0.0, 500.0]])[0].findings[1:]
    assert len(other.findings) == len(piece.findings)


@pytest.mark.slow
def test_a_bar_with_marks_all_alike_beside_a_ruler_is_told(tmp_path):
    table = Table(150, 110, 10, (250, 250, 248), 3)
    rule_on(table, at_mm=(20, 100), length_mm=100)
    table.paint(box(25, 20, 115, 34), colour=(205, 200, 180))
    for k in range(40):
        table.paint(box(30 + 2 * k, 20, 30.35 + 2 * k, 25), colour=(40, 40, 40))
    scanned(table, dpi=200).save(tmp_path / "a.png")
    (bar,) = trace_picture(tmp_path / "a.png", PictureSource(file="a.png")).pieces
    assert [f.message for f in bar.findings if f.code == "ruler-unread"] == [
        "it carries 40 regular marks: if it is a ruler, they could not be read"
    ]


@pytest.mark.parametrize(("along_mm", "kept"), [(80.0, False), (20.0, True)])
def test_what_is_left_of_two_rules_in_a_corner_is_no_piece(along_mm, kept):
    """The backs of two white rules on white paper, of which only the strips under their marks were taken for rules."""
    up = np.array([[0.0, 140], [120, 140], [120, 1140], [0, 1140]])
    long_px = 10 * along_mm
    corners = np.array(
        [
            [121.0, 121],
            [121 + long_px, 121],
            [121 + long_px, 160],
            [160, 160],
            [160, 140 + long_px],
            [121, 140 + long_px],
        ]
    )
    parts = np.linspace(0.0, 1.0, 200, endpoint=False)[:, None]
    ring = np.concatenate(
        [a + parts * (b - a) for a, b in zip(corners, np.roll(corners, -1, 0), strict=True)]
    )
    piece = TracedPiece(number=2, ring_mm=ring * 0.1, ring_px=ring)
    assert _kept(piece, (RULE, up)) == kept
