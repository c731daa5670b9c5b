"""A finding as JSON, for the summary of a holder and for commands that make none."""

from __future__ import annotations

from typing import Any

from cradle.finding import Finding


def finding_row(finding: Finding) -> dict[str, Any]:
    """One finding, with only the fields it has."""
    row: dict[str, Any] = {"code": finding.code, "severity": str(finding.severity), "message": finding.told}
    if finding.where:
        row["where"] = finding.where
    for key in ("measured", "limit"):
        value = getattr(finding, key)
        if value is not None:
            row[key] = rounded(value, 4)
    if finding.unit:
        row["unit"] = finding.unit
    if finding.place_mm is not None:
        row["place_mm"] = [rounded(v) for v in finding.place_mm]
    if finding.advice:
        row["advice"] = finding.advised
    return row


def rounded(value: float | None, digits: int = 3) -> float | None:
    """A number as JSON tells it, never minus zero; None stays."""
    return None if value is None else round(float(value), digits) + 0.0
