"""Silhouette: the thing as a picture or a drawing shows it from a side, and what is doubtful of all of it at once."""

from __future__ import annotations

from typing import Final

import numpy as np

from cradle.errors import SectionError
from cradle.finding import Finding, Severity
from cradle.geometry.arrays import Floats
from cradle.noun import noun
from cradle.project.view import ViewSpec

FITS: Final = 0.06
"""A view whose widths miss the sections' by more than this share shows something else."""
_TABLE: Final = "what was traced reaches the picture's edge: the table on which the thing stands may have been taken for a part of it"
_WRONG_SIDE: Final = "check from which side it was taken, and that the thing stands upright on its lowest edge; else give bottom and top"
_ALL_OF_IT: Final = "take in all of the thing, on and before one colour that is not its own"


@noun
class Silhouette:
    """A silhouette, ``(n, 2)`` mm or any unit: across to the viewer's right, and up.

    ``findings`` are those on its outline.
    """

    spec: ViewSpec
    points_mm: Floats
    findings: tuple[Finding, ...] = ()

    @property
    def where(self) -> str:
        """The view, for messages."""
        return self.spec.where

    @property
    def cut_off(self) -> bool:
        """Whether it ends at its picture's edge."""
        return any(finding.code == "piece-cut-off" for finding in self.findings)


def check_widths(view: Silhouette, *, off: Floats, widths: Floats, heights: Floats) -> None:
    """Raise a SectionError where a view's widths are ``off`` the sections'; all ``(k,)``, mm."""
    if float(np.median(np.abs(off / widths))) <= FITS:
        return
    raise SectionError(
        f"the widths in the view differ from the sections' by {np.median(np.abs(off)):.1f} mm (median)",
        where=view.where,
        hint=f"{_TABLE}; {_ALL_OF_IT}"
        if view.cut_off
        else _sticking_out(off / widths, heights) + _WRONG_SIDE,
    )


def _sticking_out(shares: Floats, heights: Floats) -> str:
    """What to do where a view shows more than the sections at some of their heights; empty where it is as much at all."""
    if float(np.ptp(shares)) <= 2 * FITS:
        return ""
    return (
        f"if a handle, a spout or a hand shows at {heights[np.argmax(shares)]:.0f} mm, "
        "take the view from a side where it does not; "
    )


def cut_off_findings(view: Silhouette) -> list[Finding]:
    """A finding where a silhouette ends at its picture's edge: its widths may be the sections' by chance."""
    if not view.cut_off:
        return []
    return [
        Finding(
            code="view-cut-off",
            severity=Severity.WARN,
            where=view.where,
            message=_TABLE,
            advice=f"{_ALL_OF_IT}; all is well if only its top is cut off",
        )
    ]
