"""Width and depth of a section: as drawn, by caliper, and by what is seen from the sides."""

from __future__ import annotations

from typing import Final, TypeAlias

from cradle.geometry.ring import size
from cradle.noun import record
from cradle.sections.laid import Laid
from cradle.sections.profiles import Profiles, extent_at
from cradle.sections.readings import readings_of

HEIGHTS_OFF_MM: Final = 1.0
"""How far the height of a section and that of a profile or view may disagree; where the extent steps within this they say nothing."""
_STEADY_SHARE: Final = 0.1
"""An extent that changes by more than this share within `HEIGHTS_OFF_MM` steps: nobody knows where between two readings a step lies."""

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
    width, depth = (_seen_mm(profiles, axis=axis, height_mm=laid.spec.height_mm) for axis in (0, 1))
    return Sizes(traced_mm=size(laid.ring), read_mm=readings_of(laid), seen_mm=(width, depth))


def _seen_mm(profiles: Profiles, *, axis: int, height_mm: float) -> float | None:
    """The extent along an axis that profiles show at a height, mm; None where they are silent, or step near there."""
    there, *beside = (
        _extent_mm(profiles, axis=axis, height_mm=height_mm + off)
        for off in (0.0, -HEIGHTS_OFF_MM, HEIGHTS_OFF_MM)
    )
    if there is None:
        return None
    near = [there, *(extent for extent in beside if extent is not None)]
    return there if max(near) - min(near) <= _STEADY_SHARE * there else None


def _extent_mm(profiles: Profiles, *, axis: int, height_mm: float) -> float | None:
    """The extent between opposite profiles at a height, mm; None where one of them is silent."""
    low, high = extent_at(profiles, axis=axis, height_mm=height_mm)
    return None if low is None or high is None or high <= low else high - low
