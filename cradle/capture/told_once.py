"""What is doubtful of many pieces, told in few lines."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from cradle.capture.traced_picture import TracedPiece
from cradle.finding import Finding, Severity

_EACH: Final = 3
"""Of more pieces than this that differ in how doubtful they are the worst is told in full."""


def told_once(pieces: Iterable[TracedPiece], *, where: str) -> tuple[Finding, ...]:
    """The findings on the pieces of a picture: those that say the same, or the same of many, in one.

    Examples
    --------
    >>> import numpy as np
    >>> def deep(number: int, mm: float) -> TracedPiece:
    ...     finding = Finding(code="deep", severity=Severity.NOTE, message=f"{mm} mm deep", measured=mm)
    ...     return TracedPiece(number=number, ring_mm=np.eye(3, 2), ring_px=np.eye(3, 2), findings=(finding,))
    >>> for finding in told_once([deep(1, 2.0), deep(2, 1.0), deep(4, 2.0)], where="scan.png"):
    ...     print(finding)
    scan.png: pieces 1, 4: 2.0 mm deep
    scan.png: piece 2: 1.0 mm deep
    >>> for finding in told_once([deep(k, k / 10) for k in (5, 6, 9, 7, 8)], where="scan.png"):
    ...     print(finding)
    scan.png: piece 9: 0.9 mm deep
    scan.png: pieces 5, 6, 7, 8: like piece 9, to a lesser degree
    """
    kinds: dict[tuple[str, Severity], dict[Finding, list[TracedPiece]]] = {}
    for piece in pieces:
        for finding in piece.findings:
            kind = kinds.setdefault((finding.code, finding.severity), {})
            kind.setdefault(finding, []).append(piece)
    return tuple(
        replace(finding, where=f"{where}: {_named(alike)}")
        for kind in kinds.values()
        for finding, alike in _told_of(kind)
    )


def _told_of(kind: dict[Finding, list[TracedPiece]]) -> list[tuple[Finding, list[TracedPiece]]]:
    """What is told of which pieces: of few each, of many the worst and that the rest are like it."""
    if len(kind) <= _EACH:
        return list(kind.items())
    worst = max(kind, key=_how_far)
    rest = [piece for finding, alike in kind.items() if finding is not worst for piece in alike]
    less = replace(worst, message=f"like {_named(kind[worst][:1])}, to a lesser degree", measured=None)
    return [(worst, kind[worst]), (less, sorted(rest, key=lambda piece: piece.number))]


def _how_far(finding: Finding) -> float:
    """How far what was measured lies beyond its limit, as a ratio; the limit may be the least or the most."""
    if not finding.measured or not finding.limit:
        return finding.measured or 0.0
    ratio = finding.measured / finding.limit
    return max(ratio, 1 / ratio)


def _named(pieces: list[TracedPiece]) -> str:
    kind = "piece" if pieces[0].line_width_mm is None else "line"
    return f"{kind}{'s' if len(pieces) > 1 else ''} {', '.join(str(piece.number) for piece in pieces)}"
