"""Unlikeness and change: how far neighbouring sections' outlines lie apart, in form and as they are; and whether they have hollows."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np

from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.planar import distances_to_boundary, regions
from cradle.matching.ring_stack import RingStack
from cradle.sections.hollows import hollows_of

_TRACED_TWICE: Final = 2.0
"""Two tracings of one outline lie apart, squared, by so many squares of one's tracing error."""
_STACKS: Final = 8
"""Of so many stacks what was found is kept: it is asked for several times, and takes long where outlines have many points."""


@lru_cache(maxsize=_STACKS)
def changes_mm(stack: RingStack) -> Floats:
    """Root mean square change of each gap, square to the skin, ``(k − 1,)``, mm."""
    span = np.diff(stack.heights_mm)
    away = _apart_mm(stack.rings_mm[:-1], stack.rings_mm[1:])
    return frozen(away * span / np.hypot(span, away))


@lru_cache(maxsize=_STACKS)
def unlikeness_mm(stack: RingStack, *, trace_mm: float = 0.0) -> Floats:
    """How far neighbouring outlines lie apart once both have one width and depth, ``(k − 1,)``, mm.

    Root mean square, less what tracing the two makes of it; of outlines that
    were pooled, as they were drawn.

    Examples
    --------
    A circle and an ellipse are alike, a circle and a square are not.

    >>> t = np.arange(200) * 2 * np.pi / 200
    >>> circle = 20 * np.column_stack([np.cos(t), np.sin(t)])
    >>> square = np.clip(1.5 * circle, -20, 20)
    >>> rings = np.array([circle, circle * [1.5, 1.2], square])
    >>> stack = RingStack(heights_mm=np.array([0.0, 9.0, 20.0]), rings_mm=rings, names=("a", "b", "c"))
    >>> unlikeness_mm(stack).round(1).tolist()
    [0.0, 2.7]
    """
    if stack.unlike_mm:
        return frozen(stack.unlike_mm)
    low, high = stack.rings_mm.min(axis=1), stack.rings_mm.max(axis=1)
    size = (high - low)[:, None]
    form = (stack.rings_mm - low[:, None]) / size
    lower, upper = form[:-1] * size[1:], form[1:] * size[1:]
    away = _apart_mm(lower, upper)
    return frozen(np.sqrt(np.maximum(away**2 - _TRACED_TWICE * trace_mm**2, 0.0)))


@lru_cache(maxsize=_STACKS)
def with_hollows(stack: RingStack, *, trace_mm: float) -> bool:
    """Whether outlines of sections have hollows."""
    return any(hollows_of(ring, trace_mm=trace_mm) for ring in stack.rings_mm)


def _apart_mm(lower: Floats, upper: Floats) -> Floats:
    """Root mean square distance of each of ``(g, n, 2)`` rings from its partner's outline, ``(g,)``, mm."""
    outlines = regions(upper)
    away = [distances_to_boundary(ring, area) for ring, area in zip(lower, outlines, strict=True)]
    return np.array([np.sqrt(np.mean(d**2)) for d in away])
