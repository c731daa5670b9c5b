"""How each sheet was laid down: the right way round, half or a quarter turned, anyhow, face down, or to a wrong size.

These differ by more than a small move, so they are compared by their
likelihood over the whole stack: what a section's own readings say of each
way, how alike it makes neighbours, and how often it happens. The least sum
over all sections is found level by level (Viterbi, "Error bounds for
convolutional codes", IEEE Trans. Inf. Theory 13(2) (1967) 260-269), so that
the odd sheet out is the one that is named.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final, TypeAlias

import numpy as np
import numpy.typing as npt

from cradle.geometry.arrays import Floats
from cradle.geometry.ring import box_middle, counter_clockwise, turned
from cradle.noun import noun
from cradle.project.fit import SpreadSpec
from cradle.sections.adjustment import student_t_cost
from cradle.sections.laid import Laid
from cradle.sections.likeness import WAVES
from cradle.sections.mirror import MirrorLine
from cradle.sections.reading_spreads import LAID_DEG, UNCHECKED_SCALE
from cradle.sections.sizes import Sizes
from cradle.sections.unit_curve import UnitCurve
from cradle.slips.causes import Slip, slips

_Complexes: TypeAlias = npt.NDArray[np.complex128]

_HALF_TURN: Final = 5.0
_QUARTER_TURN: Final = 6.0
_FACE_DOWN: Final = 6.0
_ANYHOW: Final = 8.0
"""How much rarer each of these is than a sheet laid straight, as a natural logarithm (common practice, no source)."""
_TOLD: Final = 2.0
"""A sheet was face down only if it fits its neighbours better mirrored by this much, as a natural logarithm."""
_ASKEW_DEG: Final = 30.0
"""Two sheets that both lie askew are turned from one another by less than this."""
STRAIGHT_DEG: Final = 12.0
"""A sheet that lies askew by less than this was laid straight."""
_SKEW_DEG: Final = np.arange(-9.0, 9.1, 1.5)
_TRACING: Final = 0.003
"""A misfit smaller than this share of the size, combined with the tracing error, tells nothing."""
_FREEDOM: Final = 4.0
"""Degrees of freedom of how sheets lie and how large they are (Student's t)."""
_SIZES: Final = (0.1, 0.8)
"""Scales of the difference of two neighbours in the logarithm of their sizes: of a Cauchy distribution, and of a normal factor that cuts off its tails."""
_AGAIN: Final = 0.3
"""A slip that the section below had too costs this share of what it costs by itself (our own choice)."""
_REACH: Final = 2
"""Sections on either side whose likeness may say how a sheet was laid."""


@noun
class Way:
    """One way in which a sheet may have been laid, and a slip that may go with it.

    ``cost`` is the negative logarithm of its likelihood.
    """

    coarse_deg: float
    face_down: bool
    slip: Slip | None
    cost: float

    @property
    def straight(self) -> bool:
        """Whether the sheet was laid as asked and nothing slipped."""
        return self.slip is None and not self.face_down and abs(self.coarse_deg) <= STRAIGHT_DEG


_STRAIGHT: Final = Way(coarse_deg=0.0, face_down=False, slip=None, cost=0.0)


def most_likely_ways(
    laid: Sequence[Laid],
    *,
    curves: Sequence[UnitCurve],
    free: Sequence[bool],
    sizes: Sequence[Sizes],
    spread: SpreadSpec,
) -> tuple[Way, ...]:
    """The way of every section that is likeliest over the whole stack.

    Parameters
    ----------
    free : sequence of bool
        Whether a sheet's turn is open; False where it is given.
    """
    states = [
        _ways(
            one,
            lays=_lays(i, laid=laid, curves=curves) if free[i] else [_STRAIGHT],
            sizes=sizes[i],
            trace_mm=spread.trace_mm,
        )
        for i, one in enumerate(laid)
    ]
    links = [
        _links(states[i], states[i + 1], curves[i], curves[i + 1], trace_mm=spread.trace_mm)
        for i in range(len(laid) - 1)
    ]
    found = [level[way] for level, way in zip(states, _least(states, links), strict=True)]
    return _face_up_where_alike(found, laid=laid, curves=curves, trace_mm=spread.trace_mm)


def as_laid(laid: Laid, *, way: Way) -> Laid:
    """The section turned and flipped as a way says; a slip changes nothing."""
    ring, lines, middle = laid.ring, laid.lines, laid.middle_mm
    if way.face_down:
        over = np.array([-1.0, 1.0])
        ring, middle = counter_clockwise(ring * over), middle * over
        lines = tuple(
            replace(line, point_mm=line.point_mm * over, angle_deg=180.0 - line.angle_deg) for line in lines
        )
    if way.coarse_deg:
        ring = turned(ring, angle_deg=way.coarse_deg)
        middle = turned(middle[None], angle_deg=way.coarse_deg)[0]
        lines = tuple(_turned_line(line, way.coarse_deg) for line in lines)
    off = box_middle(ring)
    return replace(
        laid,
        ring=ring - off,
        middle_mm=middle + off,
        lines=tuple(replace(line, point_mm=line.point_mm - off) for line in lines),
    )


def _turned_line(line: MirrorLine, angle_deg: float) -> MirrorLine:
    return replace(
        line,
        point_mm=turned(line.point_mm[None], angle_deg=angle_deg)[0],
        angle_deg=line.angle_deg + angle_deg,
    )


def _lays(i: int, *, laid: Sequence[Laid], curves: Sequence[UnitCurve]) -> list[Way]:
    """The ways in which a sheet whose turn is not given may have been laid, the straight one first; the cost of each is how much rarer it is."""
    lays = [_STRAIGHT]
    lays += [
        replace(_STRAIGHT, coarse_deg=coarse, cost=rare)
        for coarse, rare in ((180.0, _HALF_TURN), (90.0, _QUARTER_TURN), (-90.0, _QUARTER_TURN))
    ]
    lays += [
        replace(_STRAIGHT, coarse_deg=coarse, face_down=True, cost=rare)
        for coarse, rare in (
            (0.0, _FACE_DOWN),
            (90.0, _FACE_DOWN + 1.0),
            (180.0, _FACE_DOWN),
            (-90.0, _FACE_DOWN + 1.0),
        )
    ]
    anyhow = [(axis - line.angle_deg, False) for line in laid[i].lines[:1] for axis in (90.0, 0.0)]
    for j in range(max(0, i - _REACH), min(len(laid), i + _REACH + 1)):
        if j != i:
            anyhow += [
                (_best_turn(curves[j], moving=curves[i], face_down=over), over) for over in (False, True)
            ]
    for angle, over in anyhow:
        angle = (angle + 180.0) % 360.0 - 180.0
        if abs((angle + 45.0) % 90.0 - 45.0) > STRAIGHT_DEG:
            rare = _ANYHOW + (_FACE_DOWN if over else 0.0)
            lays.append(replace(_STRAIGHT, coarse_deg=angle, face_down=over, cost=rare))
    return lays


def _ways(one: Laid, *, lays: Sequence[Way], sizes: Sizes, trace_mm: float) -> list[Way]:
    """The given ways of a section, with every slip that may go with a sheet laid straight, face up or down, each at its cost with that of the section's own readings."""
    possible = slips(one, sizes=sizes, trace_mm=trace_mm)
    ways = []
    for lay in lays:
        ring = one.ring * np.array([-1.0, 1.0]) if lay.face_down else one.ring
        extent = turned_sizes(turned(ring, angle_deg=lay.coarse_deg), angles_rad=np.radians(_SKEW_DEG))
        for slip in (None, *possible) if abs(lay.coarse_deg) <= STRAIGHT_DEG else (None,):
            rarer = lay.cost + (slip.cost if slip else 0.0)
            cost = rarer + _own_cost(extent, slip=slip, sizes=sizes, trace_mm=trace_mm)
            ways.append(replace(lay, slip=slip, cost=cost))
    return ways


def turned_sizes(ring: Floats, *, angles_rad: Floats) -> Floats:
    """Width and depth of a ring turned by each angle, ``(a, 2)``, mm."""
    x = np.outer(np.cos(angles_rad), ring[:, 0]) - np.outer(np.sin(angles_rad), ring[:, 1])
    y = np.outer(np.sin(angles_rad), ring[:, 0]) + np.outer(np.cos(angles_rad), ring[:, 1])
    return np.column_stack([np.ptp(x, axis=1), np.ptp(y, axis=1)])


def _own_cost(extent: Floats, *, slip: Slip | None, sizes: Sizes, trace_mm: float) -> float:
    """The cost of a way by the section's own readings: the least over small turns, whose sizes are ``extent``.

    A tracing error is one error, however many readings show it: the true size is
    taken to be the one, of those drawn and read, that makes the others likeliest.
    """
    cost = student_t_cost(_SKEW_DEG / LAID_DEG, freedom=_FREEDOM)
    factors = slip.drawing if slip else (1.0, 1.0)
    readings = slip.readings(sizes.read_mm) if slip else sizes.read_mm
    for axis in (0, 1):
        told = [v for v in (readings[axis], sizes.seen_mm[axis]) if v is not None]
        if told:
            logs = np.log([factors[axis] * extent[:, axis], *(np.full(len(extent), v) for v in told)])
            sd = np.hypot(UNCHECKED_SCALE, 2 * trace_mm / np.mean(told))
            off = (logs[:, None] - logs[None]) / sd  # each of them in turn taken as the true size
            cost = cost + student_t_cost(off, freedom=_FREEDOM).sum(axis=1).min(axis=0)
    return float(cost.min())


def _spectrum(curve: UnitCurve, *, face_down: bool) -> _Complexes:
    z = curve.samples @ np.array([1.0, 1.0j])
    z = z - z.mean()
    return np.asarray(np.fft.fft(-np.conj(z)[::-1] if face_down else z))


def _correlation(reference: UnitCurve, *, moving: UnitCurve, face_down: bool) -> tuple[_Complexes, float]:
    """Correlation of two outlines over all starting points, and the power of both; all per sample."""
    a, b = _spectrum(reference, face_down=False), _spectrum(moving, face_down=face_down)
    count = len(a)
    match = np.fft.ifft(a * np.conj(b)) / count
    power = float((np.abs(a) ** 2).sum() + (np.abs(b) ** 2).sum()) / count**2
    return match, power


def _best_turn(reference: UnitCurve, *, moving: UnitCurve, face_down: bool) -> float:
    match, _ = _correlation(reference, moving=moving, face_down=face_down)
    return float(np.degrees(np.angle(match[np.argmax(np.abs(match))])))


def _misfit2(
    reference: UnitCurve, turns_deg: Floats, *, moving: UnitCurve, face_down: bool, within_deg: float
) -> Floats:
    """Least mean square distance of two outlines of size 1, one turned by about each angle, ``(t,)``.

    Turns up to ``within_deg`` from the angle count in full, further ones less and less.
    """
    match, power = _correlation(reference, moving=moving, face_down=face_down)
    off = np.abs((np.degrees(np.angle(match)) - turns_deg[:, None] + 180.0) % 360.0 - 180.0)
    near = np.maximum(off - within_deg, 0.0)
    likest = (np.abs(match) * np.cos(np.radians(near))).max(axis=1)
    return np.maximum(power - 2.0 * likest, 0.0)


def _unlikeness_cost(misfit2: Floats, *, reference: UnitCurve, trace_mm: float) -> Floats:
    """The cost of neighbours with these mean square distances, beside what tracing error hides; of the shape of ``misfit2``."""
    hidden = _TRACING**2 + 2 * (trace_mm / reference.size_mm) ** 2
    return np.asarray(WAVES / 2 * np.log(misfit2 + hidden))


def _links(
    below: list[Way], above: list[Way], here: UnitCurve, there: UnitCurve, *, trace_mm: float
) -> Floats:
    """The cost of each pair of ways of two neighbours, ``(len(below), len(above))``."""
    over = np.array([[low.face_down != high.face_down for high in above] for low in below])
    turn = np.array([[high.coarse_deg - low.coarse_deg for high in above] for low in below])
    # both seen from below: turns count the other way
    turn = np.where([[low.face_down] for low in below], -turn, turn)
    misfit2 = np.empty(over.shape)
    for face_down in (False, True):
        pairs = over == face_down
        # ways that differ in their slip alone have the same turn
        turns, whose = np.unique(turn[pairs], return_inverse=True)
        found = _misfit2(here, turns, moving=there, face_down=face_down, within_deg=STRAIGHT_DEG / 2)
        misfit2[pairs] = found[whose]
    larger = np.log(there.size_mm / here.size_mm)
    jump = larger + np.log([high.slip.size if high.slip else 1.0 for high in above])
    jump = jump - np.log([[low.slip.size if low.slip else 1.0] for low in below])
    unlike = _unlikeness_cost(misfit2, reference=here, trace_mm=trace_mm)
    out = unlike + np.log1p((jump / _SIZES[0]) ** 2) + (jump / _SIZES[1]) ** 2
    for p, low in enumerate(below):
        for q, high in enumerate(above):
            if low.slip and high.slip and high.slip.again(low.slip):
                out[p, q] -= (1 - _AGAIN) * high.slip.cost
    return np.asarray(out, dtype=np.float64)


def _face_up_where_alike(
    ways: Sequence[Way], *, laid: Sequence[Laid], curves: Sequence[UnitCurve], trace_mm: float
) -> tuple[Way, ...]:
    """The ways, with nearly symmetric sheets face up and straight where they fit their neighbours as well like that, if sheets may lie askew.

    To mirror an outline that is its own mirror image, but for tracing error, is only to turn it: of two sheets that lie
    14° apart, each 7° askew, one fits the other when it is mirrored.
    """
    out = list(ways)
    for i, way in enumerate(ways):
        beside = [j for j in (i - 1, i + 1) if 0 <= j < len(ways)]
        if not (way.face_down and laid[i].lines and beside):
            continue
        up = replace(way, face_down=False, coarse_deg=0.0)
        cost = [
            sum(_askew_fit(out[j], one, curves[j], moving=curves[i], trace_mm=trace_mm) for j in beside)
            for one in (up, way)
        ]
        if cost[0] - cost[1] < _TOLD:
            out[i] = up
    return tuple(out)


def _askew_fit(beside: Way, way: Way, reference: UnitCurve, *, moving: UnitCurve, trace_mm: float) -> float:
    """The cost of two neighbours' ways, if both sheets may lie askew."""
    turn = (way.coarse_deg - beside.coarse_deg) * (-1.0 if beside.face_down else 1.0)
    face_down = beside.face_down != way.face_down
    misfit2 = _misfit2(reference, np.array([turn]), moving=moving, face_down=face_down, within_deg=_ASKEW_DEG)
    return float(_unlikeness_cost(misfit2, reference=reference, trace_mm=trace_mm)[0])


def _least(states: Sequence[Sequence[Way]], links: Sequence[Floats]) -> list[int]:
    """The index of a way for each section, of least total cost."""
    total = np.array([s.cost for s in states[0]])
    back = []
    for i, link in enumerate(links):
        # among equal sums the first: it leaves the lower sheets as they are
        both = total[:, None] + link
        back.append(both.argmin(axis=0))
        total = both.min(axis=0) + np.array([s.cost for s in states[i + 1]])
    path = [int(total.argmin())]
    for step in reversed(back):
        path.append(int(step[path[-1]]))
    return path[::-1]
