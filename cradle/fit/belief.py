"""What is believed of a model's quantities after trials, as a normal distribution.

Before any trial the covariance is the identity matrix; each trial subtracts one
multiple of an outer product. So it is kept as 1 − Σ wᵢ gᵢ gᵢᵀ: the whole matrix
would, for a thousand sections, take gigabytes, and its square root minutes.
"""

from __future__ import annotations

from typing import Final, Self

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.noun import noun

_LEAST: Final = 1e-12
"""No variance falls below this part of what was stated."""


@noun
class Belief:
    """Normal, with mean ``(q,)`` and covariance 1 − Σ weights · gains gainsᵀ.

    Attributes
    ----------
    mean : (q,) float64
    gains : (t, q) float64
    weights : (t,) float64
    """

    mean: Floats
    gains: Floats
    weights: Floats

    @classmethod
    def as_stated(cls, count: int) -> Self:
        """What is believed of ``count`` quantities before any trial."""
        return cls(mean=np.zeros(count), gains=np.zeros((0, count)), weights=np.zeros(0))

    def covariance_with(self, slope: Floats) -> Floats:
        """The covariance of each quantity with a weighted sum of all, ``(q,)``; ``slope`` holds the weights, ``(q,)``."""
        return slope - (self.weights * (self.gains @ slope)) @ self.gains

    def told(self, gain: Floats, *, by: float, weight: float) -> Self:
        """The belief with ``by`` times a gain, ``(q,)``, added to the mean, and ``weight`` times its outer product taken from the covariance."""
        return type(self)(
            mean=self.mean + by * gain,
            gains=np.concatenate([self.gains, gain[None]]),
            weights=np.append(self.weights, weight),
        )

    def drawn(self, xi: Floats) -> Floats:
        """Draws from the belief, made of ``(n, q)`` draws of independent quantities of unit variance."""
        basis, vectors, shares = self._narrowed()
        less = (vectors * (1 - shares)) @ vectors.T
        return self.mean + xi - (xi @ basis) @ less @ basis.T

    def undrawn(self, drawn: Floats) -> tuple[Floats, float]:
        """The inverse of `drawn`: what ``(n, q)`` draws were made of, and the natural logarithm of the factor by which `drawn` scales volumes."""
        basis, vectors, shares = self._narrowed()
        more = (vectors * (1 / shares - 1)) @ vectors.T
        off = drawn - self.mean
        return off + (off @ basis) @ more @ basis.T, float(np.log(shares).sum())

    def _narrowed(self) -> tuple[Floats, Floats, Floats]:
        """Where the belief is narrower than stated: a basis of what the gains span, ``(q, r)``, in it the principal axes of the covariance, ``(r, r)``, and the standard deviation along each, ``(r,)``.

        Outside that span the covariance is 1.
        """
        basis, parts = np.linalg.qr(self.gains.T)  # (q, r), (r, t)
        values, vectors = np.linalg.eigh(np.eye(len(parts)) - (parts * self.weights) @ parts.T)
        return basis, vectors, np.sqrt(np.clip(values, _LEAST, None))
