"""Where each section lies: authorities for x and for y, and matches for what they leave open.

Every authority says how far the section must move along one axis. What none
of them settles comes from the least-squares match with the neighbours that
are placed already; between two of those, each counts by its nearness.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

import numpy as np

from cradle.finding import Finding, Severity
from cradle.geometry.arrays import Floats
from cradle.geometry.ring import extents
from cradle.project.section import Align
from cradle.sections.curve import Curve, curve_of
from cradle.sections.profiles import ProfileExtent, profile_shift
from cradle.sections.rigid import Motion, rigid_match
from cradle.sections.section import PlacedBy

DISAGREE_MM: Final = 1.0
"""Two authorities farther apart than this are worth a finding."""

_ORDER: Final = {
    Align.AUTO: (PlacedBy.GIVEN, PlacedBy.PROFILES, PlacedBy.MIRROR),
    Align.PROFILES: (PlacedBy.GIVEN, PlacedBy.PROFILES, PlacedBy.MIRROR, PlacedBy.DRAWING),
    Align.MIRROR: (PlacedBy.GIVEN, PlacedBy.MIRROR, PlacedBy.PROFILES),
    Align.MATCH: (PlacedBy.GIVEN,),
    Align.DRAWING: (PlacedBy.GIVEN, PlacedBy.DRAWING),
}
"""Who decides a section's place, first to last; what is left open is matched."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Unplaced:
    """A section of true size, the right way round, not yet in its place.

    ``line_mm`` holds x of an upright and y of a level mirror line.
    """

    ring: Floats
    where: str
    height_mm: float
    middle_mm: tuple[float, float] | None = None
    line_mm: tuple[float | None, float | None] = (None, None)
    extent: ProfileExtent = field(default_factory=ProfileExtent)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """How far a section moves, and who decided it along x and along y."""

    shift_mm: tuple[float, float]
    by: tuple[PlacedBy, PlacedBy]
    findings: tuple[Finding, ...] = ()


def shift_sections(unplaced: tuple[Unplaced, ...], *, align: Align) -> tuple[Shift, ...]:
    """Return the shift of every section, bottom to top.

    Along an axis for which nothing in the stack has authority, the middle of
    the lowest section is put at 0.
    """
    claims = [_claims(section, align=align) for section in unplaced]
    matches = _Matches(unplaced)
    moves = np.zeros((len(unplaced), 2))
    by: list[list[PlacedBy]] = [[PlacedBy.MATCH, PlacedBy.MATCH] for _ in unplaced]
    for axis in (0, 1):
        placed = []
        for i, claim in enumerate(claims):
            if claim[axis]:
                by[i][axis], moves[i, axis] = next(iter(claim[axis].items()))
                placed.append(i)
        if not placed:
            by[0][axis], moves[0, axis] = PlacedBy.DRAWING, -_middle(unplaced[0].ring)[axis]
            placed = [0]
        start = placed[0]
        done = set(placed)
        for i in [*range(start + 1, len(unplaced)), *range(start - 1, -1, -1)]:
            if i not in done:
                moves[i, axis] = _between(i, axis=axis, done=done, moves=moves, matches=matches)
                done.add(i)
    return tuple(
        Shift(
            shift_mm=(float(moves[i, 0]), float(moves[i, 1])),
            by=(by[i][0], by[i][1]),
            findings=_disagreements(claims[i], where=section.where),
        )
        for i, section in enumerate(unplaced)
    )


def _claims(section: Unplaced, *, align: Align) -> tuple[dict[PlacedBy, float], dict[PlacedBy, float]]:
    """What each authority asks for along x and y, the one that decides first."""
    middle = _middle(section.ring)
    profile = profile_shift(section.ring, extent=section.extent)
    found: tuple[dict[PlacedBy, float], dict[PlacedBy, float]] = ({}, {})
    for axis in (0, 1):
        line, asked = section.line_mm[axis], profile[axis]
        said: dict[PlacedBy, float] = {PlacedBy.DRAWING: 0.0}
        if section.middle_mm is not None:
            said[PlacedBy.GIVEN] = section.middle_mm[axis] - middle[axis]
        if asked is not None:
            said[PlacedBy.PROFILES] = asked
        if line is not None:
            said[PlacedBy.MIRROR] = -line
        found[axis].update({who: said[who] for who in _ORDER[align] if who in said})
    return found


class _Matches:
    """Shifts from one section to another, each worked out once."""

    def __init__(self, unplaced: tuple[Unplaced, ...]) -> None:
        self.heights_mm = [section.height_mm for section in unplaced]
        self._rings = [section.ring for section in unplaced]
        self._curves: dict[int, Curve] = {}
        self._shifts: dict[tuple[int, int], Floats] = {}

    def shift_mm(self, of: int, *, onto: int) -> Floats:
        """Shift, ``(2,)``, that brings one unplaced ring onto another."""
        if (of, onto) not in self._shifts:
            for i in (of, onto):
                if i not in self._curves:
                    self._curves[i] = curve_of(self._rings[i])
            match = rigid_match(self._curves[onto], moving=self._curves[of], motion=Motion.SHIFT)
            self._shifts[of, onto] = match.shift_mm
        return self._shifts[of, onto]


def _between(i: int, *, axis: int, done: set[int], moves: Floats, matches: _Matches) -> float:
    """Move of section ``i`` from its placed neighbours, weighted by nearness in height."""
    below = max((j for j in done if j < i), default=None)
    above = min((j for j in done if j > i), default=None)
    asked = [
        (
            1.0 / abs(matches.heights_mm[j] - matches.heights_mm[i]),
            float(moves[j, axis] + matches.shift_mm(i, onto=j)[axis]),
        )
        for j in (below, above)
        if j is not None
    ]
    return sum(weight * move for weight, move in asked) / sum(weight for weight, _ in asked)


def _disagreements(
    claims: tuple[dict[PlacedBy, float], dict[PlacedBy, float]], *, where: str
) -> tuple[Finding, ...]:
    """Findings where a second authority would put the section elsewhere.

    A mirror line only says that the thing is symmetric about its middle, which
    a thing that leans is not: that disagreement is no more than a note.
    """
    findings = []
    for axis, claim in zip("xy", claims, strict=True):
        said = [(who, move) for who, move in claim.items() if who is not PlacedBy.DRAWING]
        for who, move in said[1:]:
            apart = move - said[0][1]
            if abs(apart) > DISAGREE_MM:
                findings.append(
                    Finding(
                        code="authorities-disagree",
                        severity=Severity.NOTE if PlacedBy.MIRROR in (who, said[0][0]) else Severity.WARN,
                        where=where,
                        message=f"placed along {axis} by {_WORDS[said[0][0]]}; {_WORDS[who]} would put it "
                        f"{apart:+.2f} mm from there",
                        measured=apart,
                        limit=DISAGREE_MM,
                        unit="mm",
                    )
                )
    return tuple(findings)


_WORDS: Final = {
    PlacedBy.GIVEN: "the shift given",
    PlacedBy.PROFILES: "the side profiles",
    PlacedBy.MIRROR: "its mirror line",
}


def _middle(ring: Floats) -> tuple[float, float]:
    """Middle of a ring's width and depth, mm."""
    x0, y0, x1, y1 = extents(ring)
    return (x0 + x1) / 2, (y0 + y1) / 2
