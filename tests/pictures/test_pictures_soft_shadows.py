"""The shadow of the phone that takes the picture, or of a hand, is no piece, and hides none."""

from __future__ import annotations

import numpy as np
import pytest
from painted import KRAFT, Table, box, photographed, scanned
from scored import p95_mm, piece_at
from things_painted import egg, placed, rule_on

from cradle.capture.tracing import trace_picture
from cradle.pictures.soft_shadows import soft_shadows
from cradle.project.picture import PictureSource


@pytest.mark.first_daily
@pytest.mark.parametrize(
    ("soft_mm", "at_mm", "long_mm"),
    [(2.5, (88, 52), 50), (6.0, (88, 52), 50), (3.0, (104, 80), 40), (4.0, (120, 58), 120)],
    ids=["sharper", "softer", "over one side", "out of the picture"],
)
def test_a_piece_in_the_phones_shadow_is_traced_and_the_shadow_is_not(tmp_path, soft_mm, at_mm, long_mm):
    table = Table(170, 130, 8, (222, 228, 222), 3)
    rule_on(table, at_mm=(12, 122), length_mm=130, depth_mm=18)
    ring = placed(egg(44, 30), at_mm=(84, 52), turn_deg=30)
    table.paint(ring, colour=KRAFT)
    table.shade(
        placed(box(-long_mm, -32, long_mm, 32), at_mm=at_mm, turn_deg=24),
        by_mm=(0, 0),
        soft_mm=soft_mm,
        depth=0.4,
    )
    seen = photographed(table, size_px=(2200, 1680), distance_mm=210, tilt_deg=2)
    traced = trace_picture(seen.save(tmp_path / "a.jpg"), PictureSource(file="a.jpg"))
    (piece,) = traced.pieces
    assert piece_at(traced.pieces, seen.px_from_mm(ring)) is piece
    assert p95_mm(traced, piece, seen, ring) < 0.3
    assert "edge-soft" not in {f.code for f in traced.findings}
    assert [f.severity for f in traced.findings if f.code == "shadow-left-out"] == ["note"]


@pytest.mark.parametrize(("blur_px", "shadow"), [(1.5, False), (6.0, True)])
@pytest.mark.parametrize("colour", [(150, 150, 150), (110, 110, 110)], ids=["light", "dark"])
def test_what_falls_off_gently_is_a_shadow_and_what_has_an_edge_is_none(blur_px, shadow, colour):
    """A grey card and a shadow may have the same levels: only how they end tells."""
    import cv2

    levels = np.full((200, 260, 3), 220.0, np.float32)
    levels[60:150, 70:190] = colour
    levels = cv2.GaussianBlur(levels, (0, 0), blur_px)
    levels += np.random.default_rng(2).normal(0, 0.6, levels.shape).astype(np.float32)
    ground = np.full(levels.shape, 220.0, np.float32)
    differs = (np.abs(levels - ground).max(axis=2) > 12).astype(np.uint8)
    found = soft_shadows(levels, ground, differs, np.ones_like(differs))
    assert found[80:130, 90:170].all() == shadow
    assert found.any() == shadow


def test_a_gap_in_a_sharp_edge_lets_nothing_of_a_grey_card_pass_for_shadow():
    levels = np.full((200, 260, 3), 220.0, np.float32)
    levels[60:150, 70:190] = 180.0
    levels[120:180, 120:140] = np.linspace(180, 220, 60)[
        :, None, None
    ]  # where it is as light as what lies round it
    ground = np.full(levels.shape, 220.0, np.float32)
    differs = (np.abs(levels - ground).max(axis=2) > 8).astype(np.uint8)
    assert not soft_shadows(levels, ground, differs, np.ones_like(differs)).any()


@pytest.mark.first_daily
@pytest.mark.parametrize("depth", [0.25, 0.45])
@pytest.mark.parametrize("wide_mm", [14, 24])
def test_a_sharp_shadow_that_touches_a_coloured_piece_is_no_part_of_it(tmp_path, wide_mm, depth):
    """What lies deep inside a piece as seen at first was taken for the piece, whatever its colour: a bump of 10 mm."""
    table = Table(130, 100, 8, (206, 206, 208), 3)
    ring = placed(egg(56, 42), at_mm=(60, 60))
    top = ring[:, 1].min()
    table.shade(box(50, top - wide_mm, 50 + wide_mm + 6, top + 8), by_mm=(0, 0), soft_mm=0.4, depth=depth)
    table.paint(ring, colour=(60, 110, 200))
    seen = scanned(table, dpi=200, noise=1.5)
    traced = trace_picture(seen.save(tmp_path / "a.png"), PictureSource(file="a.png", dpi=200))
    (piece,) = traced.pieces
    assert p95_mm(traced, piece, seen, ring) < 0.1
