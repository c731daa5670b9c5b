"""What is worth measuring next: sections, or what else makes the chance of fit better."""

from __future__ import annotations

from typing import Final

from cradle.finding import About
from cradle.fit.chance import Cause
from cradle.fit.gain import Gains
from cradle.fit.model import FitModel
from cradle.fit.more_points import more_points
from cradle.fit.next_sections import NextSections, next_sections
from cradle.fit.remedies import measuring_advice, what_helps
from cradle.fit.uncertainties import Spread
from cradle.noun import noun
from cradle.project.project import Project
from cradle.project.section import Align
from cradle.sections.turned import may_be_turned

_PLENTY: Final = 24
"""Among more sections than this one more makes no difference."""


@noun
class Measuring:
    """The sections to measure next, whether anything is worth measuring, and what, in a sentence; nothing where the chance is high enough."""

    next: NextSections | None = None
    helps: bool = False
    words: str = ""

    @property
    def section_mm(self) -> float | None:
        """The height of the first of them; None where there is none."""
        return None if self.next is None else self.next.first_mm

    def about(self, cause: Cause) -> About:
        """What a finding on a thing that is too tight is about: its shape, where measuring would tell that, else the fit."""
        return About.SHAPE if self.helps and cause.spread is Spread.BETWEEN else About.FIT


def worth_measuring(
    model: FitModel, gains: Gains, *, limit: Cause, project: Project, goal: float | None
) -> Measuring:
    """What is worth measuring next; with a ``goal`` as many sections as it takes to reach that chance of fit."""
    few = len(model.section_heights_mm) <= _PLENTY
    found = next_sections(model, gains, goal=goal) if few else None
    highest = float(model.section_heights_mm[-1])
    helps = what_helps(
        found,
        points=more_points(model, gains),
        limited_by=limit.spread,
        unseen=model.unseen,
        sections=len(model.section_heights_mm) if project.spread.between_mm is None else None,
        turned=project.loft.align is not Align.DRAWING and may_be_turned(project.sections),
        hollows=model.with_hollows,
        lower_block=_lower_block(highest, lean_deg=project.block.lean_deg)
        if limit.height_mm > highest
        else "",
    )
    words = measuring_advice(helps, limited_by=limit.spread, side=project.side)
    return Measuring(next=found, helps=bool(helps), words=words)


def _lower_block(measured_mm: float, *, lean_deg: float) -> str:
    """What keeps a holder within what was measured; of a leaning thing a block's height is not the thing's own."""
    return "make the block lower" if lean_deg else f"end the block at {measured_mm:g} mm"
