"""Normal equations of an adjustment: dense for a few unknowns, sparse for many.

A reading tells of a section or of two beside each other, so with many sections
nearly all slopes are 0: those of two hundred take a thousandth of the work
where the zeros are left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final, TypeAlias

import numpy as np

from cradle.geometry.arrays import Floats

if TYPE_CHECKING:
    from scipy.sparse import sparray

Slopes: TypeAlias = "Floats | sparray"
"""``(m, n)``, an array or a sparse array of scipy's: both are multiplied, scaled and transposed the same way."""

_MANY: Final = 240
"""With more unknowns than this leaving out the zeros is worth loading what does it."""


def slopes_of(
    rows: Sequence[int], columns: Sequence[int], values: Sequence[float], *, shape: tuple[int, int]
) -> Slopes:
    """The matrix with these entries; what comes twice is added up."""
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
    """The solution x of (N + damping · diag N) x = right, of the right side's shape; of a singular N numpy's LinAlgError."""
    if isinstance(normal, np.ndarray):
        return np.asarray(np.linalg.solve(normal + damping * np.diag(np.diagonal(normal)), right))
    from scipy.sparse import csc_array, diags_array
    from scipy.sparse.linalg import splu

    try:
        # ordered for what is symmetric, the factors have half as many entries
        factors = splu(
            csc_array(normal + damping * diags_array(normal.diagonal())), permc_spec="MMD_AT_PLUS_A"
        )
    except RuntimeError as error:
        raise np.linalg.LinAlgError("Singular matrix") from error
    return np.asarray(factors.solve(right))
