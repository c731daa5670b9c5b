import numpy as np
import pytest
from stacked import CUBE, circle, stacked

from cradle.checks.mesh_validity import soundness_findings
from cradle.finding import Severity
from cradle.geometry.mesh import TriMesh

EGG = stacked([0, 20, 40], [circle(10, points=40), circle(15, points=40), circle(8, points=40)])


def two(a, b, *, apart):
    return TriMesh.of(
        np.vstack([a.vertices_mm, b.vertices_mm + apart]), np.vstack([a.faces, b.faces + len(a.vertices_mm)])
    )


def codes(mesh):
    findings = soundness_findings(mesh)
    assert all(f.severity is Severity.FAIL and f.where == "holder" for f in findings)
    return [f.code for f in findings]


@pytest.mark.parametrize("mesh", [CUBE, EGG])
def test_a_sound_mesh_has_no_findings(mesh):
    assert codes(mesh) == []


# 3MF Core 1.4.0, section 4.1: every edge shared with exactly one other triangle, in opposite order; volume positive
def test_a_missing_face_is_a_hole():
    mesh = TriMesh.of(CUBE.vertices_mm, CUBE.faces[1:])
    (finding,) = soundness_findings(mesh)
    assert (finding.code, finding.measured, finding.limit) == ("mesh-open", 3.0, 0.0)
    assert "3 of 18 edges" in str(finding)


def test_a_doubled_face_crowds_its_edges():
    assert codes(TriMesh.of(CUBE.vertices_mm, [*CUBE.faces.tolist(), CUBE.faces[0].tolist()])) == [
        "mesh-crowded-edges"
    ]


def test_a_face_turned_round_is_told():
    faces = CUBE.faces.copy()
    faces[4] = faces[4][::-1]
    assert codes(TriMesh.of(CUBE.vertices_mm, faces)) == ["mesh-mixed-faces"]


def test_an_inside_out_mesh_is_told():
    (finding,) = soundness_findings(TriMesh.of(EGG.vertices_mm, EGG.faces[:, ::-1]))
    assert finding.code == "mesh-inside-out"
    assert finding.measured < 0


def test_pieces_are_counted():
    pair = two(CUBE, EGG, apart=[50.0, 0.0, 0.0])
    assert codes(pair) == ["mesh-pieces"]


def test_nothing_at_all_is_told():
    assert codes(TriMesh.of(np.zeros((0, 3)), np.zeros((0, 3), dtype=int))) == ["mesh-empty"]
