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
from dataclasses import dataclass, field
from typing import Final
from xml.etree import ElementTree
from xml.parsers import expat

import numpy as np

from cradle.errors import ExportError
from cradle.geometry.arrays import Floats
from cradle.geometry.mesh import TriMesh, bounds_mm, edge_statistics, surface_area_mm2, volume_mm3
from cradle.geometry.rounding import places
from cradle.geometry.slivers import STUB
from cradle.tolerances import TOLERANCES

_CORE: Final = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02 "
_VERTEX: Final = f"{_CORE}vertex"
_TRIANGLE: Final = f"{_CORE}triangle"
_FRAMES: Final = frozenset(
    _CORE + name for name in ("metadata", "resources", "mesh", "vertices", "triangles", "build")
)
"""Elements that only hold others, or words."""
_RELATION: Final = "{http://schemas.openxmlformats.org/package/2006/relationships}Relationship"
_MODEL: Final = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
_VOLUME: Final = 1e-6
"""Relative difference in volume that rounding to single precision explains."""
_SLIVERS_MM: Final = STUB * TOLERANCES.duplicate_mm
"""Longest side of a sliver that is left out; the outermost corner may go with it."""
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
        raise _differs("the file cannot be read", where) from error
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
        read = [model.objects[number].mesh() for number in model.built]
    except _UNREADABLE as error:
        raise _differs("the package cannot be read", where) from error
    if model.unit != "millimeter":
        raise _differs(f"the unit is {model.unit}, not millimeter", where)
    if [name for name, _ in read] != [name for name, _ in expected]:
        raise _differs(f"the objects are {[n for n, _ in read]}, not {[n for n, _ in expected]}", where)
    for (name, mesh), (_, meant) in zip(read, expected, strict=True):
        _compare(mesh, meant, where=f"{where}: {name}")
    return tuple(mesh for _, mesh in read)


@dataclass(slots=True)
class _Object:
    """A named object; of each vertex and triangle its attributes in turn: name, value, name, value, ..."""

    name: str
    vertices: list[str] = field(default_factory=list)
    triangles: list[str] = field(default_factory=list)

    def mesh(self) -> tuple[str, TriMesh]:
        points = np.array(_values(self.vertices, ("x", "y", "z")), dtype=np.float64)
        faces = np.array(_values(self.triangles, ("v1", "v2", "v3")), dtype=np.int64)
        mesh = TriMesh.of(points, faces)
        if mesh.faces.size and not 0 <= mesh.faces.min() <= mesh.faces.max() < len(mesh.vertices_mm):
            raise ValueError("a triangle names a vertex that is not there")
        return self.name, mesh


def _values(attributes: list[str], names: tuple[str, str, str]) -> list[str]:
    """The values of attributes whose names come round and round."""
    if attributes[::2] != list(names) * (len(attributes) // 6):
        raise ValueError(f"an element has other attributes than {', '.join(names)}")
    return attributes[1::2]


@dataclass(slots=True)
class _Model:
    """The unit of a model, its objects by number, and the numbers of those that are built."""

    unit: str = ""
    objects: dict[str, _Object] = field(default_factory=dict)
    built: list[str] = field(default_factory=list)
    at: _Object = field(default_factory=lambda: _Object(name=""))
    """The object whose mesh is being read."""

    def begin(self, tag: str, attributes: list[str]) -> None:
        """Take up an element; vertices and triangles are by far the most."""
        if tag == _VERTEX:
            self.at.vertices += attributes
        elif tag == _TRIANGLE:
            self.at.triangles += attributes
        elif tag not in _FRAMES:
            self._take(tag, dict(zip(attributes[::2], attributes[1::2], strict=True)))

    def _take(self, tag: str, known: dict[str, str]) -> None:
        match tag.removeprefix(_CORE):
            case "model":
                self.unit = known["unit"]
            case "object":
                self.at = self.objects[known["id"]] = _Object(name=known["name"])
            case "item":
                self.built.append(known["objectid"])
            case _:
                raise ValueError(f"no element <{tag}> is known")


def _model(data: bytes) -> _Model:
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        relations = ElementTree.fromstring(package.read("_rels/.rels"))
        target = next(r.attrib["Target"] for r in relations.iter(_RELATION) if r.get("Type") == _MODEL)
        text = package.read(target.lstrip("/"))
        for name in package.namelist():
            if not name.endswith(".model"):
                package.read(name)  # its checksum is looked at, whatever it holds
    read = _Model()
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.ordered_attributes = True
    parser.StartElementHandler = read.begin
    parser.Parse(text, True)  # noqa: FBT003 - positional only
    return read


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
    # single precision, and the parting of sheets
    step = 4 * float(np.spacing(np.float32(np.abs(box_meant).max())))
    if np.abs(box - box_meant).max() > step + _SLIVERS_MM:
        raise _differs(f"the box is {_text(box)} mm, not {_text(box_meant)} mm", where)
    volume, volume_meant = volume_mm3(mesh), volume_mm3(meant)
    if not abs(volume - volume_meant) <= _VOLUME * abs(volume_meant) + step * surface_area_mm2(meant):
        raise _differs(f"the volume is {volume:.6g} mm³, not {volume_meant:.6g} mm³", where)


def _text(box: Floats) -> str:
    return " to ".join("(" + ", ".join(f"{v:.4f}" for v in corner) + ")" for corner in box)


def _differs(found: str, where: str) -> ExportError:
    return ExportError(f"the written file does not match the model: {found}", where=where, hint=_HINT)
