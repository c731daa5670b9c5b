"""Each section over its trace: the outline as used, as traced, and the pocket around it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from cradle.drawing.view import spread_evenly
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.planar import boundary_rings, outer_rings, region, simplified
from cradle.geometry.ring import box_middle, extents
from cradle.geometry.solid import cut_regions, transformed
from cradle.report.figure import Figure
from cradle.result.seated_thing import SeatedThing
from cradle.sections.section import Section

_MOST: Final = 12
_FINE_MM: Final = 0.01
"""Points that move a line by less than this are not drawn."""
_REACH: Final = 0.06
"""Room around a section, as a part of its width."""


def section_figures(thing: SeatedThing) -> list[tuple[Section, str]]:
    """A figure for every section, each as large as it can be shown; of very many, some spread evenly."""
    every = thing.model.sections
    picked = [every[k] for k in spread_evenly(len(every), most=_MOST)]
    return [(section, _section_svg(section, pocket=_pocket_rings(thing, section))) for section in picked]


def as_traced(section: Section) -> Floats:
    """The outline as drawn, before it was scaled to the calipers, about the middle of its box, ``(n, 2)``, mm."""
    middle = box_middle(section.points_mm)
    drawn = section.points_mm if section.drawn_mm is None else section.drawn_mm
    return middle + (drawn - middle) / np.array(section.scale)


def _section_svg(section: Section, *, pocket: Sequence[Floats]) -> str:
    """A section over its trace, with the rings ``(n, 2)``, mm, of the pocket around it."""
    x0, y0, x1, y1 = extents(section.points_mm)
    wide, deep = x1 - x0, y1 - y0
    middle = box_middle(section.points_mm)
    shown = np.concatenate([section.points_mm, *pocket])  # with an undercut the pocket is much wider
    half = np.abs(shown - middle).max(axis=0) + _REACH * wide
    left, low, right, high = extents(np.array([middle - half, middle + half]))
    title = f"section {section.name} at {section.height_mm:g} mm: {wide:.2f} mm wide, {deep:.2f} mm deep"
    figure = Figure((left, low), (right, high), title=title, margins=(26, 8, 4, 22))
    if pocket:
        figure.path([_drawn(ring) for ring in pocket], "gap", closed=True)
    figure.path([_drawn(section.points_mm)], "thing", closed=True)
    if section.scale != (1.0, 1.0) or section.drawn_mm is not None:
        figure.path([_drawn(as_traced(section))], "trace", closed=True)
    figure.line((x0, low), (x1, low), "dim")
    figure.words(f"{wide:.2f}", ((x0 + x1) / 2, low), anchor="middle", shift=(0, 15))
    figure.line((left, y0), (left, y1), "dim")
    x, y = figure.place(left, (y0 + y1) / 2)
    figure.raw(
        f'<text text-anchor="middle" transform="translate({x - 7:.1f} {y:.1f}) rotate(-90)">{deep:.2f}</text>'
    )
    return figure.svg()


def _drawn(ring: Floats) -> Floats:
    return outer_rings(simplified(region(ring), within_mm=_FINE_MM))[0]


def _pocket_rings(thing: SeatedThing, section: Section) -> list[Floats]:
    """The pocket at the section's height, in the thing's frame; none where the section reaches above the rim."""
    pocket = thing.pocket
    up = pocket.stand_from_thing[2]
    z = section.points_mm @ up[:2] + section.height_mm * up[2] + up[3]
    if z.min() <= pocket.bottom_mm or z.max() >= pocket.top_mm:
        return []
    upright = transformed(pocket.solid, frozen(np.linalg.inv(pocket.stand_from_thing)))
    return boundary_rings(cut_regions(upright, np.array([section.height_mm]))[0])
