import io
import struct
import zipfile

import numpy as np
import pytest
from stacked import CUBE, circle, stacked

from cradle.errors import ExportError
from cradle.export.readback import read_back_3mf, read_back_stl
from cradle.export.stl import stl_bytes
from cradle.export.threemf import MODEL_PART, threemf_bytes
from cradle.geometry.mesh import TriMesh, volume_mm3

EGG = stacked([0.3, 20, 40.1], [circle(10.7, points=40), circle(15.1, points=40), circle(8.3, points=40)])
PARTS = [("a holder", EGG), ("a body", CUBE)]


def repacked(data, *, change=lambda text: text, leave_out=()):
    """The package with its model part changed, or parts left out."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(buffer, "w") as new:
        for name in old.namelist():
            if name not in leave_out:
                content = old.read(name)
                new.writestr(name, change(content.decode()).encode() if name == MODEL_PART else content)
    return buffer.getvalue()


@pytest.mark.parametrize("mesh", [CUBE, EGG])
def test_an_stl_file_as_meant_comes_back_whole(mesh):
    read = read_back_stl(stl_bytes(mesh), expected=mesh, where="x.stl")
    assert len(read.faces) == len(mesh.faces)
    assert len(read.vertices_mm) == len(mesh.vertices_mm)
    assert volume_mm3(read) == pytest.approx(volume_mm3(mesh), rel=1e-6)


def damaged_stl(kind):
    data = bytearray(stl_bytes(EGG))
    if kind == "a facet lost":
        data = data[:-50]
        data[80:84] = struct.pack("<I", len(EGG.faces) - 1)
    elif kind == "cut short":
        data = data[:-7]
    elif kind == "wrong count":
        data[80:84] = struct.pack("<I", len(EGG.faces) + 1)
    elif kind == "text header":
        data[:5] = b"solid"
    elif kind == "a corner moved":
        data[84 + 12 : 84 + 16] = struct.pack("<f", 99.0)
    elif kind == "a corner not a number":
        data[84 + 12 : 84 + 16] = struct.pack("<f", float("nan"))
    elif kind == "a facet turned":
        a, b = bytes(data[96:108]), bytes(data[108:120])
        data[96:108], data[108:120] = b, a
    elif kind == "empty":
        data = data[:80] + bytes(4)
    return bytes(data)


@pytest.mark.parametrize(
    "kind",
    [
        *("a facet lost", "cut short", "wrong count", "text header", "a corner moved"),
        *("a corner not a number", "a facet turned", "empty"),
    ],
)
def test_a_damaged_stl_file_is_not_let_through(kind):
    data = damaged_stl(kind)
    assert data != stl_bytes(EGG)
    with pytest.raises(ExportError, match=r"^x\.stl: the written file does not match the model") as caught:
        read_back_stl(data, expected=EGG, where="x.stl")
    assert caught.value.exit_code == 4


@pytest.mark.parametrize(
    ("factor", "words"), [(25.4, "the box is"), (1.0001, "the box is"), (0.99999, "the volume is")]
)
def test_another_size_is_not_let_through(factor, words):
    other = TriMesh.of(EGG.vertices_mm * factor, EGG.faces)
    with pytest.raises(ExportError, match=words):
        read_back_stl(stl_bytes(other), expected=EGG, where="x.stl")


def test_a_file_without_the_sliver_at_its_furthest_corner_is_let_through():
    """A corner twice, 0.00009 mm apart: the further one goes with the sliver between them."""
    from trimesh import Trimesh

    cube = [[x, y, z] for x in (0.0, 40.0) for y in (0.0, 40.0) for z in (0.0, 40.0)]
    hull = Trimesh([*cube, [40.0 + 9e-5, 40.0 - 1e-5, 40.0 - 1e-5]]).convex_hull
    mesh = TriMesh.of(np.asarray(hull.vertices), np.asarray(hull.faces))
    read = read_back_stl(stl_bytes(mesh), expected=mesh, where="x.stl")
    assert len(read.vertices_mm) < len(mesh.vertices_mm)


def test_a_solid_turned_inside_out_is_not_let_through():
    other = TriMesh.of(EGG.vertices_mm, EGG.faces[:, ::-1])
    with pytest.raises(ExportError, match="the volume is -"):
        read_back_stl(stl_bytes(other), expected=EGG, where="x.stl")


def test_a_3mf_package_as_meant_comes_back_whole():
    read = read_back_3mf(threemf_bytes(PARTS, title="t"), expected=PARTS, where="x.3mf")
    assert len(read) == 2
    for mesh, (_, meant) in zip(read, PARTS, strict=True):
        assert np.array_equal(mesh.faces, meant.faces)
        assert volume_mm3(mesh) == pytest.approx(volume_mm3(meant), rel=1e-6)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda t: t.replace('unit="millimeter"', 'unit="inch"'), "the unit is inch"),
        (lambda t: t.replace("a body", "a bodice"), "the objects are"),
        (lambda t: t.replace('<item objectid="2"/>', ""), "the objects are"),
        (lambda t: t.replace('<item objectid="2"/>', '<item objectid="7"/>'), "cannot be read"),
        (lambda t: t.replace("</build>", ""), "cannot be read"),
        (lambda t: t.replace('v1="0"', 'v1="9999"', 1), "cannot be read"),
        (lambda t: t.replace('x="', 'x="nought', 1), "cannot be read"),
        (lambda t: t.replace('x="', 'x="1', 1), "the box is|the volume is"),
        (
            lambda t: t.replace(t[t.index("<triangle ") : t.index("/>", t.index("<triangle ")) + 2], "", 1),
            "not closed",
        ),
        (lambda t: t.replace("core/2015/02", "core/2013/01"), "cannot be read"),
    ],
)
def test_a_changed_model_is_not_let_through(change, words):
    data = threemf_bytes(PARTS, title="t")
    changed = repacked(data, change=change)
    assert read_back_3mf(repacked(data), expected=PARTS, where="x.3mf")  # repacking alone does no harm
    with pytest.raises(ExportError, match=rf"^x\.3mf.*the written file does not match the model.*({words})"):
        read_back_3mf(changed, expected=PARTS, where="x.3mf")


@pytest.mark.parametrize("part", [MODEL_PART, "_rels/.rels"])
def test_a_missing_part_is_not_let_through(part):
    with pytest.raises(ExportError, match="cannot be read"):
        read_back_3mf(
            repacked(threemf_bytes(PARTS, title="t"), leave_out={part}), expected=PARTS, where="x.3mf"
        )


def test_a_damaged_package_is_not_let_through():
    data = bytearray(threemf_bytes(PARTS, title="t"))
    with pytest.raises(ExportError, match="cannot be read"):
        read_back_3mf(bytes(data[: len(data) // 2]), expected=PARTS, where="x.3mf")
    data[len(data) // 2] ^= 0xFF
    with pytest.raises(ExportError, match="cannot be read"):
        read_back_3mf(bytes(data), expected=PARTS, where="x.3mf")
