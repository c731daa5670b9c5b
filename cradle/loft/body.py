"""Body: the lofted, watertight model of the thing."""

from __future__ import annotations

from dataclasses import field

import numpy as np

from cradle.finding import Finding
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.mesh import TriMesh
from cradle.geometry.planar import Regions, made_sound, regions
from cradle.loft.interpolate import straight_at
from cradle.noun import noun


@noun
class Body:
    """The thing as lofted, in its own frame (mm, z up from the resting plane).

    Attributes
    ----------
    mesh : TriMesh
        Closed, outward, one component.
    heights_mm : (m,) float64
        Heights of the skin's layers, rising; the sections' heights are among them.
    rings_mm : (m, n, 2) float64
        The skin's rings at those heights.
    section_error_mm : float
        Largest distance between a given section and the skin at its height.
    extended_mm : (float, float)
        Straight extension below the lowest and above the highest section.
    pace_mm : (p, 2) float64
        Rising heights, each with its even height: linear between them, and beyond them at the same distance as at the end.
    """

    mesh: TriMesh
    heights_mm: Floats
    rings_mm: Floats
    section_error_mm: float
    extended_mm: tuple[float, float]
    findings: tuple[Finding, ...] = ()
    pace_mm: Floats = field(default_factory=lambda: frozen(np.zeros((1, 2))))

    def rings_at(self, heights_mm: Floats) -> Floats:
        """The skin's rings at ``(h,)`` heights, straight between its layers, ``(h, n, 2)``, mm.

        Below its foot and above its top the body is not there: the end rings stand for it.
        """
        return straight_at(
            self.heights_mm, self.rings_mm, np.clip(heights_mm, self.heights_mm[0], self.heights_mm[-1])
        )

    def even_mm(self, heights_mm: Floats) -> Floats:
        """The even heights of ``(h,)`` heights, mm."""
        at, even = self.pace_mm.T
        return np.interp(heights_mm, at, even) + heights_mm - np.clip(heights_mm, at[0], at[-1])

    def levels_at(self, heights_mm: Floats) -> Regions:
        """The regions inside the rings at ``(h,)`` heights; sound also where columns cross between unlike layers."""
        return made_sound(regions(self.rings_at(heights_mm)))
