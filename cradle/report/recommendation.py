"""The recommendation and what to do next: both follow from the findings and the chance of fit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from enum import StrEnum
from os.path import join, normpath
from typing import Final

from cradle.finding import About, Finding, Severity, but_notes
from cradle.fit.chance_words import percent_asked
from cradle.names import command, listed, sentence
from cradle.noun import record
from cradle.placing.lean import LEAN_NOT_KNOWN
from cradle.project.trial_log import Outcome, Trial, TrialPiece
from cradle.result.made_holder import MadeHolder
from cradle.result.rings_to_try import SAME_RING_MM, rings_to_try
from cradle.result.seated_thing import SeatedThing

_LOOSE_MM: Final = 1.0
"""What moves no further from stop to stop has a loose fit, 0.5 mm on each side (common practice, no source)."""
_TO_PRINT: Final = (
    "Print the holder as it lies in the file.",
    "When it is cold, check the inspection dimensions with calipers before the thing goes near it.",
)


class Advised(StrEnum):
    """What the findings amount to."""

    PRINT = "print it"
    MEASURE_LEAN = "measure how it leans first"
    """What its sides would tell is the greatest doubt, and test pieces do not tell it."""
    MEASURE_MORE = "measure more first"
    """Sections, profiles or views would tell what the greatest doubt is, the shape between sections, and test pieces do not."""
    TEST_PIECES = "print test pieces first"
    DECIDE = "decide for yourself"
    """What is doubtful test pieces cannot tell, or they were tried."""
    STOP = "do not print"


@record
class Recommendation:
    """What is advised.

    Attributes
    ----------
    reason : str
        In a sentence, where no finding tells it.
    section_mm : float or None
        The height of a section of the project's own thing that the reason says to measure.
    actions : tuple of str
        What to do once the findings are seen to, in its order.
    """

    advised: Advised
    reason: str
    actions: tuple[str, ...]
    section_mm: float | None = None


@record
class PieceToTry:
    """Test pieces of a thing and one of them that teaches something: for the commands to type.

    ``clearances_mm`` is empty where the project cuts those pieces by itself;
    ``noted``: how that one went is among the trials; ``thing`` as findings name it.
    """

    project_file: str
    section: str
    clearance_mm: float
    clearances_mm: tuple[float, ...] = ()
    noted: bool = False
    thing: str = ""


def recommendation(made: MadeHolder, *, folder: str = "") -> Recommendation:
    """The recommendation on a finished holder, its commands typed in a place from which its project lies in ``folder``."""
    advice = recommend(
        made.findings,
        chance=made.chance,
        goal=made.project.fit.chance,
        pieces=pieces_to_try(made, folder=folder),
    )
    if advice.advised is not Advised.PRINT:
        return advice
    advice = replace(advice, actions=(*advice.actions, *_linings(made)))
    loosest = max(made.things, key=lambda one: one.assessment.chance.play_mm)
    if loosest.assessment.chance.play_mm <= _LOOSE_MM:
        return advice
    section = loosest.assessment.next if loosest is made.own else None
    return replace(
        advice,
        reason=f"{advice.reason} {_play(loosest)}".lstrip(),
        section_mm=None if section is None else section.first_mm,
    )


def _linings(made: MadeHolder) -> Iterator[str]:
    """What to line each thing's pocket with, once it is printed."""
    for thing in made.things:
        thick_mm = thing.model.project.fit.lining_mm
        if thick_mm:
            of = f" of {thing.label}" if thing.label else ""
            yield f"Glue felt or foam {thick_mm:g} mm thick into the pocket{of}, over its floor and its walls, before you try the thing."


def _play(thing: SeatedThing) -> str:
    """How far a thing can move and what holds it closer, in a sentence."""
    words, closer = thing.assessment.chance.play_words, thing.assessment.where_to_measure
    return sentence(
        f"{thing.label or 'the thing'} may {words}: to hold it closer, {closer or 'give less clearance'}"
    )


def step_after_check(made: MadeHolder, *, folder: str) -> str:
    """What to do after a holder was only foreseen, once the findings are seen to; commands as for `recommendation`."""
    advice, pieces = recommendation(made, folder=folder), pieces_to_try(made, folder=folder)
    match advice.advised:
        case Advised.STOP | Advised.MEASURE_LEAN | Advised.MEASURE_MORE:
            return f"Then run “{command('check', pieces[0].project_file)}” again."
        case Advised.TEST_PIECES:
            return advice.actions[0]
        case Advised.DECIDE:
            return f"Make the holder, if you can live with what it is warned of: {_make(pieces)}."
        case Advised.PRINT:
            return f"Make the holder: {_make(pieces)}."


def pieces_to_try(made: MadeHolder, *, folder: str) -> tuple[PieceToTry, ...]:
    """Test pieces of each thing, the holder's own first; the project lies in a folder."""
    pieces = []
    for file, thing in zip(made.project_files, made.things, strict=True):
        rings, model = rings_to_try(thing), thing.model
        # alone, a thing of another project may ask for less than in this row
        by_itself = thing is made.own or bool(model.project.test_pieces.clearances_mm)
        pieces.append(
            PieceToTry(
                project_file=normpath(join(folder, file)),
                section=rings.section,
                clearance_mm=rings.clearance_mm,
                clearances_mm=() if by_itself else rings.clearances_mm,
                noted=_noted(model.learned.trials, section=rings.section, clearance_mm=rings.clearance_mm),
                thing=thing.label,
            )
        )
    return tuple(pieces)


def _noted(trials: Sequence[Trial], *, section: str, clearance_mm: float) -> bool:
    return any(
        trial.piece is TrialPiece.TEST_PIECE
        and trial.section == section
        and trial.clearance_mm is not None
        and abs(trial.clearance_mm - clearance_mm) < SAME_RING_MM
        for trial in trials
    )


def recommend(
    findings: Sequence[Finding], *, chance: float, goal: float, pieces: Sequence[PieceToTry]
) -> Recommendation:
    """The recommendation that findings and chance of fit lead to.

    Parameters
    ----------
    chance : float
        That all things go in, 0 to 1.
    pieces : sequence of PieceToTry
        One of each of the things held, for the commands to type; the first is
        of the holder's own.
    """
    loud = but_notes(findings)
    reason = "No problems were found." if chance >= goal else f"{percent_asked(goal)} was asked for."
    if any(f.severity is Severity.FAIL for f in loud):
        return Recommendation(
            advised=Advised.STOP, reason=reason, actions=(f"Then run {_make(pieces)} again.",)
        )
    for about, advised in ((About.LEAN, Advised.MEASURE_LEAN), (About.SHAPE, Advised.MEASURE_MORE)):
        if any(f.about is about for f in loud):
            return Recommendation(
                advised=advised,
                reason=reason,
                actions=(f"Then run {_make(pieces)} again: what the thing needs may be quite different.",),
            )
    if loud or chance < goal:
        untried = [piece for piece in _in_doubt(pieces, loud) if not piece.noted]
        if not untried or (chance >= goal and not any(f.about.tried for f in loud)):
            decide = (
                f"Run {_make(pieces)} again, or print the holder if you can live with what it still warns of."
            )
            return Recommendation(advised=Advised.DECIDE, reason=reason, actions=(decide,))
        return Recommendation(
            advised=Advised.TEST_PIECES, reason=reason, actions=(*_steps_to_try(untried), _again(pieces))
        )
    reason = " ".join(filter(None, (reason, _if_it_leans(findings))))
    return Recommendation(advised=Advised.PRINT, reason=reason, actions=_TO_PRINT)


def _if_it_leans(findings: Iterable[Finding]) -> str:
    """What to look at where nothing measured tells how a thing leans: who has it sees that."""
    leans = [finding for finding in findings if finding.code == LEAN_NOT_KNOWN]
    if not leans:
        return ""
    names = list(dict.fromkeys(name for finding in leans for name in finding.things))
    taken = f"{listed(names)} are" if len(names) > 1 else f"{names[0] if names else 'the thing'} is"
    one = "one" if len(names) > 1 else "it"
    return sentence(
        f"{taken} taken not to lean where nothing measured tells it: if {one} does, measure how first"
    )


def _in_doubt(pieces: Sequence[PieceToTry], loud: Sequence[Finding]) -> list[PieceToTry]:
    """The pieces of the things that doubts name; all pieces if no thing is named, or one that has no piece of its own."""
    named = {thing for finding in loud if finding.about.tried for thing in finding.things or ("",)}
    one_by_one = named and named <= {piece.thing for piece in pieces}
    return [piece for piece in pieces if not one_by_one or piece.thing in named]


def _make(pieces: Sequence[PieceToTry]) -> str:
    return f"“{command('make', pieces[0].project_file)}”"


def _cut(piece: PieceToTry) -> str:
    asked = [("clearance", f"{clearance:g}") for clearance in piece.clearances_mm]
    return f"“{command('pieces', piece.project_file, asked)}”"


def _note(piece: PieceToTry) -> str:
    ring = [("section", piece.section), ("clearance", f"{piece.clearance_mm:g}"), ("seen", Outcome.TIGHT)]
    return f"“{command('trial', piece.project_file, ring)}”"


def _steps_to_try(pieces: Sequence[PieceToTry]) -> tuple[str, ...]:
    return (
        f"Print the test pieces, or one ring at first: {listed([*map(_cut, pieces)])}.",
        f"Try each on the thing and record how it went ({listed([*Outcome], 'or')}), such as {listed([*map(_note, pieces)])}.",
    )


def _again(pieces: Sequence[PieceToTry]) -> str:
    return (
        f"Run {_make(pieces)} again: it takes the trials into account. Print the holder when its verdict says so, or"
        " when you can live with what it still warns of."
    )
