"""The recommendation and what to do next: both follow from the findings and the chance of fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from cradle.finding import Finding, Severity
from cradle.result.made_holder import MadeHolder

_SURE: Final = 0.99
"""A chance above this is not told to the hundredth: the draws do not know it so well."""


class Advised(StrEnum):
    """What the findings amount to."""

    PRINT = "print it"
    SLICES = "print slices first"
    STOP = "do not print"


@dataclass(frozen=True, slots=True, kw_only=True)
class Recommendation:
    """What is advised, the reason in a sentence, and the steps to take in their order."""

    advised: Advised
    reason: str
    steps: tuple[str, ...]


def recommendation(made: MadeHolder) -> Recommendation:
    """The recommendation on a finished holder."""
    return recommend(
        made.findings,
        chance=made.chance,
        goal=made.project.fit.chance,
        project_files=made.project_files,
    )


def recommend(
    findings: Sequence[Finding], *, chance: float, goal: float, project_files: Sequence[str]
) -> Recommendation:
    """The recommendation that findings and chance of fit lead to.

    Parameters
    ----------
    findings : sequence of Finding
    chance : float
        That all things go in, 0 to 1.
    goal : float
        Chance of fit that is good enough, 0 to 1.
    project_files : sequence of str
        Names of the project files of the things held, for the commands to type;
        the first is the holder's own.
    """
    fails = [f for f in findings if f.severity is Severity.FAIL]
    warns = [f for f in findings if f.severity is Severity.WARN]
    if fails:
        return Recommendation(
            advised=Advised.STOP,
            reason=_messages(fails),
            steps=_steps_to_mend(fails, warns, project_file=project_files[0]),
        )
    if warns or chance < goal:
        return Recommendation(
            advised=Advised.SLICES,
            reason=_messages(warns) if warns else _chance_words(chance, goal=goal),
            steps=(*_advice(warns), *_steps_to_try(project_files), *_steps_to_print()),
        )
    words = _chance_words(chance, goal=goal)
    return Recommendation(
        advised=Advised.PRINT,
        reason=f"Nothing stands against it, and {words[0].lower()}{words[1:]}",
        steps=_steps_to_print(),
    )


def cases(chance: float) -> str:
    """A chance in words, such as "96 of 100 cases"."""
    return f"{'more than 99' if chance > _SURE else f'{100 * chance:.0f}'} of 100 cases"


def _chance_words(chance: float, *, goal: float) -> str:
    odds = f"The thing is reckoned to go in without touching in {cases(chance)}"
    return f"{odds}; {100 * goal:.0f} were asked for." if chance < goal else f"{odds}."


def _messages(findings: Sequence[Finding]) -> str:
    """The messages as sentences."""
    return " ".join(_sentence(f.message) for f in findings)


def _sentence(text: str) -> str:
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "!", "?")) else f"{text}."


def _advice(findings: Sequence[Finding]) -> tuple[str, ...]:
    """What the findings advise, each once."""
    return tuple(dict.fromkeys(_sentence(f.advice) for f in findings if f.advice))


def _steps_to_mend(
    fails: Sequence[Finding], warns: Sequence[Finding], *, project_file: str
) -> tuple[str, ...]:
    return (*_advice(fails), *_advice(warns), f"Then run “cradle make {project_file}” again.")


def _steps_to_try(project_files: Sequence[str]) -> tuple[str, ...]:
    def commands(name: str) -> str:
        return " and ".join(f"“cradle {name} {file}”" for file in project_files)

    return (
        f"Print the test slices: {commands('slices')}. They take little filament.",
        f"Try them on the thing and note the outcome: {commands('trial')}. The next “cradle make” uses it.",
    )


def _steps_to_print() -> tuple[str, ...]:
    return (
        "Print the holder as it lies in the file.",
        "When it is cold, read the control dimensions with calipers before the thing goes near it.",
    )
