"""Outline: a closed plane curve in mm."""

from __future__ import annotations

from cradle.finding import Finding
from cradle.geometry.arrays import Floats
from cradle.noun import noun
from cradle.pictures.border import Border


@noun
class Outline:
    """A simple closed curve, counter-clockwise.

    Attributes
    ----------
    points_mm : (n, 2) float64
        Read-only, n ≥ 3, the last point joins the first. x to the right, y up
        the drawing (away from the viewer).
    open_ends : bool
        The curve was drawn open: the edge from the last point to the first is
        its chord. A half outline's chord lies on the mirror line.
    edge_mm : float or None
        Standard uncertainty of the curve's place, square to it, where it was traced in a picture.
    scale_share : float
        Relative standard uncertainty of its size, by the scale of the picture; 0 where nothing is known of it.
    cut_off_at : tuple of Border
        The borders of the picture that it reaches.
    size_findings : tuple of Finding
        What is doubtful about its size; it does not matter where other measurements tell the size.
    form_findings : tuple of Finding
        What is doubtful about its form, and repairs made on the way in.
    """

    points_mm: Floats
    open_ends: bool
    edge_mm: float | None = None
    scale_share: float = 0.0
    cut_off_at: tuple[Border, ...] = ()
    size_findings: tuple[Finding, ...] = ()
    form_findings: tuple[Finding, ...] = ()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """The findings on size, then those on form."""
        return self.size_findings + self.form_findings
