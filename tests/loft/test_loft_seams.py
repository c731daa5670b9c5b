"""Meshes through pieces with columns of their own: against published volumes and a second reader."""

import numpy as np
import pytest
import trimesh
from bodies import ellipse, prismoid_volume, rectangle

from cradle.geometry.mesh import component_count, edge_statistics, volume_mm3
from cradle.geometry.ring import resample, signed_area
from cradle.loft.pieces import Piece
from cradle.loft.seams import body_mesh

LOW, MIDDLE, HIGH = rectangle(20, 16), rectangle(28, 20), rectangle(22, 22)


def piece(heights, *rings, count=4):
    """Rings of so many points round, every corner among them."""
    dense = [
        np.concatenate(
            [np.linspace(a, b, count // 4 + 1)[:-1] for a, b in zip(r, np.roll(r, -1, axis=0), strict=True)]
        )
        for r in rings
    ]
    return Piece(np.array(heights, dtype=float), np.array(dense))


def assert_sound(mesh):
    assert edge_statistics(mesh).closed
    assert component_count(mesh) == 1
    read = trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False)
    assert read.is_watertight
    assert read.is_winding_consistent
    assert read.volume == pytest.approx(volume_mm3(mesh), rel=1e-9)


def frustum(height, low, high):
    """Its middle section has sides half way between those of its ends."""
    return prismoid_volume(height, signed_area(low), signed_area((low + high) / 2), signed_area(high))


def test_two_pieces_with_other_points_on_their_seam_are_the_two_frusta():
    below = piece([0, 10], LOW, MIDDLE, count=12)
    above = piece([10, 25], MIDDLE, HIGH, count=20)
    mesh = body_mesh([[below, above]], twist_mm=1e-6)
    assert_sound(mesh)
    whole = frustum(10, LOW, MIDDLE) + frustum(15, MIDDLE, HIGH)
    assert volume_mm3(mesh) == pytest.approx(whole, rel=1e-9)
    on_seam = mesh.vertices_mm[mesh.vertices_mm[:, 2] == 10]
    # thirds and fifths of a side share its ends alone
    assert len(np.unique(on_seam, axis=0)) == len(on_seam) == 12 + 20 - 4


def test_a_seam_that_begins_elsewhere_is_the_same_seam():
    below = piece([0, 10], LOW, MIDDLE, count=12)
    heights, rings = piece([10, 25], MIDDLE, HIGH, count=20)
    mesh = body_mesh([[below, Piece(heights, np.roll(rings, 7, axis=1))]], twist_mm=1e-6)
    assert_sound(mesh)
    assert volume_mm3(mesh) == pytest.approx(frustum(10, LOW, MIDDLE) + frustum(15, MIDDLE, HIGH), rel=1e-9)


def test_between_two_runs_stands_a_step_over_both_rings():
    wide, tall = rectangle(40, 10), rectangle(10, 40)
    mesh = body_mesh([[piece([0, 10], wide, wide)], [piece([16, 30], tall, tall)]], twist_mm=1e-6)
    assert_sound(mesh)
    # a cross over both: 400 + 400 - 100 mm², less a rim of 0.01 mm at either end
    assert volume_mm3(mesh) == pytest.approx(10 * 400 + 6 * 700 + 14 * 400, abs=0.02 * 700)


def test_a_step_over_rings_that_lie_apart_reaches_over_all_between_them():
    left, right = rectangle(10, 10) - [20, 0], rectangle(10, 10) + [20, 0]
    mesh = body_mesh([[piece([0, 5], left, left)], [piece([8, 12], right, right)]], twist_mm=1e-6)
    assert_sound(mesh)
    assert volume_mm3(mesh) == pytest.approx(500 + 3 * 500 + 400, abs=0.02 * 500)  # their hull is 50 by 10 mm


def test_a_step_over_a_ring_that_crosses_itself_stands_on_all_that_it_goes_around():
    # a bow tie of two triangles of 50 mm² on a point of a run, as columns that cross leave it
    tie = np.array([[-10.0, -5.0], [10.0, 5.0], [10.0, -5.0], [-10.0, 5.0]])
    block = rectangle(22, 12)
    below = Piece(np.array([0.0]), tie[None])
    mesh = body_mesh([[below], [piece([10, 20], block, block)]], twist_mm=1e-6)
    assert edge_statistics(mesh).closed
    assert volume_mm3(mesh) == pytest.approx(20 * 264, abs=0.02 * 264)
    assert mesh.vertices_mm[:, 2].min() == 0.0


def test_one_piece_is_its_own_skin():
    ring = resample(ellipse(20, 12), count=80)
    mesh = body_mesh([[Piece(np.array([0.0, 30.0]), np.array([ring, ring]))]], twist_mm=1e-6)
    assert_sound(mesh)
    assert volume_mm3(mesh) == pytest.approx(30 * signed_area(ring), rel=1e-9)


def test_an_edge_that_most_points_of_the_seam_lie_on_is_cut_the_right_way_round():
    """Of the ring above, 40 of 43 points lie on one edge of the triangle below."""
    triangle = np.array([[0.0, 0.0], [30.0, 0.0], [15.0, 20.0]])
    dense = np.concatenate([np.linspace(triangle[0], triangle[1], 41)[:-1], triangle[1:]])
    below = Piece(np.array([0.0, 10.0]), np.array([triangle, triangle]))
    above = Piece(np.array([10.0, 14.0]), np.array([dense, dense]))
    top = Piece(np.array([14.0, 17.0]), np.array([triangle, triangle]))
    mesh = body_mesh([[below, above, top]], twist_mm=1e-6)
    assert_sound(mesh)
    assert volume_mm3(mesh) == pytest.approx(17 * signed_area(triangle), rel=1e-9)
