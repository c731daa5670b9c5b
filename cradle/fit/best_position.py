"""The seat: where a thing with small deviations finds most room in its pocket.

The thing may shift by (x, y) and turn by w about z. At place j the shift and
turn move its skin outward by a_j · m, its deviation by e_j, so the clearance
it needs is t = min over m of max over j of (a_j · m + e_j): a linear program
in four unknowns for each draw. All draws are solved together by the exchange
method for one-sided Chebyshev approximation (Stiefel, "Über diskrete und
lineare Tschebyscheff-Approximationen", Numer. Math. 1, 1959, from memory),
which is the dual simplex method: four places carry the thing, the place that
is crossed most comes in, and the one whose load would turn negative goes.
Where places nearly coincide four of them may hold nothing; whatever does not
prove to be a seat at the end is left to `cradle.fit.linear_program`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np

from cradle.fit.linear_program import solved
from cradle.geometry.arrays import Bools, Floats, Ints
from cradle.noun import noun

_Settled: TypeAlias = Callable[[Floats, Floats], Bools]
"""Whether draws need no more exchange, from how far their most crossed place is and their tightness so far."""

_SHIFT_LIMIT_MM: Final = 5.0
"""About how far around the seat is looked for."""
TURN_LIMIT_DEG: Final = 3.0
"""The seat is looked for within this turn to either side, in which places move nearly in proportion to the turn."""
_ENOUGH_MM: Final = 1e-7
"""A place crossed by no more than this is not crossed."""
_BALANCED: Final = 1e-8
"""Loads that push no more than this to any side, and are no further from 1 together, prove a seat."""
_SHARE: Final = 1e-9
"""A place whose share in the one that comes in is smaller than this does not go: the share may be rounding."""
_ROUNDS: Final = 300
"""At most this many exchanges are made for a draw."""
_FRESH: Final = 6
"""After this many exchanges the inverse is computed anew, so that rounding does not add up."""
_SAMPLE: Final = 64
"""This many draws are solved first: the few places that carry these carry most of the others."""
_NUMBERS_AT_ONCE: Final = 50_000
"""Numbers worked on at once: few enough to stay in a processor's own memory."""
_LIMITS: Final = 5
"""How many search limits there are; they come after the places, as further ones."""
_STIFF: Final = 1e4
"""How much harder a search limit pushes back than a place."""


@noun
class Seats:
    """The seat of each draw.

    Attributes
    ----------
    tightness_mm : (n,) float64
        The clearance per side that the thing needs.
    moves : (n, 3) float64
        Shift along x and y, and turn as movement at the lever's end, mm.
    basis : (n, 4) int64
        The places that carry the thing; numbers from j on are search limits.
    place_count : int
        j.
    loads : (n, 4) float64
        Their shares, ≥ 0, together 1: tightness = Σ load · deviation.
    """

    tightness_mm: Floats
    moves: Floats
    basis: Ints
    place_count: int
    loads: Floats

    @property
    def carriers(self) -> Ints:
        """The places that carry the thing, ``(n, 4)``; −1 where the search limit does."""
        return np.where(self.basis < self.place_count, self.basis, -1)


def seats(
    directions: Floats,
    deviations_mm: Floats,
    *,
    lever_mm: float,
    start: Ints | None = None,
    asked_mm: Floats | float = 0.0,
) -> Seats:
    """The seat of each draw.

    Parameters
    ----------
    directions : (j, 3) float64
        How far place j moves outward for 1 mm of shift along x, along y, and
        of turn measured at the lever's end.
    deviations_mm : (n, j) float64
        Outward deviation of each draw at each place.
    lever_mm : float
        A turn by w radians moves the lever's end by ``lever_mm`` · w.
    start : (n, 4) int64, optional
        The basis of seats found at other deviations: whatever these are, it
        carries, and where they are alike few exchanges are left.
    asked_mm : (j,) float64 or float
        The clearance, taken off the deviations.

    Raises
    ------
    InternalError
        If a seat is not found.
    """
    rows, needs = _with_limits(directions, deviations_mm, asked_mm, lever_mm=lever_mm)
    return _seated(rows, needs, start=start, settled=_best)


def fits(
    directions: Floats,
    deviations_mm: Floats,
    *,
    lever_mm: float,
    start: Ints | None = None,
    asked_mm: Floats | float = 0.0,
) -> Bools:
    """Whether each draw's tightness is 0 or less, ``(n,)``: the exchange ends for a draw as soon as that is known.

    Parameters and errors are those of `seats`. The tightness that four places
    carry is a lower bound of the seat's, and how far the most crossed place is
    crossed at the same moves is an upper bound.
    """
    rows, needs = _with_limits(directions, deviations_mm, asked_mm, lever_mm=lever_mm)
    return np.asarray(_seated(rows, needs, start=start, settled=_known).tightness_mm <= 0)


def _best(crossed_mm: Floats, tightness: Floats) -> Bools:
    """Whether no place is crossed: then a draw is at its seat."""
    return crossed_mm - tightness <= _ENOUGH_MM


def _known(crossed_mm: Floats, tightness: Floats) -> Bools:
    """Whether the bounds tell if a draw fits, or it is at its seat."""
    return (tightness > 0) | (crossed_mm <= 0) | _best(crossed_mm, tightness)


def _with_limits(
    directions: Floats, deviations_mm: Floats, asked_mm: Floats | float, *, lever_mm: float
) -> tuple[Floats, Floats]:
    """Directions ``(j + 5, 3)`` and needs ``(n, j + 5)``, the search limits being the last five places."""
    turn = lever_mm * float(np.radians(TURN_LIMIT_DEG))
    limits = _STIFF * np.array([[1, 0, 0], [0, 1, 0], [0, 0, 1], [-1, -1, -1], [0, 0, -1]], dtype=np.float64)
    shift = _SHIFT_LIMIT_MM
    count, places = deviations_mm.shape
    needs = np.zeros((count, places + _LIMITS))
    np.subtract(deviations_mm, asked_mm, out=needs[:, :places])
    needs[:, places:] = -_STIFF * np.array([shift, shift, turn, 2 * shift + turn, turn])
    return np.concatenate([directions, limits]), needs


def _seated(directions: Floats, needs: Floats, *, start: Ints | None, settled: _Settled) -> Seats:
    """Each draw's seat, proven to be settled; by the library's linear program where the exchange does not prove it."""
    basis, draws = _exchanged(directions, needs, start=start, settled=settled), np.arange(len(needs))
    held = _hold(directions, needs, draws, basis)
    tightness, moves, loads = held.tightness, held.moves, np.clip(held.inverse[:, 3], 0.0, None)
    crossed_mm = _most_crossed(directions, needs, draws, moves)[1]
    # loads that are 1 together and push to no side prove a lower bound of the tightness at any moves (duality of linear programs)
    push = np.abs(np.einsum("ni,nij->nj", loads, directions[basis])).max(axis=1)
    balanced = (push <= _BALANCED) & (np.abs(loads.sum(axis=1) - 1.0) <= _BALANCED)
    for draw in np.flatnonzero(~(balanced & settled(crossed_mm - _ENOUGH_MM, tightness))):
        basis[draw], loads[draw], moves[draw], tightness[draw] = solved(directions, needs[draw])
    return Seats(
        tightness_mm=tightness, moves=moves, basis=basis, place_count=len(directions) - _LIMITS, loads=loads
    )


def _exchanged(directions: Floats, needs: Floats, *, start: Ints | None, settled: _Settled) -> Ints:
    """The four places that carry each draw at the end, ``(n, 4)``."""
    if start is not None:
        return _exchange(directions, needs, basis=start, settled=settled)
    limits = np.arange(len(directions) - _LIMITS, len(directions))
    mean = _exchange(directions, needs.mean(axis=0, keepdims=True), basis=limits[None, :4], settled=_best)
    sample = needs[:: max(1, len(needs) // _SAMPLE)]
    of_sample = _exchange(directions, sample, basis=np.repeat(mean, len(sample), axis=0), settled=settled)
    # most draws are carried where a few are: nearly all exchanges are found among those places, at a fraction of the work
    carriers = np.unique(np.concatenate([of_sample, mean]))
    basis = np.repeat(mean, len(needs), axis=0)
    if len(carriers) < len(directions) / 2:
        among_these = np.searchsorted(carriers, basis)
        basis = carriers[
            _exchange(
                directions[carriers], np.take(needs, carriers, axis=1), basis=among_these, settled=settled
            )
        ]
    return _exchange(directions, needs, basis=basis, settled=settled)


@np.errstate(divide="ignore", invalid="ignore", over="ignore")
def _exchange(directions: Floats, needs: Floats, *, basis: Ints, settled: _Settled) -> Ints:
    """Exchange carriers until every draw is settled; every start basis must carry (loads ≥ 0).

    Draws that four places no longer hold, or whose exchanges come to no end, keep the basis they began with.
    """
    first_basis, basis = basis, basis.copy()
    # a stiff limit's share is as much smaller
    least = _SHARE / np.maximum(1.0, np.abs(directions).max(axis=1))
    draws = np.arange(len(needs))
    held = _hold(directions, needs, draws, basis)
    for done in range(1, _ROUNDS + 1):
        entering, crossed_mm = _most_crossed(directions, needs, draws, held.moves)
        lost = draws[~np.isfinite(crossed_mm)]
        basis[lost] = first_basis[lost]
        unsettled = np.flatnonzero(np.isfinite(crossed_mm) & ~settled(crossed_mm, held.tightness))
        draws, entering, inverse = draws[unsettled], entering[unsettled], held.inverse[unsettled]
        if not len(draws):
            break
        load, share = inverse[:, 3], _shares(directions[entering], inverse)
        ratio = np.where(share > least[basis[draws]], np.clip(load, 0.0, None) / share, np.inf)
        leaving = ratio.argmin(axis=1)
        basis[draws, leaving] = entering
        if done % _FRESH:
            held = _hold_by(needs, draws, basis[draws], _exchanged_inverse(inverse, share, leaving))
        else:
            held = _hold(directions, needs, draws, basis[draws])
    basis[draws] = first_basis[draws]
    return basis


def _exchanged_inverse(inverse: Floats, share: Floats, leaving: Ints) -> Floats:
    """The inverse after one corner of each has become another, whose shares of the old corners are known.

    The inverse of a matrix of which one row is replaced (Sherman and Morrison, Ann. Math. Stat. 21, 1950, from memory).
    """
    each = np.arange(len(leaving))
    step = share.copy()
    step[each, leaving] -= 1.0
    step /= share[each, leaving][:, None]
    return inverse - inverse[each, :, leaving][:, :, None] * step[:, None, :]


def _most_crossed(directions: Floats, needs: Floats, draws: Ints, moves: Floats) -> tuple[Ints, Floats]:
    """For some draws, given by number, at their moves: the place that is crossed most, ``(n,)``, and how far, ``(n,)``, mm."""
    entering, crossed_mm = np.empty(len(draws), dtype=np.int64), np.empty(len(draws))
    at_once = max(1, _NUMBERS_AT_ONCE // len(directions))
    for start in range(0, len(draws), at_once):
        part = slice(start, start + at_once)
        values = moves[part] @ directions.T
        values += needs[draws[part]]
        entering[part] = values.argmax(axis=1)
        crossed_mm[part] = np.take_along_axis(values, entering[part, None], axis=1)[:, 0]
    return entering, crossed_mm


@dataclass(frozen=True, slots=True, eq=False)
class _Hold:
    """Each draw held by four places: ``moves (n, 3)`` and ``tightness (n,)``.

    ``inverse (n, 4, 4)`` leads from a direction and a 1 to barycentric coordinates
    in the tetrahedron of the four directions; its last row is how they share the load.
    """

    moves: Floats
    tightness: Floats
    inverse: Floats


def _hold(directions: Floats, needs: Floats, draws: Ints, basis: Ints) -> _Hold:
    """Some draws, by number, held by their four places."""
    corners = np.ones((*basis.shape, 4))
    corners[:, :, :3] = directions[basis]
    return _hold_by(needs, draws, basis, _inverse(corners))


def _inverse(corners: Floats) -> Floats:
    """The inverse of each ``(n, 4, 4)`` matrix of four corners; not a number where the corners lie in a plane."""
    # of the corners themselves: the edges between them would lose digits to the stiff limits
    try:
        return np.asarray(np.linalg.inv(corners), dtype=np.float64)
    except np.linalg.LinAlgError:
        solid = corners.copy()
        solid[np.linalg.det(corners) == 0.0] = np.nan
        return np.asarray(np.linalg.inv(solid), dtype=np.float64)


def _hold_by(needs: Floats, draws: Ints, basis: Ints, inverse: Floats) -> _Hold:
    solution = np.einsum("nij,nj->ni", inverse, needs[draws[:, None], basis])
    return _Hold(-solution[:, :3], solution[:, 3], inverse)


def _shares(directions: Floats, inverse: Floats) -> Floats:
    """How the four places share a direction each, ``(n, 3)``, between them, ``(n, 4)``, together 1."""
    return np.asarray(np.einsum("ni,nij->nj", directions, inverse[:, :3]) + inverse[:, 3])
