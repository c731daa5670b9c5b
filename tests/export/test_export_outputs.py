import json

import pytest
from holder_shapes import EGG, HOLDER, RINGS

from cradle.errors import ExportError, InternalError
from cradle.export import outputs as module
from cradle.export.outputs import clearance_labels, holder_files, json_bytes
from cradle.geometry.mesh import TriMesh


def files(**changes):
    given = {
        "slug": "ocarina",
        "holders": {"": HOLDER},
        "bodies": {"ocarina": EGG},
        "sections": {"ocarina": RINGS},
    }
    return holder_files(**(given | changes))


def test_one_run_hands_over_these_files():
    assert list(files()) == [
        "ocarina-holder.stl",
        "ocarina-holder.3mf",
        "ocarina-body.stl",
        "ocarina-sections.dxf",
        "ocarina-sections.svg",
    ]


def test_figures_are_told_as_json_with_letters_as_they_are():
    figures = {"name": "Okarina ä", "volume_cm3": 12.5, "chance_of_fit": None}
    assert json.loads(json_bytes(figures)) == figures
    assert "Okarina ä".encode() in json_bytes(figures)


def test_several_holders_are_told_apart_by_their_labels():
    made = files(holders={"0.20": HOLDER, "0.30": EGG})
    assert [n for n in made if n.endswith(".3mf")] == ["ocarina-holder-0.20.3mf", "ocarina-holder-0.30.3mf"]
    assert made["ocarina-holder-0.30.stl"] == made["ocarina-body.stl"] != made["ocarina-holder-0.20.stl"]


@pytest.mark.parametrize(
    ("values", "labels"),
    [
        ([0.3], [""]),
        ([0.2, 0.35], ["0.20", "0.35"]),
        ([0.205, 1.0], ["0.205", "1.00"]),
        ([12.0, 0.0], ["12.00", "0.00"]),
        ([0.12, 0.125, 0.012 * 25.4], ["0.12", "0.125", "0.3048"]),
    ],
)
def test_labels_are_values_and_never_alike(values, labels):
    assert clearance_labels(values) == labels


def test_an_open_holder_is_never_handed_over():
    with pytest.raises(
        ExportError,
        match=r"ocarina-holder\.stl: the written file does not match the model: the surface is not closed",
    ):
        files(holders={"": TriMesh.of(HOLDER.vertices_mm, HOLDER.faces[1:])})


@pytest.mark.parametrize("writer", ["stl_bytes", "threemf_bytes"])
def test_a_writer_that_loses_a_facet_is_caught(monkeypatch, writer):
    real = getattr(module, writer)

    def losing(given, **options):
        if isinstance(given, TriMesh):
            return real(TriMesh.of(given.vertices_mm, given.faces[1:]), **options)
        return real([(name, TriMesh.of(m.vertices_mm, m.faces[1:])) for name, m in given], **options)

    monkeypatch.setattr(module, writer, losing)
    with pytest.raises(ExportError, match="the written file does not match the model"):
        files()


def test_a_figure_that_is_not_finite_is_our_own_fault():
    with pytest.raises(InternalError, match="not finite"):
        json_bytes({"wall_least_mm": float("nan")})
