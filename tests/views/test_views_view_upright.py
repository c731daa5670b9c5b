"""How a silhouette is set upright by a flat base or a flat top, and how far up it shows both sides."""

import numpy as np
import pytest
from section_shapes import outline, polar, spec
from section_shapes import placed as placed_of

from cradle.geometry.arrays import frozen
from cradle.geometry.planar import common, outer_rings, region
from cradle.geometry.ring import turned
from cradle.pictures.border import Border
from cradle.project.section import DrawingSource
from cradle.project.side import Side
from cradle.project.view import ViewScale, ViewSpec
from cradle.views.silhouette import Silhouette
from cradle.views.view_upright import TILT_DEG, upright

BALL = polar(400, lambda t: 40.0 + 0.0 * t) + [0.0, 40.0]
VIEW = ViewSpec(seen_from=Side.FRONT, source=DrawingSource(path="invented.csv"), scale=ViewScale.FREE)


def below(ring, *, top_mm, leaning_deg=0.0):
    """What of a ring lies below a straight line at a height in its middle that rises to the right."""
    under = np.array([[-200.0, -200.0], [200.0, -200.0], [200.0, 0.0], [-200.0, 0.0]])
    cut = turned(under, angle_deg=leaning_deg) + [0.0, top_mm]
    return outer_rings(common(region(ring), region(cut)))[0]


def set_upright(points, *, cut_off_at=()):
    return upright(Silhouette(spec=VIEW, points_mm=frozen(points), cut_off_at=cut_off_at), mm=1.0)


@pytest.mark.parametrize("tilted", [-3.0, -1.5, 0.0, 2.5])
def test_a_flat_top_tells_the_tilt_where_a_round_belly_hardly_does(tilted):
    # by construction: the silhouette was turned by just so much
    silhouette = turned(below(BALL, top_mm=55.0), angle_deg=tilted)
    found, by_belly = set_upright(silhouette), set_upright(silhouette, cut_off_at=(Border.UPPER,))
    assert np.degrees(found.turn_rad) == pytest.approx(-tilted, abs=0.4 * abs(tilted) + 0.01)
    assert abs(found.turn_rad + np.radians(tilted)) < found.spread_rad
    assert abs(np.degrees(by_belly.turn_rad)) < 0.3
    assert by_belly.spread_rad > 1.2 * found.spread_rad


def test_a_top_that_rises_to_one_side_is_not_believed_to_be_level():
    found = set_upright(below(BALL, top_mm=55.0, leaning_deg=5.5))
    assert abs(np.degrees(found.turn_rad)) < 0.6 * 5.5
    assert abs(found.turn_rad) < 1.5 * found.spread_rad
    assert np.degrees(found.spread_rad) > TILT_DEG


@pytest.mark.parametrize("leaning", [-3.0, 0.0, 4.0])
def test_both_sides_are_seen_as_far_as_a_straight_top_begins(leaning):
    cup = np.array([[-20.0, 0.0], [20.0, 0.0], [30.0, 70.0], [-30.0, 70.0]])
    found = set_upright(below(cup, top_mm=50.0, leaning_deg=leaning), cut_off_at=(Border.UPPER,))
    # where the line meets the lower of the two sides, by similar triangles
    slope = np.tan(np.radians(abs(leaning)))
    expected = 50.0 - slope * (20.0 + 50.0 / 7.0) / (1.0 + slope / 7.0)
    assert found.sides_to == pytest.approx(expected, abs=0.01)
    assert found.points[:, 1].max() >= found.sides_to


def test_a_round_top_shows_both_sides_all_the_way_up():
    found = set_upright(BALL)
    assert found.sides_to == pytest.approx(80.0)
    assert found.sides_to == found.points[:, 1].max()


def placed_by(silhouette, *, heights, widths):
    """Round sections placed by a view that the picture's upper edge cuts off."""
    view = Silhouette(spec=VIEW, points_mm=frozen(silhouette), cut_off_at=(Border.UPPER,))
    rings = [polar(120, lambda t: 1.0 + 0 * t) * width / 2 for width in widths]
    specs = [
        spec(f"s{i}", z, width_mm=width, depth_mm=width)
        for i, (z, width) in enumerate(zip(heights, widths, strict=True))
    ]
    return placed_of([outline(r) for r in rings], specs=specs, views=[view])


def test_a_view_cut_off_aslant_says_nothing_of_the_sides_above_its_lower_end():
    """A section higher than that was led to a width of nothing, and refused."""
    heights = np.array([10.0, 30.0, 53.0])
    widths = 2 * np.sqrt(1600.0 - (heights - 40.0) ** 2)
    result = placed_by(below(BALL, top_mm=54.0, leaning_deg=3.0), heights=heights, widths=widths)
    left, right = result.profiles.left, result.profiles.right
    assert left[-1, 0] == pytest.approx(54.0 - 40.0 * np.tan(np.radians(3.0)), abs=0.8)
    assert (right - left)[-1, 1] == pytest.approx(2 * np.sqrt(1600.0 - (left[-1, 0] - 40.0) ** 2), rel=0.02)


@pytest.mark.parametrize("leaning", [-2.0, 0.0, 2.0])
def test_a_section_where_a_view_is_cut_off_aslant_does_not_change_its_size(leaning):
    z = np.linspace(0.0, 40.0, 200)
    half = np.interp(z, [0.0, 5.0, 40.0], [7.5, 20.0, 45.0])
    bowl = np.concatenate([np.column_stack([half, z]), np.column_stack([-half, z])[::-1]])
    heights = np.array([2.0, 14.0, 24.0])
    result = placed_by(
        below(bowl, top_mm=25.0, leaning_deg=leaning), heights=heights, widths=2 * np.interp(heights, z, half)
    )
    left, right = result.profiles.left, result.profiles.right
    wide = np.interp([10.0, 15.0, 20.0], *right.T) - np.interp([10.0, 15.0, 20.0], *left.T)
    # by construction: the silhouette is as large as the thing
    assert wide == pytest.approx(2 * np.interp([10.0, 15.0, 20.0], z, half), rel=0.01)
