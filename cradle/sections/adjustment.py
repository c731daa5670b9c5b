"""Adjustment of observations: the values that agree best with all readings, and how sure they are.

Weighted least squares by Gauss and Newton, damped as Marquardt does
("An algorithm for least-squares estimation of nonlinear parameters", J. SIAM
11(2) (1963) 431-441). The covariance is ``(J' W J)^-1`` for readings whose
spreads are known (JCGM 102:2011; Mikhail and Ackermann, "Observations and
Least Squares", 1976). It is written out here because importing a general
optimiser takes longer than the adjustment and all else that a holder needs.

Readings with heavy tails weigh less the farther they are off: ``(v + 1) /
(v + r^2)`` for a residual of r spreads and v degrees of freedom, which leads
to the maximum likelihood for Student's t (Lange, Little and Taylor, "Robust
statistical modeling using the t distribution", JASA 84 (1989) 881-896).

A reading concerns one section or two neighbours, so with many sections nearly
all slopes are 0: with two hundred sections sparse matrices save all but a
thousandth of the work.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Final, TypeAlias

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.noun import noun

if TYPE_CHECKING:
    from scipy.sparse import sparray

_PASSES: Final = 60
_SETTLED: Final = 1e-9
"""The search ends at a step of less than this share of every unknown's spread ..."""
_GAINED: Final = 1e-8
"""... or at one that lowers the loss by less than this share of it."""
_FIRST_DAMPING: Final = 1e-4
_MOST_DAMPING: Final = 1e12
Slopes: TypeAlias = "Floats | sparray"
"""``(m, n)``, an array or a sparse array of scipy's, which is multiplied, scaled and transposed in the same way."""

Model: TypeAlias = Callable[[Floats], tuple[Floats, Slopes]]
"""From values ``(n,)`` to residuals ``(m,)``, reading less model, and the model's slopes ``(m, n)``, both in the readings' spreads."""
_MANY: Final = 240
"""With more unknowns than this sparse matrices save more time than importing them takes."""


def slopes_of(
    rows: Sequence[int], columns: Sequence[int], values: Sequence[float], *, shape: tuple[int, int]
) -> Slopes:
    """The matrix with these entries; several at one place are added up."""
    if shape[1] <= _MANY:
        dense = np.zeros(shape)
        np.add.at(dense, (rows, columns), values)
        return dense
    from scipy.sparse import csr_array

    return csr_array((values, (rows, columns)), shape=shape)


def with_rows(slopes: Slopes, more: Floats) -> Slopes:
    """The slopes with more rows below them."""
    if isinstance(slopes, np.ndarray):
        return np.concatenate([slopes, more])
    from scipy.sparse import csr_array, vstack

    return csr_array(vstack([slopes, csr_array(more)]))


def solved(normal: Slopes, right: Floats, *, damping: float = 0.0) -> Floats:
    """The solution x of (N + damping · diag N) x = right, of the shape of ``right``; raises numpy's LinAlgError where N is singular."""
    if isinstance(normal, np.ndarray):
        return np.asarray(np.linalg.solve(normal + damping * np.diag(np.diagonal(normal)), right))
    from scipy.sparse import csc_array, diags_array
    from scipy.sparse.linalg import splu

    try:
        # in this order, meant for symmetric matrices, the factors have half as many entries
        factors = splu(
            csc_array(normal + damping * diags_array(normal.diagonal())), permc_spec="MMD_AT_PLUS_A"
        )
    except RuntimeError as error:
        raise np.linalg.LinAlgError("Singular matrix") from error
    return np.asarray(factors.solve(right))


@noun
class Adjusted:
    """Values that agree best with the readings.

    Attributes
    ----------
    values : (n,) float64
    residuals : (m,) float64
        Reading less model, in spreads.
    slopes : (m, n)
        The model's, in spreads.
    weights : (m,) float64
        1 for a plain reading; less for one with heavy tails that is far off.
    loss : float
        Twice the negative logarithm of the likelihood, up to a constant.
    """

    values: Floats
    residuals: Floats
    slopes: Slopes
    weights: Floats
    loss: float

    def covariance(self) -> Floats:
        """The covariance of the values, ``(n, n)``, if the stated spreads are true; raises numpy's LinAlgError where readings leave a value undetermined."""
        normal = self.slopes.T @ (self.slopes * self.weights[:, None])
        covariance = solved(normal, np.eye(len(self.values)))
        return (covariance + covariance.T) / 2

    def gain(self) -> Floats:
        """Change of the values for a change of each reading by its spread, ``(n, m)``; raises as `covariance` does."""
        return np.asarray(((self.slopes * self.weights[:, None]) @ self.covariance()).T)


def adjusted(
    model: Model, start: Floats, *, freedom: Floats | None = None, gained: float = _GAINED
) -> Adjusted:
    """The values of greatest likelihood near a start; raises numpy's LinAlgError where readings leave a value undetermined.

    Parameters
    ----------
    model : callable
    start : (n,) float64
    freedom : (m,) float64, optional
        Degrees of freedom of each reading (Student's t); when left out errors are normal.
    gained : float
        The search ends at a step that lowers the loss by less than this share of it.

    Examples
    --------
    A length of 10.2 and another reading of 9.9, half as sure:

    >>> import numpy as np
    >>> found = adjusted(lambda x: (np.array([10.2 - x[0], (9.9 - x[0]) / 2]), np.array([[1.0], [0.5]])), np.zeros(1))
    >>> round(float(found.values[0]), 3), round(float(found.covariance()[0, 0]), 3)
    (10.14, 0.8)
    """
    here = _at(np.array(start, dtype=np.float64), model=model, freedom=freedom)
    damping = _FIRST_DAMPING
    for _ in range(_PASSES):
        before = here
        weighted = before.slopes * before.weights[:, None]
        normal, pull = before.slopes.T @ weighted, weighted.T @ before.residuals
        while damping < _MOST_DAMPING:
            move = solved(normal, pull, damping=damping)
            here = _at(before.values + move, model=model, freedom=freedom)
            if here.loss <= before.loss * (1 + 1e-14):
                break
            damping *= 10
        else:
            return before
        damping = max(damping / 10, 1e-12)
        moved = float(np.abs(move * np.sqrt(normal.diagonal())).max())
        if moved < _SETTLED or before.loss - here.loss <= gained * before.loss:
            break
    return here


def _at(values: Floats, *, model: Model, freedom: Floats | None) -> Adjusted:
    """The values with their residuals, slopes, weights and loss."""
    residuals, slopes = model(values)
    v = np.full(len(residuals), np.inf) if freedom is None else freedom
    heavy = np.isfinite(v)
    v = np.where(heavy, v, 1.0)
    cost = np.where(heavy, student_t_cost(residuals, freedom=v), residuals**2 / 2)
    return Adjusted(
        values=values,
        residuals=residuals,
        slopes=slopes,
        weights=np.where(heavy, (v + 1.0) / (v + residuals**2), 1.0),
        loss=2.0 * float(cost.sum()),
    )


def student_t_cost(residuals: Floats, *, freedom: float | Floats) -> Floats:
    """Negative logarithm of Student's t density at residuals, in spreads, less its value at 0; of the residuals' shape."""
    return np.asarray((freedom + 1.0) / 2.0 * np.log1p(residuals**2 / freedom))
