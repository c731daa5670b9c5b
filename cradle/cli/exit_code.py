"""The exit code of a command that is done."""

from __future__ import annotations

from collections.abc import Iterable

from cradle.finding import Finding, Severity


def exit_code(findings: Iterable[Finding]) -> int:
    """1 if a finding says that it should not be printed, else 0."""
    return int(any(finding.severity is Severity.FAIL for finding in findings))
