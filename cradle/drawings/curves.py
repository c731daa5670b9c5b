"""Curves as a drawing holds them, and which of them is meant.

A *curve* is a polyline in mm, open or closed, with the names of the layers or
groups it lies in. What is left of those that are picked, once they are
joined (`cradle.drawings.joining`), must be a single curve.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from enum import StrEnum

import numpy as np

from cradle.errors import CaptureError, OutlineError
from cradle.finding import Finding
from cradle.geometry.arrays import Floats
from cradle.names import point_words
from cradle.noun import noun, record
from cradle.project.other_words import likely_meant

_LISTED = 8
"""Curves named in one message."""


class Ends(StrEnum):
    """Whether the last point of a curve is joined to the first."""

    CLOSED = "closed"
    OPEN = "open"
    UNSAID = "unsaid"
    """A list of points that does not say: closed, unless it is half an outline."""


@noun
class Curve:
    """A polyline of a drawing.

    Attributes
    ----------
    points_mm : (n, 2) float64
        In order; a closed curve does not repeat its first point.
    name : str
        What and where it is in the drawing, for messages.
    groups : tuple of str
        Layers, groups and ids it can be picked by.
    """

    points_mm: Floats
    ends: Ends
    name: str
    groups: tuple[str, ...] = ()


@record
class Drawing:
    """What a file holds.

    Attributes
    ----------
    ignored : tuple of str
        What else is in it, in words.
    aside : tuple of Curve
        What is not seen or lies behind all that is: taken where it is named, or where there is nothing else.
    """

    curves: tuple[Curve, ...]
    aside: tuple[Curve, ...] = ()
    ignored: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()


def picked(drawing: Drawing, *, layer: str | None, where: str) -> tuple[Curve, ...]:
    """The curves on a layer or in a group, or all of them when none is named.

    Raises
    ------
    CaptureError
        If there are none; the names that exist are told.
    """
    besides = ", ".join(drawing.ignored)
    curves = drawing.curves or drawing.aside
    if not curves:
        raise CaptureError(
            "found no curve in the drawing" + (f" (it holds {besides})" if besides else ""),
            where=where,
            hint="draw the outline as a path or polyline",
        )
    if layer is None:
        return curves
    names = sorted({group for curve in (*drawing.curves, *drawing.aside) for group in curve.groups})
    name = _called(layer, names)
    found = tuple(curve for curve in curves if name in curve.groups)
    found = found or tuple(curve for curve in drawing.aside if name in curve.groups)
    if not found:
        names = sorted({group for curve in curves for group in curve.groups})
        near = likely_meant(layer, names)
        meant = f'did you mean "{near}"? ' if near else ""
        there = ", ".join(f'"{name}"' for name in names[:_LISTED]) + (" ..." if len(names) > _LISTED else "")
        raise CaptureError(
            f'found no curve on "{layer}"' + (f" (the drawing also holds {besides})" if besides else ""),
            where=where,
            hint=f"{meant}the drawing has {there}" if names else "the drawing has no named layers",
        )
    return found


def _called(layer: str, names: Sequence[str]) -> str:
    """The name meant by ``layer``: itself if it is there, else the only one that is alike but for capital letters, as DXF allows."""
    alike = [name for name in names if name.casefold() == layer.casefold()]
    return alike[0] if layer not in names and len(alike) == 1 else layer


def the_one(curves: Sequence[Curve], *, where: str, hint: str) -> Curve:
    """The only curve.

    Raises
    ------
    OutlineError
        If there are several: they are listed with their sizes, the largest first.
    """
    if len(curves) == 1:
        return curves[0]
    if not curves:
        raise OutlineError("found nothing but curves of no length", where=where, hint=hint)
    sizes = [np.ptp(curve.points_mm, axis=0) for curve in curves]
    order = sorted(range(len(curves)), key=lambda i: (-float(sizes[i].max()), i))
    lines = []
    for i in order[:_LISTED]:
        kind = "open" if curves[i].ends is Ends.OPEN else "closed"
        lines.append(
            f"{curves[i].name}, {kind}, {sizes[i][0]:.2f} x {sizes[i][1]:.2f} mm from {point_words(curves[i].points_mm.min(axis=0))}"
        )
    more = f" and {len(curves) - _LISTED} more" if len(curves) > _LISTED else ""
    raise OutlineError(
        f"found {len(curves)} separate curves, one expected: {'; '.join(lines)}{more}", where=where, hint=hint
    )


def names_apart(curves: Sequence[Curve]) -> tuple[str, ...]:
    """The layers, groups and ids by which one of the curves alone can be picked, one for each that has one, the largest first."""
    owners = Counter(name for curve in curves for name in dict.fromkeys(curve.groups))
    largest = sorted(curves, key=lambda curve: -float(np.ptp(curve.points_mm, axis=0).max()))
    own = (next((name for name in curve.groups if owners[name] == 1), None) for curve in largest)
    return tuple(name for name in own if name is not None)
