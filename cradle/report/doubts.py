"""Doubts, on which the verdict rests: each with its place, what it is and what helps, the gravest first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from cradle.finding import About, Finding, Severity
from cradle.names import sentence
from cradle.noun import record
from cradle.report.in_brief import doubts_in_brief
from cradle.report.recommendation import Recommendation
from cradle.result.made_holder import MadeHolder

_SEE_TO_THEM: Final = "Deal with the points above, from the top: each says what helps."


@record
class Doubt:
    """A doubt in sentences.

    Attributes
    ----------
    place : str
        The thing and the key or section; empty where the message tells its place itself.
    advice : str
        What helps; empty where nothing does.
    finding : Finding
        What it tells.
    """

    place: str
    message: str
    advice: str
    finding: Finding

    @property
    def severity(self) -> Severity:
        """How grave it is."""
        return self.finding.severity

    @property
    def after_place(self) -> str:
        """Message and advice, to stand after the place."""
        return f"{self.message} {self.advice}".rstrip()


def doubts_about(made: MadeHolder) -> tuple[Doubt, ...]:
    """The doubts about a holder, the gravest first: failures; then warnings of readings, the lean, the hold, the fit, the rest, and mere looks."""
    return tuple(_doubt(f) for f in sorted(doubts_in_brief(made.findings), key=gravity))


def steps_after(found: Sequence[Doubt], advice: Recommendation) -> tuple[str, ...]:
    """What to do once the points are told, in its order: they first, each with its own advice."""
    return (*seeing_to(found), *advice.actions)


def seeing_to(found: Sequence[Doubt]) -> tuple[str, ...]:
    """The step that sees to the points told; none where none says what helps."""
    return (_SEE_TO_THEM,) if any(doubt.advice for doubt in found) else ()


def gravity(finding: Finding) -> tuple[bool, ...]:
    """What findings are sorted by, the gravest first."""
    after = (
        finding.about is not About.READING,
        finding.about is not About.LEAN,
        finding.about is not About.HOLD,
        finding.about not in (About.SHAPE, About.FIT),
        finding.about is About.LOOKS,
    )
    return finding.severity is not Severity.FAIL, finding.severity is Severity.NOTE, *after


def _doubt(finding: Finding) -> Doubt:
    """A finding whose things are named in its place."""
    place = ", ".join(filter(None, (finding.whose, finding.where)))
    message, advice = sentence(finding.message), sentence(finding.advised)
    return Doubt(place=place, message=message, advice=advice, finding=finding)
