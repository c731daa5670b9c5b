"""What trials of test rings leave open: for which clearances another ring would still teach something, and where."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf
from typing import Final

from cradle.noun import record
from cradle.project.trial_log import Outcome, Trial, TrialPiece

SAME_RING_MM: Final = 0.025
"""Rings whose clearances differ by less are one."""
_APART_MM: Final = 0.1
"""Between two rings that differ by no more, none is told from either by hand (our own choice)."""
_GRID_MM: Final = 0.05
"""Clearances of rings are multiples of this."""
_WIDER_MM: Final = 0.4
"""So far beyond the widest ring that was too tight rings are looked for, where none was loose (our own choice)."""
_SHARES: Final = (0.5, 0.25, 0.75)
_RINGS: Final = 3
_ENOUGH: Final = 2
"""With so many rings left to try no others are thought of."""


@record
class LeftOpen:
    """The widest clearance noted no-go or tight at a place, 0 for none, and the narrowest noted loose, infinite for none; mm."""

    tight_mm: float
    loose_mm: float

    def holds(self, clearance_mm: float) -> bool:
        """Whether a ring of this clearance would teach something."""
        return self.tight_mm + SAME_RING_MM < clearance_mm < self.loose_mm - SAME_RING_MM


_UNTRIED: Final = LeftOpen(tight_mm=0.0, loose_mm=inf)


def left_open(trials: Sequence[Trial], *, inside_error_mm: float) -> dict[str | float, LeftOpen | None]:
    """What trials of rings leave open at each place where any was noted; None where they settle it.

    They do by a ring that was good, or where one that was too tight and one that was loose hardly differ.

    Parameters
    ----------
    trials : sequence of Trial
        With the gap that each piece has to the thing as it is measured now.
    inside_error_mm : float
        What the rings' files get beside their clearances.
    """
    noted: dict[str | float, list[tuple[float, Outcome]]] = {}
    for trial in trials:
        if trial.piece is not TrialPiece.TEST_PIECE or trial.place is None:
            continue
        if trial.seen is not None and trial.gap_mm is not None:
            noted.setdefault(trial.place, []).append((trial.gap_mm - inside_error_mm, trial.seen))
    return {place: _left(rings) for place, rings in noted.items()}


def _left(rings: Sequence[tuple[float, Outcome]]) -> LeftOpen | None:
    if any(seen is Outcome.GOOD for _, seen in rings):
        return None
    tight = max((mm for mm, seen in rings if seen in (Outcome.NO_GO, Outcome.TIGHT)), default=0.0)
    loose = min((mm for mm, seen in rings if seen is Outcome.LOOSE), default=inf)
    return LeftOpen(tight_mm=tight, loose_mm=loose) if loose - tight > _APART_MM + 1e-6 else None


def settled(section: str, left: Mapping[str | float, LeftOpen | None]) -> bool:
    """Whether trials settle what a ring would tell at a section."""
    return left.get(section, _UNTRIED) is None


def teaches(clearance_mm: float, place: str | float, left: Mapping[str | float, LeftOpen | None]) -> bool:
    """Whether trials leave open how a ring of this clearance would go at a place: the name of a section, or a height, mm.

    >>> left = {"foot": LeftOpen(tight_mm=0.45, loose_mm=inf)}
    >>> [teaches(clearance, place, left) for place in ("foot", "belly") for clearance in (0.25, 0.8)]
    [False, True, True, True]
    """
    opened = left.get(place, _UNTRIED)
    return opened is not None and opened.holds(clearance_mm)


def still_to_try(
    near_mm: Sequence[float],
    *,
    left: Mapping[str | float, LeftOpen | None],
    noted_mm: Sequence[float],
    most_mm: float,
) -> tuple[float, ...]:
    """The clearances of the next rings, mm, the tightest first: those of ``near_mm`` that were not tried, and some that trials leave open.

    >>> left = {"belly": LeftOpen(tight_mm=0.45, loose_mm=2.0)}
    >>> still_to_try([0.25, 0.45, 2.0], left=left, noted_mm=[0.25, 0.45, 2.0], most_mm=2.2)
    (0.85, 1.2, 1.6)
    """
    opened = [one for one in left.values() if one is not None]
    if not opened:
        return tuple(near_mm)

    def teaches(clearance_mm: float) -> bool:
        tried = any(abs(clearance_mm - mm) < SAME_RING_MM for mm in noted_mm)
        return not tried and any(one.holds(clearance_mm) for one in opened)

    low = min(one.tight_mm for one in opened)
    high = max(
        one.loose_mm if one.loose_mm < inf else min(one.tight_mm + _WIDER_MM, most_mm) for one in opened
    )
    between = [round(round((low + share * (high - low)) / _GRID_MM) * _GRID_MM, 2) for share in _SHARES]
    fresh = [mm for mm in near_mm if teaches(mm)]
    if len(fresh) < _ENOUGH:
        fresh += [mm for mm in dict.fromkeys(between) if mm not in fresh and teaches(mm)]
    return tuple(sorted(fresh[:_RINGS])) or tuple(near_mm)
