import gc
import weakref

import numpy as np
import pytest
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from cradle.errors import SolidError
from cradle.geometry.mesh import TriMesh, component_count, connected, edge_statistics, volume_mm3
from cradle.geometry.rounding import places, single_precision

CUBE_FACES = [
    *((0, 2, 1), (0, 3, 2), (4, 5, 6), (4, 6, 7), (0, 1, 5), (0, 5, 4)),
    *((1, 2, 6), (1, 6, 5), (2, 3, 7), (2, 7, 6), (3, 0, 4), (3, 4, 7)),
]
CUBE = np.array([[x, y, z] for z in (0, 1) for x, y in ((0, 0), (1, 0), (1, 1), (0, 1))], dtype=float)


def cube(size=10.0, at=(0.0, 0.0, 0.0)):
    return TriMesh.of(CUBE * size + at, CUBE_FACES)


def joined(*meshes):
    starts = np.cumsum([0, *(len(m.vertices_mm) for m in meshes)])
    faces = [m.faces + start for m, start in zip(meshes, starts, strict=False)]
    return TriMesh.of(np.concatenate([m.vertices_mm for m in meshes]), np.concatenate(faces))


def same(a, b):
    return np.array_equal(a.vertices_mm, b.vertices_mm) and np.array_equal(a.faces, b.faces)


def split_corner(mesh, *, apart):
    """A fan of needle faces round one vertex, which becomes two that lie ``apart``."""
    a, b, c = mesh.faces[0]
    extra = len(mesh.vertices_mm)
    middle = mesh.vertices_mm[a] + np.array(apart)
    # the face a, b, c is divided at a point beside its corner a
    faces = [*mesh.faces[1:].tolist(), (a, b, extra), (b, c, extra), (c, a, extra)]
    return TriMesh.of(np.vstack([mesh.vertices_mm, middle]), faces)


def as_a_file_sees_it(mesh):
    """Equal float32 points joined, as a reader of an STL file does."""
    points = mesh.vertices_mm[mesh.faces.ravel()].astype(np.float32).astype(float)
    place = places(points)
    return TriMesh.of(points[np.unique(place, return_index=True)[1]], place)


def test_coordinates_become_exactly_single_precision_and_stay_so():
    mesh = cube(0.1, at=(1 / 3, 12.3, -7.7))
    once = single_precision(mesh)
    assert not np.array_equal(once.vertices_mm, mesh.vertices_mm)
    assert np.array_equal(once.vertices_mm, once.vertices_mm.astype(np.float32))
    assert np.array_equal(once.faces, mesh.faces)
    assert same(single_precision(once), once)


def test_minus_zero_becomes_zero_so_that_bytes_do_not_depend_on_it():
    mesh = TriMesh.of(cube().vertices_mm * -1.0, cube().faces[:, ::-1])
    assert np.signbit(mesh.vertices_mm[mesh.vertices_mm == 0]).any()
    once = single_precision(mesh)
    assert not np.signbit(once.vertices_mm[once.vertices_mm == 0]).any()


def test_vertices_an_edge_joins_that_become_one_leave_the_mesh_closed():
    mesh = split_corner(cube(50.0, at=(30.0, 30.0, 30.0)), apart=(1e-9, 1e-9, 0.0))
    assert edge_statistics(mesh).closed
    naive = as_a_file_sees_it(mesh)
    assert (naive.faces[:, 0] == naive.faces[:, 1]).any() or not edge_statistics(
        naive
    ).closed  # the trap is real
    once = single_precision(mesh)
    assert len(once.faces) == 12
    assert edge_statistics(once).closed
    assert volume_mm3(once) == pytest.approx(50.0**3, rel=1e-6)


def test_pieces_that_touch_along_an_edge_stay_closed_for_a_reader_that_joins_equal_points():
    mesh = joined(cube(10.0), cube(10.0, at=(10.0, 10.0, 0.0)))
    assert edge_statistics(as_a_file_sees_it(mesh)).crowded == 1  # four faces on one edge
    once = single_precision(mesh)
    seen = as_a_file_sees_it(once)
    assert edge_statistics(seen).closed
    assert component_count(seen) == 2
    assert np.abs(once.vertices_mm - mesh.vertices_mm).max() < 1e-5
    assert same(single_precision(once), once)


def test_a_flap_that_folds_onto_itself_vanishes():
    spike = split_corner(cube(50.0, at=(30.0, 30.0, 30.0)), apart=(20.0, 10.0, 0.0))
    a, b = spike.faces[-3][0], spike.faces[-3][1]
    extra = len(spike.vertices_mm)
    # an ear without thickness: two faces back to back that hang on one edge
    faces = np.array([*spike.faces.tolist(), (a, extra, b), (a, b, extra)])
    flapped = TriMesh.of(np.vstack([spike.vertices_mm, spike.vertices_mm[a] + [1e-9, 0, 0]]), faces)
    once = single_precision(flapped)
    assert edge_statistics(once).closed
    assert volume_mm3(once) == pytest.approx(50.0**3, rel=1e-6)


@pytest.mark.parametrize("seed", range(5))
def test_many_near_twins_never_open_a_mesh(seed):
    rng = np.random.default_rng(seed)
    mesh = cube(20.0, at=(40.0, -30.0, 0.0))
    for _ in range(40):
        order = rng.permutation(len(mesh.faces))
        turned = np.roll(mesh.faces[order], rng.integers(3), axis=1)
        mesh = split_corner(TriMesh.of(mesh.vertices_mm, turned), apart=rng.normal(0, 1e-7, 3))
    assert edge_statistics(mesh).closed
    # twins
    assert places(mesh.vertices_mm.astype(np.float32).astype(float)).max() + 1 < len(mesh.vertices_mm)
    once = single_precision(mesh)
    assert 12 <= len(once.faces) <= len(mesh.faces)
    seen = as_a_file_sees_it(once)
    assert edge_statistics(seen).closed
    assert volume_mm3(seen) == pytest.approx(20.0**3, rel=1e-5)


@pytest.mark.parametrize("value", [np.nan, np.inf, 1e39])
def test_what_no_file_can_hold_is_refused_with_its_place(value):
    vertices = cube().vertices_mm.copy()
    vertices[3, 1] = value
    with pytest.raises(SolidError, match="vertex 3"):
        single_precision(TriMesh.of(vertices, CUBE_FACES))


def test_pieces_are_counted_as_scipy_counts_them():
    rng = np.random.default_rng(7)
    for count, links in ((50, 20), (200, 190), (500, 900)):
        edges = rng.integers(0, count, (links, 2))
        label = connected(edges, count=count)
        pieces, reference = connected_components(
            coo_array((np.ones(links), (edges[:, 0], edges[:, 1])), shape=(count, count)), directed=False
        )
        assert pieces > 1
        assert len(np.unique(label)) == pieces
        assert len({*zip(label.tolist(), reference.tolist(), strict=True)}) == pieces


def test_pieces_of_a_mesh_are_counted():
    assert component_count(cube()) == 1
    assert component_count(joined(cube(), cube(at=(30, 0, 0)), cube(at=(0, 30, 0)))) == 3


def test_vertices_apart_by_less_than_the_step_of_the_greatest_coordinate_become_one():
    # trimesh joins points within 1e-8 mm when it reads a file: nearer ones would tear its edges
    corners = np.array([[x, y, z] for x in (0, 50) for y in (0, 50) for z in (0, 50)], dtype=float)
    faces = np.array(
        [[0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1]]
        + [[2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7], [1, 7, 3]]
    )
    near = [5e-10, 3e-9, 0.0]  # from the corner 0, which the edge to 6 joins it to
    faces[9] = [8, 6, 4]
    faces[4] = [8, 4, 5]
    more = [[0, 6, 8], [0, 8, 5]]
    mesh = TriMesh.of(np.vstack([corners, near]), np.vstack([faces, more]))
    assert edge_statistics(mesh).closed
    rounded = single_precision(mesh)
    assert edge_statistics(rounded).closed
    assert len(rounded.faces) == 12
    apart = np.abs(rounded.vertices_mm[:, None] - rounded.vertices_mm[None]).max(axis=2)
    assert apart[~np.eye(len(apart), dtype=bool)].min() >= np.spacing(np.float32(50.0))
    assert np.array_equal(single_precision(rounded).vertices_mm, rounded.vertices_mm)


def test_a_rounded_mesh_is_kept_as_long_as_its_own_and_no_longer():
    mesh = TriMesh.of(
        [[0, 0, 0], [4, 0, 0], [0, 4, 0], [0, 0, 4]], [[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]]
    )
    rounded = single_precision(mesh)
    assert single_precision(mesh) is rounded
    gone = weakref.ref(rounded)
    del mesh, rounded
    gc.collect()
    assert gone() is None
