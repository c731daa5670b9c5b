"""3MF: named closed meshes in millimetres, the same bytes every time.

3MF Core Specification 1.4.0 (3MF Consortium, 2025): a ZIP package with
deflate, one model part, every edge shared by exactly two triangles by vertex
index (section 4.1), and a picture of the whole as its thumbnail.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Sequence
from html import escape
from typing import Final

import numpy as np

from cradle.drawing.rendered import Part, png_bytes, rendered
from cradle.geometry.mesh import TriMesh
from cradle.geometry.rounding import single_precision
from cradle.names import printable

MODEL_PART: Final = "3D/3dmodel.model"
_THUMBNAIL_PART: Final = "Metadata/thumbnail.png"
"""A picture of all that is built, named by the package's own relationship (section 2.1)."""
_THUMBNAIL_PX: Final = 256
_COLOUR: Final = (233, 208, 167)
CORE: Final = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
"""Namespace of the core elements (appendix C)."""

_TYPES: Final = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="png" ContentType="image/png"/>'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>'
    "</Types>\n"
)
_RELATIONS: Final = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    f'<Relationship Id="model" Target="/{MODEL_PART}"'
    ' Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>'
    f'<Relationship Id="thumbnail" Target="/{_THUMBNAIL_PART}"'
    ' Type="http://schemas.openxmlformats.org/package/2006/relationships/metadata/thumbnail"/>'
    "</Relationships>\n"
)
_EARLIEST: Final = (1980, 1, 1, 0, 0, 0)
"""The first date a ZIP file can hold: ours never changes."""
_EFFORT: Final = 1
"""Deflate level: 6 is a sixth smaller and four times slower."""


def threemf_bytes(parts: Sequence[tuple[str, TriMesh]], *, title: str) -> bytes:
    """A 3MF package that holds every part as a named object, at its own coordinates.

    Parameters
    ----------
    parts : sequence of (str, TriMesh)
        At least one; closed and outward, in mm. Coordinates are rounded to
        single precision, as in our STL files.

    Raises
    ------
    SolidError
        If a coordinate is not finite in single precision.
    """
    text = ['<?xml version="1.0" encoding="UTF-8"?>\n']
    text.append(f'<model unit="millimeter" xml:lang="en-US" xmlns="{CORE}">\n')
    text.append(f'<metadata name="Title">{_escaped(title)}</metadata>\n')
    text.append('<metadata name="Application">cradle</metadata>\n<resources>\n')
    for number, (name, mesh) in enumerate(parts, start=1):
        text.append(f'<object id="{number}" type="model" name="{_escaped(name)}">')
        text.append(_mesh_text(single_precision(mesh)))
        text.append("</object>\n")
    items = "".join(f'<item objectid="{number}"/>' for number in range(1, len(parts) + 1))
    text.append(f"</resources>\n<build>{items}</build>\n</model>\n")
    seen = rendered(
        [Part(mesh=mesh, colour=_COLOUR) for _, mesh in parts], width=_THUMBNAIL_PX, height=_THUMBNAIL_PX
    )
    members = {"[Content_Types].xml": _TYPES, "_rels/.rels": _RELATIONS, MODEL_PART: "".join(text)}
    return _package(
        {name: part.encode("utf-8") for name, part in members.items()} | {_THUMBNAIL_PART: png_bytes(seen)}
    )


def _mesh_text(mesh: TriMesh) -> str:
    # nine digits tell any two float32 values apart (IEEE 754-2019, section 5.12.2)
    vertices = '<vertex x="%.9g" y="%.9g" z="%.9g"/>\n' * len(mesh.vertices_mm)
    triangles = '<triangle v1="%d" v2="%d" v3="%d"/>\n' * len(mesh.faces)
    return (
        "<mesh><vertices>\n"
        + vertices % tuple(np.ravel(mesh.vertices_mm).tolist())
        + "</vertices><triangles>\n"
        + triangles % tuple(np.ravel(mesh.faces).tolist())
        + "</triangles></mesh>"
    )


def _escaped(text: str) -> str:
    """Text fit for XML between double quotes: control characters become spaces, marks are escaped."""
    return escape(printable(text, instead=" "), quote=False).replace('"', "&quot;")


def _package(members: dict[str, bytes]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as package:
        for name, data in members.items():
            info = zipfile.ZipInfo(name, date_time=_EARLIEST)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.create_system = 0
            info.external_attr = 0
            package.writestr(info, data, compresslevel=_EFFORT)
    return buffer.getvalue()
