"""A preview: all that is shown of a built holder, as plain data that can pass between processes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from cradle.finding import Severity
from cradle.pipeline.output_files import report_drawings
from cradle.pipeline.row import Row
from cradle.report.page import page_parts, solid_html
from cradle.report.planned import chance_at, planned_sections
from cradle.report.recommendation import percent
from cradle.result.made_holder import MadeHolder
from cradle.sections.section import Section


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Preview:
    """What is shown of a built holder.

    Attributes
    ----------
    name, clearance_words : str
        What is held, and the clearance, in words.
    thing : str
        The project's own thing as the subject of a sentence: its name where there are others.
    words : str
        The chance that the project's own thing goes in, as a sentence.
    parts : mapping of str to str
        Parts of the report as HTML, by name.
    solid : str
        The 3-D view, HTML with a script.
    asked_mm : float
        The least clearance that the project's own thing is given, per side.
    chance : float
        That it goes in, 0 to 1.
    curve : tuple of (float, float)
        Clearances, mm, rising, and the chance at each.
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
    thing: str
    words: str
    parts: Mapping[str, str]
    solid: str
    asked_mm: float
    chance: float
    curve: tuple[tuple[float, float], ...]
    sections: tuple[Section, ...]
    gaps_mm: tuple[float, ...]
    own_mm: tuple[float | None, ...]
    rim_mm: float
    taken_mm: Mapping[str, float]
    print_it: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Glance:
    """What can be told of a clearance at once: words on the chance, and the sections as HTML."""

    words: str
    sections: str


def preview_of(row: Row, made: MadeHolder, *, keep: str) -> Preview:
    """The preview of a built holder; ``keep`` is the name under which the browser remembers how it was turned."""
    own = made.own
    chance = own.assessment.chance
    thing = own.model.name if len(made.things) > 1 else "it"
    asked_mm = round(own.clearance.least_mm, 3)
    return Preview(
        name=made.name,
        clearance_words=made.clearance_words,
        thing=thing,
        words=f"Built with {made.clearance_words}: {_goes_in(thing)}: {percent(chance.chance)}.",
        parts=page_parts(made, report_drawings(made)),
        solid=solid_html(made, keep=keep),
        asked_mm=asked_mm,
        chance=chance.chance,
        curve=chance.curve,
        sections=own.model.sections,
        gaps_mm=tuple(own.wanted.at(own.wanted.heights_mm).tolist()),
        own_mm=tuple(s.clearance_mm for s in row.project.sections),
        rim_mm=row.project.block.height_mm,
        taken_mm={"fit.clearance": asked_mm, "block.flare": round(made.project.block.wider_mm, 3)},
        print_it=all(finding.severity is not Severity.FAIL for finding in made.findings),
    )


def glance_at(preview: Preview, clearance_mm: float) -> Glance:
    """What another clearance would be like, judged from the last preview: its gaps and chance moved alike."""
    by = clearance_mm - preview.taken_mm["fit.clearance"]
    gaps = [
        gap if own is not None else gap + by for gap, own in zip(preview.gaps_mm, preview.own_mm, strict=True)
    ]
    least = preview.asked_mm + min(gaps) - min(preview.gaps_mm)
    chance = chance_at(preview.curve, least)
    reached = [
        gap if section.height_mm < preview.rim_mm else None
        for section, gap in zip(preview.sections, gaps, strict=True)
    ]
    return Glance(
        words=f"At {clearance_mm:.2f} mm per side {_goes_in(preview.thing)}: about {percent(chance)}.",
        sections=planned_sections(preview.sections, reached),
    )


def _goes_in(thing: str) -> str:
    return f"chance that {thing} goes in without touching"
