"""Test pieces: thin rings cut from the pocket, and pegs cut from the body.

A ring shows at one height whether the clearance is right, for a few minutes'
printing; where a notch of the holder goes down past it, it is open too
(`ring_gap`). Its inner edge is chamfered below, because a printer's first layer
spreads, and it carries its section and clearance in letters, with as many
notches beside them as its number among the clearances. A *peg* is the thing's
own section as a thin piece, to try in a holder that exists already.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cradle.errors import HolderError
from cradle.geometry.lettering import lettering
from cradle.geometry.mesh import TriMesh
from cradle.geometry.planar import (
    Region,
    offset,
    outer_rings,
    region,
    scaled,
    shifted,
    simplified,
    union,
    without,
)
from cradle.geometry.region_measures import area_mm2, bounds, empty
from cradle.geometry.shapes import rectangle
from cradle.geometry.solid import (
    Solid,
    box_mm,
    common,
    cut_regions,
    difference,
    lowest_mm,
    mesh_of,
    moved,
    pieces,
    prism,
    volume_mm3,
)
from cradle.geometry.solid import union as solids_union
from cradle.geometry.stack import stack_solid
from cradle.holder.ring_gap import RingGap, in_one_piece, with_gaps
from cradle.noun import noun
from cradle.pocket.slices import PocketSlice
from cradle.project.printer import RingForm
from cradle.project.side import Side
from cradle.units import exact_mm

FIRST_LAYER_SPREAD_MM = 0.4
"""Chamfer on the inner edge below: the first layer spreads 0.1 to 0.3 mm (from memory)."""
_WALL_MM = 3.0
"""How wide a ring is."""
_LETTER_MM = 4.5
"""How high its letters are."""
_RAISED_MM = 0.6
"""How far they stand up."""
_EDGE_MM = 1.5
"""What is left around them on the tab."""
_NOTCH_MM = 1.2
"""Width and depth of a notch, and how far apart two are."""
_SUNK_MM = 0.6
"""How deep a peg's letters are sunk."""
_PLAIN_MM = 0.02
"""Edges that fit nothing may be this plain."""


@noun
class FitPiece:
    """One test piece lying on z = 0, about its section's own place in x and y.

    Attributes
    ----------
    name : str
        Section, kind and clearance in words, fit for an object's name.
    section : str
        Where it belongs, by name.
    height_mm : float
        And its height on the thing.
    clearance_mm : float or None
        Per side; None for a peg.
    inside_mm : (float, float)
        Width and depth that calipers should read: the ring's inside half way up, or the peg's outside.
    whole_at : tuple of Side
        Where a ring has no gap though the holder has a notch: it would fall apart.
    """

    name: str
    section: str
    mesh: TriMesh
    height_mm: float
    clearance_mm: float | None
    inside_mm: tuple[float, float]
    whole_at: tuple[Side, ...] = ()


def ring_piece(
    hollow: PocketSlice,
    *,
    section: str,
    height_mm: float,
    clearance_mm: float,
    number: int,
    form: RingForm,
    gaps: Sequence[RingGap] = (),
) -> FitPiece:
    """The ring about a slice of a pocket, as thick as it.

    Parameters
    ----------
    section : str
        Name of the section, for the letters.
    height_mm : float
        Height on the thing, within the slice.
    clearance_mm : float
        What the pocket was made for, for the letters.
    number : int
        Place among the clearances, from 1: as many notches are cut.
    form : RingForm
        Closed, or open at the back so that it goes on from the front.
    gaps : sequence of RingGap
        Where it is open if that leaves it in one piece, the first ones first; at the back last.
    """
    name = f"{section} {exact_mm(clearance_mm)}"
    where = f"test piece {name}"
    low, thickness = hollow.low_mm, hollow.high_mm - hollow.low_mm
    heights = np.array([low + 1e-4, height_mm, hollow.high_mm - 1e-4])
    foot, middle, head = cut_regions(hollow.solid, heights)
    hole = union([foot, middle, head])
    words = _letters(name)
    around = simplified(offset(hole, _WALL_MM), within_mm=_PLAIN_MM)
    band = without(around, hole)
    open_at = in_one_piece(band, gaps)
    whole_at = tuple(gap.side for gap in gaps if gap not in open_at)
    if form is RingForm.OPEN:
        back = RingGap(side=Side.BACK, strip=_behind(hole))
        open_at = in_one_piece(band, [*open_at, back]) or [back]
    tab_at = Side.BACK if any(gap.side is Side.FRONT for gap in open_at) else Side.FRONT
    outline, letters = _with_tab(around, words, notches=number, side=tab_at)
    ring = prism(with_gaps(outline, open_at), low_mm=0, high_mm=thickness, where=where)
    for tool in (_inner_chamfer(foot, where=where), moved(hollow.solid, (0, 0, -low))):  # the quick order
        ring = difference(ring, [tool], where=where)
    raised = prism(letters, low_mm=thickness - 0.05, high_mm=thickness + _RAISED_MM, where=where)
    whole = _largest(solids_union([ring, raised], where=where))
    x0, y0, x1, y1 = bounds(middle).tolist()
    return FitPiece(
        name=name,
        section=section,
        mesh=mesh_of(whole),
        height_mm=height_mm,
        clearance_mm=clearance_mm,
        inside_mm=(x1 - x0, y1 - y0),
        whole_at=whole_at,
    )


def peg(body: Solid, *, section: str, height_mm: float, thickness_mm: float) -> FitPiece:
    """The body's own section as a thin piece, its name sunk into the top."""
    low = max(height_mm - thickness_mm / 2, lowest_mm(body))
    where = f"peg {section}"
    area = cut_regions(body, np.array([max(height_mm, low + 1e-4)]))[0]
    if empty(area):
        least, most = (float(corner[2]) for corner in box_mm(body))
        raise HolderError(
            f"the thing has no section at {height_mm:g} mm: it reaches from {least:.1f} to {most:.1f} mm",
            where=where,
            hint="cut it at a height between these",
        )
    slab = prism(offset(area, 50.0), low_mm=low, high_mm=low + thickness_mm, where=where)
    words = _within(_letters(section), area)
    sunk = prism(words, low_mm=low + thickness_mm - _SUNK_MM, high_mm=low + thickness_mm + 1, where=where)
    flat = common(body, difference(slab, [sunk], where=where), where=where)
    x0, y0, x1, y1 = bounds(area).tolist()
    return FitPiece(
        name=f"peg {section}",
        section=section,
        mesh=mesh_of(moved(_largest(flat), (0, 0, -low))),
        height_mm=height_mm,
        clearance_mm=None,
        inside_mm=(x1 - x0, y1 - y0),
    )


def _letters(text: str) -> Region:
    return simplified(lettering(text, height_mm=_LETTER_MM), within_mm=_PLAIN_MM)


def _with_tab(outer: Region, words: Region, *, notches: int, side: Side) -> tuple[Region, Region]:
    """The ring's outline with a tab in front or behind for the words, to be read from there, and the words in their place."""
    if side is Side.BACK:
        outline, letters = _with_tab(scaled(outer, -1.0), words, notches=notches, side=Side.FRONT)
        return scaled(outline, -1.0), scaled(letters, -1.0)
    x0, y0, x1, _ = bounds(outer).tolist()
    _, _, wide, tall = bounds(words).tolist()
    middle = (x0 + x1) / 2
    width, depth = wide + 2 * _EDGE_MM, tall + 2 * _EDGE_MM + _NOTCH_MM
    front = y0 - depth + _EDGE_MM
    tab = region(
        rectangle((middle - width / 2, front), (middle + width / 2, _front_edge(outer, middle, width)))
    )
    cuts = [
        region(rectangle((x, front - 1), (x + _NOTCH_MM, front + _NOTCH_MM)))
        for x in middle - width / 2 + _EDGE_MM + 2 * _NOTCH_MM * np.arange(notches)
    ]
    letters = shifted(words, np.array([middle - wide / 2, front + _EDGE_MM + _NOTCH_MM]))
    return without(union([outer, tab]), union(cuts)), letters


def _front_edge(outer: Region, middle: float, width: float) -> float:
    """How far back the tab must reach to meet the ring over its whole width, mm."""
    ring = outer_rings(outer)[0]
    near = ring[np.abs(ring[:, 0] - middle) <= width / 2]
    half = (ring[:, 1].min() + ring[:, 1].max()) / 2
    front = near[near[:, 1] < half]
    return float(front[:, 1].max()) if len(front) else float(half)


def _behind(hole: Region) -> Region:
    """All that lies behind the widest part of the hole."""
    ring = outer_rings(hole)[0]
    left, right = ring[np.argmin(ring[:, 0])], ring[np.argmax(ring[:, 0])]
    x0, _, x1, y1 = bounds(hole).tolist()
    return region(rectangle((x0 - 50, float(max(left[1], right[1]))), (x1 + 50, y1 + 50)))


def _inner_chamfer(foot: Region, *, where: str) -> Solid:
    """A cone at 45 degrees that widens the hole at the bed and crosses its wall at `FIRST_LAYER_SPREAD_MM`."""
    outline = simplified(foot, within_mm=_PLAIN_MM)
    wide, narrow = offset(outline, FIRST_LAYER_SPREAD_MM), offset(outline, -FIRST_LAYER_SPREAD_MM)
    if empty(narrow):  # a hole narrower than the spread
        narrow = outline
    return stack_solid(np.array([-1.0, 0.0, 2 * FIRST_LAYER_SPREAD_MM]), [wide, wide, narrow], where=where)


def _within(words: Region, area: Region) -> Region:
    """The words in the middle of an area, made smaller until they fit."""
    x0, y0, x1, y1 = bounds(area).tolist()
    for factor in (1.0, 0.8, 0.6, 0.45, 0.3, 0.2):
        small = scaled(words, factor)
        _, _, wide, tall = bounds(small).tolist()
        placed = shifted(small, np.array([(x0 + x1 - wide) / 2, (y0 + y1 - tall) / 2]))
        if area_mm2(without(offset(placed, 0.8), area)) == 0:
            return placed
    return placed


def _largest(body: Solid) -> Solid:
    return max(pieces(body), key=volume_mm3)
