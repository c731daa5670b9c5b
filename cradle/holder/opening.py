"""Opening: what one entry of a project cuts out of the block."""

from __future__ import annotations

from cradle.geometry.arrays import Floats
from cradle.geometry.solid import Solid
from cradle.noun import noun
from cradle.project.opening import OpeningKind, OpeningSpec, Through

_FIXES = frozenset({OpeningKind.SCREW, OpeningKind.COUNTERSUNK, OpeningKind.KEYHOLE})
"""Kinds that take a screw."""


@noun
class Driver:
    """A screwdriver on its screw, stand frame.

    Attributes
    ----------
    head_at_mm : (3,) float64
        Middle of the screw's head.
    towards : (3,) float64
        Unit direction from there to the screwdriver.
    head_mm : float
        Diameter of the head.
    """

    head_at_mm: Floats
    towards: Floats
    head_mm: float


@noun
class Opening:
    """One opening, in the stand frame.

    Attributes
    ----------
    cuts : tuple of Solid
        What is cut away.
    number : int
        Of its entry among the project's, from 1.
    where : str
        Its entry and, in a row, its pocket, for messages.
    blind : tuple of Solid
        Those of the cuts that come from outside and must not meet the pocket.
    sizes : tuple of (str, float)
        What calipers should read on it, mm.
    driver : Driver or None
        For a screw.
    wall_mm : (2,) float64 or None
        For a screw or a keyhole through the back: where the screw is in the wall, x and z.
    put_mm : (2,) float64 or None
        Where it lies, as a project counts, if no place was said and it would have missed the pocket in the middle.
    """

    spec: OpeningSpec
    cuts: tuple[Solid, ...]
    number: int = 0
    where: str = ""
    blind: tuple[Solid, ...] = ()
    sizes: tuple[tuple[str, float], ...]
    driver: Driver | None = None
    wall_mm: Floats | None = None
    put_mm: Floats | None = None

    @property
    def fixes_to_wall(self) -> bool:
        """Whether a screw goes through it into a wall, or hangs it there."""
        return self.spec.kind in _FIXES and self.spec.through is not Through.FLOOR

    @property
    def words(self) -> str:
        """Its kind and number among the project's, such as "finger notch 1"."""
        return f"{self.spec.kind.words} {self.number}"
