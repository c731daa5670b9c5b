"""Whether a mesh encloses one solid: closed, oriented, outward, in one piece."""

from __future__ import annotations

from cradle.finding import Finding, Severity
from cradle.geometry.mesh import TriMesh, component_count, edge_statistics, volume_mm3


def soundness_findings(mesh: TriMesh) -> tuple[Finding, ...]:
    """Findings about a holder's mesh that should not be printed; empty when it is sound.

    Parameters
    ----------
    mesh : TriMesh
        In mm, faces counter-clockwise seen from outside.

    Notes
    -----
    The rules are those of 3MF Core 1.4.0, section 4.1: every edge is shared by
    exactly two faces, in opposite order, and the volume is positive.
    """
    if not len(mesh.faces):
        return (_fail("mesh-empty", "the mesh has no faces"),)
    edges = edge_statistics(mesh)
    found: list[Finding] = []
    for code, count, text in (
        ("mesh-open", edges.open, "belong to a single face, so the surface has holes"),
        ("mesh-crowded-edges", edges.crowded, "belong to more than two faces"),
        ("mesh-mixed-faces", edges.unbalanced, "belong to two faces that look to opposite sides"),
    ):
        if count:
            found.append(_fail(code, f"{count} of {edges.edges} edges {text}", measured=count, limit=0))
    if edges.closed:
        volume = volume_mm3(mesh)
        if not volume > 0:
            text = f"the enclosed volume is {volume:.6g} mm³, not above 0: the faces look inwards"
            found.append(_fail("mesh-inside-out", text, measured=volume, limit=0, unit="mm³"))
    count = component_count(mesh)
    if count > 1:
        text = f"the mesh falls into {count} pieces"
        found.append(_fail("mesh-pieces", text, measured=count, limit=1))
    return tuple(found)


def _fail(
    code: str,
    message: str,
    *,
    measured: float | None = None,
    limit: float | None = None,
    unit: str = "",
) -> Finding:
    return Finding(
        code=code,
        severity=Severity.FAIL,
        message=message,
        where="holder",
        measured=None if measured is None else float(measured),
        limit=None if limit is None else float(limit),
        unit=unit,
        advice="do not print it",
    )
