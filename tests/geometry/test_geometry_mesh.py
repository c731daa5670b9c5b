import numpy as np
import pytest
import trimesh
from stacked import circle, stacked

from cradle.geometry.mesh import TriMesh, half_edges


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
