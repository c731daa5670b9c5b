"""Binary STL: the layout is a structured dtype.

80 bytes of header that do not begin with "solid", a little-endian count, then
50 bytes a facet: normal outwards, three vertices counter-clockwise from
outside, two bytes unused (3D Systems 1989, in Burns, *Automated Fabrication*,
section 6.5). The format states no unit: ours is the millimetre.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.geometry.mesh import TriMesh, area_normals, corners
from cradle.geometry.rounding import single_precision
from cradle.geometry.vectors import unit

_FACET: Final = np.dtype(
    [("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")],
)
"""One facet, 50 bytes."""

_HEADER: Final = b"Binary STL, lengths in mm, z up, made by cradle".ljust(80)


def stl_bytes(mesh: TriMesh) -> bytes:
    """A binary STL file of a mesh, 84 + 50 n bytes, the same for the same mesh.

    Parameters
    ----------
    mesh : TriMesh
        Closed, outward, in mm. Facets that vanish in single precision are
        left out so that what remains is closed
        (`cradle.geometry.rounding.single_precision`). A facet without area
        keeps its place and has the normal (0, 0, 0).

    Raises
    ------
    SolidError
        If a coordinate is not finite in single precision.
    """
    mesh = single_precision(mesh)
    facets = np.zeros(len(mesh.faces), dtype=_FACET)
    facets["normal"] = unit(area_normals(mesh))
    facets["normal"] += np.float32(0)
    facets["corners"] = corners(mesh)
    return b"".join([_HEADER, np.uint32(len(facets)).astype("<u4").tobytes(), facets.tobytes()])
