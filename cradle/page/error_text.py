"""An error as plain data for the page: which field it belongs to, what was found, what to do."""

from __future__ import annotations

import re
from typing import Final

from cradle.errors import CombinedError, CradleError, Problem, ProjectError
from cradle.finding import Finding
from cradle.page.plain_words import plain_words

_FILE_FIRST: Final = re.compile(r"[^:;]+\.\w+:")
"""A file's name is written as it is, at the beginning of a sentence too."""


def problems_in(error: CradleError) -> tuple[Problem, ...]:
    """The mistakes that an error tells, each with its place.

    Examples
    --------
    >>> from cradle.errors import InputError
    >>> [str(p) for p in problems_in(InputError("found -1 mm", where="block.wall", hint="allowed is more than 0 mm"))]
    ['block.wall: found -1 mm; allowed is more than 0 mm']
    """
    if isinstance(error, ProjectError):
        return error.problems
    if isinstance(error, CombinedError):
        return tuple(problem for one in error.errors for problem in problems_in(one))
    return (Problem(where=error.where, found=error.found, hint=error.hint),)


def finding_data(finding: Finding) -> dict[str, object]:
    """A finding as JSON data."""
    return {
        "code": finding.code,
        "severity": str(finding.severity),
        "where": finding.where,
        "message": plain_words(finding.told),
        "advice": plain_words(finding.advice),
    }


def problem_data(problem: Problem) -> dict[str, object]:
    """A mistake as JSON data, and as a sentence of its own without its place."""
    return {
        "where": problem.where,
        "found": problem.found,
        "hint": problem.hint,
        "line": problem.line,
        "words": sentence(problem),
    }


def sentence(problem: Problem) -> str:
    """What was found and what to do, as a sentence.

    Examples
    --------
    >>> sentence(Problem(where="block.wall", found="found -1 mm", hint="allowed is more than 0 mm"))
    'Found -1 mm; allowed is more than 0 mm.'
    >>> sentence(Problem(where="section[1]", found="scans/low rim.png: there is no such file"))
    'scans/low rim.png: there is no such file.'
    """
    text = (
        " ".join(f"{problem.found}; {problem.hint}".split())
        if problem.hint
        else " ".join(problem.found.split())
    )
    text = plain_words(text)
    if not _FILE_FIRST.match(text):
        text = f"{text[:1].upper()}{text[1:]}"
    return text if text.endswith((".", "?", "!")) else f"{text}."
