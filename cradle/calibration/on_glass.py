"""Whether a picture whose file tells nothing was taken by a scanner: as its light and a card or rules in it say.

A scanner lights its whole glass alike, looks straight down on it, and takes a round
number of pixels to the inch, often of a whole sheet. A camera held by hand leans by some degrees, which a
card's four sides show and a rule's marks, that grow nearer to each other along it or across; its lens moves them too. It takes any number
of pixels, which a rule shows, and its light falls off: with the distance of the lamp, and towards the corners of the
picture.
"""

from __future__ import annotations

from functools import reduce
from typing import TYPE_CHECKING, Final

import numpy as np

from cradle.calibration.calibration import mm_per_px
from cradle.calibration.picture_view import fit_view, setting_of
from cradle.calibration.scale import OBLIQUE, ON_GLASS
from cradle.finding import Finding, note
from cradle.noun import record
from cradle.units import MM_PER_INCH

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cradle.calibration.picture_view import MarkRow
    from cradle.calibration.scale import Scale
    from cradle.geometry.arrays import Singles
    from cradle.pictures.image import Picture

_LEVEL_DEG: Final = 0.5
"""Largest lean of a scan. A camera held by hand, which leans by 3 degrees either way, is this level one time in seventy;
cards on glass seem level to 0.1."""
_EVEN: Final = 0.02
_EVEN_LEVELS: Final = 3.0
"""Largest difference between the levels of a lid over the whole glass, as part of them (common practice, no source), or this many
levels on a dark lid, where that part is less: grain and rounding make two of any lid in rendered scans."""
_ALMOST_ALL: Final = (0.01, 0.99)
"""Quantiles between which levels count."""
_BRIGHT: Final = 200.0
_ROUND_DPI: Final = np.array([75.0, 100, 150, 200, 240, 300, 400, 600, 1200])
"""What scanners offer (common practice, no source)."""
_ROUND: Final = 0.006
"""A scanner's scale is off by this part at most; a camera's picture comes so near one time in twenty."""

_EVENLY: Final = 0.001
"""Largest part by which the spacing of a rule's marks changes on glass: in rendered scans by 0.00013 at most, in pictures by
a camera by 0.005 at least. One that leans by 3 degrees either way shows so little one time in thirty, its lens aside."""
_EDGES: Final = 0.0015
"""Largest part by which the scales of a rule's two edges differ on glass: 0.001 where they are off by 0.15 mm in 150. A camera 300 mm
away that leans by 2 degrees across a rule 15 mm wide shows as much."""
_SLOPE: Final = float(np.tan(np.radians(1.0)))
"""Largest slope at which a rule's marks seem to rise inwards on glass: in rendered scans that of 0.2 degrees."""
_LONG: Final = 0.5
"""Least part of the picture's shorter side that evenly spaced marks cover: a few marks beside each other are always even."""
_SIZES_MM: Final = np.array([(210.0, 297.0), (215.9, 297.0), (215.9, 279.4), (215.9, 355.6), (297.0, 420.0)])
"""Sizes of sheets, and of the glass of scanners for them: A4 and A3 (ISO 216), Letter and Legal, and what takes A4 and Letter."""
_SIZE_MM: Final = 0.5
"""A scan that is off by less than this has such a size."""


def seen_on_glass(picture: Picture, card: Scale, ground: Singles) -> bool:
    """Whether a card lies as level as on a scanner's glass, and the picture is a whole scan or as evenly lit as one.

    Even light counts only if the picture is bright too, or of a round resolution.

    Parameters
    ----------
    card : Scale
        A card's, seen by what may be a camera.
    ground : (h, w, c)
        Levels of the ground everywhere.
    """
    if card.known is None or picture.by_camera:
        return False
    view = fit_view(setting_of(picture, camera=True), (card.known,))
    if view.lean_deg >= _LEVEL_DEG:
        return False
    if _whole(picture, card):
        return True
    light = _light_on(ground)
    return light.even and (light.bright or _round_dpi(card) is not None)


def ruled_on_glass(picture: Picture, rules: Sequence[Scale], ground: Singles) -> bool:
    """Whether all rules give a round resolution, and the picture is a whole scan, as bright and evenly lit, or as evenly marked.

    Parameters
    ----------
    ground : (h, w, c)
        Levels of the ground everywhere.
    """
    if picture.by_camera or not rules or any(OBLIQUE in {f.code for f in rule.findings} for rule in rules):
        return False
    if not all(map(_edges_alike, rules)):
        return False
    light = _light_on(ground)
    lit = light.bright and light.even
    return all(
        _whole(picture, rule) or (_round_dpi(rule) is not None and (lit or _even_marks(picture, rule)))
        for rule in rules
    )


def _edges_alike(rule: Scale) -> bool:
    """Whether all rows of marks of a rule are of one scale, and keep it across: where a camera leans across it, they do not."""
    if rule.known is None:
        return True
    if abs(rule.known.slope) > _SLOPE:
        return False
    scales = [
        float(np.hypot(*(row.at_px[-1] - row.at_px[0])) / np.ptp(row.along_mm)) for row in rule.known.marked
    ]
    return max(scales) < (1 + _EDGES) * min(scales)


def _even_marks(picture: Picture, rule: Scale) -> bool:
    """Whether one of a rule's rows of marks is long enough to tell, and all that are keep their spacing from end to end."""
    if rule.known is None:
        return False
    least = _LONG * min(picture.size_px)
    long_ = [row for row in rule.known.marked if np.hypot(*(row.at_px[-1] - row.at_px[0])) >= least]
    return bool(long_) and all(_change(row) < _EVENLY for row in long_)


def _change(row: MarkRow) -> float:
    """The range of the spacing of marks along a row, as part of its mean, by the cubic through them."""
    ahead = row.at_px[-1] - row.at_px[0]
    along = (row.at_px - row.at_px[0]) @ ahead / float(np.hypot(*ahead))
    part = 2 * (row.along_mm - row.along_mm[0]) / (row.along_mm[-1] - row.along_mm[0]) - 1
    spacing = np.polynomial.Polynomial.fit(part, along, 3, domain=[-1, 1]).deriv()(np.linspace(-1, 1, 9))
    return float(np.ptp(spacing) / spacing.mean())


@record
class _Light:
    """The range of almost all of the ground's levels, each pixel's in its darkest channel."""

    low: float
    high: float

    @property
    def even(self) -> bool:
        return self.high - self.low <= max(_EVEN * self.high, _EVEN_LEVELS)

    @property
    def bright(self) -> bool:
        return self.low >= _BRIGHT


def _light_on(ground: Singles) -> _Light:
    darkest = reduce(np.minimum, np.moveaxis(ground, -1, 0))  # numpy's own takes ten times as long
    low, high = np.quantile(darkest, _ALMOST_ALL).tolist()
    return _Light(low=low, high=high)


def _whole(picture: Picture, scale: Scale) -> bool:
    """Whether a picture is as large as a sheet at a round resolution: a camera's sides are as 3 to 4 or 2 to 3."""
    dpi = _round_dpi(scale)
    if dpi is None:
        return False
    short, long_ = np.sort(picture.size_px) * MM_PER_INCH / dpi
    return bool((np.abs(_SIZES_MM - (short, long_)).max(axis=1) < _SIZE_MM).any())


def _round_dpi(scale: Scale) -> float | None:
    """The round resolution next to that by a scale, or None where it is none."""
    x, y = scale.ends_px.reshape(-1, 2).mean(axis=0).tolist()
    off = MM_PER_INCH / mm_per_px(scale.calibration, at_px=(x, y))[0] / _ROUND_DPI - 1
    nearest = int(np.abs(off).argmin())
    return float(_ROUND_DPI[nearest]) if abs(off[nearest]) < _ROUND else None


def on_glass_note(*, where: str) -> Finding:
    """The note that a picture was taken for a scan: by its card, or by its ruler."""
    how = "the card lies as level" if where == "card" else "its resolution is as round"
    return note(
        ON_GLASS,
        f"the file does not tell whether this is a scan or a photograph; it is as evenly lit, or as large, as a"
        f" scan, or its ruler as evenly marked, and {how}: it was treated as one",
        "if it is a photograph, give the distance of the lens (distance)",
        where=where,
    )
