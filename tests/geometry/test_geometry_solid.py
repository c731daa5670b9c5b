import numpy as np
import pytest
from sampling import euler_characteristic
from stacked import CUBE, circle, egg, rectangle, stacked

from cradle.errors import SolidError
from cradle.geometry import mesh as meshes
from cradle.geometry import planar, region_measures, solid
from cradle.geometry.mesh import TriMesh
from cradle.geometry.stack import stack_solid
from cradle.geometry.tiling import tilings


def test_a_closed_mesh_of_genus_0_obeys_eulers_formula():
    # 3F = 2E and V - E + F = 2 for closed triangle meshes of genus 0 (Euler)
    for body in (CUBE, egg()):
        edges = meshes.edge_statistics(body)
        assert edges.closed
        assert 3 * len(body.faces) == 2 * edges.edges
        assert euler_characteristic(body) == 2
        assert meshes.component_count(body) == 1


def test_a_missing_and_a_turned_face_are_counted():
    assert meshes.edge_statistics(TriMesh.of(CUBE.vertices_mm, CUBE.faces[1:])).open == 3
    turned = CUBE.faces.copy()
    turned[0] = turned[0][::-1]
    assert meshes.edge_statistics(TriMesh.of(CUBE.vertices_mm, turned)).unbalanced == 3


def test_an_inside_out_mesh_is_refused():
    with pytest.raises(SolidError, match="not above 0"):
        solid.solid(TriMesh.of(CUBE.vertices_mm, CUBE.faces[:, ::-1]), where="cube")


def test_an_open_mesh_is_refused():
    with pytest.raises(SolidError, match="cube"):
        solid.solid(TriMesh.of(CUBE.vertices_mm, CUBE.faces[1:]), where="cube")


def test_what_is_no_solid_is_refused_in_our_words_with_what_to_do():
    far = CUBE.vertices_mm.copy()
    far[0, 0] = np.inf
    ring = np.array([[0.0, 0.0], [0.0, 10.0], [10.0, 10.0]])  # clockwise
    for made, told in (
        (
            lambda: solid.solid(TriMesh(far, CUBE.faces), where="cube"),
            "cube: no solid could be made: a point is not finite; ",
        ),
        (
            lambda: solid.solid(TriMesh.of(CUBE.vertices_mm, CUBE.faces[1:]), where="cube"),
            "no solid could be made: the surface is not closed; ",
        ),
        (
            lambda: solid.extruded(ring, low_mm=0.0, high_mm=1.0, where="prism"),
            "prism: no solid could be made: the surface encloses nothing; ",
        ),
    ):
        with pytest.raises(SolidError, match=f"{told}check the outlines"):
            made()


def test_a_thinned_solid_encloses_nothing():
    """A slit that thinning closed left a flake in a pocket, and the holder around that fell into two parts."""
    outer = solid.extruded(rectangle(40, 40), low_mm=0, high_mm=30)
    inner = solid.extruded(rectangle(20, 20), low_mm=14.9, high_mm=15)
    hollow = solid.difference(outer, [inner])
    assert len(solid.pieces(hollow)) == 2
    thinned = solid.thinned_solid(hollow, within_mm=0.01, where="here")
    assert len(solid.pieces(thinned)) == 1
    assert solid.volume_mm3(thinned) == pytest.approx(40 * 40 * 30)


def test_nothing_left_is_an_error():
    cube = solid.solid(CUBE, where="cube")
    with pytest.raises(SolidError, match="nothing is left"):
        solid.difference(cube, [cube], where="cut")


def test_volumes_of_union_and_overlap_add_up():
    # |A| + |B| = |A ∪ B| + |A ∩ B|
    a = solid.solid(egg(), where="a")
    b = solid.moved(a, (7, 3, 5))
    shared = solid.overlap_mm3(a, b)
    assert shared > 0
    assert 2 * solid.volume_mm3(a) == pytest.approx(solid.volume_mm3(solid.union([a, b], where="u")) + shared)


@pytest.mark.parametrize("order", [1, -1])
def test_a_pile_is_one_solid_of_all_its_volume_whatever_its_parts_measure(order):
    heights, outlines = (
        [0, 3, 5, 9, 10, 14],
        [circle(9), rectangle(10, 10), circle(3), rectangle(20, 6), circle(7)],
    )
    parts = [
        solid.extruded(ring, low_mm=low, high_mm=high)
        for ring, low, high in zip(outlines[::order], heights, heights[1:], strict=False)
    ]
    whole = solid.neighbours_joined(parts, where="pile")
    volumes = [solid.volume_mm3(part) for part in parts]
    assert solid.volume_mm3(whole) == pytest.approx(sum(volumes))
    assert len(solid.pieces(whole)) == 1
    assert len(parts) == 5  # the list is the caller's
    assert solid.neighbours_joined(parts[:1], where="") is parts[0]


@pytest.mark.parametrize("kind", ["from a ring", "from a region"])
def test_prisms_that_end_and_begin_at_one_height_leave_no_film_between_them_at_any_height(kind):
    def upright(ring, *, low_mm, high_mm):
        if kind == "from a ring":
            return solid.extruded(ring, low_mm=low_mm, high_mm=high_mm)
        return solid.prism(planar.region(ring), low_mm=low_mm, high_mm=high_mm)

    rng = np.random.default_rng(12)
    ring = rectangle(20, 20)
    for _ in range(100):
        low, between, high = np.sort(rng.normal(size=3) * 10 ** rng.uniform(-2, 2)) + [-0.01, 0, 0.01]
        parts = [upright(ring, low_mm=low, high_mm=between), upright(ring, low_mm=between, high_mm=high)]
        pile = solid.mesh_of(solid.neighbours_joined(parts, where="pile"))
        level = np.ptp(pile.vertices_mm[pile.faces, 2], axis=1) == 0
        assert set(pile.vertices_mm[pile.faces[level], 2].ravel().tolist()) == {low, high}


def test_plane_sections_of_a_tube_have_a_hole():
    tube = solid.difference(
        solid.extruded(rectangle(10, 10), low_mm=0, high_mm=10, where="a"),
        [solid.extruded(rectangle(4, 4), low_mm=-1, high_mm=11, where="b")],
        where="tube",
    )
    cuts = solid.cut_regions(tube, np.array([5.0, 20.0]))
    assert region_measures.area_mm2(cuts[0]) == pytest.approx(84)
    assert region_measures.empty(cuts[1])


def test_gap_saturates_at_the_search_length():
    cube = solid.solid(CUBE, where="cube")
    assert solid.gap_mm(cube, solid.moved(cube, (13, 0, 0)), within_mm=5) == pytest.approx(3)
    assert solid.gap_mm(cube, solid.moved(cube, (30, 0, 0)), within_mm=5) == 5


def test_tiling_uses_every_point_once():
    # m + n triangles between loops of m and n points: Keppel 1975; Fuchs, Kedem & Uselton 1977 (from memory)
    low, high = circle(10, points=37), circle(12, points=23)
    ((i, j),) = tilings([low], [high], moves_mm=np.zeros((1, 2)))
    assert len(i) == len(j) == 60
    assert set(i.tolist()) == set(range(37))
    assert set(j.tolist()) == set(range(23))


def test_a_stack_of_offset_circles_has_the_frustums_volume():
    heights = np.linspace(0, 50, 11)
    levels = np.array([planar.region(circle(30 - z / 5, points=int(200 + z))) for z in heights], dtype=object)
    body = solid.mesh_of(stack_solid(heights, levels, where="frustum"))
    exact = np.pi * 50 / 3 * (900 + 600 + 400)
    assert meshes.volume_mm3(body) == pytest.approx(exact, rel=5e-4)
    assert meshes.edge_statistics(body).closed


def test_a_level_in_two_pieces_becomes_a_step_that_covers_both():
    one = planar.region(rectangle(10, 10))
    two = planar.union([one, planar.region(rectangle(10, 10) + [20, 0])])
    body = stack_solid(np.array([0.0, 5.0, 6.0]), np.array([one, two, one], dtype=object), where="fork")
    assert solid.volume_mm3(body) == pytest.approx(1200)


def test_a_piece_too_thin_to_be_seen_leaves_its_section_empty():
    box = solid.extruded(rectangle(10, 10), low_mm=0, high_mm=5, where="box")
    needle = solid.extruded(
        np.array([[20.0, 0.0], [26.0, 0.0], [22.0, 1e-4]]), low_mm=0, high_mm=5, where="needle"
    )
    (cut,) = solid.cut_regions(solid.union([box, needle], where="both"), np.array([2.5]))
    assert region_measures.area_mm2(cut) == pytest.approx(100.0)


def test_a_solid_with_short_edges_is_the_same_and_measures_the_same_gap():
    flat = solid.solid(stacked([0, 1], [rectangle(300, 4)] * 2))
    other = solid.moved(solid.solid(CUBE), (140.0, 3.0, 1.3))
    divided = solid.with_short_edges(flat, most_mm=20.0)
    mesh = solid.mesh_of(divided)
    edges = np.linalg.norm(mesh.vertices_mm[mesh.faces] - mesh.vertices_mm[np.roll(mesh.faces, 1, 1)], axis=2)
    assert edges.max() <= 20.0
    assert solid.volume_mm3(divided) == pytest.approx(1200.0)
    assert solid.gap_mm(other, divided, within_mm=1.0) == pytest.approx(0.3)
    assert solid.with_short_edges(flat, most_mm=301.0) is flat


def test_slabs_are_what_lies_between_planes_and_no_empty_ones():
    block = solid.solid(stacked([0, 10], [rectangle(8, 4)] * 2))
    parts = solid.slabs(block, axis=0, at_mm=np.array([-9.0, -3.0, 1.0, 9.0]))
    assert [solid.volume_mm3(part) for part in parts] == pytest.approx([40.0, 160.0, 120.0])
    assert [float(solid.box_mm(part)[0][0]) for part in parts] == pytest.approx([-4.0, -3.0, 1.0])
