"""The verdict in words, and what to do next: both follow from the findings and the chance of fit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any


class Verdict(StrEnum):
    """What the findings amount to."""

    PRINT = "print it"
    SLICES = "print slices first"
    STOP = "do not print"


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """The verdict, the reason in a sentence, and the steps to take in their order."""

    verdict: Verdict
    reason: str
    steps: tuple[str, ...]


def judge(summary: Mapping[str, Any], *, goal: float, project_files: Sequence[str]) -> Judgement:
    """The judgement on a holder.

    Parameters
    ----------
    summary : mapping
        Content of ``summary.json``.
    goal : float
        Chance of fit that is good enough, 0 to 1.
    project_files : sequence of str
        Names of the project files of the things held, for the commands to type;
        the first is the holder's own.
    """
    findings = summary["findings"]
    fails = [f for f in findings if f["severity"] == "fail"]
    warns = [f for f in findings if f["severity"] == "warn"]
    chance = summary.get("chance_of_fit")
    if fails:
        return Judgement(
            verdict=Verdict.STOP,
            reason=_said(fails),
            steps=_stopped(fails, warns, project_file=project_files[0]),
        )
    low = chance is None or chance < goal
    if warns or low:
        reasons = _said(warns) if warns else _chance_words(chance, goal=goal)
        return Judgement(
            verdict=Verdict.SLICES,
            reason=reasons,
            steps=(*_asked(warns), *_sliced(project_files), *_ready()),
        )
    return Judgement(
        verdict=Verdict.PRINT,
        reason=f"Nothing stands against it, and {_chance_words(chance, goal=goal)[0].lower()}"
        f"{_chance_words(chance, goal=goal)[1:]}",
        steps=_ready(),
    )


def _chance_words(chance: float | None, *, goal: float) -> str:
    if chance is None:
        return "How likely the thing is to fit has not been reckoned."
    cases = "more than 99" if chance > 0.99 else f"{100 * chance:.0f}"
    odds = f"The thing is reckoned to go in without touching in {cases} of 100 cases"
    return f"{odds}; {100 * goal:.0f} were asked for." if chance < goal else f"{odds}."


def _said(findings: list[dict[str, Any]]) -> str:
    """The messages as sentences."""
    return " ".join(_sentence(f["message"]) for f in findings)


def _sentence(text: str) -> str:
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "!", "?")) else f"{text}."


def _asked(findings: list[dict[str, Any]]) -> tuple[str, ...]:
    """What the findings advise, each once."""
    return tuple(dict.fromkeys(_sentence(f["advice"]) for f in findings if f.get("advice")))


def _stopped(
    fails: list[dict[str, Any]], warns: list[dict[str, Any]], *, project_file: str
) -> tuple[str, ...]:
    return (*_asked(fails), *_asked(warns), f"Then run “cradle make {project_file}” again.")


def _sliced(project_files: Sequence[str]) -> tuple[str, ...]:
    def commands(name: str) -> str:
        return " and ".join(f"“cradle {name} {file}”" for file in project_files)

    return (
        f"Print the test slices: {commands('slices')}. They take little filament.",
        f"Try them on the thing and note the outcome: {commands('trial')}. The next “cradle make” uses it.",
    )


def _ready() -> tuple[str, ...]:
    return (
        "Print the holder as it lies in the file.",
        "When it is cold, read the control dimensions with calipers before the thing goes near it.",
    )
