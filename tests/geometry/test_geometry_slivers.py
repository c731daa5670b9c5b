"""Closed meshes with slivers put in: out they come, and the solid stays what it was."""

import numpy as np
import pytest
import trimesh

from cradle.geometry.mesh import TriMesh, edge_statistics, volume_mm3
from cradle.geometry.slivers import thicknesses, without_slivers

THIN_MM = 1e-4


def ball(*, seed):
    """A ball of 20 mm, turned, as trimesh makes one."""
    mesh = trimesh.creation.icosphere(subdivisions=2, radius=20.0)
    mesh.apply_transform(
        trimesh.transformations.random_rotation_matrix(np.random.default_rng(seed).random(3))
    )
    return TriMesh.of(mesh.vertices, mesh.faces)


def spoiled(mesh, *, seed, count):
    """The mesh with points put beside corners (needles) and on sides (caps), none further off than ``THIN_MM``."""
    rng = np.random.default_rng(seed)
    points, faces = mesh.vertices_mm.tolist(), mesh.faces.tolist()
    for _ in range(count):
        face = int(rng.integers(len(faces)))
        a, b, c = faces[face]
        share = rng.choice([0.0, 0.0, 0.3, 0.5])
        place = (1 - share) * np.array(points[a]) + share * np.array(points[b])
        points.append(place + rng.uniform(-0.4, 0.4, 3) * THIN_MM)
        faces[face] = [a, b, len(points) - 1]
        faces += [[b, c, len(points) - 1], [c, a, len(points) - 1]]
    return TriMesh.of(points, faces)


@pytest.mark.parametrize("seed", range(12))
def test_slivers_come_out_and_the_solid_stays(seed):
    sound = ball(seed=seed)
    bad = spoiled(sound, seed=seed, count=40)
    assert (thicknesses(bad.vertices_mm, bad.faces) < THIN_MM).sum() >= 40
    mended = TriMesh(bad.vertices_mm, without_slivers(bad.vertices_mm, bad.faces, thin_mm=THIN_MM))
    assert edge_statistics(mended).closed
    assert thicknesses(mended.vertices_mm, mended.faces).min() >= THIN_MM
    assert volume_mm3(mended) == pytest.approx(volume_mm3(sound), rel=1e-6)
    used = mended.vertices_mm[np.unique(mended.faces)]
    assert np.abs(np.linalg.norm(used, axis=1) - 20.0).max() < 0.7  # the sides of its triangles


@pytest.mark.parametrize("beyond", [0.02, 0.3, 1.5])
@pytest.mark.parametrize("seed", range(4))
def test_a_fold_without_thickness_beyond_a_corner_comes_out(seed, beyond):
    """A point on the line through two corners of a face, past one of them: two of its three faces lie on one another."""
    sound = ball(seed=seed)
    rng = np.random.default_rng(seed)
    points, faces = sound.vertices_mm.tolist(), sound.faces.tolist()
    for number in rng.choice(len(faces), size=12, replace=False).tolist():
        a, b, c = faces[number]
        points.append((np.array(points[b]) * (1 + beyond) - np.array(points[a]) * beyond).tolist())
        faces[number] = [a, b, len(points) - 1]
        faces += [[b, c, len(points) - 1], [c, a, len(points) - 1]]
    bad = TriMesh.of(points, faces)
    assert (thicknesses(bad.vertices_mm, bad.faces) < THIN_MM).sum() == 12
    mended = TriMesh(bad.vertices_mm, without_slivers(bad.vertices_mm, bad.faces, thin_mm=THIN_MM))
    assert edge_statistics(mended).closed
    assert len(mended.faces) == len(sound.faces)
    assert thicknesses(mended.vertices_mm, mended.faces).min() >= THIN_MM
    assert volume_mm3(mended) == pytest.approx(volume_mm3(sound), rel=1e-12)


def test_a_mesh_without_slivers_stays_as_it_is():
    sound = ball(seed=1)
    assert np.array_equal(without_slivers(sound.vertices_mm, sound.faces, thin_mm=THIN_MM), sound.faces)


def test_a_solid_that_is_thinner_than_the_limit_is_left_alone():
    # every face of a flake is a sliver, or becomes one: none may be taken
    flake = TriMesh.of(
        [[0, 0, 0], [9, 0, 0], [0, 9, 0], [3, 3, 1e-6]], [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]
    )
    assert edge_statistics(flake).closed
    assert np.array_equal(without_slivers(flake.vertices_mm, flake.faces, thin_mm=THIN_MM), flake.faces)
    wire = TriMesh.of(
        [[0, 0, 0], [9, 0, 0], [9, 5e-5, 0], [9, 0, 5e-5]], [[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]]
    )
    assert edge_statistics(wire).closed
    left = without_slivers(wire.vertices_mm, wire.faces, thin_mm=THIN_MM)
    assert edge_statistics(TriMesh(wire.vertices_mm, left)).closed
