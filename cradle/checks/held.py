"""Held: one thing in the finished holder, with all that was measured of how it sits there."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cradle.checks.clearance import Gap
from cradle.checks.standing import Load
from cradle.fit.assessment import Verdict
from cradle.fit.trials import Learned
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.mesh import centroid_mm, volume_mm3
from cradle.geometry.ring import centroid, signed_area
from cradle.holder.holder import Holder
from cradle.loft.body import Body
from cradle.pocket.clearance import ClearanceProfile
from cradle.pocket.pocket import Pocket
from cradle.project.project import Project
from cradle.sections.section import RingStack, Section


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Held:
    """One thing, in one pocket or in several alike.

    Attributes
    ----------
    label : str
        Its name where the holder holds different things, else empty.
    project : Project
        What its own file says of the thing and its fit; block, openings and
        printer are the holder's.
    sections, stack, body, learned
        As inspected.
    clearance : ClearanceProfile
        As asked for.
    wanted : ClearanceProfile
        As the file gets it: with what trials taught and the printer's inside error.
    pockets : tuple of Pocket
        In their places, stand frame, from left to right.
    numbers : tuple of int
        Of these pockets in the row, from 1 at the left.
    gap : Gap
        The least over all its pockets.
    verdict : Verdict
    """

    label: str
    project: Project
    sections: tuple[Section, ...]
    stack: RingStack
    body: Body
    learned: Learned
    clearance: ClearanceProfile
    wanted: ClearanceProfile
    pockets: tuple[Pocket, ...]
    numbers: tuple[int, ...]
    gap: Gap
    verdict: Verdict

    @property
    def pocket(self) -> Pocket:
        """The first of its pockets."""
        return self.pockets[0]

    @property
    def insertion(self) -> Floats:
        """The unit vector along which it is lifted out, in its own frame, ``(3,)``."""
        return frozen(self.pocket.stand_from_object[:3, :3].T @ self.pocket.direction)

    @property
    def words(self) -> str:
        """What tells its pockets from others, and that several are alike; empty for a single one."""
        each = f"each of {len(self.pockets)}" if len(self.pockets) > 1 else ""
        return ", ".join(word for word in (self.label, each) if word)

    def heights_mm(self, matrix: Floats) -> tuple[tuple[str, float], ...]:
        """Names of its sections and their heights in the frame that a ``(4, 4)`` matrix leads to, mm."""
        return tuple((s.name, float(s.height_mm * matrix[2, 2] + matrix[2, 3])) for s in self.sections)

    def places(self, holder: Holder) -> tuple[Floats, ...]:
        """The ``(4, 4)`` matrices, mm, from the thing's frame to the print frame, one for each pocket."""
        return tuple(frozen(holder.print_from_stand @ pocket.stand_from_object) for pocket in self.pockets)


def balance_mm(project: Project, body: Body) -> Floats:
    """The thing's centre of mass in its own frame, ``(3,)``: as given, or the centroid of what it fills.

    Above what was lofted nothing is known but the stated height: up to there
    the thing is taken to go straight on, which is rather too high than too low.
    """
    given = project.thing.balance_mm
    if given is not None:
        return np.array(given)
    parts = [(volume_mm3(body.mesh), centroid_mm(body.mesh)), *_unknown_part(project, body)]
    whole = sum(volume for volume, _ in parts)
    return sum((volume / whole * centre for volume, centre in parts), np.zeros(3))


def thing_g(project: Project, body: Body) -> float:
    """The thing's mass: as given, or that of as much water as it fills."""
    given = project.thing.mass_g
    if given is not None:
        return given
    return (volume_mm3(body.mesh) + sum(volume for volume, _ in _unknown_part(project, body))) / 1000


def _unknown_part(project: Project, body: Body) -> tuple[tuple[float, Floats], ...]:
    """Volume, mm³, and centre of the prism from the top of what was lofted to the stated height."""
    top, overall = float(body.heights_mm[-1]), project.thing.height_mm
    if overall is None or overall <= top:
        return ()
    ring = body.rings_mm[-1]
    volume = signed_area(ring) * (overall - top)
    return ((volume, np.append(centroid(ring), (top + overall) / 2)),)


def own_load(project: Project, body: Body) -> Load:
    """The thing as a load in its own frame."""
    return Load(centre_mm=balance_mm(project, body), mass_g=thing_g(project, body))


def load_in(pocket: Pocket, load: Load) -> Load:
    """A load of the thing's own frame in its pocket, stand frame."""
    point = pocket.stand_from_object @ np.append(load.centre_mm, 1.0)
    return replace(load, centre_mm=point[:3])
