"""What a report is written from: the nouns of one finished holder and its figures."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from cradle.checks.held import Held
from cradle.drawing.sheet import View
from cradle.holder.holder import Holder
from cradle.project.project import Project


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Facts:
    """One holder, ready to be reported on.

    Attributes
    ----------
    project, things, holder
        As made.
    views : tuple of View
        The plan, then a cut from the front and one from the right for each of the things.
    drawings : tuple of str
        The same as SVG elements with their dimensions.
    summary : mapping
        Content of ``summary.json``; parts that are not there are not reported.
    """

    project: Project
    things: tuple[Held, ...]
    holder: Holder
    views: tuple[View, ...]
    drawings: tuple[str, ...]
    summary: Mapping[str, Any]

    @property
    def title(self) -> str:
        """What is held, and the clearance."""
        return f"{self.name}, {self.clearance_words}"

    @property
    def name(self) -> str:
        """What is held, in words: how many of what."""
        return " and ".join(
            f"{len(held.pockets)} × {held.project.thing.name}"
            if len(held.pockets) > 1
            else held.project.thing.name
            for held in self.things
        )

    @property
    def project_files(self) -> tuple[str, ...]:
        """Names of the things' project files, from the folder of the first."""
        own = self.project.file
        return (own.name, *(os.path.relpath(held.project.file, own.parent) for held in self.things[1:]))

    @property
    def clearance_words(self) -> str:
        """The clearance with its unit, and that it is per side; of different things the range."""
        asked = sorted({row["clearance_asked_mm"] for row in self.summary["things"]})
        words = f"{asked[0]:g}" if len(asked) == 1 else f"{asked[0]:g} to {asked[-1]:g}"
        return f"{words} mm clearance per side"
