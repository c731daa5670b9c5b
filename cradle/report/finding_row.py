"""A finding as JSON: apart from the summary of a holder, as commands that make none tell findings too."""

from __future__ import annotations

from typing import Any

from cradle.finding import Finding


def finding_row(finding: Finding) -> dict[str, Any]:
    """One finding, with only the fields it has."""
    row: dict[str, Any] = {
        "code": finding.code,
        "severity": str(finding.severity),
        "message": finding.message,
    }
    if finding.where:
        row["where"] = finding.where
    for key in ("measured", "limit"):
        value = getattr(finding, key)
        if value is not None:
            row[key] = round(float(value), 4) + 0.0  # + 0.0: no minus zero
    if finding.unit:
        row["unit"] = finding.unit
    if finding.place_mm is not None:
        row["place_mm"] = [round(float(v), 3) + 0.0 for v in finding.place_mm]
    if finding.advice:
        row["advice"] = finding.advice
    return row
