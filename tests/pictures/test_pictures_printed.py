"""A template cut from a printed box: its colours differ from the ground each in its own way."""

from __future__ import annotations

import numpy as np
import pytest
from painted import Table, box, scanned
from scored import p95_mm, piece_at
from things_painted import egg, placed

from cradle.capture.tracing import trace_picture
from cradle.geometry.planar import common, outer_rings, region, without
from cradle.pictures.colours import may_be_shadow
from cradle.project.picture import PictureSource, Traced

GROUND = (226, 222, 206)
RED, BLACK = (196, 40, 46), (24, 22, 24)
RING = placed(egg(56, 42), at_mm=(42, 34))


def _traced(tmp_path, *prints):
    """A red egg with stripes (ring, colour) printed on it, and what is traced of it."""
    table = Table(84, 68, 8, GROUND, 2)
    table.shade(RING, by_mm=(0.3, -0.3), soft_mm=0.3, depth=0.3)
    table.paint(RING, colour=RED)
    for stripe, colour in prints:
        table.paint(*outer_rings(common(region(RING), region(stripe))), colour=colour)
    seen = scanned(table, dpi=200, noise=1.5)
    traced = trace_picture(seen.save(tmp_path / "a.png"), PictureSource(file="a.png", dpi=200))
    return traced, piece_at(traced.pieces, seen.px_from_mm(RING)), seen


@pytest.mark.first_daily
@pytest.mark.parametrize("colour", [BLACK, (40, 80, 170), (240, 200, 60)], ids=["black", "blue", "yellow"])
def test_print_of_any_colour_at_the_edge_belongs_to_the_piece(tmp_path, colour):
    """Red is told from a beige ground by its colour, of which black has none: it was cut out of the piece, in silence."""
    stripes = [
        (box(10, 40, 80, 60), colour),
        (placed(box(-5, -40, 5, 40), at_mm=(60, 30), turn_deg=20), BLACK),
    ]
    traced, piece, seen = _traced(tmp_path, *stripes)
    assert piece is not None
    assert p95_mm(traced, piece, seen, RING) < 0.1
    assert not [f for f in traced.findings if f.severity == "warn"]


def test_print_of_the_grounds_own_colour_at_the_edge_is_told(tmp_path):
    traced, piece, seen = _traced(tmp_path, (box(10, 44, 80, 60), BLACK), (box(36, 0, 42, 24), GROUND))
    assert piece is not None
    assert p95_mm(traced, piece, seen, RING) > 1.0  # nothing shows where it ends there
    assert "piece-printed" in {f.code for f in traced.findings if f.severity == "warn"}


@pytest.mark.first_daily
@pytest.mark.parametrize("wide_mm", [0.4, 0.8])
@pytest.mark.parametrize("clear_mm", [0.0, 4.0])
def test_lines_that_reach_the_edge_belong_to_the_piece_and_are_told(tmp_path, clear_mm, wide_mm):
    """A middle line, a ruled paper's margin: they were cut out of the piece."""
    table = Table(84, 68, 8, (20, 20, 22), 2)
    cream = (232, 220, 190)
    table.paint(RING, colour=cream)
    left = RING[:, 0].min()
    for y in (31, 36):
        stroke = box(left + clear_mm, y, left + 9.0, y + wide_mm)
        table.paint(*outer_rings(common(region(RING), region(stroke))), colour=(70, 70, 74))
    seen = scanned(table, dpi=300, noise=1.5)
    traced = trace_picture(seen.save(tmp_path / "a.png"), PictureSource(file="a.png", dpi=300))
    (piece,) = traced.pieces
    assert p95_mm(traced, piece, seen, RING) < 0.06
    assert not [f for f in traced.findings if f.severity == "warn"]
    assert ("line-over-edge" in {f.code for f in traced.findings}) == (clear_mm == 0)


def test_a_slot_as_wide_as_somebody_cuts_it_stays(tmp_path):
    slot = without(region(RING), region(box(0, 32, RING[:, 0].min() + 9.0, 34.2)))
    (ring,) = outer_rings(slot)
    table = Table(84, 68, 8, (20, 20, 22), 2)
    table.paint(ring, colour=(232, 220, 190))
    seen = scanned(table, dpi=300, noise=1.5)
    traced = trace_picture(seen.save(tmp_path / "a.png"), PictureSource(file="a.png", dpi=300))
    (piece,) = traced.pieces
    assert p95_mm(traced, piece, seen, ring) < 0.06


@pytest.mark.first_daily
@pytest.mark.parametrize("angle_deg", [18, 25, 35])
@pytest.mark.parametrize("shape", [Traced.PIECE, Traced.CUT_OUT])
def test_the_nook_of_a_sharp_tip_is_no_slit(tmp_path, angle_deg, shape):
    """It was carried straight across, to 4.7 mm before the tip."""
    half = 24 * np.tan(np.radians(angle_deg / 2))
    ring = np.array([[12, 12], [72, 12], [72, 56], [42 + half, 56], [42, 32], [42 - half, 56], [12, 56.0]])
    table = Table(84, 68, 8, (20, 20, 22), 2)
    table.paint(ring, colour=(232, 220, 190))
    seen = scanned(table, dpi=300, noise=1.5)
    spec = PictureSource(file="a.png", dpi=300, shape=shape)
    traced = trace_picture(seen.save(tmp_path / "a.png"), spec)
    tip = seen.px_from_mm(ring[4:5])
    assert np.hypot(*(traced.pieces[0].ring_px - tip).T).min() < 2.0  # 0.17 mm
    assert not traced.form_findings


@pytest.mark.parametrize(
    ("levels", "told"),
    [((140, 138, 127), True), ((40, 39, 36), False), ((140, 150, 90), False), ((240, 236, 219), False)],
)
def test_a_shadow_takes_some_of_the_grounds_light_and_none_of_its_colour(levels, told):
    ground = np.array(GROUND, dtype=np.float32)
    assert bool(may_be_shadow(np.array(levels, dtype=np.float32), ground)) == told
