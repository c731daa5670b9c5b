"""Four readers of other people that must all find a written solid sound, and of one volume."""

import io

import lib3mf
import numpy as np
import pytest
import trimesh
from manifold3d import Error, Manifold, Mesh
from stl import Mesh as NumpyStl

from cradle.export.stl import stl_bytes
from cradle.export.threemf import threemf_bytes
from cradle.geometry.mesh import volume_mm3


def check_sound_for_all(mesh):
    """Write the mesh both ways; numpy-stl, trimesh, manifold3d and lib3mf (strict) each call it sound."""
    meant = volume_mm3(mesh)
    stl = stl_bytes(mesh)

    by_numpy_stl = NumpyStl.from_file("holder.stl", fh=io.BytesIO(stl))
    assert by_numpy_stl.is_closed(exact=True)
    assert float(by_numpy_stl.get_mass_properties()[0]) == pytest.approx(meant, rel=1e-4)

    by_trimesh = trimesh.load(io.BytesIO(stl), file_type="stl")
    assert by_trimesh.is_watertight
    assert by_trimesh.is_winding_consistent
    assert by_trimesh.volume == pytest.approx(meant, rel=1e-5)

    corners, faces = np.unique(by_numpy_stl.vectors.reshape(-1, 3), axis=0, return_inverse=True)
    solid = Manifold(Mesh(vert_properties=corners, tri_verts=faces.reshape(-1, 3).astype(np.uint32)))
    assert solid.status() == Error.NoError
    assert solid.volume() == pytest.approx(meant, rel=1e-4)

    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(threemf_bytes([("holder", mesh)], title="holder"))
    assert reader.GetWarningCount() == 0
    objects = model.GetMeshObjects()
    assert objects.MoveNext()
    read = objects.GetCurrentMeshObject()
    assert read.IsManifoldAndOriented()
    assert read.GetTriangleCount() == len(by_numpy_stl.data)  # those that rounding leaves
