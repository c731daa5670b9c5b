"""Width and depth of a section: as drawn, by caliper, and by what is seen from the sides."""

from __future__ import annotations

from typing import TypeAlias

from cradle.geometry.ring import size
from cradle.noun import record
from cradle.sections.laid import Laid
from cradle.sections.profiles import extent_at
from cradle.sections.readings import readings_of
from cradle.sections.section import Profiles

Readings: TypeAlias = tuple[float | None, float | None]
"""Width and depth, mm, where read."""


@record
class Sizes:
    """Width and depth of one section, mm.

    Attributes
    ----------
    traced_mm : (float, float)
        Of the outline as drawn.
    read_mm : (float or None, float or None)
        By caliper.
    seen_mm : (float or None, float or None)
        By profiles and views.
    """

    traced_mm: tuple[float, float]
    read_mm: Readings
    seen_mm: Readings

    @property
    def told_mm(self) -> Readings:
        """By caliper; where not read, by profiles and views."""
        width, depth = (s if r is None else r for r, s in zip(self.read_mm, self.seen_mm, strict=True))
        return width, depth


def sizes_of(laid: Laid, *, profiles: Profiles) -> Sizes:
    """Width and depth of a section; seen between opposite profiles that both reach its height."""
    ends = (extent_at(profiles, axis=axis, height_mm=laid.spec.height_mm) for axis in (0, 1))
    width, depth = (None if low is None or high is None or high <= low else high - low for low, high in ends)
    return Sizes(traced_mm=size(laid.ring), read_mm=readings_of(laid), seen_mm=(width, depth))
