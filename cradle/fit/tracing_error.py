"""What the tracing error of an outline does to the readings that place its section.

Readings place a section by its drawn outline, so an error of the outline puts
the section off as well: a drawing that is too far left as a whole is shifted
back by whatever places it. A profile is held against one end of the outline,
calipers against both, a neighbour or a mirror line against the whole. For the
last two what counts is the shift and the turn that fit the error all around best
(least squares).
"""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.fit.places import AROUND, Places
from cradle.geometry.arrays import Floats
from cradle.geometry.ring import box_middle
from cradle.geometry.vectors import cross, unit
from cradle.noun import noun
from cradle.project.side import Side
from cradle.sections.posterior import PARAMETERS, PROFILES, SCALE_X, SCALE_Y, TURN, Reading, ReadingKind, X, Y
from cradle.sections.section import Section

_BESIDE_NEIGHBOUR: Final = {
    ReadingKind.LIKENESS_X: X,
    ReadingKind.LIKENESS_Y: Y,
    ReadingKind.LIKENESS_TURN: TURN,
}
_ON_MIRROR_PLANE: Final = {
    ReadingKind.MIRROR_PLACE_X: X,
    ReadingKind.MIRROR_PLACE_Y: Y,
    ReadingKind.MIRROR_TURN: TURN,
}
"""Which unknown of a section's placing these readings tell, by its whole outline."""
_ENOUGH: Final = 0.75
"""Part of the `AROUND` places of a level that must be there for the whole outline's shift and turn to be told."""
_ROUND: Final = 1e-6
"""An outline that a turn moves by no more than this part of what a shift does has no turn to be told, as a circle has none."""


@noun
class Drawn:
    """A section as drawn, and q errors of its outline at the p places of its level.

    Attributes
    ----------
    at_mm : (p, 2) float64
        The places at the section's height, or nearest to it.
    errors_mm : (q, p) float64
        How far the true outline lies outside the drawn one there.
    moved : (q, 3) float64
        The shift, x and y, mm, and the turn, rad, of the whole outline that each error comes to.
    sized : (q, 5) float64
        The change of the five parameters of placing (`cradle.sections.posterior.PARAMETERS`) that makes the same shift, and
        the same change of width and depth.
    """

    at_mm: Floats
    errors_mm: Floats
    moved: Floats
    sized: Floats

    @classmethod
    def of(cls, section: Section, *, places: Places, errors_mm: Floats) -> Drawn:
        """A section with errors, ``(q, j)`` mm, given at all places of the skin."""
        away = np.abs(places.z_mm - section.height_mm)
        level = np.flatnonzero(away <= away.min() + 1e-9)
        at, own = places.points_mm[level, :2], errors_mm[:, level]
        moved = np.zeros((len(own), 3))
        if len(level) >= _ENOUGH * AROUND:
            moved = own @ _movements(at - box_middle(section.points_mm), places.normals[level, :2]).T
        return cls(
            at_mm=at,
            errors_mm=own,
            moved=moved,
            sized=_sized(section.points_mm, moved=moved, at_mm=at, errors_mm=own),
        )

    def told(self, reading: Reading, *, section: int) -> Floats | None:
        """How much larger a reading would be by the true outline than by the drawn one, ``(q,)``, in its unit; None where it does not depend on it.

        Parameters
        ----------
        section : int
            Which section this is, from the lowest.
        """
        beside = _BESIDE_NEIGHBOUR.get(reading.kind)
        if beside is not None and section == reading.section - 1:
            return -self.moved[:, beside]
        if section != reading.section:
            return None
        whole = beside if beside is not None else _ON_MIRROR_PLANE.get(reading.kind)
        if whole is not None:
            return self.moved[:, whole]
        if not len(reading.ends_mm):
            return None
        outward = Side(reading.kind).outward if reading.kind in PROFILES else 1
        gaps = self.at_mm[:, None] - reading.ends_mm[None]
        nearest = np.linalg.norm(gaps, axis=-1).argmin(axis=0)
        return outward * self.errors_mm[:, nearest].sum(axis=1)


def _sized(ring: Floats, *, moved: Floats, at_mm: Floats, errors_mm: Floats) -> Floats:
    """`Drawn.sized`, ``(q, 5)``, of errors ``(q, p)`` at places ``(p, 2)`` of a ring that they move by ``(q, 3)``."""
    changes = np.zeros((len(errors_mm), PARAMETERS))
    for axis, (shift, scale) in enumerate(((X, SCALE_X), (Y, SCALE_Y))):
        ends = ring[[ring[:, axis].argmin(), ring[:, axis].argmax()]]
        nearest = np.linalg.norm(at_mm[:, None] - ends[None], axis=-1).argmin(axis=0)
        changes[:, shift] = moved[:, shift]
        changes[:, scale] = errors_mm[:, nearest].sum(axis=1) / np.ptp(ends[:, axis])
    return changes


def _movements(arms_mm: Floats, normals: Floats) -> Floats:
    """The shift along x and y, mm, and the turn, rad, that an error of 1 mm at each place comes to by least squares, ``(3, p)``."""
    out = unit(normals)
    return np.asarray(np.linalg.pinv(np.column_stack([out, cross(arms_mm, out)]), rcond=_ROUND))
