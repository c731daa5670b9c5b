"""Findings in brief: those that say the same of several things, sections or files become one."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

from cradle.finding import Finding, Severity, but_notes
from cradle.names import listed

_FIGURE: Final = re.compile(r"[+-]?\d+(\.\d+)?")


def in_brief(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings in their order, of one kind the one with the largest figure, and after it the others' figures.

    Notes are of one kind that differ by their figures; warnings also say and advise the same, of several sections or files.

    Examples
    --------
    >>> def narrow(thing: str, mm: float) -> Finding:
    ...     words = f"it is {mm} mm narrower above"
    ...     return Finding(
    ...         code="narrow", severity=Severity.NOTE, message=words, things=(thing,), measured=mm, unit="mm"
    ...     )
    >>> for finding in in_brief([narrow("cup", 1.5), narrow("jug", 2.0), narrow("pot", 1.0)]):
    ...     print(finding)
    jug: it is 2.0 mm narrower above; likewise cup (1.5 mm) and pot (1.0 mm)
    """
    kinds: dict[object, list[Finding]] = {}
    for finding in findings:
        kinds.setdefault(_kind(finding), []).append(finding)
    return tuple(told for kind in kinds.values() for told in _told(kind))


def doubts_in_brief(findings: Iterable[Finding]) -> list[Finding]:
    """Those of them that are more than notes."""
    return but_notes(in_brief(findings))


def notes_in_brief(findings: Iterable[Finding]) -> list[Finding]:
    """Those of them that are notes."""
    return [finding for finding in in_brief(findings) if finding.severity is Severity.NOTE]


def _kind(finding: Finding) -> object:
    """A key that is the same for findings that are told together: notes of one code, and warnings that differ by figures alone."""
    if finding.severity is Severity.WARN and finding.measured and finding.where and not finding.place_mm:
        return replace(finding, measured=None, limit=None, where="", message=_FIGURE.sub("", finding.message))
    if finding.severity is not Severity.NOTE:
        return finding
    return (
        finding.code,
        finding.unit,
        finding.message if finding.measured is None else "",
        finding.advice == "",
    )


def _told(kind: Sequence[Finding]) -> list[Finding]:
    most = max(kind, key=lambda finding: abs(finding.measured or 0.0))
    others = [finding for finding in kind if finding is not most]
    places = [_place(finding, beside=most) for finding in others]
    if not others or "" in places or len(set(places)) < len(places):
        return list(kind)
    also = [
        place + (_figure(finding, as_in=most) if finding.measured != most.measured else "")
        for place, finding in zip(places, others, strict=True)
    ]
    return [replace(most, message=f"{most.message}; likewise {listed(also)}")]


def _place(finding: Finding, *, beside: Finding) -> str:
    """Whose a finding is, and its key or section unless that is also the other finding's."""
    where = finding.where if finding.where != beside.where else ""
    return ", ".join(filter(None, (finding.whose, where)))


def _figure(finding: Finding, *, as_in: Finding) -> str:
    """What was measured, in brackets, with as many decimals as another finding's words give what it measured; empty where they do not."""
    decimals = _decimals(as_in)
    if finding.measured is None or decimals is None:
        return ""
    if finding.unit == "deg":
        return f" ({finding.measured:.{decimals}f}°)"
    return f" ({finding.measured:.{decimals}f} {finding.unit})".replace(" )", ")")


def _decimals(finding: Finding) -> int | None:
    """How many decimals a finding's words give its figure; None where they do not give it."""
    measured = abs(finding.measured or 0.0)
    figures = [(abs(float(f[0])), len((f[1] or ".")[1:])) for f in _FIGURE.finditer(finding.message)]
    said = [decimals for value, decimals in figures if value == round(measured, decimals)]
    return max(said, default=None)
