"""What is doubtful of many pieces or sections, told in few lines."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final, TypeVar

from cradle.finding import Finding, Severity

if TYPE_CHECKING:
    from cradle.capture.traced_picture import TracedPiece

_EACH: Final = 3
"""Up to this many different findings of one kind are all told in full; of more only the worst."""
_One = TypeVar("_One")


def told_once(
    found: Iterable[tuple[_One, Iterable[Finding]]], *, where: str, named: Callable[[Sequence[_One]], str]
) -> tuple[Finding, ...]:
    """The findings on all that a file holds: those that say the same, or the same of many, in one.

    Parameters
    ----------
    named : callable
        Names of several.

    Examples
    --------
    >>> def deep(number: int, mm: float) -> tuple[int, list[Finding]]:
    ...     return number, [Finding(code="deep", severity=Severity.NOTE, message=f"{mm} mm deep", measured=mm)]
    >>> def named(numbers: Sequence[int]) -> str:
    ...     return f"no. {', '.join(map(str, numbers))}"
    >>> for finding in told_once([deep(1, 2.0), deep(2, 1.0), deep(4, 2.0)], where="scan.png", named=named):
    ...     print(finding)
    scan.png: no. 1, 4: 2.0 mm deep
    scan.png: no. 2: 1.0 mm deep
    >>> for finding in told_once([deep(k, k / 10) for k in (5, 6, 9, 7, 8)], where="scan.png", named=named):
    ...     print(finding)
    scan.png: no. 9: 0.9 mm deep
    scan.png: no. 5, 6, 7, 8: like no. 9, to a lesser degree
    """
    kinds: dict[tuple[str, Severity], list[tuple[Finding, _One]]] = {}
    for one, findings in found:
        for finding in findings:
            kinds.setdefault((finding.code, finding.severity), []).append((finding, one))
    return tuple(
        replace(finding, where=f"{where}: {named(alike)}")
        for kind in kinds.values()
        for finding, alike in _told_of(kind, named=named)
    )


def _told_of(
    kind: Sequence[tuple[Finding, _One]], *, named: Callable[[Sequence[_One]], str]
) -> list[tuple[Finding, list[_One]]]:
    """The findings to tell, and whom each is about: all where they are few, else the worst and that the rest are like it."""
    each = {finding: [one for other, one in kind if other == finding] for finding, _ in kind}
    if len(each) <= _EACH:
        return list(each.items())
    worst = max(each, key=_how_far)
    less = replace(worst, message=f"like {named(each[worst][:1])}, to a lesser degree", measured=None)
    return [(worst, each[worst]), (less, [one for finding, one in kind if finding != worst])]


def _how_far(finding: Finding) -> float:
    """How far what was measured lies beyond its limit, as a ratio; the limit may be the least or the most."""
    if not finding.measured or not finding.limit:
        return finding.measured or 0.0
    ratio = finding.measured / finding.limit
    return max(ratio, 1 / ratio)


def pieces_named(pieces: Sequence[TracedPiece]) -> str:
    """Pieces or lines of a picture by their numbers."""
    kind = "piece" if pieces[0].line_width_mm is None else "line"
    return f"{kind}{'s' if len(pieces) > 1 else ''} {', '.join(str(piece.number) for piece in pieces)}"
