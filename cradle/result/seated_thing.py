"""The thing in its pocket: one thing in the finished holder, and what was measured of how it sits there."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cradle.fit.assessment import FitAssessment
from cradle.geometry.arrays import Floats, frozen
from cradle.holder.holder import Holder, PrintFromThing
from cradle.holder.standing import Load
from cradle.noun import noun
from cradle.pocket.clearance import ClearanceProfile
from cradle.pocket.pocket import Pocket
from cradle.pocket.stance import StandFromThing
from cradle.result.measurements import Gap
from cradle.result.thing_model import ThingModel


@noun
class SeatedThing:
    """One thing, in one pocket or in several alike.

    Attributes
    ----------
    label : str
        Its name where the holder holds different things, else empty.
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
    """

    label: str
    model: ThingModel
    clearance: ClearanceProfile
    wanted: ClearanceProfile
    pockets: tuple[Pocket, ...]
    numbers: tuple[int, ...]
    gap: Gap
    assessment: FitAssessment

    @property
    def pocket(self) -> Pocket:
        """The first of its pockets."""
        return self.pockets[0]

    @property
    def insertion(self) -> Floats:
        """The unit vector along which it is lifted out, in its own frame, ``(3,)``."""
        return frozen(self.pocket.stand_from_thing[:3, :3].T @ self.pocket.direction)

    @property
    def least_gap_mm(self) -> float:
        """The least gap that the printed holder leaves, per side: the file's less the printer's inside error."""
        return self.gap.least_mm - self.model.project.printer.inside_error_mm

    @property
    def words(self) -> str:
        """Words that tell its pockets from those of other things, and that several are alike; empty for a single one."""
        each = f"each of {len(self.pockets)}" if len(self.pockets) > 1 else ""
        return ", ".join(word for word in (self.label, each) if word)

    def named(self, size: str) -> str:
        """The name of a size of its pockets, with the thing's where the holder has others."""
        return f"{size}, {self.words}" if self.words else size

    def heights_mm(self, matrix: StandFromThing | PrintFromThing) -> tuple[tuple[str, float], ...]:
        """Names of its sections and their heights in the frame that a matrix leads to, mm."""
        return tuple((s.name, float(s.height_mm * matrix[2, 2] + matrix[2, 3])) for s in self.model.sections)

    def places(self, holder: Holder) -> tuple[PrintFromThing, ...]:
        """The matrices, mm, from the thing's frame to the print frame, one for each pocket."""
        return tuple(holder.print_from_thing(pocket) for pocket in self.pockets)


def seated_load(load: Load, pocket: Pocket) -> Load:
    """A load of the thing's own frame in its pocket, stand frame."""
    point = pocket.stand_from_thing @ np.append(load.centre_mm, 1.0)
    return replace(load, centre_mm=point[:3])
