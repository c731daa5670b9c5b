"""What is believed of the quantities: as many of them as a model has, of which few trials tell.

Before any trial the covariance is 1; each takes one multiple of an outer
product from it. So it is kept as 1 − Σ wᵢ gᵢ gᵢᵀ: a matrix of a thousand
sections' quantities would take gigabytes, and its root minutes.
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
        """What is believed of so many quantities before any trial."""
        return cls(mean=np.zeros(count), gains=np.zeros((0, count)), weights=np.zeros(0))

    def covariance_with(self, slope: Floats) -> Floats:
        """The covariance of each quantity with a sum of them all, ``(q,)``; ``slope`` tells how much of each, ``(q,)``."""
        return slope - (self.weights * (self.gains @ slope)) @ self.gains

    def told(self, gain: Floats, *, by: float, weight: float) -> Self:
        """The belief with ``by`` times a gain, ``(q,)``, added to the mean, and ``weight`` times its outer product taken from the covariance."""
        return type(self)(
            mean=self.mean + by * gain,
            gains=np.concatenate([self.gains, gain[None]]),
            weights=np.append(self.weights, weight),
        )

    def drawn(self, xi: Floats) -> Floats:
        """Draws so distributed, made of ``(n, q)`` draws of independent quantities of unit variance."""
        basis, vectors, shares = self._narrowed()
        less = (vectors * (1 - shares)) @ vectors.T
        return self.mean + xi - (xi @ basis) @ less @ basis.T

    def undrawn(self, drawn: Floats) -> tuple[Floats, float]:
        """What ``(n, q)`` draws of `drawn` were made of, and the natural logarithm of how much smaller a volume they fill."""
        basis, vectors, shares = self._narrowed()
        more = (vectors * (1 / shares - 1)) @ vectors.T
        off = drawn - self.mean
        return off + (off @ basis) @ more @ basis.T, float(np.log(shares).sum())

    def _narrowed(self) -> tuple[Floats, Floats, Floats]:
        """Ways in which the belief is narrower than stated, ``(q, r)`` and, in these, ``(r, r)``, and what is left of each spread, ``(r,)``.

        Outside what the gains span nothing changes.
        """
        basis, parts = np.linalg.qr(self.gains.T)  # (q, r), (r, t)
        values, vectors = np.linalg.eigh(np.eye(len(parts)) - (parts * self.weights) @ parts.T)
        return basis, vectors, np.sqrt(np.clip(values, _LEAST, None))
