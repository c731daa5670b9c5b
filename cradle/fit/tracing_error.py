"""What a tracing error makes of the readings that place its section: a drawing that is off is laid down by what is off.

A profile is held against one end of the outline, calipers against two, a
neighbour and a mirror line against all of it. Of the tracing error of a whole
outline what counts as a shift and a turn is its part along those, by least
squares: a drawing that is shifted as a whole is shifted back by them.
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
"""Which of a section's unknowns is read off its whole outline."""
_ENOUGH: Final = 0.75
"""Part of the way round that must be seen for the whole outline's shift and turn to be told."""
_ROUND: Final = 1e-6
"""An outline that a turn moves by no more than this part of what a shift moves has none, as a circle."""


@noun
class Drawn:
    """A section as drawn, its outline off by ``(q, j)`` errors at all places of the skin.

    Attributes
    ----------
    at_mm : (p, 2) float64
        The places at the section's height, or nearest to it.
    errors_mm : (q, p) float64
        How far the true outline lies outside the drawn one there.
    moved : (q, 3) float64
        The part of the errors that moves the outline as a whole: x, y, mm, and turn, rad.
    sized : (q, 5) float64
        The change of placing (`cradle.sections.posterior.PARAMETERS`) that shifts the outline as a whole and makes it as wide and deep as the errors do.
    """

    at_mm: Floats
    errors_mm: Floats
    moved: Floats
    sized: Floats

    @classmethod
    def of(cls, section: Section, *, places: Places, errors_mm: Floats) -> Drawn:
        """A section with its errors."""
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
        """By how much a reading should be larger by the true outline than by the drawn one, ``(q,)``, in its unit; None if it has nothing to do with it.

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
    """Changes of placing that shift a ring as errors ``(q, p)`` at places ``(p, 2)`` do, and make it as much wider and deeper, ``(q, 5)``."""
    changes = np.zeros((len(errors_mm), PARAMETERS))
    for axis, (shift, scale) in enumerate(((X, SCALE_X), (Y, SCALE_Y))):
        ends = ring[[ring[:, axis].argmin(), ring[:, axis].argmax()]]
        nearest = np.linalg.norm(at_mm[:, None] - ends[None], axis=-1).argmin(axis=0)
        changes[:, shift] = moved[:, shift]
        changes[:, scale] = errors_mm[:, nearest].sum(axis=1) / np.ptp(ends[:, axis])
    return changes


def _movements(arms_mm: Floats, normals: Floats) -> Floats:
    """Shift along x and y, mm, and turn, rad, that an error of 1 mm at each place counts as, ``(3, p)``."""
    out = unit(normals)
    return np.asarray(np.linalg.pinv(np.column_stack([out, cross(arms_mm, out)]), rcond=_ROUND))
