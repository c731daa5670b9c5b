"""Findings: what is doubtful but does not stop the work.

A thing that is impossible raises (`cradle.errors`); a thing the user should
know is a `Finding`. Every room may return some; nobody but `checks` exists
for them alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from enum import StrEnum

from cradle.noun import record


class Severity(StrEnum):
    """What happens to the print or the thing if the finding is ignored."""

    NOTE = "note"
    """Nothing bad: a repair or a choice made for the user."""
    WARN = "warn"
    """The result may disappoint; look before printing."""
    FAIL = "fail"
    """Do not print this."""


_RANK = {Severity.FAIL: 0, Severity.WARN: 1, Severity.NOTE: 2}


@record
class Finding:
    """One remark about the project or the result.

    ``measured`` and ``limit`` are in ``unit`` (mm, %, deg ...); ``place_mm``
    is a point in the thing's frame. ``code`` is stable and in kebab-case.
    """

    code: str
    severity: Severity
    message: str
    where: str = ""
    measured: float | None = None
    limit: float | None = None
    unit: str = ""
    place_mm: tuple[float, float, float] | None = None
    advice: str = ""

    def __str__(self) -> str:
        text = f"{self.where}: {self.message}" if self.where else self.message
        return f"{text}; {self.advice}" if self.advice else text


def ordered(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings worst first, those of one code together in the order they were found, without repeats."""
    unique = dict.fromkeys(findings)
    return tuple(sorted(unique, key=lambda f: (_RANK[f.severity], f.code)))


def with_label(findings: Iterable[Finding], label: str) -> tuple[Finding, ...]:
    """The findings on one of several things, its label before their message and advice."""
    if not label:
        return tuple(findings)
    return tuple(
        replace(f, message=f"{label}: {f.message}", advice=f"{label}: {f.advice}" if f.advice else "")
        for f in findings
    )


_EACH = 3
"""Of more things than this that differ in how doubtful they are the worst is told in full."""


def said_once(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings on things told apart by a number, those that say the same, or the same of many, in one.

    Examples
    --------
    >>> def depth(number: int, mm: float) -> Finding:
    ...     message = f"{mm} mm deep"
    ...     return Finding(
    ...         code="deep", severity=Severity.NOTE, message=message, where=f"scan.png: piece {number}", measured=mm
    ...     )
    >>> for finding in said_once([depth(1, 2.0), depth(2, 1.0), depth(4, 2.0)]):
    ...     print(finding)
    scan.png: pieces 1, 4: 2.0 mm deep
    scan.png: piece 2: 1.0 mm deep
    >>> for finding in said_once(depth(number, number / 10) for number in (5, 6, 9, 7, 8)):
    ...     print(finding)
    scan.png: piece 9: 0.9 mm deep
    scan.png: pieces 5, 6, 7, 8: like piece 9, to a lesser degree
    """
    kinds: dict[tuple[str, Severity, str], dict[Finding, list[str]]] = {}
    for finding in findings:
        place, _, number = finding.where.rpartition(" ")
        numbered = number.isdecimal()
        alike = replace(finding, where=place) if numbered else finding
        kind = kinds.setdefault((alike.code, alike.severity, alike.where), {})
        kind.setdefault(alike, []).extend([number] if numbered else [])
    return tuple(told for kind in kinds.values() for told in _told_of(kind))


def _told_of(kind: dict[Finding, list[str]]) -> list[Finding]:
    if len(kind) <= _EACH:
        return [_of_all(alike, numbers) for alike, numbers in kind.items()]
    worst = max(kind, key=_how_far)
    first = f"{worst.where.rpartition(' ')[2]} {kind[worst][0]}"
    rest = sorted((number for alike, own in kind.items() if alike is not worst for number in own), key=int)
    less = replace(worst, message=f"like {first}, to a lesser degree", measured=None)
    return [_of_all(worst, kind[worst]), _of_all(less, rest)]


def _how_far(finding: Finding) -> float:
    """How far what was measured lies beyond its limit, as a ratio; the limit may be the least or the most."""
    if not finding.measured or not finding.limit:
        return finding.measured or 0.0
    ratio = finding.measured / finding.limit
    return max(ratio, 1 / ratio)


def _of_all(alike: Finding, numbers: list[str]) -> Finding:
    if not numbers:
        return alike
    return replace(alike, where=f"{alike.where}{'s' if len(numbers) > 1 else ''} {', '.join(numbers)}")
