"""The holder as made: the things in it, and all that was measured of both."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from cradle.finding import Finding
from cradle.fit.chance_words import percent
from cradle.geometry.mesh import bounds_mm
from cradle.geometry.rounding import single_precision
from cradle.holder.holder import Holder
from cradle.holder.standing import Standing
from cradle.names import listed
from cradle.noun import noun
from cradle.pocket.pocket import Pocket
from cradle.project.project import Project
from cradle.result.measurements import InspectionDimension, Wall
from cradle.result.seated_thing import SeatedThing

_ONE_MM = 0.005
"""Clearances that differ by less are told as one."""


@noun
class MadeHolder:
    """A finished holder.

    Attributes
    ----------
    project : Project
        Its block with the flare as a number.
    things : tuple of SeatedThing
        The different things it holds, the project's own first.
    mass_g : float
        Of a solid print.
    cautions : tuple of str
        Sentences, the graver ones first.
    """

    project: Project
    things: tuple[SeatedThing, ...]
    holder: Holder
    wall: Wall
    standing: Standing
    mass_g: float
    inspection: tuple[InspectionDimension, ...]
    cautions: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def own(self) -> SeatedThing:
        """The project's own thing."""
        return self.things[0]

    @property
    def name(self) -> str:
        """What is held, in words: how many of what."""
        return listed(
            [
                f"{len(thing.pockets)} × {thing.model.name}" if len(thing.pockets) > 1 else thing.model.name
                for thing in self.things
            ]
        )

    @property
    def title(self) -> str:
        """What is held, and the clearance."""
        return f"{self.name}, {self.clearance_words}"

    @property
    def clearance_words(self) -> str:
        """The clearance in a sentence: with its unit, that it is per side, and up to how much it is where it is not the same everywhere."""
        most = max((thing.clearance.held() for thing in self.things), key=lambda held: held.greatest_mm)
        greatest = round(most.greatest_mm, 2)
        where = "in places" if most.clearances_mm.max() >= most.greatest_mm else "between the sections"
        all_over = max(map(float, self._told))
        more = "" if greatest - all_over < _ONE_MM else f", up to {greatest:.2f} mm {where}"
        linings = sorted({thing.model.project.fit.lining_mm for thing in self.things} - {0.0})
        lined = f", lined {' or '.join(f'{mm:g}' for mm in linings)} mm thick" if linings else ""
        return f"{self.asked_words} mm clearance per side{more}{lined}"

    @property
    def project_files(self) -> tuple[str, ...]:
        """Names of the things' project files, from the folder of the first; of one on another drive, with that."""
        own = self.project.file
        others = (thing.model.project.file for thing in self.things[1:])
        return (own.name, *(_from(own.parent, file) for file in others))

    @property
    def asked_mm(self) -> float:
        """The least clearance asked for, per side."""
        return min(thing.clearance.least_mm for thing in self.things)

    @property
    def asked_words(self) -> str:
        """The least clearance asked for, per side, mm; of things that differ the least and the greatest of theirs."""
        most = max(self._told, key=float)
        return most if self.least_told == most else f"{self.least_told} to {most}"

    @property
    def least_told(self) -> str:
        """The least clearance asked for of all things, as text, mm."""
        return min(self._told, key=float)

    @property
    def _told(self) -> list[str]:
        return [thing.clearance.least_told for thing in self.things]

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """How wide, deep and high it is as it is printed."""
        x, y, z = np.ptp(bounds_mm(self.holder.mesh), axis=0).tolist()
        return x, y, z

    @property
    def triangles(self) -> int:
        """How many its files hold."""
        return len(single_precision(self.holder.mesh).faces)

    @property
    def added_words(self) -> str:
        """What trials added to the clearance, mm per side; where it differs the range; empty where they added nothing."""
        learned = [thing.model.learned for thing in self.things]
        added = [one.corrections_mm[k] for one in learned for k in one.model.reached()]
        least, most = (f"{end:+z.2f}" for end in (min(added), max(added)))
        if least == most:
            return "" if least == "+0.00" else least
        return f"{least} to {most}"

    @property
    def tightest(self) -> SeatedThing:
        """The thing with the least gap."""
        return min(self.things, key=lambda thing: thing.least_gap_mm)

    @property
    def most_undercut(self) -> SeatedThing:
        """The thing whose way out costs most room."""
        return max(self.things, key=lambda thing: thing.pocket.undercut.depth_mm)

    @property
    def chance(self) -> float:
        """The chance that all things go in, 0 to 1.

        The product of theirs, which is too low rather than too high, as they
        share the printer's error.
        """
        return float(np.prod([thing.assessment.chance.chance for thing in self.things]))

    @property
    def chance_words(self) -> str:
        """That chance as text, told from the chance asked for where it misses it."""
        return percent(self.chance, goal=self.project.fit.chance)


def pockets_in_order(things: Sequence[SeatedThing]) -> tuple[tuple[Pocket, SeatedThing], ...]:
    """All pockets of a row from left to right, each with its thing."""
    numbered = [
        (number, pocket, thing)
        for thing in things
        for number, pocket in zip(thing.numbers, thing.pockets, strict=True)
    ]
    return tuple((pocket, thing) for _, pocket, thing in sorted(numbered, key=lambda one: one[0]))


def _from(folder: Path, file: Path) -> str:
    """The path of a file from a folder."""
    try:
        return os.path.relpath(file, folder)
    except ValueError:  # Windows knows no way from one drive to another
        return str(file)
