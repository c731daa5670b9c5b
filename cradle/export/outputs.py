"""The set of files that one run hands over: their names and their checked bytes."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import Any

from cradle.errors import InternalError
from cradle.export.named_ring import NamedRing
from cradle.export.readback import read_back_3mf, read_back_stl
from cradle.export.rows import laid_apart
from cradle.export.stl import stl_bytes
from cradle.export.svg import sections_svg_bytes
from cradle.export.threemf import threemf_bytes
from cradle.geometry.mesh import TriMesh, joined_meshes
from cradle.units import exact_mm


def holder_files(
    *,
    slug: str,
    holders: Mapping[str, TriMesh],
    bodies: Mapping[str, TriMesh],
    sections: Mapping[str, Sequence[NamedRing]],
) -> dict[str, bytes]:
    """The files of one run by name, each read back and found to be what was meant.

    Parameters
    ----------
    slug : str
        The thing's name fit for file names.
    holders : mapping of str to TriMesh
        Holders in the print frame by label; the label (such as ``0.20``, or
        nothing for a single holder) ends the file's name.
    bodies : mapping of str to TriMesh
        The things as lofted, in their own frames, by their names fit for file names.
    sections : mapping of str to sequence of NamedRing
        Their sections as placed, in the same frames.

    Returns
    -------
    dict of str to bytes
        ``SLUG-holder[-LABEL].stl`` and ``.3mf``; for each of the things
        ``NAME-body.stl``, ``NAME-sections.dxf`` and ``.svg``.

    Raises
    ------
    ExportError
        If a file reads back differently.
    """
    from cradle.export.dxf import sections_dxf_bytes

    files: dict[str, bytes] = {}
    for label, mesh in holders.items():
        name = f"{slug}-holder-{label}" if label else f"{slug}-holder"
        files |= _to_print(name, [(name, mesh)])
    for name, body in bodies.items():
        files |= _stl(f"{name}-body.stl", body)
        files[f"{name}-sections.dxf"] = sections_dxf_bytes(sections[name])
        files[f"{name}-sections.svg"] = sections_svg_bytes(sections[name])
    return files


def piece_files(
    *,
    slug: str,
    beds: Sequence[Sequence[tuple[str, TriMesh]]],
    paper: Sequence[NamedRing],
    page: str,
    title: str,
) -> dict[str, bytes]:
    """The files of the test pieces by name, each mesh read back and found to be what was meant.

    Parameters
    ----------
    slug, title : str
        The thing's name fit for file names, and as written.
    beds : sequence of sequence of (str, TriMesh)
        Named meshes where they lie, bed by bed.
    paper : sequence of NamedRing
        Outlines of the paper check, bottom to top: at each height the thing's own, then wider ones. The pages leave
        those out: so near to each other nobody could cut along one of them. DXF and SVG have all, side by side.
    page : str
        Paper size, ``A4`` or ``Letter``.

    Returns
    -------
    dict of str to bytes
        ``SLUG-test-pieces-1.stl`` and ``.3mf`` for each bed, ``SLUG-paper.pdf``,
        ``.dxf`` and ``.svg``.

    Raises
    ------
    ExportError
        If a file reads back differently.
    """
    from cradle.export.dxf import sections_dxf_bytes
    from cradle.export.paper import paper_pdf

    bare = [next(alike) for _, alike in groupby(paper, key=lambda ring: ring.height_mm)]
    files: dict[str, bytes] = {}
    for number, bed in enumerate(beds, start=1):
        files |= _to_print(f"{slug}-test-pieces-{number}", bed)
    files[f"{slug}-paper.pdf"] = paper_pdf(bare, page=page, title=title)
    apart, names = laid_apart(paper)
    files[f"{slug}-paper.dxf"] = sections_dxf_bytes(apart, names=names)
    files[f"{slug}-paper.svg"] = sections_svg_bytes(apart, names=names)
    return files


def clearance_labels(clearances_mm: Sequence[float]) -> list[str]:
    """A label for each clearance: none for a single one, else its value, such as ``0.20``."""
    if len(clearances_mm) == 1:
        return [""]
    return [exact_mm(v) for v in clearances_mm]


def json_bytes(content: Mapping[str, Any]) -> bytes:
    """JSON as UTF-8 text with two spaces a level.

    Raises
    ------
    InternalError
        If a figure is not finite.
    """
    try:
        text = json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False)
    except ValueError as error:
        raise InternalError(
            "a figure is not finite", where="summary.json", hint="please report it"
        ) from error
    return f"{text}\n".encode()


def _to_print(name: str, parts: Sequence[tuple[str, TriMesh]]) -> dict[str, bytes]:
    """The parts of one print as an STL file, which holds them as one mesh, and as a 3MF file, where each has its name."""
    stl = _stl(f"{name}.stl", joined_meshes([mesh for _, mesh in parts]))
    data = threemf_bytes(parts, title=name)
    read_back_3mf(data, expected=parts, where=f"{name}.3mf")
    return stl | {f"{name}.3mf": data}


def _stl(name: str, mesh: TriMesh) -> dict[str, bytes]:
    data = stl_bytes(mesh)
    read_back_stl(data, expected=mesh, where=name)
    return {name: data}
