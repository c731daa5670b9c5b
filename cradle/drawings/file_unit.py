"""The unit of a drawing file, and what is doubtful where file and project do not say the same."""

from __future__ import annotations

from typing import Final

from cradle.errors import CaptureError
from cradle.finding import Finding, doubt
from cradle.names import printable
from cradle.units import MM_PER

UNIT_UNKNOWN: Final = "unit-unknown"
"""The finding on a file that nothing tells the unit of."""


def unit_factor(stated: str | None, *, given: str | None, where: str) -> tuple[float, tuple[Finding, ...]]:
    """Millimetres per unit of a file, and a finding when file and project disagree: the file wins.

    Parameters
    ----------
    stated : str or None
        Unit written in the file.
    given : str or None
        Unit written in the project, for files that state none.

    Raises
    ------
    CaptureError
        If a unit is unknown.
    """
    for unit in (stated, given):
        if unit is not None and unit not in MM_PER:
            raise CaptureError(
                f'the unit "{printable(unit[:20])}" is not known', where=where, hint="use mm, cm or in"
            )
    if stated is None:
        return MM_PER[given or "mm"], ()
    return MM_PER[stated], unit_doubt(stated, mm_per=MM_PER[stated], given=given, where=where)


def unit_doubt(stated: str, *, mm_per: float, given: str | None, where: str) -> tuple[Finding, ...]:
    """The warning that a file is in another unit than the project says, ``mm_per`` millimetres long; else nothing."""
    if given is None or unit_factor(None, given=given, where=where)[0] == mm_per:
        return ()
    return (
        doubt(
            "unit-disagrees",
            f"the file is in {stated}, the project says {given}; {stated} taken",
            "leave the unit out of the project, or correct it",
            where=where,
        ),
    )


def unit_unknown(lacking: str, *, taken: str, where: str) -> Finding:
    """The warning that nothing tells a file's unit: what it lacks, and what was taken."""
    return doubt(
        UNIT_UNKNOWN,
        f"{lacking}; taken as {taken}",
        "give the section's width with calipers, which settles it, or the outline its unit",
        where=where,
    )
