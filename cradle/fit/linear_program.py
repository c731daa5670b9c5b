"""The seat of one draw by a library's linear program, where the exchange of carriers fails.

Where places nearly coincide, four of them may hold the thing by no more than
rounding. The library is not misled by that, but takes milliseconds for a draw.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.errors import InternalError
from cradle.geometry.arrays import Floats, Ints

_WITHIN: Final = 1e-10, 1e-7
"""Tolerances for crossings in mm and for loads: the library's least, and where that is too little its own."""


def solved(rows: Floats, needs: Floats) -> tuple[Ints, Floats, Floats, float]:
    """Four places that carry a draw, ``(4,)``, their loads, ``(4,)``, the moves ``(3,)`` and the tightness, mm.

    Minimises t over moves m, where a_j · m + e_j ≤ t at every place j (Huangfu
    and Hall, "Parallelizing the dual revised simplex method", Math. Prog. Comp.
    10, 2018, is how). Where fewer than four carry, the last places complete them.

    Parameters
    ----------
    rows : (j, 3) float64
        The direction a_j of each place, search limits included.
    needs : (j,) float64
        Its e_j, mm.

    Raises
    ------
    InternalError
        If the library does not find the seat.
    """
    from scipy.optimize import linprog

    stiffness = np.maximum(1.0, np.abs(rows).max(axis=1))  # so that a tolerance means as much at a limit
    for within in _WITHIN:
        answer = linprog(
            [0.0, 0.0, 0.0, 1.0],
            A_ub=np.column_stack([rows, -np.ones(len(rows))]) / stiffness[:, None],
            b_ub=-needs / stiffness,
            bounds=(None, None),
            method="highs-ds",
            options={"primal_feasibility_tolerance": within, "dual_feasibility_tolerance": within},
        )
        if answer.success:
            break
    else:
        raise InternalError(f"a seat among {len(rows)} places was not found: {answer.message}")
    loads = np.clip(-answer.ineqlin.marginals / stiffness, 0.0, None)
    basis = np.argsort(loads, kind="stable")[-4:]
    return basis, loads[basis], answer.x[:3], float(answer.x[3])
