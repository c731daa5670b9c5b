import io
import struct

import numpy as np
import pytest
import trimesh
from holder_shapes import EGG, HOLDER
from sampling import euler_characteristic
from stacked import CUBE
from stl import Mesh

from cradle.export.stl import stl_bytes
from cradle.geometry.mesh import TriMesh, area_normals, bounds_mm, volume_mm3

SHAPES = {"cube": CUBE, "egg": EGG, "holder": HOLDER}
each_shape = pytest.mark.parametrize("mesh", SHAPES.values(), ids=SHAPES)


def test_a_cube_of_12_facets_has_684_bytes():
    # binary STL of 12 facets is 684 bytes; size = 84 + 50 n always (P. Bourke, "STL format")
    assert len(CUBE.faces) == 12
    assert len(stl_bytes(CUBE)) == 684


@each_shape
def test_the_layout_is_that_of_the_format(mesh):
    # 80-byte header not beginning with "solid", little-endian count, 50 bytes a facet
    # (3D Systems 1989, in Burns, Automated Fabrication, section 6.5; P. Bourke, "STL format")
    data = stl_bytes(mesh)
    (count,) = struct.unpack("<I", data[80:84])
    assert count == len(mesh.faces)
    assert len(data) == 84 + 50 * count
    assert not data[:80].lstrip().lower().startswith(b"solid")
    first = struct.unpack("<12fH", data[84:134])
    assert np.allclose(first[3:12], mesh.vertices_mm[mesh.faces[0]].ravel(), atol=1e-5)
    assert first[12] == 0


@each_shape
def test_numpy_stl_and_trimesh_read_the_same_solid(mesh):
    data = stl_bytes(mesh)
    by_numpy_stl = Mesh.from_file("shape.stl", fh=io.BytesIO(data))
    by_trimesh = trimesh.load(io.BytesIO(data), file_type="stl")
    assert len(by_numpy_stl.data) == len(by_trimesh.faces) == len(mesh.faces)
    assert by_numpy_stl.is_closed(exact=True)
    assert by_trimesh.is_watertight
    assert by_trimesh.is_winding_consistent
    meant = volume_mm3(mesh)
    assert meant > 0
    assert by_trimesh.volume == pytest.approx(meant, rel=1e-6)
    assert float(by_numpy_stl.get_mass_properties()[0]) == pytest.approx(meant, rel=1e-5)
    assert by_trimesh.bounds == pytest.approx(bounds_mm(mesh), abs=1e-5)
    # a closed mesh has 3F = 2E, and V - E + F = 2 - 2g (Euler; from memory)
    assert len(by_trimesh.edges_unique) * 2 == len(by_trimesh.faces) * 3
    assert by_trimesh.euler_number == euler_characteristic(mesh)


def test_the_holder_has_a_hole_through_its_floor():
    # genus 1, so V - E + F = 0; the cube and the egg have none
    assert [euler_characteristic(m) for m in (CUBE, EGG, HOLDER)] == [2, 2, 0]


def test_normals_are_unit_vectors_that_look_outwards():
    data = np.frombuffer(
        stl_bytes(HOLDER)[84:], dtype=np.dtype([("n", "<f4", 3), ("v", "<f4", 9), ("a", "<u2")])
    )
    lengths = np.linalg.norm(data["n"], axis=1)
    assert lengths == pytest.approx(1.0, abs=1e-6)
    assert ((data["n"] * area_normals(HOLDER)).sum(axis=1) > 0).all()


def test_a_facet_without_area_is_not_written():
    # a point in the middle of an edge: the face along that edge has no area; the edge is turned to its neighbour's corner
    vertices = np.vstack(
        [CUBE.vertices_mm, (CUBE.vertices_mm[CUBE.faces[0, 0]] + CUBE.vertices_mm[CUBE.faces[0, 1]]) / 2]
    )
    a, b, c = CUBE.faces[0]
    faces = [*CUBE.faces[1:].tolist(), (a, 8, c), (8, b, c), (a, b, 8)]
    mesh = TriMesh.of(vertices, faces)
    data = stl_bytes(mesh)
    assert len(data) == 84 + 50 * 14
    read = trimesh.load(io.BytesIO(data), file_type="stl")
    assert read.is_watertight
    assert read.area_faces.min() == pytest.approx(25)  # quarters of a side of 10 x 10 mm
    assert read.volume == pytest.approx(volume_mm3(CUBE))
