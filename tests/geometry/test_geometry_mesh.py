import numpy as np
import pytest
import trimesh
from stacked import circle, stacked

from cradle.geometry.mesh import TriMesh, edge_statistics, half_edges, joined_meshes, volume_mm3


def test_every_edge_has_two_half_edges_that_run_against_each_other():
    # as many edges as another library counts; V − E + F = 2 (Euler)
    mesh = stacked([0, 5, 9], [circle(9, points=11), circle(4, points=11), circle(6, points=11)])
    pairs = half_edges(mesh)
    assert len(pairs) == len(trimesh.Trimesh(mesh.vertices_mm, mesh.faces, process=False).edges_unique)
    assert len(mesh.vertices_mm) - len(pairs) + len(mesh.faces) == 2
    tail, head = mesh.faces.ravel(), mesh.faces[:, [1, 2, 0]].ravel()
    assert (tail[pairs[:, 0]] == head[pairs[:, 1]]).all()
    assert (head[pairs[:, 0]] == tail[pairs[:, 1]]).all()
    assert sorted(pairs.ravel()) == list(range(3 * len(mesh.faces)))


def test_an_open_mesh_has_no_pairs():
    with pytest.raises(ValueError, match="not closed"):
        half_edges(TriMesh.of(np.eye(3), [[0, 1, 2]]))


def test_meshes_side_by_side_keep_their_faces_and_a_single_one_is_itself():
    """Rounded for one file, it was rounded again for the next."""
    one = stacked([0, 5], [circle(9, points=11), circle(4, points=11)])
    assert joined_meshes([one]) is one
    both = joined_meshes([one, one])
    assert volume_mm3(both) == pytest.approx(2 * volume_mm3(one))
    assert edge_statistics(both).closed
