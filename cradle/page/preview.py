"""A look: all that is shown of a built holder, as plain data that can pass between processes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from cradle.finding import Severity
from cradle.pipeline.evaluation import Made
from cradle.pipeline.report_files import facts_of
from cradle.pipeline.row import Row
from cradle.report.page import page_parts, solid_html
from cradle.report.planned import chance_at, planned_sections
from cradle.sections.section import Section


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Look:
    """What is shown of a built holder.

    Attributes
    ----------
    name, clearance_words : str
        What is held, and the clearance, in words.
    words : str
        The chance that the project's own thing goes in, as a sentence.
    parts : mapping of str to str
        Parts of the report as HTML, by name.
    solid : str
        The view in space, HTML with a script.
    summary : mapping
        Content of ``summary.json``.
    sections : tuple of Section
        Of the project's own thing.
    gaps_mm : tuple of float
        The gap that the file has at each of them.
    own_mm : tuple of float or None
        Clearances that single sections have of their own.
    rim_mm : float
        How far up the thing the holder reaches.
    taken_mm : mapping of str to float
        What the program took for values that may be left to it, by key.
    print_it : bool
        Whether no finding says not to print it.
    """

    name: str
    clearance_words: str
    words: str
    parts: Mapping[str, str]
    solid: str
    summary: Mapping[str, Any]
    sections: tuple[Section, ...]
    gaps_mm: tuple[float, ...]
    own_mm: tuple[float | None, ...]
    rim_mm: float
    taken_mm: Mapping[str, float]
    print_it: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Glance:
    """What can be said of a clearance at once: words on the chance, and the sections as HTML."""

    words: str
    sections: str


def look_at(row: Row, made: Made, *, keep: str) -> Look:
    """The look of a built holder; ``keep`` is the name under which the browser remembers how it was turned."""
    facts, own = facts_of(made), made.own
    heights = own.wanted.at(own.wanted.heights_mm)
    return Look(
        name=facts.name,
        clearance_words=facts.clearance_words,
        words=f"Built with {facts.clearance_words}: {_goes_in(made.summary)}"
        f" in {_cases(made.summary['things'][0]['chance_of_fit'])}.",
        parts=page_parts(facts),
        solid=solid_html(facts, keep=keep),
        summary=made.summary,
        sections=own.sections,
        gaps_mm=tuple(float(gap) for gap in heights),
        own_mm=tuple(s.clearance_mm for s in row.project.sections),
        rim_mm=row.project.block.height_mm,
        taken_mm={
            "fit.clearance": made.summary["things"][0]["clearance_asked_mm"],
            "block.flare": round(made.project.block.wider_mm, 3),
        },
        print_it=all(finding.severity is not Severity.FAIL for finding in made.findings),
    )


def glance_at(look: Look, clearance_mm: float) -> Glance:
    """What another clearance would be like, judged from the last look: its gaps and chance moved alike."""
    by = clearance_mm - look.taken_mm["fit.clearance"]
    gaps = [gap if own is not None else gap + by for gap, own in zip(look.gaps_mm, look.own_mm, strict=True)]
    own_row = look.summary["things"][0]
    least = own_row["clearance_asked_mm"] + min(gaps) - min(look.gaps_mm)
    words = f"At {clearance_mm:.2f} mm per side"
    curve = own_row["fit"]["curve"]
    if curve:
        words += f" {_goes_in(look.summary)} in about {_cases(chance_at(curve, least))}"
    reached = [
        gap if section.height_mm < look.rim_mm else None
        for section, gap in zip(look.sections, gaps, strict=True)
    ]
    return Glance(words=f"{words}.", sections=planned_sections(look.sections, reached))


def _goes_in(summary: Mapping[str, Any]) -> str:
    things = summary["things"]
    return f"{things[0]['name'] if len(things) > 1 else 'it'} goes in without touching"


def _cases(chance: float) -> str:
    return f"{'more than 99' if chance > 0.99 else f'{100 * chance:.0f}'} of 100 cases"
