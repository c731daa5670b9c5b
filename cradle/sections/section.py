"""Section: an outline at a height, to scale and in its place on the thing.

Terms: *traced* sizes come from the outline as captured, *caliper* readings
from the thing itself; the outline is scaled to the calipers where they exist.
"""

from __future__ import annotations

from enum import StrEnum

import numpy as np

from cradle.geometry.arrays import Bools, Floats
from cradle.noun import noun
from cradle.project.side import PAIRS, Side


class PlacedBy(StrEnum):
    """What decided where a section lies."""

    GIVEN = "given"
    PROFILES = "profiles"
    MIRROR = "mirror"
    MATCH = "match"
    DRAWING = "drawing"


@noun
class Section:
    """An outline at a height in the thing's frame.

    Attributes
    ----------
    name, height_mm
        As in the project file.
    points_mm : (n, 2) float64
        Counter-clockwise ring, scaled and placed; read-only.
    traced_mm : (float, float)
        Width and depth before scaling.
    caliper_mm : (float or None, float or None)
        Caliper width and depth, where read.
    scale : (float, float)
        Factors applied along x and y.
    turn_deg : float
        How far the drawing was turned in all, counter-clockwise, -180 to 180.
    asymmetry_mm : float or None
        Largest distance between the outline and its mirror image; None when no
        mirror line was looked for or found.
    clearance_mm : float or None
        Clearance that overrides the project's here.
    placed_by : PlacedBy
        What decided the shift and the turn.
    """

    name: str
    height_mm: float
    points_mm: Floats
    traced_mm: tuple[float, float]
    caliper_mm: tuple[float | None, float | None] = (None, None)
    scale: tuple[float, float] = (1.0, 1.0)
    turn_deg: float = 0.0
    asymmetry_mm: float | None = None
    clearance_mm: float | None = None
    placed_by: PlacedBy = PlacedBy.DRAWING


@noun
class RingStack:
    """Sections resampled so that point j means the same place on every ring.

    Attributes
    ----------
    heights_mm : (k,) float64
        Rising; k ≥ 1.
    rings_mm : (k, n, 2) float64
        Counter-clockwise rings; every vertex of a section is a point of its ring.
    names : tuple of k str
        Names of the sections, for messages.
    outlines_mm : tuple of k (n_i, 2) float64
        The sections' own points, against which the loft is measured; empty
        when the rings are all there is.
    chord_gaps_mm : tuple of k float
        How far a round thing may stand out between the points read of each
        section (`chord_gap`); empty when it was not looked at.
    """

    heights_mm: Floats
    rings_mm: Floats
    names: tuple[str, ...]
    outlines_mm: tuple[Floats, ...] = ()
    chord_gaps_mm: tuple[float, ...] = ()


@noun
class Profile:
    """How far the thing reaches to one side, by height.

    Attributes
    ----------
    points_mm : (m, 2) float64
        Heights, rising, and the coordinates at them.
    """

    side: Side
    points_mm: Floats

    @property
    def low_mm(self) -> float:
        """The least height it reaches."""
        return float(self.points_mm[0, 0])

    @property
    def high_mm(self) -> float:
        """The greatest height it reaches."""
        return float(self.points_mm[-1, 0])

    def reaches(self, heights_mm: Floats | float) -> Bools:
        """Whether it was read as low and as high as that, at each height."""
        return (self.low_mm <= np.asarray(heights_mm)) & (heights_mm <= self.high_mm)

    def at(self, heights_mm: Floats | float) -> Floats:
        """Its coordinate at each height, mm: straight between its points, beyond its ends that of the end."""
        return np.asarray(np.interp(heights_mm, *self.points_mm.T))


@noun
class Profiles:
    """Side profiles: ``(m, 2)`` arrays of (height, coordinate) in mm, heights rising.

    ``front`` and ``back`` hold the least and greatest y of the thing at a
    height, ``left`` and ``right`` the least and greatest x.
    """

    front: Floats | None = None
    back: Floats | None = None
    left: Floats | None = None
    right: Floats | None = None

    @property
    def given(self) -> bool:
        """Whether any side is known."""
        return bool(self.known)

    @property
    def known(self) -> tuple[Profile, ...]:
        """Those of the sides that are known."""
        return tuple(profile for side in Side if (profile := self.of(side)))

    @property
    def pairs(self) -> tuple[tuple[Profile, Profile], ...]:
        """Those of opposite sides that are both known: where the coordinate is least, then where it is greatest."""
        pairs = ((self.of(low), self.of(high)) for low, high in PAIRS)
        return tuple((low, high) for low, high in pairs if low and high)

    @property
    def unseen(self) -> tuple[Side, ...]:
        """The sides that are not known."""
        return tuple(side for side in Side if self.of(side) is None)

    def known_to_mm(self, side: Side) -> float:
        """The greatest height at which a side and the one opposite to it are known, mm; 0 where they are not a pair."""
        return max(
            (min(low.high_mm, high.high_mm) for low, high in self.pairs if side in (low.side, high.side)),
            default=0.0,
        )

    def of(self, side: Side) -> Profile | None:
        """The profile of one side; None where it was not read."""
        points: Floats | None = getattr(self, side)
        return None if points is None else Profile(side=side, points_mm=points)
