"""Rules in the picture, found by their marks: where they may lie, one after the other."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, TypeAlias

from cradle.calibration.scale import Scale
from cradle.geometry.arrays import Bytes, Floats
from cradle.noun import record
from cradle.pictures.thing_shape import shape_of
from cradle.rulers.bent_rule import told_where_bent
from cradle.rulers.other_edge import lines_at_other_edge
from cradle.rulers.ruler_find import LARGEST_PX, MarkLine
from cradle.rulers.ruler_marks import Marks
from cradle.rulers.ruler_rows import MOST_READ, RuleRow, best_row, other_edge, regular_marks, same_place
from cradle.rulers.ruler_scale import scale_of, tagged_scan
from cradle.rulers.ruler_things import lies_on, lines_across, masks_of, middle_of, rule_like, seen_alone

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from cradle.pictures.image import Picture
    from cradle.pictures.regions import Regions
    from cradle.rulers.marked_picture import MarkedPicture

_SURE_PX: Final = 6.0
"""Marks this far apart show their lengths; 1 mm has 5.9 px at 150 dpi."""
_HARDLY_PX: Final = 5.0
"""1 mm has fewer px only in a scan coarser than 150 dpi."""
_PLAIN_PX: Final = 12.0
"""Marks this far apart show their lengths on a mat's lines or in wood's grain as well: 1 mm has 11.8 px at 300 dpi."""
_SLENDER: Final = 4.0
"""Length by width of a thing that is probably a rule."""
_ACROSS: Final = 0.7
_MOST_TRIED: Final = 6
_ENOUGH: Final = 3
_Rule: TypeAlias = tuple[RuleRow, ...]
"""Its rows of marks, the one that tells its scale first."""


@record
class Rulers:
    """The rules found, best first; ``reasons`` say why other marks tell no scale, or why none were found, and ``unread_px`` where such marks lie."""

    scales: tuple[Scale, ...]
    reasons: tuple[str, ...]
    unread_px: tuple[Floats, ...]


@record
class _Read:
    """Rules, and the marks along further lines that do not tell what they count."""

    rules: tuple[_Rule, ...]
    unread: tuple[tuple[Marks, ...], ...]


def find_rulers(marked: MarkedPicture, things: Regions, *, largest_px: int = LARGEST_PX) -> Rulers:
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
    picture = marked.picture
    alone = {
        number: _rule_alone(picture, marked.grey, things, number)
        for number in rule_like(things)[:_MOST_TRIED]
    }
    read = _Read(
        rules=tuple(rule for one in alone.values() for rule in one.rules),
        unread=tuple(marks for one in alone.values() for marks in one.unread),
    )
    lines: list[MarkLine] = []
    if not _crossed(read.rules):
        numbers = [number for number, one in alone.items() if one.rules]
        lines = [line for line in marked.lines(largest_px=largest_px) if not lies_on(line, things, numbers)]
        elsewhere = _read_on(picture, read.rules, marked.marks(lines[:MOST_READ]))
        read = _Read(rules=elsewhere.rules, unread=read.unread + elsewhere.unread)
    if read.rules:
        read = _read_on(picture, read.rules, read.unread, beside=read.rules[0][0])
    rules = sorted(read.rules, key=lambda rule: -len(rule[0].marks.number))[:_ENOUGH]
    unclear = [regular[0] for regular in read.unread]
    return Rulers(
        scales=told_where_bent(
            [scale_of(picture, rule) for rule in rules], [rule[0] for rule in rules], picture.size_px
        ),
        reasons=tuple(map(_unclear, unclear)) if rules or unclear else _unmarked(things, lines),
        unread_px=tuple(marks.at_px for marks in unclear),
    )


def _read_on(
    picture: Picture,
    rules: tuple[_Rule, ...],
    found: Iterable[tuple[Marks, ...]],
    *,
    beside: RuleRow | None = None,
) -> _Read:
    """The rules with those read along further lines; lines on which a row was read already are passed over.

    Parameters
    ----------
    beside : Row or None
        A row of another rule, whose scale tells what marks count where their lengths alone do not.
    """
    unread: list[tuple[Marks, ...]] = []
    for regular in found:
        if any(same_place(regular[0], row.marks) for rule in rules for row in rule):
            continue
        row = best_row(picture, regular, beside=beside)
        if row is None:
            unread.append(regular)
        else:
            rules = _with_row(rules, row)
    return _Read(rules=rules, unread=tuple(unread))


def _rule_alone(picture: Picture, marked: Bytes, things: Regions, number: int) -> _Read:
    """The rule that a thing is, as its mask shows it, or with the bites that this may have; none where none is read."""
    box, read = things.boxes[number - 1], _Read(rules=(), unread=())
    for mask in masks_of(things, number):
        grey, corner_px = seen_alone(marked, mask, box, shrink=things.shrink)
        read = _read_alone(picture, grey, corner_px, middle_px=middle_of(things, number))
        if read.rules:
            break
    return read


def _read_alone(picture: Picture, grey: Bytes, corner_px: tuple[int, int], *, middle_px: Floats) -> _Read:
    """The rule in the picture of a thing alone, the row of its usual graduation first; none where none is read.

    Where the first row of a usual graduation does not tell clearly, as its line lies askew over the rule's own row, all lines
    are read, and the usual row that tells most is believed. In a picture whose file says that it was scanned, one such row is
    enough. Else a second row, along the other edge, tells whether a camera leans across the rule, and how.
    """
    usual: list[RuleRow] = []
    unusual: list[RuleRow] = []
    unread: list[tuple[Marks, ...]] = []
    for regular in regular_marks(grey, lines_across(grey), corner_px=corner_px):
        row = best_row(picture, regular)
        if row is None:
            unread.append(regular)
        elif not row.reading.graduation.usual:
            unusual.append(row)
        else:
            usual.append(row)
            if usual[0].clear:
                break
    if not usual:
        return _Read(rules=((unusual[0],),) if unusual else (), unread=tuple(unread))
    best = max(usual, key=lambda row: row.told)
    if not unusual and not _scanned_straight(picture, best):
        unusual = _at_other_edge(picture, grey, best, middle_px, corner_px)
    return _Read(rules=((best, *unusual),), unread=tuple(unread))


def _scanned_straight(picture: Picture, row: RuleRow) -> bool:
    """Whether the file tells that a scanner took the picture, and a row of marks does not say otherwise."""
    return tagged_scan(picture) and not scale_of(picture, [row]).findings


def _at_other_edge(
    picture: Picture, grey: Bytes, one: RuleRow, middle_px: Floats, corner_px: tuple[int, int]
) -> list[RuleRow]:
    """The row of marks at a rule's other edge, if there is one."""
    half, lines = lines_at_other_edge(
        grey, one.marks, corner_px=corner_px, middle_px=middle_px, px_per_mm=one.px_per_mm
    )
    every = (
        best_row(picture, regular, beside=one) for regular in regular_marks(half, lines, corner_px=corner_px)
    )
    beside = [row for row in every if row is not None and other_edge(one, row)]
    return sorted(beside, key=lambda row: -row.reading.agreement)[:1]


def _crossed(rules: tuple[_Rule, ...]) -> bool:
    """Whether two rules lie across one another: together they tell all that rules can."""
    return any(abs(a[0].marks.ahead @ b[0].marks.ahead) < _ACROSS for a in rules for b in rules)


def _with_row(rules: tuple[_Rule, ...], row: RuleRow) -> tuple[_Rule, ...]:
    """The rules with a row of marks added: to the rule whose other edge it is, or as a rule of its own.

    A row with a usual graduation goes before one without, and before one with another that tells less.
    """
    number = next((number for number, rule in enumerate(rules) if other_edge(rule[0], row)), len(rules))
    rule = rules[number] if number < len(rules) else ()
    usual = [each.reading.graduation.usual for each in (row, *rule[:1])]
    first = rule and usual[0] and (not usual[1] or row.told > rule[0].told)
    return (*rules[:number], (row, *rule) if first else (*rule, row), *rules[number + 1 :])


def _unclear(marks: Marks) -> str:
    """In words, why regular marks are not a scale, and what to do about those that lie a few pixels apart."""
    told = f"{len(marks.number)} regular marks were found, but whether they are mm or parts of an inch is not clear"
    if marks.spacing_px >= _PLAIN_PX:
        return told
    dpi = "150 dpi or more" if marks.spacing_px < _HARDLY_PX else "300 dpi"
    return f"{told} (they are {marks.spacing_px:.1f} px apart: scan at {dpi}, or go nearer)"


def _unmarked(things: Regions, lines: Sequence[MarkLine]) -> tuple[str, ...]:
    """Why no rule was found, in words: the longest thing as slender as one shows no marks, or something hides them; empty where neither is so."""
    for number in rule_like(things)[:1]:
        shape = shape_of(things, number)
        if shape.long >= _SLENDER * shape.deep:
            length = f"{shape.long * things.shrink:.0f} px"
            return (
                f"no ruler was found; what looks like one, {length} long, shows no regular marks (1 mm must cover"
                f" {_SURE_PX:g} px or more: scan at 150 dpi or more, or go nearer)",
            )
    if lines:
        return (
            "no ruler was found: lines, print or a weave that repeats may hide its marks, so lay it on plain paper",
        )
    return ()
