"""Read written files back with readers that share nothing with the writers.

STL is read by numpy-stl, 3MF by the standard library's ZIP and XML readers.
What comes back is compared with the mesh that was meant: triangles, size,
volume, closedness. A difference is an `ExportError`, never a finding: such a
file must not reach the user.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Sequence
from typing import Final
from xml.etree import ElementTree

import numpy as np

from cradle.errors import ExportError
from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import TriMesh, bounds_mm, edge_statistics, surface_area_mm2, volume_mm3
from cradle.geometry.rounding import places

_CORE: Final = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
_RELATION: Final = "{http://schemas.openxmlformats.org/package/2006/relationships}Relationship"
_MODEL: Final = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
_VOLUME: Final = 1e-6
"""Relative difference in volume that rounding to single precision explains."""
_UNREADABLE: Final = (
    *(zipfile.BadZipFile, zlib.error, NotImplementedError, EOFError),
    *(ElementTree.ParseError, KeyError, ValueError, StopIteration),
)
_HINT: Final = "please report it"


def read_back_stl(data: bytes, *, expected: TriMesh, where: str) -> TriMesh:
    """The mesh that numpy-stl finds in a binary STL file, equal points joined.

    Raises
    ------
    ExportError
        If the file's length disagrees with its count, or what was read is
        open or differs from ``expected`` in size or volume.
    """
    from stl import Mesh, Mode

    count = int.from_bytes(data[80:84], "little")
    if len(data) != 84 + 50 * count or data[:5].lower() == b"solid":
        raise _differs(f"the file has {len(data)} bytes for {count} triangles, not 84 + 50 a triangle", where)
    try:
        read = Mesh.from_file(where, fh=io.BytesIO(data), mode=Mode.BINARY, calculate_normals=False)
    except (ValueError, AssertionError) as error:
        raise _differs(f"numpy-stl cannot read it ({error})", where) from error
    points = np.asarray(read.vectors, dtype=np.float64).reshape(-1, 3)
    mesh = _joined(points)
    _compare(mesh, expected, where=where)
    return mesh


def read_back_3mf(data: bytes, *, expected: Sequence[tuple[str, TriMesh]], where: str) -> tuple[TriMesh, ...]:
    """The objects of a 3MF package in the order in which they are built, as the XML says.

    Raises
    ------
    ExportError
        If the package is damaged, is not in millimetres, or an object's name,
        size or volume differs from ``expected`` or is not closed.
    """
    try:
        model = _model(data)
        resources = {item.get("id"): item for item in model.iterfind(f"{_CORE}resources/{_CORE}object")}
        built = [resources[item.get("objectid")] for item in model.iterfind(f"{_CORE}build/{_CORE}item")]
        read = [(item.get("name"), _object_mesh(item)) for item in built]
    except _UNREADABLE as error:
        raise _differs(f"the package cannot be read ({type(error).__name__}: {error})", where) from error
    if model.get("unit") != "millimeter":
        raise _differs(f"the unit is {model.get('unit')}, not millimeter", where)
    if [name for name, _ in read] != [name for name, _ in expected]:
        raise _differs(f"the objects are {[n for n, _ in read]}, not {[n for n, _ in expected]}", where)
    for (name, mesh), (_, meant) in zip(read, expected, strict=True):
        _compare(mesh, meant, where=f"{where}: {name}")
    return tuple(mesh for _, mesh in read)


def _model(data: bytes) -> ElementTree.Element:
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        relations = ElementTree.fromstring(package.read("_rels/.rels"))
        target = next(r.attrib["Target"] for r in relations.iter(_RELATION) if r.get("Type") == _MODEL)
        return ElementTree.fromstring(package.read(target.lstrip("/")))


def _object_mesh(item: ElementTree.Element) -> TriMesh:
    vertices, triangles = item.iterfind(f"{_CORE}mesh/*")
    points = [(float(v.attrib["x"]), float(v.attrib["y"]), float(v.attrib["z"])) for v in vertices]
    faces = [(int(t.attrib["v1"]), int(t.attrib["v2"]), int(t.attrib["v3"])) for t in triangles]
    mesh = TriMesh.of(points, faces)
    if mesh.faces.size and not 0 <= mesh.faces.min() <= mesh.faces.max() < len(points):
        raise ValueError("a triangle names a vertex that is not there")
    return mesh


def _joined(points: Floats) -> TriMesh:
    place = places(points)
    vertices = np.zeros((int(place.max()) + 1 if len(place) else 0, 3))
    vertices[place] = points
    return TriMesh.of(vertices, place)


def _compare(mesh: TriMesh, meant: TriMesh, *, where: str) -> None:
    if not len(mesh.faces) or len(mesh.faces) > len(meant.faces):
        raise _differs(f"{len(mesh.faces)} triangles came back, {len(meant.faces)} were meant", where)
    edges = edge_statistics(mesh)
    if not edges.closed:
        raise _differs(
            f"the surface is not closed: of {edges.edges} edges {edges.open} have one face,"
            f" {edges.crowded} more than two, {edges.unbalanced} two that look to opposite sides",
            where,
        )
    box, box_meant = bounds_mm(mesh), bounds_mm(meant)
    step = 4 * float(
        np.spacing(np.float32(np.abs(box_meant).max()))
    )  # single precision, and the parting of sheets
    if np.abs(box - box_meant).max() > step:
        raise _differs(f"the box is {_text(box)} mm, not {_text(box_meant)} mm", where)
    volume, volume_meant = volume_mm3(mesh), volume_mm3(meant)
    if not abs(volume - volume_meant) <= _VOLUME * abs(volume_meant) + step * surface_area_mm2(meant):
        raise _differs(f"the volume is {volume:.6g} mm³, not {volume_meant:.6g} mm³", where)


def _text(box: Floats) -> str:
    return " to ".join("(" + ", ".join(f"{v:.4f}" for v in corner) + ")" for corner in box)


def _differs(found: str, where: str) -> ExportError:
    return ExportError(f"read back differently: {found}", where=where, hint=_HINT)
