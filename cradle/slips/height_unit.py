"""The one section whose height was read in another unit: it is unlike what lies beside it or the profiles there, and like that where it belongs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from cradle.finding import About, Finding, doubt, in_mm
from cradle.geometry.arrays import Floats
from cradle.sections.laid import Laid, heights_of
from cradle.sections.profiles import Profiles, extent_at
from cradle.sections.readings import size_along
from cradle.units import MISTAKEN_FOR_MM

_UNLIKE: Final = 0.08
"""A section is out of place where the logarithms of its width and depth differ from what is expected there by this (our own choice).

Of 66 projects of scanned things, four sections each, one height in cm was told
in 26: the others hardly change from height to height. In none of these as they
were, nor with one section written last, was anything told.
"""
_NEARER: Final = 0.35
"""Where it belongs the difference must shrink to less than this part (our own choice)."""
_SEEN_OFF, _SEEN_FITS = 0.1, 0.03
"""Opposite profiles contradict a size that is off theirs by the first share, and agree with one within the second (our own choice)."""
_SEEN_NEAR_MM: Final = 3.0
"""Profiles contradict a section only where they do so this much lower and higher too: read every few mm, they tell little at a
foot that rounds off. Of 44 scanned household things 4 of three sections with four profiles were doubted without it, none with it."""
_LEDGE: Final = 5.0
"""Sizes that differ by more than this many times the way between two heights make a ledge that few things have (our own choice)."""
_WRITTEN: Final = {"inches": "in"}
"""How a project writes a unit, where not by its word."""
_FURTHER: Final = 1.7
"""A section may belong so many times as high as the highest other one (our own choice)."""
_BESIDE: Final = ("what lies beside it", "all is well if a rim stands out there")
_LEAST: Final = 3
"""Of fewer sections nothing tells which one is out of place."""


def doubtful_height_units(laid: Sequence[Laid], *, profiles: Profiles) -> Iterator[Finding]:
    """A warning for each section that fits only where its height would be if it had been read in another unit.

    That profiles of two opposite sides fit it there and not here tells; or that
    it is like its neighbours there and not here, and stands in the file where it
    belongs, and here out of order or on a ledge.

    Parameters
    ----------
    laid : sequence of Laid
        Bottom to top.
    """
    if len(laid) < _LEAST:
        return
    stack = _Stack(laid, profiles=profiles)
    for i, one in enumerate(laid):
        here = one.spec.height_mm
        for unit, per in MISTAKEN_FOR_MM:
            there = here * per
            seen = stack.seen_at(i, here=here, there=there)
            if seen or (stack.belongs(i, here=here, there=there) and stack.in_file(i, there)):
                unlike, else_well = (
                    ("the profiles", "otherwise measure these there again") if seen else _BESIDE
                )
                yield doubt(
                    "height-unit-doubtful",
                    f"at a height of {here:g} mm it is unlike {unlike}, but not at {there:.4g} mm ({here:g} {unit})",
                    f'if it was read in {unit}, write height = "{here:g} {_WRITTEN.get(unit, unit)}"; {else_well}',
                    where=one.where,
                    about=About.READING,
                    **in_mm(here),
                )
                break


class _Stack:
    """Heights and sizes of all sections, and what else tells how large the thing is at a height."""

    def __init__(self, laid: Sequence[Laid], *, profiles: Profiles) -> None:
        self._heights = heights_of(laid)
        self._logs = np.log([[size_along(one, axis=axis) for axis in (0, 1)] for one in laid])
        self._numbers = np.array([one.spec.number for one in laid])
        self._profiles = profiles

    def belongs(self, i: int, *, here: float, there: float) -> bool:
        """Whether a section is unlike its neighbours at one height, and much less so at another."""
        off = self._unlike(i, here)
        return off > _UNLIKE and self._unlike(i, there) < _NEARER * off

    def _unlike(self, i: int, height_mm: float) -> float:
        """How far the logarithms of a section's sizes are from those of the others, at a height; beyond the last from those of the last."""
        others = np.arange(len(self._heights)) != i
        expected = [np.interp(height_mm, self._heights[others], logs[others]) for logs in self._logs.T]
        return float(np.hypot(*(self._logs[i] - expected)))

    def seen_at(self, i: int, *, here: float, there: float) -> bool:
        """Whether opposite profiles contradict a section's size at one height, and agree with it at another."""
        if max(self._seen_off(i, there), default=np.inf) > _SEEN_FITS:
            return False
        near = [self._seen_off(i, here + by) for by in (-_SEEN_NEAR_MM, 0.0, _SEEN_NEAR_MM)]
        return bool(near[1]) and min(max(off) for off in near if off) > _SEEN_OFF

    def in_file(self, i: int, there_mm: float) -> bool:
        """Whether a section stands in the file where it would be at another height, and here out of order or on a ledge."""
        there = self._heights.copy()
        there[i] = there_mm
        near = there_mm <= _FURTHER * np.delete(there, i).max()
        return near and self._ordered(there) and (not self._ordered(self._heights) or self._on_ledge(i))

    def _seen_off(self, i: int, height_mm: float) -> list[float]:
        """How far the logarithms of a section's sizes are from those that opposite profiles have at a height, where they do."""
        seen = [(axis, *extent_at(self._profiles, axis=axis, height_mm=height_mm)) for axis in (0, 1)]
        return [
            float(abs(np.log(high - low) - self._logs[i, axis]))
            for axis, low, high in seen
            if low is not None and high is not None and high > low
        ]

    def _ordered(self, heights: Floats) -> bool:
        """Whether heights rise or fall from section to section of the file."""
        steps = np.diff(heights[np.argsort(self._numbers)])
        return bool((steps > 0).all() or (steps < 0).all())

    def _on_ledge(self, i: int) -> bool:
        beside = [k for k in (i - 1, i + 1) if 0 <= k < len(self._heights)]
        ways = np.abs(self._heights[beside] - self._heights[i])
        sizes = np.abs(np.exp(self._logs[beside]) - np.exp(self._logs[i])).max(axis=1)
        return bool((sizes > _LEDGE * ways).any())
