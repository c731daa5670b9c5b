"""What would let a wall plate have its screws: found by trying it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Final, TypeAlias

from cradle.names import listed
from cradle.project.block import PlateSpec

_With: TypeAlias = Callable[[float], PlateSpec]
"""The plate with another size, mm."""

_HEIGHT: Final = "height"
_PASSES: Final = " (the thing then has to get past it, which may take a thicker block.wall)"
"""Said of a plate that would rise above the block."""
_COARSE: Final = 10
_MOST: Final = 20000
"""Tenths of a millimetre by which a size is changed at first, and at most."""


def remedy(spec: PlateSpec, *, tall_mm: float, block_mm: float, fits: Callable[[PlateSpec], bool]) -> str:
    """What to make of a plate that does not fit: each single size that would do, else all anew.

    Parameters
    ----------
    tall_mm, block_mm : float
        How high the plate is, and the block.
    fits : callable
        Whether a plate has its screws.
    """
    ways = [
        f"{words} {found:.1f} mm{_PASSES if words == _HEIGHT and found > block_mm else ''}"
        for words, value, sign, with_it in _changes(spec, tall_mm=tall_mm)
        if (found := _nearest(value, sign, with_it, fits=fits)) is not None
    ]
    if ways:
        return f"make the plate's {listed(ways, 'or')}"
    given = {"edge": spec.edge_mm, "spacing": spec.spacing_mm}
    asked = [word for word, value in given.items() if value is not None]
    plain = replace(spec, spacing_mm=None, edge_mm=None)
    wide = _nearest(spec.width_mm, 1, lambda mm: replace(plain, width_mm=mm), fits=fits)
    if asked and wide is not None:
        return f"leave {listed(asked)} out, and make the plate's width {wide:.1f} mm"
    return "make the plate wider or higher, or take a smaller screw"


def _changes(spec: PlateSpec, *, tall_mm: float) -> Iterator[tuple[str, float, int, _With]]:
    """Each size that may be changed, by its name and now, the way, and what the plate is with another."""
    yield "width", spec.width_mm, 1, lambda mm: replace(spec, width_mm=mm)
    yield _HEIGHT, tall_mm, 1, lambda mm: replace(spec, height_mm=mm)
    if spec.edge_mm is not None:
        for sign in (1, -1):
            yield "edge", spec.edge_mm, sign, lambda mm: replace(spec, edge_mm=mm)
    if spec.spacing_mm is not None:
        across, up = spec.spacing_mm
        for sign in (1, -1):
            yield "spacing across", across, sign, lambda mm: replace(spec, spacing_mm=(mm, up))
        if up > 0:
            yield "spacing up", up, 1, lambda mm: replace(spec, spacing_mm=(across, mm))


def _nearest(value: float, sign: int, with_it: _With, *, fits: Callable[[PlateSpec], bool]) -> float | None:
    """The size nearest to a value, in whole tenths above it or (``sign`` −1) below it, with which a plate fits; None where none does."""
    begin = sign * math.floor(sign * 10 * value + 1e-6)

    def at(tenths: int) -> float:
        return (begin + sign * tenths) / 10

    most = _MOST if sign > 0 else begin - 1
    short, far = 0, _COARSE
    while far <= most and not fits(with_it(at(far))):
        short, far = far, far + max(_COARSE, far // 4)
    if far > most:
        return None
    while far - short > 1:
        half = (short + far) // 2
        short, far = (short, half) if fits(with_it(at(half))) else (half, far)
    return at(far)
