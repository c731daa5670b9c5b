"""Findings: what is doubtful but does not stop the work.

A thing that is impossible raises (`cradle.errors`); a thing the user should
know is a `Finding`. Any room may return findings; `checks` does nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from enum import StrEnum
from functools import partial
from typing import Final, TypedDict, Unpack

from cradle.errors import SectionError
from cradle.names import command, listed
from cradle.noun import record


class Severity(StrEnum):
    """What happens to the print or the thing if the finding is ignored."""

    NOTE = "note"
    """Nothing bad: a repair or a choice made for the user."""
    WARN = "warn"
    """The result may disappoint; look before printing."""
    FAIL = "fail"
    """Do not print this."""

    @property
    def words(self) -> str:
        """What stands in front of a finding."""
        return {Severity.NOTE: "note", Severity.WARN: "warning", Severity.FAIL: "do not print"}[self]


class About(StrEnum):
    """What comes to nothing if a finding comes true."""

    READING = "reading"
    """A reading that looks mistaken: the fit and all else is told by it, and comes right with it."""
    LEAN = "lean"
    """How the thing leans, where it looks as if it did, or where that and what else its sides tell decides the fit: no test piece tells, each being of one height."""
    SHAPE = "shape"
    """The shape between the measured heights, where it decides the fit and measuring would tell it: test pieces, each of one height, do not."""
    HOLD = "hold"
    """Whether the thing is held at all: the pocket is so wide that no clearance helps."""
    FIT = "fit"
    """The fit as a whole: the thing may not go in."""
    MEASURED = "measured"
    """What was measured and modelled, of which test pieces tell."""
    HOLDER = "holder"
    """Block, openings, load and material, of which no test piece tells: it has neither floor nor openings, and little of the walls."""
    LOOKS = "looks"
    """How the print looks: the thing fits all the same, and no test piece tells of it."""

    @property
    def tried(self) -> bool:
        """Whether test pieces tell of it."""
        return self in (About.READING, About.FIT, About.MEASURED)


@record
class Command:
    """A command on the project's file that ends an advice: its name, what it does, and its options as pairs of name and value."""

    name: str
    does: str
    said: tuple[tuple[str, str], ...] = ()

    def on(self, file: str) -> str:
        """As it is typed.

        Examples
        --------
        >>> Command(name="trial", does="record it", said=(("seen", "tight"),)).on("my mug/holder.toml")
        'cradle trial "my mug/holder.toml" --seen tight'
        """
        return command(self.name, file, self.said)


_EACH_THING: Final = "each thing"
"""Stands for all of many things that a holder holds."""
_FEW: Final = 3
"""Up to this many things are named one by one even where they are all the things there are."""
_RANK = {Severity.FAIL: 0, Severity.WARN: 1, Severity.NOTE: 2}


@record
class Finding:
    """One remark about the project or the result.

    ``measured`` and ``limit`` are in ``unit`` (mm, %, deg ...); ``place_mm``
    is a point in the thing's frame. ``code`` is stable and in kebab-case.
    ``things`` are the labels of those that it is about; none where nothing needs to be told apart.
    ``advice`` is what helps, ``section_mm`` the height of a section that it says to measure,
    ``command`` what it ends with, on ``file``, which is known once it is known whose holder it is about.
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
    section_mm: float | None = None
    command: Command | None = None
    file: str = "PROJECT"
    things: tuple[str, ...] = ()
    about: About = About.MEASURED

    @property
    def whose(self) -> str:
        """The things that it is about, in a sentence."""
        return listed(self.things) if self.things else ""

    @property
    def advised(self) -> str:
        """The advice with its command."""
        if self.command is None:
            return self.advice
        return f"{self.advice} and {self.command.does}: {self.command.on(self.file)}"

    @property
    def told(self) -> str:
        """The message, behind the things that it is about."""
        return f"{self.whose}: {self.message}" if self.things else self.message

    def concerns(self, label: str) -> bool:
        """Whether it is about the thing of this label, alone or among others."""
        return not self.things or label in self.things or _EACH_THING in self.things

    def __str__(self) -> str:
        text = f"{self.where}: {self.told}" if self.where else self.told
        return f"{text}; {self.advised}" if self.advised else text


class Figures(TypedDict, total=False):
    """What a finding measured and where it begins, in its unit."""

    measured: float | None
    limit: float | None
    unit: str


class _Rest(Figures, total=False):
    where: str
    about: About
    section_mm: float | None
    command: Command | None
    place_mm: tuple[float, float, float] | None


def in_unit(unit: str, measured: float | None = None, *, limit: float | None = None) -> Figures:
    """What a finding measured and where it begins, in a unit."""
    return Figures(measured=measured, limit=limit, unit=unit)


in_mm: Final = partial(in_unit, "mm")
"""The same, mm."""


def doubt(code: str, message: str, advice: str = "", **rest: Unpack[_Rest]) -> Finding:
    """A warning: what to look at, and what helps."""
    return Finding(code=code, severity=Severity.WARN, message=message, advice=advice, **rest)


def refusal(finding: Finding) -> SectionError:
    """The error that says of a section, or of a view, what a finding does, where it cannot be worked with."""
    return SectionError(finding.message, where=finding.where, hint=finding.advice)


def note(code: str, message: str, advice: str = "", **rest: Unpack[_Rest]) -> Finding:
    """A note: what was repaired or chosen for the user."""
    return Finding(code=code, severity=Severity.NOTE, message=message, advice=advice, **rest)


def but_notes(findings: Iterable[Finding]) -> list[Finding]:
    """The findings that are more than notes."""
    return [finding for finding in findings if finding.severity is not Severity.NOTE]


def ordered(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings worst first, those of one code together in the order they were found, without repeats."""
    unique = dict.fromkeys(findings)
    return tuple(sorted(unique, key=lambda f: (_RANK[f.severity], f.code)))


def on_file(findings: Iterable[Finding], file: str) -> tuple[Finding, ...]:
    """The findings on a holder whose project's file is this one."""
    return tuple(replace(finding, file=file) for finding in findings)


def of_things(found: Iterable[tuple[str, Iterable[Finding]]]) -> tuple[Finding, ...]:
    """The findings on things that have labels, with these; what reads the same of several once, with all their labels.

    Its figures and its place are those of the first; of many things all are told as each of them.

    Examples
    --------
    >>> light = Finding(code="light", severity=Severity.NOTE, message="it is light")
    >>> [str(finding) for finding in of_things([("cup", [light]), ("jug", [light])])]
    ['cup and jug: it is light']
    """
    whose: dict[tuple[Severity, str, str], tuple[Finding, list[str]]] = {}
    every = list(found)
    for label, findings in every:
        for finding in findings:
            _, labels = whose.setdefault((finding.severity, finding.code, str(finding)), (finding, []))
            if label not in labels:
                labels.append(label)
    return tuple(replace(f, things=_whose(labels, of=len(every))) for f, labels in whose.values())


def _whose(labels: Sequence[str], *, of: int) -> tuple[str, ...]:
    if not all(labels):
        return ()
    return (_EACH_THING,) if len(labels) == of > _FEW else tuple(labels)
