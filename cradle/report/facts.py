"""What a report is written from: the nouns of one finished holder and its figures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from cradle.checks.held import Held
from cradle.holder.holder import Holder
from cradle.holder.sheet import View
from cradle.project.spec import Project


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
    def clearance_words(self) -> str:
        """The clearance with its unit, and that it is per side."""
        return f"{self.summary['clearance_asked_mm']:g} mm clearance per side"
