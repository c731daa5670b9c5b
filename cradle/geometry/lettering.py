"""Text as plane regions, in an open font: the only place that asks a library for letters.

The font is DejaVu Sans (Bitstream Vera licence), which comes with matplotlib
and is named by its file, so the letters are the same on every machine.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from cradle.geometry.arrays import Floats
from cradle.geometry.planar import Region, bounds, region_even_odd, scaled, shifted


def lettering(text: str, *, height_mm: float) -> Region:
    """The text as a region, its lower left corner at the origin.

    Parameters
    ----------
    text : str
        One line with at least one visible character.
    height_mm : float
        Height of the tallest letter from the lowest, mm.
    """
    from matplotlib import get_data_path
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextPath

    font = FontProperties(fname=Path(get_data_path(), "fonts", "ttf", "DejaVuSans-Bold.ttf"))
    outline = TextPath((0, 0), text, size=100, prop=font)
    rings: list[Floats] = [
        np.asarray(ring, dtype=np.float64)[:-1] for ring in outline.to_polygons(closed_only=True)
    ]
    letters = region_even_odd([ring for ring in rings if len(ring) >= 3])
    x0, y0, _, y1 = bounds(letters).tolist()
    return scaled(shifted(letters, np.array([-x0, -y0])), height_mm / (y1 - y0))
