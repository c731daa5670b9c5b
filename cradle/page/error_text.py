"""An error as plain data for the page: which field it belongs to, what was found, what to do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, replace
from pathlib import Path
from typing import Final

from cradle.errors import CombinedError, CradleError, Problem, ProjectError
from cradle.finding import Finding
from cradle.names import sentence
from cradle.page.plain_words import plain_words

_INSTEAD: Final = {"trial": "note it under Trials"}
"""What is done on the page in place of a command."""


def finding_data(finding: Finding) -> dict[str, object]:
    """A finding as JSON data."""
    return {
        "code": finding.code,
        "severity": str(finding.severity),
        "where": finding.where,
        "message": plain_words(finding.told),
        "advice": _advice(finding),
    }


def _advice(finding: Finding) -> str:
    done = "" if finding.command is None else f" and {_INSTEAD[finding.command.name]}"
    return f"{plain_words(finding.advice)}{done}"


def problems_told(error: CradleError, *, file: Path) -> tuple[Problem, ...]:
    """The mistakes of an error as those of a project's fields: of what lies in another file, that file is told in front.

    Examples
    --------
    >>> from cradle.errors import InputError
    >>> own = Path("holder.toml")
    >>> inside = InputError("the file is empty", where=("holder.toml", "row.things[1]", "low.svg"))
    >>> [str(p) for p in problems_told(inside, file=own)]
    ['row.things[1]: low.svg: the file is empty']
    >>> other = ProjectError("flute/holder.toml", (Problem(where="block.wall", found="found -1 mm", line=7),))
    >>> [str(p) for p in problems_told(other, file=own)]
    ['in flute/holder.toml, line 7: block.wall: found -1 mm']
    """
    if isinstance(error, CombinedError):
        return tuple(problem for one in error.errors for problem in problems_told(one, file=file))
    if isinstance(error, ProjectError) and error.file != str(file):
        places = [f"in {error.file}" + ("" if p.line is None else f", line {p.line}") for p in error.problems]
        told = zip(places, error.problems, strict=True)
        return tuple(replace(p, where=f"{place}: {p.where}", line=None) for place, p in told)
    if error.places[:1] != (str(file),):
        return error.problems
    where, *inside = (*error.places[1:], "")
    own = Problem(where=": ".join(filter(None, inside)), found=error.found, hint=error.hint)
    return (own.told_at(where),)


def problem_rows(problems: Iterable[Problem]) -> list[dict[str, object]]:
    """Mistakes as JSON data, each also as a sentence of its own without its place."""
    return [asdict(problem) | {"words": problem_words(problem)} for problem in problems]


def problem_words(problem: Problem) -> str:
    """What was found and what to do, as a sentence.

    Examples
    --------
    >>> problem_words(Problem(where="block.wall", found="found -1 mm", hint="allowed is more than 0 mm"))
    'Found -1 mm; allowed is more than 0 mm.'
    """
    said = f"{problem.found}; {problem.hint}" if problem.hint else problem.found
    return sentence(plain_words(" ".join(said.split())))
