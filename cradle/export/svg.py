"""SVG drawings of sections: one unit is one millimetre, y up the drawing."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Final

import numpy as np

from cradle.export.drawing import NamedRing, layer_names

_MARGIN_MM: Final = 5.0
_INKS: Final = ("#1b1b1b", "#a1261a", "#1f4fa3", "#2c6e2f", "#7a2f8a", "#00707a", "#a35a00")


def sections_svg_bytes(rings: Sequence[NamedRing]) -> bytes:
    """An SVG file that shows the rings over one another at true size, each in a named group.

    Parameters
    ----------
    rings : sequence of NamedRing
        At least one, in the thing's frame: x to the right, y away from the viewer.
    """
    points = np.concatenate([ring.points_mm for ring in rings])
    low, high = points.min(axis=0) - _MARGIN_MM, points.max(axis=0) + _MARGIN_MM
    width, height = (f"{v:.3f}" for v in high - low)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm"'
        f' viewBox="{low[0]:.3f} {-high[1]:.3f} {width} {height}">',
    ]
    for number, (ring, layer) in enumerate(zip(rings, layer_names(rings), strict=True)):
        ink = _INKS[number % len(_INKS)]
        pairs = " L ".join(f"{x:.4f} {-y:.4f}" for x, y in ring.points_mm.tolist())
        lines += [
            f'<g id="section-{number + 1}" fill="none" stroke="{ink}" stroke-width="0.2">',
            f'<title>{escape(layer)}</title><path d="M {pairs} Z"/></g>',
        ]
    lines.append("</svg>\n")
    return "\n".join(lines).encode("utf-8")
