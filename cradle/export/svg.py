"""SVG drawings of sections: one unit is one millimetre, y up the drawing."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Final

import numpy as np

from cradle.drawing.labels import Label
from cradle.export.named_ring import NamedRing, layer_names

_MARGIN_MM: Final = 5.0
_INKS: Final = ("#1b1b1b", "#a1261a", "#1f4fa3", "#2c6e2f", "#7a2f8a", "#00707a", "#a35a00")
_ANCHORS: Final = {0.0: "", 0.5: ' text-anchor="middle"', 1.0: ' text-anchor="end"'}
_CAPITAL: Final = 0.72
"""Height of capitals as part of the font size, of sans-serif faces (common practice, no source)."""


def sections_svg_bytes(rings: Sequence[NamedRing], *, names: Sequence[Label] = ()) -> bytes:
    """An SVG file that shows the rings at true size where they lie, each in a named group, and names beside them.

    Parameters
    ----------
    rings : sequence of NamedRing
        At least one: x to the right, y away from the viewer.
    names : sequence of Label
        Words on the drawing, in a group of their own.
    """
    boxes = [np.reshape(label.box(), (2, 2)) for label in names]
    points = np.concatenate([*(ring.points_mm for ring in rings), *boxes])
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
    if names:
        lines += [
            '<g id="names" fill="#1b1b1b" stroke="none" font-family="sans-serif">',
            *map(label_element, names),
            "</g>",
        ]
    lines.append("</svg>\n")
    return "\n".join(lines).encode("utf-8")


def label_element(label: Label, *, attributes: str = "") -> str:
    """A label as an SVG element; ``attributes`` say what else holds for it."""
    x, y = label.at
    size = label.height_mm / _CAPITAL
    turn = f' transform="rotate(-90 {x:.3f} {-y:.3f})"' if label.upright else ""
    return (
        f'<text x="{x:.3f}" y="{-y:.3f}" font-size="{size:.3g}"{_ANCHORS[label.anchor]}{attributes}{turn}>'
        f"{escape(label.text)}</text>"
    )
