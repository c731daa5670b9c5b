"""The demos: written the same every time, and true to the shapes they were taken from."""

from pathlib import Path

import draw_measuring
import drawn
import numpy as np
import pytest
import shapes
import write_demos

DEMOS = Path(__file__).parent.parent / "demo_data"
HEIGHTS = np.arange(2.0, 47.0, 4.0)


def turning(outline):
    edge = np.roll(outline, -1, axis=0) - outline
    angle = np.unwrap(np.arctan2(edge[:, 1], edge[:, 0]))
    return np.degrees(angle[-1] - angle[0])


def area(outline):
    x, y = outline.T
    return 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))


def test_the_demo_data_are_what_the_script_writes(tmp_path):
    write_demos.main(tmp_path)
    written = sorted(p.relative_to(tmp_path) for p in tmp_path.rglob("*") if p.is_file())
    assert len(written) >= 9
    for name in written:
        assert (DEMOS / name).read_bytes() == (tmp_path / name).read_bytes(), name


@pytest.mark.parametrize("outline_at", [shapes.ocarina_outline, shapes.nozzle_outline])
def test_the_invented_outlines_are_counter_clockwise_and_grow_upwards(outline_at):
    areas = [area(outline_at(float(height))) for height in HEIGHTS]
    assert min(areas) > 400
    for height in HEIGHTS:
        assert 300 < turning(outline_at(float(height))) <= 361  # all round once; the last edge is not counted
    assert max(areas) / min(areas) > 1.5


def test_the_ocarina_leans_and_is_no_mirror_image_of_itself():
    fronts, backs = zip(*(shapes.ocarina_profile_mm(float(h)) for h in (4, 44)), strict=True)
    assert sum(backs) / 2 - sum(fronts) / 2 > 0
    assert (fronts[1] + backs[1]) / 2 - (fronts[0] + backs[0]) / 2 > 6
    top = shapes.ocarina_outline(44.0)
    assert top[:, 0].max() + top[:, 0].min() > 0.2
    for height in HEIGHTS:
        y = shapes.ocarina_outline(float(height))[:, 1]
        assert shapes.ocarina_profile_mm(float(height)) == pytest.approx((y.min(), y.max()), abs=1e-9)


@pytest.mark.parametrize(
    "pieces", [[p for side in shapes.ocarina_sides(18.0) for p in side], shapes.nozzle_pieces(46.0)]
)
def test_drawn_curves_follow_the_traced_shape(pieces):
    pieces = [drawn.traced(piece, scale=(1.004, 1.006)) for piece in pieces]
    spans = drawn.cubics(pieces)
    assert np.allclose(spans[:, 3], np.roll(spans[:, 0], -1, axis=0), atol=1e-9)
    t = np.linspace(0, 1, 9)[:, None, None]
    weights = [(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3]
    curve = sum(w * spans[:, k] for k, w in enumerate(weights)).reshape(-1, 2)
    dense = shapes.sampled(pieces, per_piece=20_000)
    gap = max(np.hypot(*(dense - point).T).min() for point in curve[::5])
    assert gap < 0.006


@pytest.mark.parametrize(
    ("name", "outline_at"), [("ocarina", shapes.ocarina_outline), ("nozzle", shapes.nozzle_outline)]
)
def test_caliper_readings_are_those_of_the_shapes(name, outline_at):
    from cradle.project.reader import read_project
    from cradle.project.section import MeasuredSource

    sections = read_project(DEMOS / name / "holder.toml").sections
    assert len(sections) >= 3
    for section in sections:
        sizes = section.source if isinstance(section.source, MeasuredSource) else section
        true = shapes.size_mm(outline_at(section.height_mm))
        assert (sizes.width_mm, sizes.depth_mm) == pytest.approx(true, abs=0.08)


def test_the_drawing_of_measuring_is_what_the_script_writes(tmp_path):
    draw_measuring.main(tmp_path / "measuring.svg")
    assert (tmp_path / "measuring.svg").read_bytes() == (DEMOS / "measuring.svg").read_bytes()
