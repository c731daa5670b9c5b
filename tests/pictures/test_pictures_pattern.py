"""Flowers and checks of a cloth are no pieces where a much larger one lies on it; they are told, and one can still be picked."""

from __future__ import annotations

import pytest
from painted import KRAFT, Table, box, scanned
from scored import p95_mm
from things_painted import egg, placed, rule_on

from cradle.capture.tracing import trace_picture
from cradle.pictures.pattern import pattern_px
from cradle.project.picture import PictureSource

FLOWER = egg(9.0, 8.0)
BLUE = (70, 90, 170)


def _traced(folder, ring, *, colour=BLUE, **spec):
    """A piece, of the flowers' colour unless told, among flowers of a cloth beside a rule: what is traced of it, and the picture."""
    table = Table(150, 130, 8, seed=3)
    rule_on(table, at_mm=(12, 122), length_mm=120, depth_mm=18)
    for x in range(0, 150, 23):  # those of the first column run out of the picture
        for y in (10, 30, 50, 70):
            table.paint(placed(FLOWER, at_mm=(x, y), turn_deg=x + y), colour=BLUE)
    table.paint(ring, colour=colour)
    seen = scanned(table, dpi=150, tag=False)
    return trace_picture(seen.save(folder / "a.png"), PictureSource(file="a.png", **spec)), seen


@pytest.mark.first_daily
@pytest.mark.parametrize("colour", [BLUE, KRAFT])
def test_the_piece_on_a_flowered_cloth_is_traced_alone(tmp_path, colour):
    ring = placed(box(-24, -8, 24, 8), at_mm=(80, 88), turn_deg=4)
    traced, seen = _traced(tmp_path, ring, colour=colour)
    (piece,) = traced.pieces
    assert p95_mm(traced, piece, seen, ring) < 0.1
    told = [f.severity for f in traced.findings if f.code == "pattern-left-out"]
    assert told == (["warn"] if colour is BLUE else [])  # else its colour tells it from flowers that touch it
    assert "piece-left-out" not in {f.code for f in traced.findings}


@pytest.mark.slow
def test_pieces_of_about_one_size_are_no_pattern_of_one_another(tmp_path):
    traced, _ = _traced(tmp_path, placed(FLOWER, at_mm=(12, 90)))
    assert len(traced.pieces) > 20
    assert "pattern-left-out" not in {f.code for f in traced.findings}


@pytest.mark.slow
def test_a_flower_that_is_picked_is_traced(tmp_path):
    ring = placed(box(-24, -8, 24, 8), at_mm=(80, 88))
    _, seen = _traced(tmp_path, ring)
    x, y = seen.px_from_mm([(46, 30)])[0]
    traced, _ = _traced(tmp_path, ring, point_px=(float(x), float(y)))
    (piece,) = traced.pieces
    assert max(piece.size_mm) == pytest.approx(9.0, abs=0.3)


@pytest.mark.parametrize(
    ("small", "large", "found"),
    [
        ((10,) * 9, (30,), True),
        ((10,) * 7, (30,), False),
        ((10,) * 9, (19,), False),
        (range(3, 21, 2), (60,), False),
    ],
    ids=["pattern", "too few", "hardly larger", "of all sizes"],
)
def test_many_alike_beside_one_much_larger_are_a_pattern(small, large, found):
    boxes = [(0, 0, long, 2) for long in (*small, *large)]
    assert (pattern_px(boxes) > 0) == found
