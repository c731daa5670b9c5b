"""Silhouette: the thing as a picture or a drawing shows it from a side, and what is doubtful of it as a whole."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from cradle.capture.outline import Outline
from cradle.errors import SectionError, raise_all
from cradle.finding import Finding, note
from cradle.geometry.arrays import Floats
from cradle.names import listed
from cradle.noun import noun
from cradle.pictures.border import Border
from cradle.project.view import ViewSpec

FITS: Final = 0.06
"""A view whose widths miss the sections' by more than this share shows something else."""
_TABLE: Final = "the table on which the thing stands, or what is behind it, was taken for a part of it, or the thing was cut off"
_WRONG_SIDE: Final = "check from which side it was taken, and that the thing stands upright on its lowest edge; else give bottom and top"
_ALL_OF_IT: Final = (
    "take in all of the thing, on and before one colour that is not its own, such as paper bent up behind it"
)


@noun
class Silhouette:
    """A silhouette, ``(n, 2)`` mm or any unit: across to the viewer's right, and up.

    ``cut_off_at`` are the borders of its picture that it reaches; ``findings`` are those on its outline.
    """

    spec: ViewSpec
    points_mm: Floats
    cut_off_at: tuple[Border, ...] = ()
    findings: tuple[Finding, ...] = ()

    @classmethod
    def of(cls, spec: ViewSpec, outline: Outline) -> Silhouette:
        """The silhouette that a view's outline is."""
        return cls(
            spec=spec,
            points_mm=outline.points_mm,
            cut_off_at=outline.cut_off_at,
            findings=tuple(finding for finding in outline.findings if finding.code != "piece-cut-off"),
        )

    @property
    def where(self) -> str:
        """The view, for messages."""
        return self.spec.where

    @property
    def whole(self) -> bool:
        """Whether it shows all of the thing that counts: its heights may end above, and below where they are given."""
        return set(self.cut_off_at) <= {
            Border.UPPER,
            *(() if self.spec.bottom_mm == 0.0 else (Border.LOWER,)),
        }


def check_widths(view: Silhouette, *, off: Floats, widths: Floats, heights: Floats) -> None:
    """Raise a SectionError where a view's widths are ``off`` the sections'; all ``(k,)``, mm."""
    if float(np.median(np.abs(off / widths))) <= FITS:
        return
    raise SectionError(
        f"the widths in the view differ from the sections' by {np.median(np.abs(off)):.1f} mm (median)",
        where=view.where,
        hint=_sticking_out(off / widths, heights) + _WRONG_SIDE,
    )


def _sticking_out(shares: Floats, heights: Floats) -> str:
    """Advice where a view is wider than the sections at some of their heights only; empty where it is so at all of them alike."""
    if float(np.ptp(shares)) <= 2 * FITS:
        return ""
    return (
        f"if a handle, a spout or a hand shows at {heights[np.argmax(shares)]:.0f} mm, "
        "take the view from a side where it does not; "
    )


def check_whole(views: Sequence[Silhouette]) -> None:
    """Raise where views' outlines end at their pictures' borders, not at the thing's own sides: all of them at once.

    Raises
    ------
    SectionError
        For one view.
    CombinedError
        For several.
    """
    raise_all(
        [
            SectionError(
                f"what was traced reaches the picture's {listed(view.cut_off_at)} edge: {_TABLE}",
                where=view.where,
                hint=_ALL_OF_IT,
            )
            for view in views
            if not view.whole
        ]
    )


def cut_off_findings(view: Silhouette) -> Iterator[Finding]:
    """A note where a view ends at its picture's border: what lies beyond is not known from it."""
    if not view.cut_off_at:
        return
    yield note(
        "view-cut-off",
        f"what was traced ends at the picture's {listed(view.cut_off_at)} edge: "
        "the view tells nothing of what lies beyond",
        where=view.where,
    )
