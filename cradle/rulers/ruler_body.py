"""What a rule covers: its body, told from what it lies on, so that no part of it is taken for a piece.

Where a rule lies clear of everything it is the whole thing under its marks. Where something touches it, its
body goes on from between the marks as far as their colour does.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.picture_view import Known
from cradle.geometry.arrays import Bytes, Floats, following, frozen
from cradle.noun import noun
from cradle.pictures.masks import filled, grown_by, shrunk_by
from cradle.pictures.sampled import nearest
from cradle.pictures.thing_shape import shape_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cradle.calibration.scale import Scale
    from cradle.pictures.regions import Regions
    from cradle.rulers.ruler_marks import Marks

DEEPEST_MM: Final = 45.0
_SHALLOWEST_MM: Final = 10.0
"""No rule's body is wider, or narrower: of one as pale as what it lies on only the marks are seen as a thing."""
_BESIDE_MM: Final = 8.0
"""Kept clear beyond the longest mark of a rule whose body cannot be told from what it lies on."""
_ENDS_MM: Final = 5.0
"""Kept clear at the ends of a rule with two graduated edges, both together: marks of one end the other's row."""
_MOST_MARKS: Final = 0.6
"""Least part of a rule's marks that lie on the thing that it is."""
_ALONG: Final = 0.97
"""Cosine of the most that marks may run askew to it."""
_SQUARE: Final = 0.2
"""Largest cosine of a rule's corner, in a view that leans by 25 degrees: an end that is more askew hardly differs from the ground."""
_ALIKE: Final = 0.35
"""Part of a row that has the rule's colour: its figures and marks have another."""
_FADING: Final = 0.15
"""From row to row the rule's colour is adapted to what is seen by this part of the difference, as light may fade; the step at an edge is
sharper."""
_FEW: Final = 5
"""Least number of places between marks that tell the rule's colour at one end of them."""
_RIM_PX: Final = 2.0
"""Small px kept clear round it: its shadow's."""
_FEW_MARKS: Final = 0.1
"""What carries no larger part of a row's marks hides some of them at most ..."""
_WITHIN: Final = (0.5, 0.75)
"""... and is no part of the rule if less than the first part of it lies within what that was taken to cover; less than the second
where most of what lies there is ground, as between a mat's own marks: of a pale rule's shining end more lies within."""
_LEAST_MM: Final = 15.0
"""Side of a square as large as the least thing that counts as such: crossings of a mat's lines and figures are smaller."""
_DEEP_MM: Final = 1.5
_REACHES_IN: Final = 0.01
"""More than this part of it lies deeper than that within: what lies less deep may be the rest of a rule beyond one across it, which marks join."""
_CLEAR_PX: Final = 4
"""Small px left between such a thing and what the rule covers."""


def whole_rules(rules: Sequence[Scale], things: Regions) -> tuple[list[Scale], bool]:
    """The rules, still the best first, with what they cover taken from the things that they are, and whether each is such a thing.

    Rows of marks on one thing are one rule.
    """
    found: list[Scale] = []
    place: dict[int, int] = {}
    for rule in rules:
        number = _thing_under(rule, things)
        region = None if number is None else _as_rule(rule, things, number)
        if number is None or region is None:
            found.append(_without_pieces(rule, things))
        elif number in place:
            first = found[place[number]]
            if first.known is not None and rule.known is not None:
                rows = (*first.known.rows, *rule.known.rows)
                known = Known(rows=rows, share=first.known.share, slope=first.known.slope)
                found[place[number]] = replace(first, known=known)
        else:
            place[number] = len(found)
            found.append(replace(rule, region_px=region))
    return found, len(place) == len(found)


def _thing_under(rule: Scale, things: Regions) -> int | None:
    """Number of the thing on which a rule's marks lie, or None."""
    on = things.numbers_at(rule.marks_px)
    count = np.bincount(on)
    number = int(count[1:].argmax()) + 1 if len(count) > 1 else 0
    return number if number and count[number] >= _MOST_MARKS * len(on) else None


def _as_rule(rule: Scale, things: Regions, number: int) -> Floats | None:
    """Four corners ``(4, 2)`` px round a thing and a rule's marks, when it is as long and narrow as a rule along them; or None.

    Where a pale rule fades into the ground, its marks go on.
    """
    import cv2

    shape = shape_of(things, number)
    step = rule.ends_px[0, 1] - rule.ends_px[0, 0]
    length = max(float(np.hypot(*step)), 1e-9)
    per_mm = rule.px_per_mm / things.shrink
    askew = abs(float(step @ shape.ahead)) < _ALONG * length
    narrow = _SHALLOWEST_MM * per_mm < shape.deep < DEEPEST_MM * per_mm
    if askew or not narrow or not shape.fills_its_box:
        return None
    rows = [rule.marks_px] if rule.known is None else [row.at_px for row in rule.known.marked]
    marks = things.in_small(np.concatenate(rows))
    hull = cv2.convexHull(np.concatenate([shape.hull, marks]).astype(np.float32))
    corners = cv2.approxPolyN(hull, 4).reshape(-1, 2).astype(np.float64)
    if _skew(corners) > _SQUARE:
        corners = cv2.boxPoints(cv2.minAreaRect(hull)).astype(np.float64)
    centre = corners.mean(axis=0)
    away = corners - centre
    out = centre + away * (1 + _RIM_PX / np.maximum(np.hypot(*away.T), 1.0))[:, None]
    return frozen(things.in_picture(out))


def _without_pieces(rule: Scale, things: Regions) -> Scale:
    """The rule, covering nothing of large things that are no part of it: a mat's own marks have no edge, and that of others may be missed."""
    import cv2

    if rule.region_px is None:
        return rule
    covers = filled(things.in_small(rule.region_px), things.labels.shape)
    per_mm = rule.px_per_mm / things.shrink
    labels, inner = things.labels, shrunk_by(covers, round(_DEEP_MM * per_mm))
    marks, within, deep, area = (
        np.bincount(numbers, minlength=len(things.boxes) + 1)
        for numbers in (
            things.numbers_at(rule.marks_px),
            labels[covers > 0],
            labels[inner > 0],
            labels.ravel(),
        )
    )
    part = _WITHIN[int(2 * within[0] > within.sum())]
    beside = (marks <= _FEW_MARKS * len(rule.marks_px)) & (area > (_LEAST_MM * per_mm) ** 2)
    beside &= (within < part * area) & (deep > _REACHES_IN * area)
    beside[0] = False  # the ground
    left = covers & (1 - grown_by(beside[labels].astype(np.uint8), _CLEAR_PX))
    parts, _ = cv2.findContours(left, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    if not beside.any() or not parts:
        return rule
    ring = max(parts, key=cv2.contourArea).reshape(-1, 2).astype(np.float64)
    return replace(rule, region_px=frozen(things.in_picture(ring)))


def _skew(corners: Floats) -> float:
    """The largest absolute cosine of the angles at the corners of a ring ``(n, 2)``: 0 where all are square."""
    sides = following(corners) - corners
    sides /= np.maximum(np.hypot(*sides.T), 1e-9)[:, None]
    return float(np.abs((sides * following(sides)).sum(axis=1)).max())


def covered(bodies: list[Floats], per_mm: float) -> Floats:
    """What all graduated edges of a rule cover together, ``(n, 2)`` px."""
    if len(bodies) == 1:
        return bodies[0]
    import cv2

    middle, size, turn = cv2.minAreaRect(np.concatenate(bodies).astype(np.float32))
    longer = [side + (_ENDS_MM if side == max(size) else 1.0) * per_mm for side in size]
    return frozen(cv2.boxPoints((middle, longer, turn)))


@noun
class _Face:
    """A rule's face in a picture: how many levels its colour may differ by, and px per mm."""

    levels: Bytes
    near: float
    per_mm: float

    def reach_px(
        self, start: Floats, step: Floats, along: Floats, *, colour: Floats, most_mm: float, least_mm: float
    ) -> float:
        """How far rows of the rule's colour at ``start`` go on from there, px; infinite when there is no end.

        Light that fades towards a border changes that colour little from row to row.
        """
        empty, here = 0, colour
        count = int(most_mm / 0.25)
        for k in range(int(least_mm / 0.25), count):
            distance = k * 0.25 * self.per_mm
            row = nearest(self.levels, start + along + step * distance).astype(np.float64)
            alike = np.abs(row - here).max(axis=1) < self.near
            empty = empty + 1 if alike.mean() < _ALIKE else 0
            if empty == 3:
                return distance - 2.5 * 0.25 * self.per_mm
            if not empty:
                here = here + _FADING * (np.median(row[alike], axis=0) - here)
        return float("inf")


def body_beside(levels: Bytes, marks: Marks, *, px_per_mm: float) -> Floats:
    """Corners of what the rule covers, ``(4, 2)`` px.

    From between the marks outwards as long as most of a row, or of a column,
    has the rule's colour.
    """
    inward = marks.inward
    across = marks.across * inward
    short = float(np.median(marks.low_px if inward > 0 else marks.high_px))
    first, last = marks.at_px[0], marks.at_px[-1]
    steps = np.diff(marks.number)  # of millimetres read as halves each is two
    between = (marks.at_px[:-1] + marks.at_px[1:])[steps == steps.min()] / 2
    seen = nearest(levels, between).astype(np.float64)
    colour = np.median(seen, axis=0)
    spread = np.abs(seen - colour).max(axis=1)
    near = max(14.0, 4.0 * float(np.median(spread)))

    few = max(_FEW, len(seen) // 10)
    at_first, at_last = np.median(seen[:few], axis=0), np.median(seen[-few:], axis=0)
    face = _Face(levels=levels, near=near, per_mm=px_per_mm)
    line = (between - first)[:: max(1, len(between) // 160)]
    longest = float(np.sort(marks.high_px if inward > 0 else marks.low_px)[-3])
    depth = face.reach_px(
        first, across, line, colour=colour, most_mm=DEEPEST_MM, least_mm=longest / px_per_mm
    )
    if not np.isfinite(depth):
        depth = longest + _BESIDE_MM * px_per_mm
    edge = face.reach_px(
        first,
        -across,
        line,
        colour=colour,
        most_mm=short / px_per_mm + 6.0,
        least_mm=0.5 * short / px_per_mm,
    )
    edge = edge if np.isfinite(edge) else short
    side = np.linspace(-0.5 * short, depth - px_per_mm, 60)[:, None] * across
    right = face.reach_px(last, marks.ahead, side, colour=at_last, most_mm=120.0, least_mm=0.5)
    left = face.reach_px(first, -marks.ahead, side, colour=at_first, most_mm=120.0, least_mm=0.5)
    right, left = (value if np.isfinite(value) else 6.0 * px_per_mm for value in (right, left))
    corners = [
        first - marks.ahead * left - across * edge,
        last + marks.ahead * right - across * edge,
        last + marks.ahead * right + across * depth,
        first - marks.ahead * left + across * depth,
    ]
    return frozen(corners)
