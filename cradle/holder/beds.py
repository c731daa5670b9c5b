"""Parts laid out on the printer's bed, and on further beds as far as they do not fit on one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cradle.errors import HolderError
from cradle.geometry.mesh import TriMesh, bounds_mm, moved

_BETWEEN_MM = 3.0
_STEP_MM = 0.1
"""The packing works in whole steps of this size."""


def laid_on_beds(
    parts: Sequence[tuple[str, TriMesh]], *, bed_mm: tuple[float, float, float]
) -> list[list[tuple[str, TriMesh]]]:
    """The parts moved to their places, bed by bed; the largest go first.

    Parameters
    ----------
    parts : sequence of (str, TriMesh)
        Standing on z = 0.
    bed_mm : (3,)
        Size of the bed; the parts lie about its middle, its corner is (0, 0).

    Raises
    ------
    HolderError
        If a part is larger than the bed.
    """
    import rpack

    sizes = {name: np.ptp(bounds_mm(mesh), axis=0) for name, mesh in parts}
    for name, size in sizes.items():
        if (size > np.array(bed_mm)).any():
            raise HolderError(
                f"{name} is {size[0]:.0f} × {size[1]:.0f} mm, the bed {bed_mm[0]:g} × {bed_mm[1]:g} mm",
                where="printer.bed",
                hint="choose an open ring or a larger bed",
            )
    left = sorted(parts, key=lambda part: (-float(sizes[part[0]][1]), -float(sizes[part[0]][0]), part[0]))
    room = [int((v + _BETWEEN_MM) / _STEP_MM) for v in bed_mm[:2]]
    beds = []
    while left:
        steps = [
            (int(np.ceil((w + _BETWEEN_MM) / _STEP_MM)), int(np.ceil((d + _BETWEEN_MM) / _STEP_MM)))
            for w, d in (sizes[name][:2] for name, _ in left)
        ]
        try:
            places = rpack.pack(steps, max_width=room[0], max_height=room[1])
        except rpack.PackingImpossibleError as error:
            places = error.args[1]
        used = np.array([np.add(p, s) for p, s in zip(places, steps, strict=False)]).max(axis=0)
        corner = (np.array(room) - used) / 2 * _STEP_MM
        beds.append(
            [
                (name, _put(mesh, corner + np.array(place) * _STEP_MM))
                for (name, mesh), place in zip(left, places, strict=False)
            ]
        )
        left = left[len(places) :]
    return beds


def _put(mesh: TriMesh, corner_mm: np.ndarray) -> TriMesh:
    matrix = np.eye(4)
    matrix[:3, 3] = [*corner_mm, 0.0] - bounds_mm(mesh)[0]
    return moved(mesh, matrix)
