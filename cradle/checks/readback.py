"""Read written files back with readers that share nothing with the writers.

STL is read by numpy-stl, 3MF by the standard library's ZIP and XML readers (its
long tables, known to be well-formed, row by row).
What comes back is compared with the mesh that was meant: triangles, size,
volume, closedness. A difference is an `ExportError`, never a finding: such a
file must not reach the user.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from itertools import chain
from typing import Final
from xml.etree import ElementTree
from xml.parsers import expat

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
_TABLE: Final = re.compile(rb"<(vertices|triangles)>(.*?)</\1>", re.DOTALL)
_VERTEX: Final = re.compile(rb'<vertex\s+x="([^"]*)"\s+y="([^"]*)"\s+z="([^"]*)"\s*/>')
_TRIANGLE: Final = re.compile(rb'<triangle\s+v1="([^"]*)"\s+v2="([^"]*)"\s+v3="([^"]*)"\s*/>')
_UNREADABLE: Final = (
    *(zipfile.BadZipFile, zlib.error, NotImplementedError, EOFError),
    *(expat.ExpatError, ElementTree.ParseError, KeyError, ValueError, StopIteration),
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
        model, tables = _model(data)
        objects = model.findall(f"{_CORE}resources/{_CORE}object")
        meshes = {
            item.attrib["id"]: (item.attrib["name"], _mesh(*table))
            for item, table in zip(objects, tables, strict=True)
        }
        read = [meshes[item.attrib["objectid"]] for item in model.iterfind(f"{_CORE}build/{_CORE}item")]
    except _UNREADABLE as error:
        raise _differs(f"the package cannot be read ({type(error).__name__}: {error})", where) from error
    if model.get("unit") != "millimeter":
        raise _differs(f"the unit is {model.get('unit')}, not millimeter", where)
    if [name for name, _ in read] != [name for name, _ in expected]:
        raise _differs(f"the objects are {[n for n, _ in read]}, not {[n for n, _ in expected]}", where)
    for (name, mesh), (_, meant) in zip(read, expected, strict=True):
        _compare(mesh, meant, where=f"{where}: {name}")
    return tuple(mesh for _, mesh in read)


def _model(data: bytes) -> tuple[ElementTree.Element, list[tuple[bytes, bytes]]]:
    """The model without its long tables, and the tables: vertices and triangles of each object in turn."""
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        relations = ElementTree.fromstring(package.read("_rels/.rels"))
        target = next(r.attrib["Target"] for r in relations.iter(_RELATION) if r.get("Type") == _MODEL)
        text = package.read(target.lstrip("/"))
    expat.ParserCreate().Parse(text, True)  # noqa: FBT003 - positional only; well-formed from end to end
    bodies = _TABLE.findall(text)
    if [name for name, _ in bodies] != [b"vertices", b"triangles"] * (len(bodies) // 2):
        raise ValueError("an object does not hold vertices, then triangles")
    tables = [
        (vertices, triangles) for (_, vertices), (_, triangles) in zip(bodies[::2], bodies[1::2], strict=True)
    ]
    return ElementTree.fromstring(_TABLE.sub(b"", text)), tables


def _mesh(vertices: bytes, triangles: bytes) -> TriMesh:
    points = [float(value) for value in _values(_VERTEX, vertices)]
    faces = [int(value) for value in _values(_TRIANGLE, triangles)]
    mesh = TriMesh.of(np.reshape(points, (-1, 3)), np.reshape(faces, (-1, 3)))
    if mesh.faces.size and not 0 <= mesh.faces.min() <= mesh.faces.max() < len(mesh.vertices_mm):
        raise ValueError("a triangle names a vertex that is not there")
    return mesh


def _values(row: re.Pattern[bytes], table: bytes) -> Iterator[bytes]:
    """Attribute after attribute of a table that holds rows of one kind and nothing else."""
    rows = row.findall(table)
    if table.count(b"<") != len(rows):
        raise ValueError(f"only {len(rows)} of {table.count(b'<')} rows can be read")
    return chain.from_iterable(rows)


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
