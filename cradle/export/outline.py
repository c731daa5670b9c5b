"""One file of traced outlines: SVG, DXF or CSV by its ending."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

from cradle.errors import InputError
from cradle.export.named_ring import NamedRing
from cradle.export.svg import sections_svg_bytes


def outlines_bytes(rings: Sequence[NamedRing], *, path: Path) -> bytes:
    """The bytes of a file with all the rings, in mm, y up (SVG: y down).

    Parameters
    ----------
    rings : sequence of NamedRing
        At least one; in a CSV exactly one.
    path : Path
        Its ending says which format.

    Raises
    ------
    InputError
        If the ending is not known, or several outlines are meant for one CSV.
    """
    writer = _WRITERS.get(path.suffix.lower())
    if writer is None:
        found = f"as {path.suffix!r}" if path.suffix else "without an ending"
        raise InputError(
            f"outlines are written as {' '.join(_WRITERS)}, not {found}",
            where=str(path),
            hint="name the file with one of these endings",
        )
    return writer(rings, path)


def _dxf(rings: Sequence[NamedRing], _path: Path) -> bytes:
    from cradle.export.dxf import sections_dxf_bytes

    return sections_dxf_bytes(rings)


def _csv(rings: Sequence[NamedRing], path: Path) -> bytes:
    if len(rings) != 1:
        raise InputError(
            f"a CSV holds one outline, and {len(rings)} were traced",
            where=str(path),
            hint="pick one of them, or write .svg or .dxf",
        )
    rows = "".join(f"{x:.4f},{y:.4f}\n" for x, y in rings[0].points_mm.tolist())
    return f"# {' '.join(rings[0].name.split())}, mm\nx,y\n{rows}".encode()


_WRITERS: Final[dict[str, Callable[[Sequence[NamedRing], Path], bytes]]] = {
    ".svg": lambda rings, _path: sections_svg_bytes(rings),
    ".dxf": _dxf,
    ".csv": _csv,
}
