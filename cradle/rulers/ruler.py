"""A rule in the picture, found by its marks: the scale along it and what it covers.

The rule itself may be wrong by 0.15 mm in 150 (JIS B 7516:2005, grade 1, up
to 500 mm, from a maker's extract); that is most of the uncertainty told.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.calibration import from_scale, to_mm
from cradle.calibration.picture_view import Known, MarkRow, setting_of
from cradle.calibration.scale import OBLIQUE, Scale, ScaleKind
from cradle.finding import Finding, doubt, in_unit
from cradle.geometry.arrays import Bytes, Floats, frozen
from cradle.noun import record
from cradle.pictures.light import between_levels_and_light
from cradle.pictures.thing_shape import shape_of
from cradle.rulers.bevel import row_inwards, slope_seen
from cradle.rulers.bowed_marks import lens_by_marks
from cradle.rulers.mark_law import LEAST_MARKS
from cradle.rulers.other_edge import lines_at_other_edge
from cradle.rulers.ruler_body import DEEPEST_MM, body_beside, covered
from cradle.rulers.ruler_find import LARGEST_PX, MarkLine, regular_lines
from cradle.rulers.ruler_kind import BY_RULE, GraduationReading, credible_reading, readings
from cradle.rulers.ruler_marks import Marks, read_marks
from cradle.rulers.ruler_things import lies_on, lines_across, middle_of, rule_like, seen_alone

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from cradle.pictures.image import Picture
    from cradle.pictures.regions import Regions

_RULE: Final = 0.15 / np.sqrt(3.0) / 150.0
"""Relative uncertainty of a rule: ±0.15 mm in 150 mm, evenly spread."""
_MOST_RMS: Final = 0.1
"""Of the marks from their law, in spacings; beyond it they are no rule's."""
_AS_CLEAR: Final = 0.1
"""Rows whose lengths agree that much less with what they count are read no less clearly."""
_CHANGE: Final = 0.005
_SEEN_ALIKE: Final = 0.05
"""By this part the scales of a rule's two edges differ at most: 35 mm apart, 300 mm from a lens that leans by 20 degrees, by 0.04."""
_PRINTED_MM: Final = 0.02
"""How far a single mark lies from its place (common practice, no source)."""
_SURE_PX: Final = 6.0
"""Marks at least this far apart show their lengths; 1 mm has 5.9 px at 150 dpi."""
_PLAIN_PX: Final = 12.0
"""And so far apart they show them on a mat's lines or in wood's grain as well: 1 mm has 11.8 px at 300 dpi."""
_SLENDER: Final = 4.0
"""Length by width of a thing that is probably a rule."""
_ACROSS: Final = 0.7
_MOST_TRIED: Final = 6
_ENOUGH: Final = 3


@record
class Rulers:
    """The rules found, best first, and in words why marks that were found are not a scale, and where they lie, px."""

    scales: tuple[Scale, ...]
    reasons: tuple[str, ...]
    unread_px: tuple[Floats, ...]


def find_rulers(picture: Picture, things: Regions, *, largest_px: int = LARGEST_PX) -> Rulers:
    """The scale of each rule found in a picture.

    Rules in mm and in sixteenths of an inch, at any angle, dark marks or
    light. At least 20 marks must show, and their lengths must tell what they
    count; where they hardly do, the resolution tag may.

    Parameters
    ----------
    things : Regions
        What lies on the ground: rules among it are looked at first, each alone.
    largest_px : int
        Marks elsewhere are looked for in a copy no longer than this (`cradle.rulers.ruler_find.regular_lines`).
    """
    marked = between_levels_and_light(picture.grey)
    rules: list[list[_Row]] = []
    unread: list[list[Marks]] = []
    alone: list[int] = []
    for number in rule_like(things)[:_MOST_TRIED]:
        rule = _rule_alone(picture, marked, things, number, unread)
        if rule:
            rules.append(rule)
            alone.append(number)
    if not _crossed(rules):
        lines = [
            line for line in regular_lines(marked, largest_px=largest_px) if not lies_on(line, things, alone)
        ]
        for row in _rows(picture, marked, lines, rules, unread):
            _add(rules, row)
    reasons: list[str] = []
    unread_px: list[Floats] = []
    for regular in unread:
        if any(_same_place(regular[0], row.marks) for rule in rules for row in rule):
            continue
        read = _best(picture, regular, beside=rules[0][0]) if rules else None
        if read is not None:
            _add(rules, read)
            continue
        unread_px.append(regular[0].at_px)
        reasons.append(
            f"{len(regular[0].number)} regular marks were found, but whether they are mm or parts of an inch is not clear"
            + _too_near(regular[0].spacing_px)
        )
    if not rules and not reasons:
        reasons += _unmarked(things)
    rules.sort(key=lambda rule: -len(rule[0].marks.number))
    return Rulers(
        scales=tuple(_scale(picture, rule) for rule in rules[:_ENOUGH]),
        reasons=tuple(reasons),
        unread_px=tuple(unread_px),
    )


def _rows(
    picture: Picture,
    grey: Bytes,
    lines: Sequence[MarkLine],
    rules: list[list[_Row]],
    unread: list[list[Marks]],
    *,
    corner_px: tuple[int, int] = (0, 0),
) -> Iterator[_Row]:
    """What is read along lines of part of a picture, one row after the other, but where rules were read already.

    What does not tell what it counts is added to ``unread``.
    """
    for line in lines[:_MOST_TRIED]:
        regular = _regular(grey, line, corner_px)
        if not regular or any(_same_place(regular[0], row.marks) for rule in rules for row in rule):
            continue
        read = _best(picture, regular, beside=None)
        if read is None:
            unread.append(regular)
        else:
            yield read


def _rule_alone(
    picture: Picture, marked: Bytes, things: Regions, number: int, unread: list[list[Marks]]
) -> list[_Row]:
    """The rows of the rule that a thing is, the usual graduation first; none where none is read.

    Of what its file calls a scan a usual one is enough. Else a second row, along the other edge, tells whether a camera
    leans across the rule, and how.
    """
    grey, corner_px = seen_alone(marked, things, number)
    unusual: list[_Row] = []
    for row in _rows(picture, grey, lines_across(grey), [], unread, corner_px=corner_px):
        if not row.reading.graduation.usual:
            unusual.append(row)
        elif unusual or _tagged_scan(picture, row):
            return [row, *unusual]
        else:
            return [row, *_at_other_edge(picture, grey, row, middle_of(things, number), corner_px)]
    return unusual[:1]


def _tagged_scan(picture: Picture, row: _Row) -> bool:
    """Whether the file tells that a scanner took the picture, and a row of marks does not say otherwise."""
    return _tagged(picture) and not _scale(picture, [row]).findings


def _tagged(picture: Picture) -> bool:
    """Whether the file tells that a scanner took the picture."""
    return picture.resolution.dpi is not None and not picture.by_camera


def _at_other_edge(
    picture: Picture, grey: Bytes, one: _Row, middle_px: Floats, corner_px: tuple[int, int]
) -> list[_Row]:
    """The row of marks at a rule's other edge, if there is one."""
    half, lines = lines_at_other_edge(
        grey, one.marks, corner_px=corner_px, middle_px=middle_px, px_per_mm=one.per_mm
    )
    every = (_regular(half, line, corner_px) for line in lines)
    read = [row for regular in every if regular and (row := _best(picture, regular, beside=one)) is not None]
    beside = [row for row in read if _other_edge(one, row, alike=_SEEN_ALIKE)]
    return sorted(beside, key=lambda row: -row.reading.agreement)[:1]


def _crossed(rules: list[list[_Row]]) -> bool:
    """Whether two rules lie across one another: together they tell all that rules can."""
    return any(abs(a[0].marks.ahead @ b[0].marks.ahead) < _ACROSS for a in rules for b in rules)


@record
class _Row:
    """A row of marks, and what they count."""

    marks: Marks
    reading: GraduationReading

    @property
    def per_mm(self) -> float:
        """Pixels a millimetre."""
        return self.marks.spacing_px / self.reading.graduation.unit_mm


def _best(picture: Picture, regular: list[Marks], *, beside: _Row | None) -> _Row | None:
    """The rows of marks along one line read; with another rule's help where their lengths alone do not tell.

    Of marks and the gaps between them that tell the same as clearly, those that keep to their law better.
    """
    read = [
        _Row(marks=marks, reading=reading)
        for marks in regular
        if (reading := _reading(picture, marks, beside)) is not None
    ]
    if not read:
        return None
    best = max(read, key=lambda each: each.reading.agreement).reading
    as_clear = [
        each
        for each in read
        if each.reading.graduation is best.graduation and each.reading.agreement > best.agreement - _AS_CLEAR
    ]
    return min(as_clear, key=lambda each: each.marks.rms_px)


def _add(rules: list[list[_Row]], read: _Row) -> None:
    """Add a row of marks to the rule whose other edge it is, the usual graduation first, or as a rule of its own."""
    rule = next((rule for rule in rules if _other_edge(rule[0], read)), None)
    if rule is None:
        rules.append([read])
    elif read.reading.graduation.usual and not rule[0].reading.graduation.usual:
        rule.insert(0, read)
    else:
        rule.append(read)


def _regular(grey: Bytes, line: MarkLine, corner_px: tuple[int, int]) -> list[Marks]:
    """Marks along a line of part of a picture that keep to one law, in the whole picture's px."""
    return [
        replace(marks, at_px=frozen(marks.at_px + corner_px))
        for marks in read_marks(grey, line)
        if marks.rms_px <= _MOST_RMS * marks.spacing_px
    ]


def _too_near(spacing_px: float) -> str:
    """What to do about marks a few pixels apart, in brackets; nothing where they are further."""
    if spacing_px >= _PLAIN_PX:
        return ""
    dpi = "150 dpi or more" if spacing_px < _SURE_PX else "300 dpi"
    return f" (they are {spacing_px:.1f} px apart: scan at {dpi}, or go nearer)"


def _unmarked(things: Regions) -> list[str]:
    """In words, the longest thing as slender as a ruler, on which no marks were found; nothing if there is none."""
    for number in rule_like(things)[:1]:
        shape = shape_of(things, number)
        if shape.long >= _SLENDER * shape.deep:
            length = f"{shape.long * things.shrink:.0f} px"
            return [
                f"no ruler was found; what looks like one, {length} long, shows no regular marks (1 mm must cover"
                f" {_SURE_PX:g} px or more: scan at 150 dpi or more, or go nearer)"
            ]
    return []


def _reading(picture: Picture, marks: Marks, beside: _Row | None) -> GraduationReading | None:
    """What the marks count, by their lengths and what the tag or another rule makes of their spacing, or None."""
    found = _by_lengths(marks, picture.size_px)
    if beside is not None:
        return credible_reading(found, tag_unit_mm=marks.spacing_px / beside.per_mm, within=BY_RULE)
    return credible_reading(found, tag_unit_mm=_by_tag(picture, marks))


def _by_lengths(marks: Marks, size_px: tuple[int, int]) -> tuple[GraduationReading, ...]:
    """The graduations that the marks' lengths allow, the best first.

    Marks begin at one edge and differ at their other end; either end, or the
    whole, may show it best, since what lies beyond the edge may be as dark.
    Marks that the picture's edge cuts show nothing.
    """
    along = (marks.number / max(int(marks.number[-1]), 1)) - 0.5
    spacing = marks.spacing_px * (1 + marks.change * along)
    ends = [marks.at_px + marks.across * reach[:, None] for reach in (marks.high_px, -marks.low_px)]
    uncut = np.all([(end > 1) & (end < np.array(size_px) - 2) for end in ends], axis=(0, 2))
    if uncut.sum() < LEAST_MARKS:
        return ()
    low, high = (frozen((side / spacing)[uncut]) for side in (marks.low_px, marks.high_px))
    found = [readings(marks.number[uncut], side, whole=low + high) for side in (low + high, low, high)]
    return max(found, key=lambda each: each[0].agreement if each else 0.0)


def _by_tag(picture: Picture, marks: Marks) -> float | None:
    """The spacing of the marks by the resolution tag, mm."""
    tag = picture.resolution.mm_per_px
    return None if tag is None else float(np.hypot(*(marks.ahead * marks.spacing_px * np.array(tag))))


def _same_place(a: Marks, b: Marks) -> bool:
    """Whether two rows lie on one another, be one of them askew: its marks are the other's."""
    apart = b.at_px.mean(axis=0) - a.at_px.mean(axis=0)
    return bool(abs(a.ahead @ b.ahead) > 0.9 and abs(apart @ a.across) < 6 * max(a.spacing_px, b.spacing_px))


def _other_edge(one: _Row, two: _Row, *, alike: float = _CHANGE) -> bool:
    """Whether two rows of marks may be the two edges of one rule: side by side, of one scale, and no wider apart than one is."""
    a, b = one.marks, two.marks
    apart = b.at_px.mean(axis=0) - a.at_px.mean(axis=0)
    half = float(np.ptp(a.at_px @ a.ahead)) / 2
    beside = abs(apart @ a.across) < DEEPEST_MM * one.per_mm and abs(apart @ a.ahead) < half
    of_one_scale = abs(one.per_mm / two.per_mm - 1) < alike
    return bool(of_one_scale and beside and abs(a.ahead @ b.ahead) > 0.999)


def _scale(picture: Picture, rule: list[_Row]) -> Scale:
    """The scale of a rule by the first of its rows of marks."""
    marks, reading = rule[0].marks, rule[0].reading
    unit = reading.graduation.unit_mm
    ratio = picture.resolution.height_by_width
    per_x = unit / (marks.spacing_px * float(np.hypot(marks.ahead[0], ratio * marks.ahead[1])))
    known = unit * float(marks.number[-1])
    ends = frozen(marks.at_px[[0, -1]])
    name = f"ruler, {len(marks.number)} marks of {reading.graduation.name.replace('mm', '1 mm') if unit == 1.0 else reading.graduation.name}"
    calibration = from_scale(
        per_x,
        per_x * ratio,
        height_px=picture.size_px[1],
        source="ruler",
        residual_mm=_residuals(marks, unit),
        uncertainty_scale=float(np.hypot(marks.spacing_error_px / marks.spacing_px, _RULE)),
    )
    measured = float(np.hypot(*np.diff(to_mm(calibration, ends), axis=0)[0]))
    return Scale(
        kind=ScaleKind.RULER,
        calibration=calibration,
        told=name,
        ends_px=frozen(ends[None]),
        known_mm=frozen([known]),
        known=_known(picture, rule),
        region_px=covered(
            [body_beside(picture.levels, own.marks, own.reading.graduation.unit_mm) for own in rule],
            marks.spacing_px / unit,
        ),
        marks_px=marks.at_px,
        findings=tuple(_doubts(marks, reading, measured / known - 1)),
    )


def _known(picture: Picture, rule: list[_Row]) -> Known:
    """What a rule tells of the view: where its marks lie, and of one read along one edge alone, how they lean."""
    first, unit = rule[0].marks, rule[0].reading.graduation.unit_mm
    slope = slope_seen(first, focal_px=setting_of(picture, camera=True).focal_px)
    rows = tuple(_row(own.marks, own.reading.graduation.unit_mm) for own in rule)
    inwards = row_inwards(first, slope, unit_mm=unit) if len(rule) == 1 and not _tagged(picture) else None
    return Known(
        rows=(*rows, inwards) if inwards else rows,
        share=_RULE,
        lens=lens_by_marks([own.marks for own in rule], picture.size_px),
        slope=slope.surely,
    )


def _row(marks: Marks, unit_mm: float) -> MarkRow:
    """What a row of marks tells of the view."""
    spread = max(marks.rms_px, _PRINTED_MM * marks.spacing_px / unit_mm)
    return MarkRow(at_px=marks.at_px, along_mm=frozen(unit_mm * marks.number), spread_px=spread)


def _residuals(marks: Marks, unit_mm: float) -> Floats:
    """How far each mark lies from even spacing, mm."""
    along = (marks.at_px - marks.at_px[0]) @ marks.ahead
    fit = np.polynomial.polynomial.polyfit(marks.number, along, 1)
    return np.asarray((along - np.polynomial.polynomial.polyval(marks.number, fit)) * unit_mm / fit[1])


def _doubts(marks: Marks, reading: GraduationReading, uneven: float) -> Iterator[Finding]:
    if abs(marks.change) > _CHANGE or abs(uneven) > _CHANGE:
        yield doubt(
            OBLIQUE,
            f"the scale changes by {100 * abs(marks.change):.1f} % along the ruler: the view is not straight from above",
            "lay the pieces on the capture sheet, which takes the slant out",
            where="ruler",
            **in_unit("%", 100 * abs(marks.change), limit=100 * _CHANGE),
        )
    if not reading.graduation.usual:
        yield doubt(
            "ruler-unusual",
            f"the ruler was read as marked in {reading.graduation.name}",
            "make sure that it is, or use one marked in mm or 1/16 in",
            where="ruler",
        )
