"""The raw offset winds round the body grown by a ball: held to the kernel's Minkowski sum and to exact distances."""

import manifold3d
import numpy as np
import pytest
import trimesh
from daily import each_value_daily
from pockets import rings_at
from stacked import TWISTED, circle, egg, stacked

from cradle.geometry import planar, region_measures
from cradle.geometry import solid as solids
from cradle.geometry.mesh import edge_statistics
from cradle.pocket.budget import FINEST
from cradle.pocket.clearance import clearance_profile
from cradle.pocket.offset_surface import raw_offset
from cradle.pocket.shape import shape_of

NINE_SIDES = stacked([0, 20], [circle(20, points=9), circle(9, points=9) + [4, 0]])


def blade(half_thick, wander):
    """A wedge whose knife edge wanders from level to level: the two faces at it lie nearly back to back."""
    tips = [(z, wander * np.array([np.sin(2.1 * z), np.cos(1.7 * z)])) for z in np.linspace(0, 12, 9)]
    rings = [np.array([tip, [15, -half_thick], [15, half_thick]]) for _, tip in tips]
    return stacked([z for z, _ in tips], rings)


BODIES = {
    "egg": egg(),
    "leaning egg": egg(lean=0.4),
    "twisted": TWISTED,
    "nine sides": NINE_SIDES,
    "blade": blade(0.5, 0.3),
    "thin blade": blade(0.2, 0.1),
}


def plain(c):
    return clearance_profile([0.0], [None], default_mm=c)


@pytest.mark.parametrize(("name", "c"), each_value_daily(BODIES, [0.1, 0.5, 3.0]))
def test_it_is_closed_and_keeps_the_distance_in_every_section(name, c):
    mesh = BODIES[name]
    raw = raw_offset(shape_of(mesh), plain(c))
    assert edge_statistics(raw).closed
    (_, _, z0), (_, _, z1) = mesh.vertices_mm.min(axis=0), mesh.vertices_mm.max(axis=0)
    heights = np.linspace(z0 - 0.7 * c, z1 + 0.7 * c, 15)
    levels = solids.outer_sections(solids.solid(raw, where="raw"), heights, within_mm=1e-4)
    points = np.concatenate(rings_at(levels, heights))
    away = trimesh.proximity.closest_point(trimesh.Trimesh(mesh.vertices_mm, mesh.faces), points)[1]
    # round edges begin and end up to four chords' depths short; blunt corners stand out by their mitres
    assert away.min() >= c + FINEST.outline_mm - 4 * FINEST.arc_mm - 1e-4
    assert np.percentile(away, 99) <= c + FINEST.outline_mm + FINEST.mitre_mm + 4 * FINEST.arc_mm + 1e-4


def test_it_winds_round_what_the_kernels_minkowski_sum_fills():
    # the ball of the other program is inscribed, so its sum is the smaller by up to 1 − cos(pi / n) of the clearance
    c, sides = 1.0, 40
    raw = solids.solid(raw_offset(shape_of(TWISTED), plain(c)), where="raw")
    other = solids.solid(TWISTED, where="body").minkowski_sum(manifold3d.Manifold.sphere(c, sides))
    heights = np.linspace(-0.8, 30.8, 21)
    ours, theirs = solids.outer_sections(raw, heights, within_mm=1e-4), solids.cut_regions(other, heights)
    for own, sum_of_both in zip(ours, theirs, strict=True):
        assert region_measures.area_mm2(planar.without(sum_of_both, own)) < 0.01
        assert region_measures.area_mm2(own) <= region_measures.area_mm2(sum_of_both) * 1.006


def test_the_reach_follows_the_height_of_the_body():
    mesh = stacked([0, 40], [circle(10, points=90)] * 2)
    profile = clearance_profile([0, 40], [0.2, 1.0], default_mm=0.0)
    raw = solids.solid(raw_offset(shape_of(mesh), profile), where="raw")
    for z, c in ((10.0, 0.4), (20.0, 0.6), (30.0, 0.8)):
        level = solids.outer_sections(raw, np.array([z]), within_mm=1e-4)[0]
        assert np.sqrt(region_measures.area_mm2(level) / np.pi) == pytest.approx(
            10 + c + FINEST.outline_mm, abs=0.02
        )


def test_a_body_without_clearance_keeps_its_shape():
    raw = solids.solid(raw_offset(shape_of(NINE_SIDES), plain(0.0)), where="raw")
    body = solids.solid(NINE_SIDES, where="body")
    assert solids.volume_mm3(raw) == pytest.approx(solids.volume_mm3(body), rel=2e-3)


@pytest.mark.parametrize("name", BODIES)
def test_what_is_round_to_a_height_only_is_closed_and_the_same_below_it(name):
    mesh, c = BODIES[name], 2.0
    z1 = float(mesh.vertices_mm[:, 2].max())
    everywhere, below = (raw_offset(shape_of(mesh), plain(c), round_to_mm=h) for h in (np.inf, z1 - 3.0))
    assert edge_statistics(below).closed
    assert len(below.faces) < 0.9 * len(everywhere.faces)
    heights = np.linspace(-0.9 * c, z1 - 3.0, 15)
    one, other = (
        solids.outer_sections(solids.solid(raw, where="raw"), heights, within_mm=1e-4)
        for raw in (everywhere, below)
    )
    for a, b in zip(one, other, strict=True):
        assert (
            region_measures.area_mm2(planar.without(a, b)) + region_measures.area_mm2(planar.without(b, a))
            < 1e-3
        )


def test_a_body_of_many_ridges_gets_coarser_arcs_as_its_clearance_grows():
    around, up = np.linspace(0, 2 * np.pi, 120, endpoint=False), np.arange(12.0)
    waves = [30 + np.cos(60 * around) * np.cos(2.5 * z) for z in up]
    body = shape_of(stacked(up, [np.column_stack([r * np.cos(around), r * np.sin(around)]) for r in waves]))
    near, wide = (raw_offset(body, plain(c)) for c in (0.5, 2.0))
    assert len(wide.faces) < 3 * len(near.faces)
    width = np.ptp(wide.vertices_mm[:, 0]) - np.ptp(body.mesh.vertices_mm[:, 0])
    assert 4.0 < width < 4.0 * 1.04
