import io
import re
import zipfile

import lib3mf
import numpy as np
import pytest
from holder_shapes import EGG, HOLDER
from PIL import Image
from stacked import CUBE

from cradle.export.readback import read_back_3mf
from cradle.export.threemf import CORE, MODEL_PART, threemf_bytes
from cradle.geometry.mesh import TriMesh, volume_mm3
from cradle.geometry.rounding import single_precision

PARTS = [("ocarina-holder", HOLDER), ("ocarina-body", EGG)]


def strictly_read(data):
    """The model as the 3MF Consortium's own reader sees it, and its warnings."""
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(data)
    return model, reader.GetWarningCount()


def meshes_of(model):
    found = []
    objects = model.GetMeshObjects()
    while objects.MoveNext():
        found.append(objects.GetCurrentMeshObject())
    return found


def test_the_reference_reader_finds_a_cube_manifold_and_oriented_without_warning():
    # lib3mf (3MF Consortium's reference implementation), strict mode
    model, warnings = strictly_read(threemf_bytes([("cube", CUBE)], title="cube"))
    (cube,) = meshes_of(model)
    assert warnings == 0
    assert cube.IsManifoldAndOriented()
    assert (cube.GetVertexCount(), cube.GetTriangleCount()) == (8, 12)


def test_the_reference_reader_tells_when_a_triangle_is_missing():
    # the check above can fail
    model, _ = strictly_read(
        threemf_bytes([("cube", TriMesh.of(CUBE.vertices_mm, CUBE.faces[1:]))], title="cube")
    )
    (cube,) = meshes_of(model)
    assert not cube.IsManifoldAndOriented()


def test_the_reference_reader_finds_every_part_by_name_in_millimetres():
    model, warnings = strictly_read(threemf_bytes(PARTS, title="an ocarina's holder"))
    assert warnings == 0
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    read = meshes_of(model)
    assert [mesh.GetName() for mesh in read] == [name for name, _ in PARTS]
    for mesh, (_, meant) in zip(read, PARTS, strict=True):
        assert mesh.IsManifoldAndOriented()
        assert mesh.GetTriangleCount() == len(meant.faces)
        points = np.array([list(p.Coordinates) for p in mesh.GetVertices()])
        faces = np.array([list(t.Indices) for t in mesh.GetTriangleIndices()])
        assert volume_mm3(TriMesh.of(points, faces)) == pytest.approx(volume_mm3(meant), rel=1e-6)
    items = model.GetBuildItems()
    assert items.Count() == 2


def test_coordinates_are_those_of_the_stl_file_to_the_last_bit():
    (read,) = read_back_3mf(
        threemf_bytes([("egg", EGG)], title="egg"), expected=[("egg", EGG)], where="egg.3mf"
    )
    assert np.array_equal(read.vertices_mm.astype(np.float32), single_precision(EGG).vertices_mm)
    assert np.array_equal(read.faces, EGG.faces)


def test_the_same_parts_give_the_same_bytes_and_no_date():
    data = threemf_bytes(PARTS, title="t")
    assert data == threemf_bytes(PARTS, title="t")
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        assert {info.date_time for info in package.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_the_package_is_as_the_specification_says():
    # 3MF Core 1.4.0: plain ZIP with deflate (1.1), one model, resources before build (3.4), unit (3.4)
    with zipfile.ZipFile(io.BytesIO(threemf_bytes(PARTS, title="t"))) as package:
        assert package.testzip() is None
        assert {info.compress_type for info in package.infolist()} == {zipfile.ZIP_DEFLATED}
        assert package.namelist()[0] == "[Content_Types].xml"
        text = package.read(MODEL_PART).decode()
    assert text.count("<model ") == 1
    assert f'xmlns="{CORE}"' in text
    assert 'unit="millimeter"' in text
    assert text.index("<resources>") < text.index("<build>")
    assert not re.search(r"nan|inf", text, re.IGNORECASE)
    names = re.findall(r'metadata name="(\w+)"', text)
    assert len(names) == len(set(names)) > 0


@pytest.mark.parametrize("name", ['a & b <c> "d"', "Größe µ", "line\nbreak", "\x07bell", "it's"])
def test_any_name_survives(name):
    model, warnings = strictly_read(threemf_bytes([(name, CUBE)], title=name))
    (cube,) = meshes_of(model)
    assert warnings == 0
    assert cube.GetName() == "".join(c if c.isprintable() else " " for c in name)


def test_the_package_has_a_thumbnail_that_another_reader_finds():
    data = threemf_bytes([("cube", CUBE)], title="cube")
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        picture = package.read("Metadata/thumbnail.png")
        relations = package.read("_rels/.rels").decode()
        types = package.read("[Content_Types].xml").decode()
    # 3MF Core Specification 1.4.0, section 2.1, and Open Packaging Conventions: relationship and content type
    assert (
        'Type="http://schemas.openxmlformats.org/package/2006/relationships/metadata/thumbnail"' in relations
    )
    assert 'Extension="png" ContentType="image/png"' in types
    shown = Image.open(io.BytesIO(picture))
    assert shown.format == "PNG"
    assert shown.size == (256, 256)
    assert np.array(shown)[..., 3].any()
    model = lib3mf.get_wrapper().CreateModel()
    model.QueryReader("3mf").ReadFromBuffer(data)
    assert model.HasPackageThumbnailAttachment()
    assert bytes(model.GetPackageThumbnailAttachment().WriteToBuffer()) == picture
