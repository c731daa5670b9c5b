"""What can be shown of a clearance before its holder is built: sections in their planes, a chance off the curve."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

import numpy as np

from cradle.geometry.planar import boundary_rings, offset, region
from cradle.report.section_figure import section_svg, spread_evenly
from cradle.sections.section import Section


def planned_sections(sections: Sequence[Section], gaps_mm: Sequence[float | None]) -> str:
    """The sections as HTML, each with the line of a pocket that keeps its gap in the section's own plane.

    Where the wall slopes, or the thing is lifted past a wider place, the true
    pocket is wider than this line.

    Parameters
    ----------
    sections : sequence of Section
    gaps_mm : sequence of float or None
        One for each section; None where the holder does not reach it.
    """
    figures = []
    for k in spread_evenly(len(sections)):
        section, gap = sections[k], gaps_mm[k]
        words = f"{escape(section.name)} at {section.height_mm:g} mm"
        pocket = []
        if gap is not None:
            words += f", about {max(gap, 0.0):.2f} mm around it"
            pocket = boundary_rings(offset(region(section.points_mm), max(gap, 0.0)))
        svg = section_svg(section, pocket=pocket)
        figures.append(f"<figure>{svg}<figcaption>{words}</figcaption></figure>")
    return (
        '<h2>Sections against their tracings</h2><p class="small">Brown: about where the pocket wall will be,'
        " the gap in each section’s own plane. The pocket itself is being built.</p>"
        f'<div class="grid">{"".join(figures)}</div>'
    )


def chance_at(curve: Sequence[tuple[float, float]], clearance_mm: float) -> float:
    """The chance read off a curve, straight between its points and level beyond its ends, 0 to 1.

    Parameters
    ----------
    curve : sequence of (float, float)
        Clearances, mm, rising, and the chance at each.
    clearance_mm : float

    Examples
    --------
    >>> curve = [(0.0, 0.0), (0.5, 0.8)]
    >>> round(chance_at(curve, 0.25), 6), round(chance_at(curve, 2.0), 6)
    (0.4, 0.8)
    """
    points = np.array(curve)
    return float(np.interp(clearance_mm, points[:, 0], points[:, 1]))
