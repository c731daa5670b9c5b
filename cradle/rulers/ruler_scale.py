"""The scale of a rule by its rows of marks, what it tells of the view, and what is doubtful about it.

The rule itself may be wrong by 0.15 mm in 150 (JIS B 7516:2005, grade 1, up
to 500 mm, from a maker's extract); that is most of the uncertainty told.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.calibration import from_scale, to_mm
from cradle.calibration.picture_view import Known, MarkRow, setting_of
from cradle.calibration.scale import OBLIQUE, Scale, ScaleKind
from cradle.finding import Finding, doubt, in_unit, note
from cradle.geometry.arrays import Floats, frozen
from cradle.rulers.bevel import row_inwards, slope_seen
from cradle.rulers.bowed_marks import lens_by_marks
from cradle.rulers.ruler_body import body_beside, covered
from cradle.rulers.ruler_ends import ends_seen
from cradle.rulers.ruler_rows import RuleRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cradle.calibration.bowed_sides import LensSeen
    from cradle.pictures.image import Picture

_RULE: Final = 0.15 / np.sqrt(3.0) / 150.0
"""Relative uncertainty of a rule: ±0.15 mm in 150 mm, evenly spread."""
_CHANGE: Final = 0.005
"""Largest part by which the scale changes along a rule that is seen straight from above."""
_PLAIN: Final = 0.85
"""An agreement above this leaves no doubt of an unusual graduation: in rendered pictures rules in 1/32 in and 0.5 mm, none misread,
had 0.90 to 0.98."""
_PRINTED_MM: Final = 0.02
"""How far a single mark lies from its place (common practice, no source)."""


def scale_of(picture: Picture, rule: Sequence[RuleRow]) -> Scale:
    """The scale of a rule by the first of its rows of marks."""
    first = rule[0]
    marks = first.marks
    ratio = picture.resolution.height_by_width
    per_x = first.unit_mm / (marks.spacing_px * float(np.hypot(marks.ahead[0], ratio * marks.ahead[1])))
    known = first.unit_mm * float(marks.number[-1])
    ends = frozen(marks.at_px[[0, -1]])
    calibration = from_scale(
        per_x,
        per_x * ratio,
        height_px=picture.size_px[1],
        source="ruler",
        residual_mm=_residuals(first),
        uncertainty_scale=float(np.hypot(marks.spacing_error_px / marks.spacing_px, _RULE)),
    )
    lens = lens_by_marks([row.marks for row in rule], picture.size_px)
    bodies = [body_beside(picture.levels, row.marks, px_per_mm=row.px_per_mm) for row in rule]
    measured = float(np.hypot(*np.diff(to_mm(calibration, ends), axis=0)[0]))
    return Scale(
        kind=ScaleKind.RULER,
        calibration=calibration,
        told=f"ruler, {len(marks.number)} marks of {first.reading.graduation.name}",
        ends_px=frozen(ends[None]),
        known_mm=frozen([known]),
        known=_known(picture, rule, bodies[0], lens),
        region_px=covered(bodies, first.px_per_mm),
        marks_px=marks.at_px,
        findings=tuple(_doubts(first, uneven=measured / known - 1)),
    )


def tagged_scan(picture: Picture) -> bool:
    """Whether the file tells that a scanner took it."""
    return picture.resolution.dpi is not None and not picture.by_camera


def _known(picture: Picture, rule: Sequence[RuleRow], body_px: Floats, lens: LensSeen | None) -> Known:
    """What a rule tells of the view: where its marks lie and, where only one edge was read, how the marks and the ends lean."""
    first = rule[0]
    alone = len(rule) == 1 and not tagged_scan(picture)
    ends = ends_seen(picture.levels, first.marks, body_px, px_per_mm=first.px_per_mm) if alone else None
    focal_px = setting_of(picture, camera=True).focal_px
    slope = slope_seen(first.marks, focal_px=focal_px, by_ends=ends)
    inwards = row_inwards(first.marks, slope, unit_mm=first.unit_mm) if alone else None
    rows = tuple(map(_mark_row, rule))
    return Known(
        rows=(*rows, inwards) if inwards else rows,
        share=_RULE,
        lens=lens,
        slope=slope.surely,
        inwards=_inwards(first),
    )


def _inwards(row: RuleRow) -> tuple[float, float]:
    """The unit vector from a rule's marked edge inwards, px."""
    x, y = (row.marks.across * row.marks.inward).tolist()
    return x, y


def _mark_row(row: RuleRow) -> MarkRow:
    """What a row of marks tells of the view."""
    return MarkRow(
        at_px=row.marks.at_px,
        along_mm=frozen(row.unit_mm * row.marks.number),
        spread_px=max(row.marks.rms_px, _PRINTED_MM * row.px_per_mm),
    )


def _residuals(row: RuleRow) -> Floats:
    """How far each mark lies from even spacing, mm."""
    marks = row.marks
    along = (marks.at_px - marks.at_px[0]) @ marks.ahead
    fit = np.polynomial.polynomial.polyfit(marks.number, along, 1)
    return np.asarray((along - np.polynomial.polynomial.polyval(marks.number, fit)) * row.unit_mm / fit[1])


def _doubts(row: RuleRow, *, uneven: float) -> Iterator[Finding]:
    marks, reading = row.marks, row.reading
    if abs(marks.change) > _CHANGE or abs(uneven) > _CHANGE:
        yield doubt(
            OBLIQUE,
            f"the scale changes by {100 * abs(marks.change):.1f} % along the ruler: the view is not straight from above",
            "lay the pieces on the capture sheet, which takes the slant out",
            where="ruler",
            **in_unit("%", 100 * abs(marks.change), limit=100 * _CHANGE),
        )
    if not reading.graduation.usual:
        yield (note if reading.agreement > _PLAIN else doubt)(
            "ruler-unusual",
            f"the ruler was read as marked in {reading.graduation.name}",
            "make sure that it is, or use one marked in mm or 1/16 in",
            where="ruler",
        )
