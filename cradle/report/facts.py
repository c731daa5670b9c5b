"""What a report is written from: the nouns of one finished holder and its figures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from cradle.geometry.arrays import Floats
from cradle.holder.holder import Holder
from cradle.holder.sheet import View
from cradle.loft.body import Body
from cradle.pocket.pocket import Pocket
from cradle.project.spec import Project
from cradle.sections.section import Section


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Facts:
    """One holder, ready to be reported on.

    Attributes
    ----------
    project, sections, body, pocket, holder
        As made.
    holder_from_object : (4, 4) float64
        Where the thing's frame sits in the print frame, mm.
    views : (View, View, View)
        Plan, cut from the front, cut from the right.
    drawings : tuple of str
        The same three as SVG elements with their dimensions.
    summary : mapping
        Content of ``summary.json``; parts that are not there are not reported.
    """

    project: Project
    sections: tuple[Section, ...]
    body: Body
    pocket: Pocket
    holder: Holder
    holder_from_object: Floats
    views: tuple[View, View, View]
    drawings: tuple[str, ...]
    summary: Mapping[str, Any]

    @property
    def title(self) -> str:
        """The thing's name and the clearance."""
        return f"{self.project.thing.name}, {self.clearance_words}"

    @property
    def clearance_words(self) -> str:
        """The clearance with its unit, and that it is per side."""
        return f"{self.summary['clearance_asked_mm']:g} mm clearance per side"
