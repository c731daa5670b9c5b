"""Crumbs, staples and screws beside a piece far larger are left out and told; what may be a small section is asked about."""

import pytest
from painted import KRAFT, Table, scanned
from scored import p95_mm
from things_painted import egg, placed, rule_on

from cradle.capture.tracing import trace_outline, trace_picture
from cradle.errors import CaptureError
from cradle.project.picture import PictureSource

SPEC = PictureSource(file="a.png")
RING = placed(egg(60, 44), at_mm=(62, 62), turn_deg=20)
AT = (22.0, 88.0)


def beside(folder, long_mm):
    """The picture of a piece of 60 mm and of a sharp dark thing so long."""
    table = Table(110, 100, 8, seed=2)
    rule_on(table, at_mm=(8, 24), length_mm=90, depth_mm=16)
    table.paint(RING, colour=KRAFT)
    table.paint(placed(egg(long_mm, 0.7 * long_mm), at_mm=AT), colour=(60, 62, 70))
    seen = scanned(table, dpi=150)
    seen.save(folder / "a.png")
    return seen


@pytest.mark.parametrize("long_mm", [4.0, 9.0])
def test_a_small_thing_beside_a_far_larger_piece_is_left_out_and_told(tmp_path, long_mm):
    seen = beside(tmp_path, long_mm)
    traced = trace_picture(tmp_path / "a.png", SPEC)
    (piece,) = traced.pieces
    assert p95_mm(traced, piece, seen, RING) < 0.1
    (told,) = [f for f in traced.findings if f.code == "specks-left-out"]
    assert told.measured == pytest.approx(long_mm, abs=0.3)
    assert trace_outline(tmp_path, SPEC).points_mm.shape[1] == 2  # none needs to be picked


def test_it_is_traced_where_a_point_picks_it(tmp_path):
    seen = beside(tmp_path, 9.0)
    x, y = seen.px_from_mm([AT])[0].tolist()
    outline = trace_outline(tmp_path, PictureSource(file="a.png", point_px=(x, y)))
    assert max(outline.points_mm.max(axis=0) - outline.points_mm.min(axis=0)) == pytest.approx(9.0, abs=0.2)


def test_of_one_that_may_be_a_small_section_it_is_asked_which_is_meant(tmp_path):
    beside(tmp_path, 13.0)
    with pytest.raises(CaptureError, match=r"shows 2 pieces .* pick one"):
        trace_outline(tmp_path, SPEC)
