"""Pencil lines as hands draw them: grain, faint places, gaps, and what is no line."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from painted import Table, scanned
from scored import dense, p95_mm, piece_at
from things_painted import egg, house, lobed, placed, rule_on

from cradle.capture.tracing import trace_picture
from cradle.errors import CaptureError
from cradle.project.picture import PictureSource, Traced

SHAPES = {"egg": egg(58, 38), "house": house(56), "lobed": lobed(56)}


def _pencil(ring, *, seed, faint=0.2, gap_mm=0.0, width_mm=0.5, dpi=200):
    """A line pressed unevenly on toothed paper, with faint places up to 2 mm long, beside a rule."""
    rng = np.random.default_rng(seed)
    table = Table(110, 96, 10, (247, 246, 242), seed)
    ring = placed(ring, at_mm=(55, 60), turn_deg=rng.uniform(0, 360))
    along = dense(ring, 0.25)
    count = len(along)
    press = np.repeat(rng.standard_normal(count // 12 + 2), 12)[:count]
    press = np.convolve(np.r_[press[-8:], press, press[:8]], np.ones(17) / 17, "valid")
    dark = np.clip(0.6 + 0.35 * press, 0.25, 0.9)
    for _ in range(4):
        dark[(rng.integers(count) + np.arange(rng.integers(2, 9))) % count] = faint
    dark[(rng.integers(count) + np.arange(int(gap_mm / 0.25))) % count] = 0.0
    table.line(along, width_mm=width_mm, colour=(70, 70, 75), darkness=dark)
    tooth = rng.standard_normal((480, 550)).astype(np.float32)
    tooth = cv2.resize(tooth, table.levels.shape[1::-1], interpolation=cv2.INTER_CUBIC)
    paper = np.array(table.colour, np.float32)
    table.levels = paper - (paper - table.levels) * np.clip(1 + 0.4 * tooth, 0, 1.4)[..., None]
    rule_on(table, at_mm=(8, 24), length_mm=90, depth_mm=16)
    return scanned(table, dpi=dpi), ring


def _traced(seen, path):
    return trace_picture(seen.save(path / "a.png"), PictureSource(file="a.png", shape=Traced.LINE))


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("seed", [1, 2])
def test_a_line_with_grain_and_faint_places_gives_its_middle(tmp_path, name, seed):
    seen, ring = _pencil(SHAPES[name], seed=seed)
    traced = _traced(seen, tmp_path)
    piece = piece_at(traced.pieces, seen.px_from_mm(ring))
    assert piece is not None
    assert p95_mm(traced, piece, seen, ring) < 0.12
    assert piece.line_width_mm == pytest.approx(0.6, abs=0.15)  # the painter adds a pixel of 0.1 mm


def test_a_line_with_a_long_gap_is_refused_and_the_gap_is_the_reason(tmp_path):
    seen, _ = _pencil(SHAPES["egg"], seed=3, gap_mm=4.0)
    with pytest.raises(CaptureError, match="does not close, or its edges are more than"):
        _traced(seen, tmp_path)


def test_a_closed_line_is_taken_and_an_open_one_beside_it_is_told(tmp_path):
    table = Table(110, 60, 10)
    ring = placed(egg(40, 30), at_mm=(28, 40))
    table.line(dense(ring, 0.5), width_mm=0.5, colour=(60, 60, 60))
    table.line(
        dense(placed(egg(36, 24), at_mm=(80, 40)), 0.5)[:-12], width_mm=0.5, colour=(60, 60, 60), closed=False
    )
    rule_on(table, at_mm=(8, 20), length_mm=90, depth_mm=16)
    seen = scanned(table, dpi=200)
    traced = _traced(seen, tmp_path)
    (piece,) = traced.pieces
    assert p95_mm(traced, piece, seen, ring) < 0.06
    assert [f.code for f in traced.findings if f.severity == "warn"] == ["line-open"]


@pytest.mark.parametrize("width_mm", [3.5, 6.0])
def test_a_band_is_no_pencil_line(tmp_path, width_mm):
    seen, _ = _pencil(SHAPES["egg"], seed=4, width_mm=width_mm, faint=0.6)
    with pytest.raises(CaptureError, match="no closed line was found"):
        _traced(seen, tmp_path)
