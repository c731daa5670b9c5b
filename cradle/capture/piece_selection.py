"""Which of the pieces in a picture are meant: by number, by a point on them, or the only one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cradle.capture.traced_picture import TracedPicture, TracedPiece
from cradle.errors import CaptureError
from cradle.names import MOST_TOLD, first_of
from cradle.pictures.grain import Grain
from cradle.pictures.touching_pieces import TOUCHING
from cradle.project.picture import PictureSource, Pixel


def picked(
    found: Sequence[TracedPiece], spec: PictureSource, *, grain: Grain, where: str
) -> tuple[TracedPiece, ...]:
    """The pieces meant: all where none is asked for; front and back notch in this order.

    Raises
    ------
    CaptureError
        If the one asked for is not there, or has no notch where a notch is meant.
    """
    if spec.point_px is not None:
        holding = at_point(found, spec.point_px)
        if holding is None:
            x, y = spec.point_px
            raise CaptureError(
                f"the point ({x:g}, {y:g}) px lies on no piece; the picture shows {len(found)} ({_places(found)})",
                where=where,
                hint="give a point on one, px to the right and down from the upper left, or its number (pick)",
            )
        return _with_notch((holding,))
    if spec.pick is None and spec.back is None:
        return tuple(p for p in found if p.no_notch is None) or _with_notch(tuple(found))
    numbers = [spec.pick or 1] + ([spec.back] if spec.back is not None else [])
    by_number = {p.number: p for p in found}
    absent = next((number for number in numbers if number not in by_number), None)
    if absent is not None:
        raise CaptureError(
            f"there is no piece {absent}, the picture shows {len(found)} ({_sizes(found, grain)})",
            where=where,
            hint=_numbering(found),
        )
    return _with_notch(tuple(by_number[n] for n in numbers))


def at_point(pieces: Sequence[TracedPiece], point_px: Pixel) -> TracedPiece | None:
    """The piece on which a point of the picture lies, of several the last; None where there is none."""
    from cradle.geometry.planar import region
    from cradle.geometry.region_measures import inside

    point = np.array([point_px])
    return next((p for p in reversed(pieces) if inside(point, region(p.ring_px))[0]), None)


def _sizes(pieces: Sequence[TracedPiece], grain: Grain) -> str:
    sizes = [map(grain.length, piece.size_mm) for piece in pieces]
    return first_of([f"{p.number}: {w.value:.0f} x {h:.0f}" for p, (w, h) in zip(pieces, sizes, strict=True)])


def _places(pieces: Sequence[TracedPiece]) -> str:
    """A point on each of the pieces, with its number."""
    from cradle.geometry.planar import region
    from cradle.geometry.region_measures import deepest_point

    points = [deepest_point(region(piece.ring_px)) for piece in pieces[:MOST_TOLD]]
    told = [f"{p.number}: at ({x:z.0f}, {y:z.0f}) px" for p, (x, y) in zip(pieces, points, strict=False)]
    return first_of([*told, *([""] * (len(pieces) - len(told)))])


def _numbering(found: Sequence[TracedPiece]) -> str:
    """How pieces come by their numbers, and which of them may be several."""
    joined = [p.number for p in found if any(f.code == TOUCHING for f in p.findings)]
    several = f"; piece {joined[0]} looks like several that touch" if joined else ""
    return (
        "pieces are numbered row by row from the upper left, and those that touch each other count as one:"
        f" leave a gap of a few mm between them{several}"
    )


def _with_notch(pieces: tuple[TracedPiece, ...]) -> tuple[TracedPiece, ...]:
    """The pieces, unless one has no notch where one is meant."""
    for piece in pieces:
        if piece.no_notch is not None:
            raise piece.no_notch
    return pieces


def the_only(traced: TracedPicture, *, where: str) -> TracedPiece:
    """The only piece of a picture.

    Raises
    ------
    CaptureError
        If there are several and none is picked.
    """
    if len(traced.pieces) > 1:
        raise CaptureError(
            f"the picture shows {len(traced.pieces)} pieces ({_sizes(traced.pieces, traced.grain)})",
            where=where,
            hint="pick one by its number, or by a point on it",
        )
    return traced.pieces[0]
