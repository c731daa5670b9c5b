"""What a picture file says of its own resolution, by the rules of each format.

PNG (W3C PNG, 3rd ed., section 11.3.4.3): pHYs counts pixels per metre when its unit
is 1; unit 0 is a ratio only. JFIF 1.02: units 1 dots per inch, 2 dots per cm,
0 a ratio only. TIFF 6.0, tags 282, 283 and 296: 2 inch (also when absent), 3 cm,
1 no unit. Exif uses the same tags but only units 2 and 3, and writes 72 when the
resolution is not known (Exif 2.3, section 4.6.4, from memory). Programs write 72
and 96 without having measured anything, so both count as unknown.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Final

from cradle.noun import record
from cradle.units import MM_PER_INCH

RESOLUTION_TAGS: Final = (282, 283, 296)
_X, _Y, _UNIT = RESOLUTION_TAGS
_INCH: Final = 2
"""The unit where none is named (TIFF 6.0, ResolutionUnit)."""
_PER_INCH: Final = {_INCH: 1.0, 3: MM_PER_INCH / 10.0}
"""By TIFF and Exif ResolutionUnit: the factor from dots per unit to dots per inch."""
_JFIF_PER_INCH: Final = {1: 1.0, 2: MM_PER_INCH / 10.0}
_FILLED_IN: Final = (72.0, 96.0)
"""Values that programs write when they know nothing."""
_LEAST_DPI, _MOST_DPI = 10.0, 20000.0
_SAME: Final = 0.005
"""Two stated resolutions agree if they differ by no larger part than this."""
_ABSENT: Final = "the file has no resolution tag"


@record
class Resolution:
    """Dots per inch along x and y, and the tag that says so; ``dpi`` is None when nothing is known."""

    dpi: tuple[float, float] | None
    told_by: str
    """The tag, or why nothing is known."""

    @property
    def mm_per_px(self) -> tuple[float, float] | None:
        """Lengths of a pixel along x and y, mm."""
        return None if self.dpi is None else (MM_PER_INCH / self.dpi[0], MM_PER_INCH / self.dpi[1])

    @property
    def height_by_width(self) -> float:
        """A pixel's height by its width; 1 when nothing is known."""
        lengths = self.mm_per_px
        return 1.0 if lengths is None else lengths[1] / lengths[0]

    def turned(self) -> Resolution:
        """The same with x and y exchanged, for a picture that lies on its side."""
        return self if self.dpi is None else Resolution(dpi=(self.dpi[1], self.dpi[0]), told_by=self.told_by)


def read_resolution(format_name: str, info: Mapping[str, Any], tags: Mapping[int, Any]) -> Resolution:
    """The resolution a decoded file states.

    Parameters
    ----------
    format_name : str
        "PNG", "JPEG", "TIFF" ...
    info : mapping
        The decoder's remarks: ``dpi`` of a PNG or BMP, ``jfif_unit`` and ``jfif_density`` of a JPEG.
    tags : mapping
        TIFF or Exif tags by number.

    Examples
    --------
    >>> read_resolution("JPEG", {"jfif_unit": 2, "jfif_density": (118, 118)}, {}).dpi[0]
    299.72
    """
    exif = _from_tags(tags, name="TIFF" if format_name == "TIFF" else "Exif")
    if format_name == "TIFF":
        return exif
    if format_name == "JPEG":
        own = _from_jfif(info)
    elif "dpi" in info and format_name in ("PNG", "BMP"):
        own = _judged(*_pair(info["dpi"]), name="PNG pHYs" if format_name == "PNG" else format_name)
    elif "aspect" in info and format_name == "PNG":
        own = Resolution(dpi=None, told_by="the PNG tag of the resolution names no unit")
    else:
        own = Resolution(dpi=None, told_by=_ABSENT)
    if own.dpi is None:
        return own if exif.dpi is None and own.told_by != _ABSENT else exif
    if exif.dpi is not None and any(abs(a / b - 1) > _SAME for a, b in zip(own.dpi, exif.dpi, strict=True)):
        return Resolution(
            dpi=None,
            told_by=f"{own.told_by} says {own.dpi[0]:g} dpi but Exif says {exif.dpi[0]:g} dpi",
        )
    return own


def _from_jfif(info: Mapping[str, Any]) -> Resolution:
    if "jfif_unit" not in info:
        return Resolution(dpi=None, told_by=_ABSENT)
    factor = _JFIF_PER_INCH.get(info["jfif_unit"])
    if factor is None:
        return Resolution(dpi=None, told_by="the JPEG tag of the resolution names no unit")
    x, y = _pair(info.get("jfif_density"))
    return _judged(round(x * factor, 9), round(y * factor, 9), name="JFIF")


def _from_tags(tags: Mapping[int, Any], *, name: str) -> Resolution:
    if _X not in tags and _Y not in tags:
        return Resolution(dpi=None, told_by=_ABSENT)
    factor = _PER_INCH.get(tags.get(_UNIT, _INCH))
    if factor is None:
        return Resolution(dpi=None, told_by=f"the {name} tag of the resolution names no unit")
    x = _number(tags.get(_X, tags.get(_Y)))
    y = _number(tags.get(_Y, tags.get(_X)))
    return _judged(x * factor, y * factor, name=name)


def _judged(x: float, y: float, *, name: str) -> Resolution:
    for value in (x, y):
        if not (math.isfinite(value) and _LEAST_DPI <= value <= _MOST_DPI):
            return Resolution(dpi=None, told_by=f"{name} says {value:g} dpi, which no scanner has")
        if any(abs(value - blank) < 0.05 for blank in _FILLED_IN):
            return Resolution(dpi=None, told_by=f"{name} says {value:.0f} dpi, which is written when unknown")
    return Resolution(dpi=(x, y), told_by=name)


def _pair(value: Any) -> tuple[float, float]:
    try:
        x, y = value
    except (TypeError, ValueError):
        return math.nan, math.nan
    return _number(x), _number(y)


def _number(value: Any) -> float:
    try:
        return float(value)
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return math.nan
