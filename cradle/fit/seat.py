"""The seat: where a thing with small deviations finds most room in its pocket.

The thing may shift by (x, y) and turn by w about z. At place j the shift and
turn move its skin outward by a_j · m, its deviation by e_j, so the clearance
it needs is t = min over m of max over j of (a_j · m + e_j): a linear program
in four unknowns for each draw. All draws are solved together by the exchange
method for one-sided Chebyshev approximation (Stiefel, "Über diskrete und
lineare Tschebyscheff-Approximationen", Numer. Math. 1, 1959, from memory),
which is the dual simplex method: four places carry the thing, the place that
is crossed most comes in, and the one whose load would turn negative goes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from cradle.errors import InternalError
from cradle.geometry.arrays import Floats, Ints

SHIFT_LIMIT_MM: Final = 5.0
"""The seat is looked for about so far around."""
TURN_LIMIT_DEG: Final = 3.0
"""And within this much turn, where turning is as good as linear."""
_ENOUGH_MM: Final = 1e-7
_ROUNDS: Final = 300
_THIN: Final = 4
_STIFF: Final = 1e4
"""The search limits push back so much harder than a place."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Seats:
    """The seat of each draw.

    Attributes
    ----------
    tightness_mm : (n,) float64
        The clearance per side that the thing needs.
    moves : (n, 3) float64
        Shift along x and y, and turn as movement at the lever's end, mm.
    carriers : (n, 4) int64
        The places that carry the thing; −1 where the search limit does.
    loads : (n, 4) float64
        Their shares, ≥ 0, together 1: tightness = Σ load · deviation.
    """

    tightness_mm: Floats
    moves: Floats
    carriers: Ints
    loads: Floats


def seats(directions: Floats, deviations_mm: Floats, *, lever_mm: float) -> Seats:
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

    Raises
    ------
    InternalError
        If the exchange does not come to an end.
    """
    turn = lever_mm * float(np.radians(TURN_LIMIT_DEG))
    limits = _STIFF * np.array([[1, 0, 0], [0, 1, 0], [0, 0, 1], [-1, -1, -1], [0, 0, -1]], dtype=np.float64)
    shift = SHIFT_LIMIT_MM
    offsets = -_STIFF * np.array([shift, shift, turn, 2 * shift + turn, turn])
    j = len(directions)
    rows = np.concatenate([directions, limits])
    count = len(deviations_mm)
    start = np.array([[j, j + 1, j + 2, j + 3]])
    middle = deviations_mm.mean(axis=0, keepdims=True)
    basis, _, _, _ = _exchange(rows, middle, offsets=offsets, basis=start)
    basis = np.repeat(basis, count, axis=0)
    few = np.unique(np.concatenate([np.arange(0, j, _THIN), basis[0][basis[0] < j]]))
    if len(few) < j / 2:  # most exchanges are found among a few of the places, at a fraction of the work
        kept = np.concatenate([few, np.arange(j, len(rows))])
        inner = np.searchsorted(kept, basis)
        thin = np.ascontiguousarray(deviations_mm[:, few])
        inner, _, _, _ = _exchange(rows[kept], thin, offsets=offsets, basis=inner)
        basis = kept[inner]
    basis, loads, moves, tightness = _exchange(rows, deviations_mm, offsets=offsets, basis=basis)
    return Seats(
        tightness_mm=tightness,
        moves=moves,
        carriers=np.where(basis < j, basis, -1),
        loads=np.clip(loads, 0.0, None),
    )


def _exchange(
    rows: Floats, deviations: Floats, *, offsets: Floats, basis: Ints
) -> tuple[Ints, Floats, Floats, Floats]:
    """Exchange carriers until no place is crossed; every start basis must carry (loads ≥ 0)."""
    count, j = deviations.shape
    basis = basis.copy()
    loads, moves, tightness = np.empty((count, 4)), np.empty((count, 3)), np.empty(count)
    there = np.arange(count)
    down = np.array([0.0, 0.0, 0.0, -1.0])
    open_dev = deviations
    for _ in range(_ROUNDS):
        held = basis[there]
        matrix = np.empty((len(there), 4, 4))
        matrix[:, :, :3] = rows[held]
        matrix[:, :, 3] = -1.0
        inverse = np.linalg.inv(matrix)
        real = held < j
        known = np.take_along_axis(open_dev, np.where(real, held, 0), axis=1)
        at = -np.where(real, known, offsets[np.where(real, 0, held - j)])
        solution = np.einsum("nij,nj->ni", inverse, at)
        load = np.einsum("nij,i->nj", inverse, down)
        values = open_dev + solution[:, :3] @ rows[:j].T
        limits = offsets + solution[:, :3] @ rows[j:].T
        enter = values.argmax(axis=1)
        most = np.take_along_axis(values, enter[:, None], axis=1)[:, 0]
        far = limits.argmax(axis=1)
        limit = np.take_along_axis(limits, far[:, None], axis=1)[:, 0]
        enter = np.where(limit > most, far + j, enter)
        crossed = np.maximum(most, limit) - solution[:, 3] > _ENOUGH_MM
        done = there[~crossed]
        loads[done], moves[done], tightness[done] = (
            load[~crossed],
            solution[~crossed, :3],
            solution[~crossed, 3],
        )
        if not crossed.any():
            return basis, loads, moves, tightness
        there, open_dev = there[crossed], open_dev[crossed]
        target = np.concatenate([rows[enter[crossed]], -np.ones((len(there), 1))], axis=1)
        share = np.einsum("nij,ni->nj", inverse[crossed], target)
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = np.where(share > 1e-9, np.clip(load[crossed], 0.0, None) / share, np.inf)
        leave = ratio.argmin(axis=1)
        basis[there, leave] = enter[crossed]
    raise InternalError(f"{len(there)} seats of {count} were not found in {_ROUNDS} exchanges")
