"""What a scan's texture adds to a drawn outline is smoothed away, what is its form stays."""

import numpy as np
import pytest

from cradle.capture.clean import clean_outline
from cradle.capture.texture import without_texture
from cradle.geometry.arrays import Floats
from cradle.geometry.planar import region
from cradle.geometry.region_measures import distances_to_boundary, inside

_WIDTH_MM, _DEPTH_MM = 25.0, 15.0


def _ellipse(count: int, *, turn: float = 2 * np.pi) -> Floats:
    at = np.arange(count) / count * turn
    return np.column_stack([_WIDTH_MM / 2 * np.cos(at), _DEPTH_MM / 2 * np.sin(at)])


def _rough(points: Floats, *, by_mm: float) -> Floats:
    out = points / np.hypot(*points.T)[:, None]
    return points + out * np.random.default_rng(5).normal(0, by_mm, (len(points), 1))


@pytest.mark.parametrize("count", [2500, 6000, 20_000])
@pytest.mark.parametrize("by_mm", [0.02, 0.04])
def test_a_rough_outline_is_smoothed_to_its_form(count: int, by_mm: float) -> None:
    """Our own construction: an ellipse whose thousands of points lie off it at random."""
    outline = without_texture(clean_outline(_rough(_ellipse(count), by_mm=by_mm), source="s"), source="s")
    assert len(outline.points_mm) < 200
    away = distances_to_boundary(outline.points_mm, region(_ellipse(2000)))
    assert away.max() < 0.04
    assert [finding.code for finding in outline.findings] == ["texture-smoothed"]


@pytest.mark.parametrize(
    ("pixel_mm", "width_mm"), [(0.05, 62.5), (0.17, 62.5), (0.25, 62.5), (0.25, 32.5), (0.17, 32.5)]
)
def test_the_stairs_of_pixels_are_smoothed_to_the_form(pixel_mm: float, width_mm: float) -> None:
    """What turns a picture into a drawing by its pixels gives steps as high as these; by our own construction."""
    large = _ellipse(4000) * width_mm / _WIDTH_MM
    ends = np.abs(large).max(axis=0) + pixel_mm
    x, y = (np.arange(-end, end, pixel_mm) for end in ends)
    rows = [x[inside(np.column_stack([x, np.full(len(x), at)]), region(large))] for at in y]
    left = [[(row[0], at), (row[0], at + pixel_mm)] for row, at in zip(rows, y, strict=True) if len(row)]
    right = [
        [(row[-1] + pixel_mm, at), (row[-1] + pixel_mm, at + pixel_mm)]
        for row, at in zip(rows, y, strict=True)
        if len(row)
    ]
    stairs = np.array([*(p for step in right for p in step), *(p for step in left[::-1] for p in step[::-1])])
    drawn = clean_outline(stairs + [-pixel_mm / 2, -pixel_mm / 2], source="s")
    outline = without_texture(drawn, source="s")
    assert len(outline.points_mm) < len(drawn.points_mm) / 3
    assert distances_to_boundary(outline.points_mm, region(large)).max() < 0.6 * pixel_mm


def test_a_rough_half_outline_keeps_its_ends() -> None:
    half = _ellipse(8000, turn=np.pi)
    rough = _rough(half, by_mm=0.03)
    outline = without_texture(clean_outline(rough, source="s", open_ends=True), source="s")
    assert len(outline.points_mm) < 150
    assert outline.open_ends
    np.testing.assert_allclose(outline.points_mm[[0, -1]], rough[[0, -1]])
    assert distances_to_boundary(outline.points_mm, region(_ellipse(2000))).max() < 0.1


def test_corners_stay_where_they_are() -> None:
    """A box 40 x 20 mm whose sides are rough: each corner within what the roughness leaves open."""
    box = np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 20.0], [0.0, 20.0]])
    sides = [
        a + np.linspace(0, 1, 500, endpoint=False)[:, None] * (b - a)
        for a, b in zip(box, np.roll(box, -1, axis=0), strict=True)
    ]
    drawn = np.concatenate(sides)
    drawn += np.random.default_rng(7).normal(0, 0.02, drawn.shape)
    outline = without_texture(clean_outline(drawn, source="s"), source="s")
    assert len(outline.points_mm) < 100
    nearest = np.hypot(*(outline.points_mm[:, None] - box).transpose(2, 0, 1)).min(axis=0)
    assert nearest.max() < 0.15


@pytest.mark.parametrize("teeth", [40, 120])
def test_many_points_of_the_form_itself_stay(teeth: int) -> None:
    """A toothed wheel 60 mm across, its teeth 1 mm deep, and an ellipse drawn with 20,000 exact points."""
    at = np.arange(teeth * 4) / (teeth * 4) * 2 * np.pi
    radii = 30.0 - np.tile([0.0, 0.0, 1.0, 1.0], teeth)
    wheel = clean_outline(radii[:, None] * np.column_stack([np.cos(at), np.sin(at)]), source="s")
    assert without_texture(wheel, source="s") is wheel


def test_a_fine_drawing_stays() -> None:
    fine = clean_outline(_ellipse(20_000), source="s")
    assert without_texture(fine, source="s") is fine
