"""Parts laid out on the printer's bed, and on further beds as far as they do not fit on one."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from cradle.errors import HolderError
from cradle.geometry.arrays import Floats, Ints, frozen, frozen_ints
from cradle.geometry.mesh import TriMesh, bounds_mm, moved

_BETWEEN_MM = 3.0
"""What is left between parts."""
_QUARTER_TURN = frozen([[0, -1, 0, 0], [1, 0, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]])
_STEP_MM = 0.1
"""The packing works in whole steps of this size; a part is rounded up to them, the bed down."""


def laid_on_beds(
    parts: Sequence[tuple[str, TriMesh]], *, bed_mm: tuple[float, float, float]
) -> list[list[tuple[str, TriMesh]]]:
    """The parts moved to their places, bed by bed; the largest go first, and what fits no other way a quarter turn round.

    Parameters
    ----------
    parts : sequence of (str, TriMesh)
        Standing on z = 0; two may have the same name.
    bed_mm : (3,)
        Size of the bed; the parts lie about its middle, its corner is (0, 0).

    Raises
    ------
    HolderError
        If a part is larger than the bed.
    """
    import rpack

    for name, mesh in parts:
        check_size(name, mesh, bed_mm=bed_mm)
    room = _steps(bed_mm, round_to=np.floor)
    parts = [(name, mesh if _fits(_size(mesh), room) else moved(mesh, _QUARTER_TURN)) for name, mesh in parts]
    sizes = [_size(mesh) for _, mesh in parts]
    between = round(_BETWEEN_MM / _STEP_MM)
    left = sorted(range(len(parts)), key=lambda n: (-sizes[n][1], -sizes[n][0], parts[n][0]))
    beds = []
    while left:
        steps = [(int(sizes[n][0]) + between, int(sizes[n][1]) + between) for n in left]
        try:
            places = rpack.pack(steps, max_width=int(room[0]) + between, max_height=int(room[1]) + between)
        except rpack.PackingImpossibleError as error:
            places = error.args[1]
        used = np.array([np.add(p, s) for p, s in zip(places, steps, strict=False)]).max(axis=0) - between
        corner = (room[:2] - used) / 2 * _STEP_MM
        beds.append(
            [
                (parts[n][0], _put(parts[n][1], corner + np.array(place) * _STEP_MM))
                for n, place in zip(left, places, strict=False)
            ]
        )
        left = left[len(places) :]
    return beds


def check_size(name: str, mesh: TriMesh, *, bed_mm: tuple[float, float, float]) -> None:
    """Refuse a part that is larger than the bed, whichever way it lies.

    Raises
    ------
    HolderError
        If it is.
    """
    size, room = _size(mesh), _steps(bed_mm, round_to=np.floor)
    if not (_fits(size, room) or _fits(size[[1, 0, 2]], room)):
        raise HolderError(
            f"{name} is {_shown(size)} mm, the bed {_shown(room)} mm",
            where="printer.bed",
            hint="choose an open ring, a smaller test_pieces.thickness or a larger bed",
        )


def _fits(size: Ints, room: Ints) -> bool:
    return bool((size <= room).all())


def _size(mesh: TriMesh) -> Ints:
    return _steps(np.ptp(bounds_mm(mesh), axis=0), round_to=np.ceil)


def _steps(size_mm: Sequence[float] | Floats, *, round_to: Callable[[Floats], Floats]) -> Ints:
    """A size in whole steps, ``(3,)``, nothing made of what is only the noise of a division."""
    return frozen_ints(round_to(np.round(np.asarray(size_mm) / _STEP_MM, 6)))


def _shown(steps: Ints) -> str:
    return " × ".join(f"{n * _STEP_MM:.10g}" for n in steps.tolist())


def _put(mesh: TriMesh, corner_mm: Floats) -> TriMesh:
    matrix = np.eye(4)
    matrix[:3, 3] = [*corner_mm, 0.0] - bounds_mm(mesh)[0]
    return moved(mesh, matrix)
