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


def _best(most: Floats, tightness: Floats) -> Bools:
    """Whether no place is crossed: then a draw is at its seat."""
    return most - tightness <= _ENOUGH_MM


def _known(most: Floats, tightness: Floats) -> Bools:
    """Whether the bounds tell if a draw fits, or it is at its seat."""
    return (tightness > 0) | (most <= 0) | _best(most, tightness)


def _with_limits(
    directions: Floats, deviations_mm: Floats, asked_mm: Floats | float, *, lever_mm: float
) -> tuple[Floats, Floats]:
    """Directions ``(j + 5, 3)`` and needs ``(n, j + 5)``, the search limits being the last five places."""
    turn = lever_mm * float(np.radians(TURN_LIMIT_DEG))
    limits = _STIFF * np.array([[1, 0, 0], [0, 1, 0], [0, 0, 1], [-1, -1, -1], [0, 0, -1]], dtype=np.float64)
    shift = _SHIFT_LIMIT_MM
    draws, places = deviations_mm.shape
    needs = np.zeros((draws, places + _LIMITS))
    np.subtract(deviations_mm, asked_mm, out=needs[:, :places])
    needs[:, places:] = -_STIFF * np.array([shift, shift, turn, 2 * shift + turn, turn])
    return np.concatenate([directions, limits]), needs


def _seated(rows: Floats, needs: Floats, *, start: Ints | None, settled: _Settled) -> Seats:
    """Each draw's seat, proven to be settled; by the library's linear program where the exchange does not prove it."""
    basis, there = _exchanged(rows, needs, start=start, settled=settled), np.arange(len(needs))
    held = _hold(rows, needs, there, basis)
    tightness, moves, loads = held.tightness, held.moves, np.clip(held.across[:, 3], 0.0, None)
    most = _most_crossed(rows, needs, there, moves)[1]
    # loads that are 1 together and push to no side prove a lower bound of the tightness at any moves (duality of linear programs)
    push = np.abs(np.einsum("ni,nij->nj", loads, rows[basis])).max(axis=1)
    balanced = (push <= _BALANCED) & (np.abs(loads.sum(axis=1) - 1.0) <= _BALANCED)
    for draw in np.flatnonzero(~(balanced & settled(most - _ENOUGH_MM, tightness))):
        basis[draw], loads[draw], moves[draw], tightness[draw] = solved(rows, needs[draw])
    return Seats(
        tightness_mm=tightness, moves=moves, basis=basis, place_count=len(rows) - _LIMITS, loads=loads
    )


def _exchanged(rows: Floats, needs: Floats, *, start: Ints | None, settled: _Settled) -> Ints:
    """The four places that carry each draw at the end, ``(n, 4)``."""
    if start is not None:
        return _exchange(rows, needs, basis=start, settled=settled)
    limits = np.arange(len(rows) - _LIMITS, len(rows))
    mean = _exchange(rows, needs.mean(axis=0, keepdims=True), basis=limits[None, :4], settled=_best)
    sample = needs[:: max(1, len(needs) // _SAMPLE)]
    told = _exchange(rows, sample, basis=np.repeat(mean, len(sample), axis=0), settled=settled)
    # most draws are carried where a few are: nearly all exchanges are found among those places, at a fraction of the work
    few = np.unique(np.concatenate([told, mean]))
    basis = np.repeat(mean, len(needs), axis=0)
    if len(few) < len(rows) / 2:
        thin = np.searchsorted(few, basis)
        basis = few[_exchange(rows[few], np.take(needs, few, axis=1), basis=thin, settled=settled)]
    return _exchange(rows, needs, basis=basis, settled=settled)


@np.errstate(divide="ignore", invalid="ignore", over="ignore")
def _exchange(rows: Floats, needs: Floats, *, basis: Ints, settled: _Settled) -> Ints:
    """Exchange carriers until every draw is settled; every start basis must carry (loads ≥ 0).

    Draws that four places no longer hold, or whose exchanges come to no end, keep the basis they began with.
    """
    begun, basis = basis, basis.copy()
    least = _SHARE / np.maximum(1.0, np.abs(rows).max(axis=1))  # a stiff limit's share is as much smaller
    there = np.arange(len(needs))
    held = _hold(rows, needs, there, basis)
    for done in range(1, _ROUNDS + 1):
        enter, most = _most_crossed(rows, needs, there, held.moves)
        lost = there[~np.isfinite(most)]
        basis[lost] = begun[lost]
        goes_on = np.flatnonzero(np.isfinite(most) & ~settled(most, held.tightness))
        there, enter, across = there[goes_on], enter[goes_on], held.across[goes_on]
        if not len(there):
            break
        load, share = across[:, 3], _shares(rows[enter], across)
        ratio = np.where(share > least[basis[there]], np.clip(load, 0.0, None) / share, np.inf)
        leave = ratio.argmin(axis=1)
        basis[there, leave] = enter
        if done % _FRESH:
            held = _held(needs, there, basis[there], _exchanged_across(across, share, leave))
        else:
            held = _hold(rows, needs, there, basis[there])
    basis[there] = begun[there]
    return basis


def _exchanged_across(across: Floats, share: Floats, leave: Ints) -> Floats:
    """The inverse after one corner of each has become another, whose shares of the old corners are known.

    The inverse of a matrix of which one row is replaced (Sherman and Morrison, Ann. Math. Stat. 21, 1950, from memory).
    """
    each = np.arange(len(leave))
    step = share.copy()
    step[each, leave] -= 1.0
    step /= share[each, leave][:, None]
    return across - across[each, :, leave][:, :, None] * step[:, None, :]


def _most_crossed(rows: Floats, needs: Floats, there: Ints, moves: Floats) -> tuple[Ints, Floats]:
    """For some draws, given by number, at their moves: the place that is crossed most, ``(n,)``, and how far, ``(n,)``, mm."""
    enter, most = np.empty(len(there), dtype=np.int64), np.empty(len(there))
    at_once = max(1, _NUMBERS_AT_ONCE // len(rows))
    for start in range(0, len(there), at_once):
        part = slice(start, start + at_once)
        values = moves[part] @ rows.T
        values += needs[there[part]]
        enter[part] = values.argmax(axis=1)
        most[part] = np.take_along_axis(values, enter[part, None], axis=1)[:, 0]
    return enter, most


@dataclass(frozen=True, slots=True, eq=False)
class _Hold:
    """Each draw held by four places: ``moves (n, 3)`` and ``tightness (n,)``.

    ``across (n, 4, 4)`` leads from a direction and a 1 to barycentric coordinates
    in the tetrahedron of the four directions; its last row is how they share the load.
    """

    moves: Floats
    tightness: Floats
    across: Floats


def _hold(rows: Floats, needs: Floats, there: Ints, basis: Ints) -> _Hold:
    """Some draws, by number, held by their four places."""
    corners = np.ones((*basis.shape, 4))
    corners[:, :, :3] = rows[basis]
    return _held(needs, there, basis, _inverse(corners))


def _inverse(corners: Floats) -> Floats:
    """The inverse of each ``(n, 4, 4)`` matrix of four corners; not a number where the corners lie in a plane."""
    # of the corners themselves: the edges between them would lose digits to the stiff limits
    try:
        return np.asarray(np.linalg.inv(corners), dtype=np.float64)
    except np.linalg.LinAlgError:
        solid = corners.copy()
        solid[np.linalg.det(corners) == 0.0] = np.nan
        return np.asarray(np.linalg.inv(solid), dtype=np.float64)


def _held(needs: Floats, there: Ints, basis: Ints, across: Floats) -> _Hold:
    held = np.einsum("nij,nj->ni", across, needs[there[:, None], basis])
    return _Hold(-held[:, :3], held[:, 3], across)


def _shares(directions: Floats, across: Floats) -> Floats:
    """How the four places share a direction each, ``(n, 3)``, between them, ``(n, 4)``, together 1."""
    return np.asarray(np.einsum("ni,nij->nj", directions, across[:, :3]) + across[:, 3])
