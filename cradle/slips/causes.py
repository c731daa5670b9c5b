"""Slips that make a drawing and its readings disagree by more than any tracing, and what to do about each."""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum, auto
from itertools import permutations
from typing import Final

import numpy as np

from cradle.errors import SectionError
from cradle.noun import record
from cradle.project.picture import PictureSource
from cradle.project.section import DrawingSource, SectionSpec
from cradle.sections.axis_words import SIZES
from cradle.sections.laid import Laid
from cradle.sections.sizes import Readings, Sizes
from cradle.units import MISTAKEN_FOR_MM, MM_PER, MM_PER_INCH

_IMPOSSIBLE_SHARE: Final = 0.10
"""A factor that differs from 1 by more than this is no tracing error, unless the outline is small."""
_IMPOSSIBLE_SPREADS: Final = 6.0
"""Of a small outline it is no tracing error only beyond this many spreads of its width or depth."""
_RESOLUTIONS: Final = (300, 72, 96, 600, 150, 200, 400, 1200)
"""Dots per inch that scanners and drawing programs assume, likeliest first."""
_MISTAKEN_RESOLUTIONS: Final = tuple(permutations(_RESOLUTIONS, 2))
"""That of a scan, and the one it may be taken for; likeliest first."""
_NEAR: Final = 0.03
"""A factor this near a known one is taken for it."""
_ROUGHLY: Final = 0.08
"""A factor this near to that of two units is taken for it: units are far apart, and a scale may be off besides."""


class SlipKind(Enum):
    """What slipped."""

    EXCHANGED = auto()
    HALF_READINGS = auto()
    HALF_OUTLINE = auto()
    WHOLE_OUTLINE = auto()
    READINGS_IN_INCHES = auto()
    READINGS_IN_CM = auto()
    UNIT_STATED = auto()
    UNIT_UNSTATED = auto()
    DRAWING_IN_INCHES = auto()
    DRAWING_IN_CM = auto()
    SCALE = auto()
    MISREAD = auto()


@record
class Slip:
    """One slip.

    ``cost`` is how rare it is, as a natural logarithm (common practice, no
    source); ``drawing`` the factors that put the outline right along x and y,
    ``read`` those that put the readings right, None for one to be left out.
    """

    kind: SlipKind
    cost: float
    drawing: tuple[float, float] = (1.0, 1.0)
    read: tuple[float | None, float | None] = (1.0, 1.0)

    def readings(self, read_mm: Readings) -> Readings:
        """The readings put right."""
        width, depth = read_mm[::-1] if self.kind is SlipKind.EXCHANGED else read_mm
        return (
            None if width is None or self.read[0] is None else width * self.read[0],
            None if depth is None or self.read[1] is None else depth * self.read[1],
        )

    @property
    def size(self) -> float:
        """Factor that puts the outline's size right, both directions together."""
        return float(np.sqrt(self.drawing[0] * self.drawing[1]))

    def again(self, other: Slip) -> bool:
        """Whether the slip of another sheet is the same one: people repeat a slip on every sheet, except a misreading."""
        if self.kind is SlipKind.MISREAD:
            return False
        near = all(abs(a / b - 1.0) <= _NEAR for a, b in zip(self.drawing, other.drawing, strict=True))
        return self.kind is other.kind and self.read == other.read and near


_INCH: Final = (MM_PER_INCH, MM_PER_INCH)
_DRAWING: Final = (
    Slip(kind=SlipKind.DRAWING_IN_INCHES, cost=5.0, drawing=_INCH),
    Slip(kind=SlipKind.DRAWING_IN_CM, cost=6.0, drawing=(10.0, 10.0)),
    Slip(kind=SlipKind.HALF_OUTLINE, cost=6.5, drawing=(2.0, 1.0)),
    Slip(kind=SlipKind.HALF_OUTLINE, cost=7.0, drawing=(1.0, 2.0)),
)
_WHOLE: Final = (
    Slip(kind=SlipKind.WHOLE_OUTLINE, cost=4.0, drawing=(0.5, 1.0)),
    Slip(kind=SlipKind.WHOLE_OUTLINE, cost=4.0, drawing=(1.0, 0.5)),
)
_READ: Final = (
    Slip(kind=SlipKind.READINGS_IN_INCHES, cost=5.5, read=_INCH),
    Slip(kind=SlipKind.READINGS_IN_CM, cost=6.0, read=(10.0, 10.0)),
    Slip(kind=SlipKind.HALF_READINGS, cost=5.0, read=(2.0, 2.0)),
)
_BOTH_READ: Final = (
    Slip(kind=SlipKind.EXCHANGED, cost=5.0),
    Slip(kind=SlipKind.HALF_READINGS, cost=5.5, read=(2.0, 1.0)),
    Slip(kind=SlipKind.HALF_READINGS, cost=5.5, read=(1.0, 2.0)),
    Slip(kind=SlipKind.MISREAD, cost=7.0, read=(None, 1.0)),
    Slip(kind=SlipKind.MISREAD, cost=7.0, read=(1.0, None)),
)
_PX_MM: Final = MM_PER["px"]


def slips(laid: Laid, *, sizes: Sizes, trace_mm: float) -> tuple[Slip, ...]:
    """The slips worth weighing for one section: none if it consists of readings.

    Parameters
    ----------
    trace_mm : float
        Standard uncertainty of the outline, square to it.
    """
    if laid.exact:
        return ()
    unit = laid.spec.source.unit if isinstance(laid.spec.source, DrawingSource) else "mm"
    found: tuple[Slip, ...] = _DRAWING + (_WHOLE if laid.spec.half else ())
    if unit is None:
        found += (Slip(kind=SlipKind.UNIT_UNSTATED, cost=5.5, drawing=(1 / _PX_MM, 1 / _PX_MM)),)
    elif MM_PER[unit] != 1.0:
        found += (Slip(kind=SlipKind.UNIT_STATED, cost=4.5, drawing=(1 / MM_PER[unit], 1 / MM_PER[unit])),)
    known = [reading is not None for reading in sizes.read_mm]
    if any(known):
        found += _READ
    if all(known):
        found += _BOTH_READ
    factors = [
        told / traced for told, traced in zip(sizes.told_mm, sizes.traced_mm, strict=True) if told is not None
    ]
    if factors:
        factor = float(np.exp(np.mean(np.log(factors))))
        tracing = float(np.sqrt(2) * trace_mm / np.sqrt(np.prod(sizes.traced_mm)))
        if abs(factor - 1.0) > max(_IMPOSSIBLE_SHARE, _IMPOSSIBLE_SPREADS * tracing):
            found += (Slip(kind=SlipKind.SCALE, cost=9.0, drawing=(factor, factor)),)
    return found


def refused(slip: Slip, *, sizes: Sizes, spec: SectionSpec, where: str) -> SectionError:
    """The error for an outline and readings of a section that no tracing brings together."""
    if not _off(sizes):
        message = "the outline, {:.2f} × {:.2f} mm, is far from the size of its neighbours".format(
            *sizes.traced_mm
        )
        return SectionError(message, where=where, hint=_remedy(slip, sizes=sizes, spec=spec, off=False))
    told = [
        f"the {word} is {traced:.2f} mm as traced, but {reading:.2f} mm "
        f"{'by profiles or views' if read is None else 'with calipers'} ({100 * reading / traced:.4g} %)"
        for word, traced, read, reading in zip(
            SIZES, sizes.traced_mm, sizes.read_mm, sizes.told_mm, strict=True
        )
        if reading is not None
    ]
    by_sides = f"; else check {_SIDES}" if sizes.read_mm == (None, None) else ""
    message = f"{'; '.join(told)}: too much for a tracing error"
    return SectionError(message, where=where, hint=_remedy(slip, sizes=sizes, spec=spec, off=True) + by_sides)


def _off(sizes: Sizes) -> bool:
    """Whether a size that was read or seen differs from the traced one."""
    return any(
        told is not None and abs(told / traced - 1.0) > _NEAR
        for told, traced in zip(sizes.told_mm, sizes.traced_mm, strict=True)
    )


def _remedy(slip: Slip, *, sizes: Sizes, spec: SectionSpec, off: bool) -> str:
    if slip.kind is SlipKind.EXCHANGED and (spec.turn_deg or 0.0) % 180 == 90:
        return _TURNED
    if slip.kind is SlipKind.SCALE and isinstance(spec.source, PictureSource):
        return _picture_scale(slip.size)
    if slip.kind is SlipKind.SCALE:
        return likely_scale(slip.size) or _UNKNOWN_SCALE
    if slip.kind is SlipKind.MISREAD:
        axis = 0 if slip.read[0] is None else 1
        word, other, read = SIZES[axis], SIZES[1 - axis], sizes.read_mm[axis]
        unit = None if read is None else _unit_of(read, drawn_mm=sizes.traced_mm[axis])
        if unit is not None:
            return f"the {other} agrees with the drawing, so the {word} is in {unit}: write it in mm, or with its unit"
        reading = sizes.read_mm[1 - axis]
        if reading is not None and abs(reading / sizes.traced_mm[1 - axis] - 1.0) > _NEAR:
            return f"the {word} is far off and the {other} is off as well: measure both again, at this height"
        return f"the {other} agrees with the drawing, so the {word} was misread or mistyped: measure it again"
    if slip.kind is SlipKind.HALF_READINGS:
        words = [w for w, f in zip(SIZES, slip.read, strict=True) if f != 1.0]
        return (
            f"the {' and '.join(words)} given {'is' if len(words) == 1 else 'are'} half of what was drawn, like a "
            "radius for a diameter: give the whole width and depth"
        )
    return _REMEDIES[slip.kind] + ("" if off else "; if the size is right, give width and depth")


def _unit_of(read: float, *, drawn_mm: float) -> str | None:
    """The unit, of those that people mistake for mm, in which a reading would be the size drawn; None where in none."""
    near = (unit for unit, mm in MISTAKEN_FOR_MM if abs(read * mm / drawn_mm - 1.0) <= _NEAR)
    return next(near, None)


_UNKNOWN_SCALE: Final = (
    "check the drawing's resolution and unit, and that the readings were taken at this height"
)
_PICTURE_SCALE: Final = (
    "leave out what is said of the picture's scale where a ruler, a card or the capture sheet lies beside the piece, "
    "and check that the readings were taken at this height"
)
_SIDES: Final = (
    "the profiles, or the views: from which side they show the thing, that it stands upright in them, "
    "and how far the lens was (distance)"
)
_TURNED: Final = (
    "width and depth are swapped: give those of the outline as it lies when turned, or leave out its turn"
)
_REMEDIES: Final = {
    SlipKind.EXCHANGED: "width and depth are swapped: set turn = 90 or -90, or swap the readings",
    SlipKind.HALF_OUTLINE: "the drawing shows one side only: set half = true",
    SlipKind.WHOLE_OUTLINE: "readings are those of the whole thing, not of the half: give them whole; or, if the outline is"
    " whole already, leave out half = true",
    SlipKind.READINGS_IN_INCHES: "the calipers read inches: write the readings in mm (1 in = 25.4 mm)",
    SlipKind.READINGS_IN_CM: "the readings are in cm: write them in mm",
    SlipKind.UNIT_STATED: "the drawing's numbers are mm, whatever unit the section states: leave out its unit",
    SlipKind.UNIT_UNSTATED: 'the drawing\'s numbers are mm, but its unit was taken as 1/96 in: say unit = "mm"',
    SlipKind.DRAWING_IN_INCHES: 'the drawing is in inches and was read as mm: say unit = "in"',
    SlipKind.DRAWING_IN_CM: 'the drawing is in cm and was read as mm: say unit = "cm"',
}


def _picture_scale(factor: float) -> str:
    """What most likely made a picture's scale wrong by a factor, with advice."""
    known = [
        (
            placed / scanned,
            f"as if a scan of {scanned} dpi had been taken for one of {placed}: say dpi = {scanned}, or ",
        )
        for scanned, placed in _MISTAKEN_RESOLUTIONS
    ]
    return _nearest(factor, known, within=_NEAR) + _PICTURE_SCALE


def likely_scale(factor: float) -> str:
    """What most likely made a drawing's scale wrong by a factor, with advice; empty when nothing known fits."""
    units = [
        (MM_PER_INCH, _REMEDIES[SlipKind.DRAWING_IN_INCHES]),
        (1 / MM_PER_INCH, _REMEDIES[SlipKind.READINGS_IN_INCHES]),
        (10.0, _REMEDIES[SlipKind.DRAWING_IN_CM]),
        (0.1, _REMEDIES[SlipKind.READINGS_IN_CM]),
        (1000.0, "the drawing is in m and was read as mm: save it in mm"),
        (1 / _PX_MM, _REMEDIES[SlipKind.UNIT_UNSTATED]),
        (_PX_MM, 'the drawing\'s numbers are mm, but it was read as px: say unit = "mm"'),
    ]
    points = f"as if points, 72 to the inch, had been read as px, 96 to the inch: scale the drawing to {100 * 96 / 72:.4g} %"
    known = [*units, (96 / 72, points)]
    known += [
        (
            placed / scanned,
            f"as if a {scanned}-dpi scan had been placed at {placed} dpi: "
            f"scale the drawing to {100 * placed / scanned:.4g} %",
        )
        for scanned, placed in _MISTAKEN_RESOLUTIONS
    ]
    known += [
        (
            MM_PER_INCH / dots,
            f"as if the pixels of a {dots}-dpi scan had been read as mm: "
            f"scale the drawing to {100 * MM_PER_INCH / dots:.4g} %",
        )
        for dots in _RESOLUTIONS
    ]
    return _nearest(factor, known, within=_NEAR) or _nearest(factor, units, within=_ROUGHLY)


def _nearest(factor: float, known: Sequence[tuple[float, str]], *, within: float) -> str:
    """The advice for the known factor nearest to ``factor``; empty where none is near."""
    off = [abs(factor / value - 1.0) for value, _ in known]
    nearest = min(range(len(known)), key=lambda k: (round(off[k], 3), k))
    return known[nearest][1] if off[nearest] <= within else ""
