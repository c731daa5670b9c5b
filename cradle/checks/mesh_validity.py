"""Whether a mesh encloses one solid: closed, oriented, outward, in one piece."""

from __future__ import annotations

from collections.abc import Iterator

from cradle.finding import Finding, Severity, in_unit
from cradle.geometry.mesh import TriMesh, component_count, edge_statistics, volume_mm3


def soundness_findings(mesh: TriMesh) -> tuple[Finding, ...]:
    """Findings about a holder's mesh that should not be printed; empty when it is sound.

    Notes
    -----
    The rules are those of 3MF Core 1.4.0, section 4.1: every edge is shared by
    exactly two faces, in opposite order, and the volume is positive.
    """
    return tuple(
        Finding(
            code=code,
            severity=Severity.FAIL,
            message=message,
            where="holder",
            advice="do not print it",
            **in_unit(unit, measured, limit=None if measured is None else limit),
        )
        for code, message, measured, limit, unit in _faults(mesh)
    )


def _faults(mesh: TriMesh) -> Iterator[tuple[str, str, float | None, float, str]]:
    """What is wrong with a mesh: code, words, what was measured, its limit and unit."""
    if not len(mesh.faces):
        yield "mesh-empty", "the mesh has no faces", None, 0.0, ""
        return
    edges = edge_statistics(mesh)
    for code, count, text in (
        ("mesh-open", edges.open, "belong to a single face, so the surface has holes"),
        ("mesh-crowded-edges", edges.crowded, "belong to more than two faces"),
        ("mesh-mixed-faces", edges.unbalanced, "belong to two faces that look to opposite sides"),
    ):
        if count:
            yield code, f"{count} of {edges.edges} edges {text}", float(count), 0.0, ""
    volume = volume_mm3(mesh)
    if edges.closed and not volume > 0:
        text = f"the enclosed volume is {volume:.6g} mm³, not above 0: the faces look inwards"
        yield "mesh-inside-out", text, volume, 0.0, "mm³"
    count = component_count(mesh)
    if count > 1:
        yield "mesh-pieces", f"the mesh falls into {count} pieces", float(count), 1.0, ""
