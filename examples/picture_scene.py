"""Scenes in mm for rendered test pictures: paper, notches, pencil lines, rulers, cards, mats, sheets.

A scene is a tuple of shapes painted one over the other; x to the right, y up.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from cradle.capture_sheet.sheet import SheetDesign, black_shapes, check_line
from cradle.geometry.ring import counter_clockwise

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from cradle.geometry.arrays import Floats

Colour = tuple[int, int, int]
WHITE: Colour = (243, 243, 240)
INK: Colour = (25, 25, 28)


@dataclass(frozen=True, kw_only=True)
class Shape:
    """Rings filled with one colour (nonzero rule: a clockwise ring in a counter-clockwise one is a hole).

    ``alpha`` is the colour's part of the levels seen inside; at an edge light is mixed.
    """

    rings_mm: tuple[Floats, ...]
    colour: Colour
    alpha: float = 1.0
    raised_mm: float = 0.0


Scene = tuple[Shape, ...]


def moved(scene: Scene, *, by_mm: tuple[float, float] = (0.0, 0.0), turn_deg: float = 0.0) -> Scene:
    """The same scene, turned counter-clockwise about the origin, then shifted."""
    cos, sin = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    turn = np.array([[cos, sin], [-sin, cos]])
    return tuple(replace(s, rings_mm=tuple(r @ turn + by_mm for r in s.rings_mm)) for s in scene)


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Floats:
    """Corners of a rectangle, counter-clockwise."""
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], dtype=np.float64)


def rounded_rectangle(width: float, height: float, radius: float) -> Floats:
    """Outline of a rectangle with round corners, lower left at the origin."""
    angles = np.radians(np.arange(0, 91, 5.0))
    arc = np.column_stack([np.cos(angles), np.sin(angles)]) * radius
    ends = [
        (width - radius, height - radius),
        (radius, height - radius),
        (radius, radius),
        (width - radius, radius),
    ]
    turns = [np.array([[0.0, 1], [-1, 0]])] * 4
    parts, turn = [], np.eye(2)
    for end, quarter in zip(ends, turns, strict=True):
        parts.append(arc @ turn + end)
        turn = turn @ quarter
    return np.concatenate(parts)


def ellipse(width: float, depth: float, *, centre: tuple[float, float] = (0, 0), count: int = 720) -> Floats:
    """Outline of an ellipse, counter-clockwise."""
    t = np.arange(count) * (2 * np.pi / count)
    return np.column_stack([np.cos(t) * width / 2, np.sin(t) * depth / 2]) + centre


def sheet_of_colour(ring_mm: ArrayLike, *, colour: Colour = WHITE, shadow_mm: float = 0.25) -> Scene:
    """A cut piece of paper or card: sharp edge, and a soft shadow to the lower right."""
    ring = counter_clockwise(np.asarray(ring_mm, dtype=np.float64))
    steps = np.arange(1, 6) / 5
    shade = tuple(
        Shape(rings_mm=(ring + np.array([0.7, -0.7]) * shadow_mm * k,), colour=(20, 20, 20), alpha=0.10)
        for k in steps
        if shadow_mm > 0
    )
    return (*shade, Shape(rings_mm=(ring,), colour=colour))


def notch_ring(notch_mm: ArrayLike, *, side_mm: float = 25.0, depth_mm: float = 25.0) -> Floats:
    """Outline of a paper strip with a hollow cut in from its top edge.

    ``notch_mm`` is the cut as an open line from the left end of its mouth to
    the right one, both ends at the same y, everything else below.
    """
    notch = np.asarray(notch_mm, dtype=np.float64)
    x0, x1 = float(notch[:, 0].min()) - side_mm, float(notch[:, 0].max()) + side_mm
    top, base = float(notch[0, 1]), float(notch[:, 1].min()) - depth_mm
    return counter_clockwise(np.concatenate([[[x0, base], [x0, top]], notch, [[x1, top], [x1, base]]]))


def pencil_line(
    ring_mm: ArrayLike, *, width_mm: float = 0.5, colour: Colour = (70, 70, 75), alpha: float = 0.85
) -> Scene:
    """A closed line of even width whose middle is the ring; corners are mitred."""
    ring = counter_clockwise(np.asarray(ring_mm, dtype=np.float64))
    ahead = np.roll(ring, -1, axis=0) - ring
    ahead /= np.hypot(*ahead.T)[:, None]
    normal = np.column_stack([ahead[:, 1], -ahead[:, 0]])  # outwards for a counter-clockwise ring
    both = normal + np.roll(normal, 1, axis=0)
    mitre = both / (1 + (normal * np.roll(normal, 1, axis=0)).sum(axis=1, keepdims=True))
    outer, inner = ring + mitre * width_mm / 2, ring - mitre * width_mm / 2
    return (Shape(rings_mm=(outer, inner[::-1]), colour=colour, alpha=alpha),)


def lettering(text: str, *, at_mm: tuple[float, float], size_mm: float, colour: Colour = INK) -> Scene:
    """Text, centred on a point, of the given capital height."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextPath

    path = TextPath((0, 0), text, size=size_mm / 0.73, prop=FontProperties(family="DejaVu Sans"))
    rings = [np.asarray(p)[:-1] for p in path.to_polygons(closed_only=True) if len(p) > 3]
    everything = np.concatenate(rings)
    middle = (everything.min(axis=0) + everything.max(axis=0)) / 2
    return (Shape(rings_mm=tuple(r - middle + at_mm for r in rings), colour=colour),)


def _ticks(at_mm: Floats, lengths_mm: Floats, *, edge_mm: float, width_mm: float) -> tuple[Floats, ...]:
    return tuple(
        rectangle(x - width_mm / 2, edge_mm - n, x + width_mm / 2, edge_mm)
        for x, n in zip(at_mm.tolist(), lengths_mm.tolist(), strict=True)
    )


def ruler_mm(
    *, length_mm: int = 150, depth_mm: float = 28.0, body: Colour = (225, 222, 205), tick_mm: float = 0.18
) -> Scene:
    """A rule in mm, its graduated edge along y = 0 and its zero at the origin, body below."""
    marks = np.arange(length_mm + 1)
    lengths = np.where(marks % 10 == 0, 7.0, np.where(marks % 5 == 0, 5.0, 3.5))
    plate = Shape(rings_mm=(rectangle(-5, -depth_mm, length_mm + 5, 0),), colour=body)
    ticks = Shape(rings_mm=_ticks(marks * 1.0, lengths, edge_mm=0, width_mm=tick_mm), colour=INK)
    numbers = [
        s for k in range(length_mm // 10 + 1) for s in lettering(str(k), at_mm=(10.0 * k, -9.6), size_mm=2.6)
    ]
    return (*sheet_of_colour(plate.rings_mm[0], colour=body, shadow_mm=0.3), ticks, *numbers)


def ruler_inch(
    *, length_in: int = 6, depth_mm: float = 28.0, body: Colour = (200, 203, 206), tick_mm: float = 0.2
) -> Scene:
    """A rule in sixteenths of an inch, laid out as `ruler_mm`."""
    marks = np.arange(16 * length_in + 1)
    lengths = np.full(len(marks), 3.0)
    for step, size in ((2, 4.0), (4, 5.5), (8, 7.0), (16, 9.0)):
        lengths[marks % step == 0] = size
    ticks = Shape(rings_mm=_ticks(marks * 25.4 / 16, lengths, edge_mm=0, width_mm=tick_mm), colour=INK)
    numbers = [
        s for k in range(length_in + 1) for s in lettering(str(k), at_mm=(25.4 * k, -12.0), size_mm=3.2)
    ]
    plate = rectangle(-5, -depth_mm, 25.4 * length_in + 5, 0)
    return (*sheet_of_colour(plate, colour=body, shadow_mm=0.3), ticks, *numbers)


def id_card(*, colour: Colour = (60, 95, 150)) -> Scene:
    """A blank ISO/IEC 7810 ID-1 card, 85.60 × 53.98 mm, 0.76 mm thick, lower left at the origin."""
    ring = rounded_rectangle(85.60, 53.98, 3.18)
    shade = Shape(rings_mm=(ring + np.array([0.4, -0.4]),), colour=(20, 20, 20), alpha=0.3)
    band = Shape(rings_mm=(rectangle(8, 10, 60, 14),), colour=(200, 205, 215), raised_mm=0.76)
    return (shade, Shape(rings_mm=(ring,), colour=colour, raised_mm=0.76), band)


def capture_sheet(design: SheetDesign) -> Scene:
    """A printed capture sheet, lower left at the origin, with its check length."""
    squares, *markers = (
        tuple(rectangle(x, y, x + w, y + h) for x, y, w, h in group.tolist())
        for group in black_shapes(design)
    )
    (x0, y), (x1, _) = check_line(design).tolist()
    line = [rectangle(x0, y - 0.1, x1, y + 0.1)]
    line += [rectangle(x - 0.1, y - 2.5, x + 0.1, y + 2.5) for x in (x0, x1)]
    paper = sheet_of_colour(rectangle(0, 0, *design.page_mm), shadow_mm=0.5)
    return (*paper, *(Shape(rings_mm=g, colour=INK) for g in (squares, *markers, tuple(line))))


def mat(
    width_mm: float,
    height_mm: float,
    *,
    colour: Colour = (38, 92, 74),
    line: Colour = (190, 196, 120),
    pitch_mm: float = 10.0,
) -> Scene:
    """A coloured cutting mat with a grid of thin lines, lower left at the origin."""
    xs, ys = np.arange(0, width_mm, pitch_mm), np.arange(0, height_mm, pitch_mm)
    rings = [rectangle(x - 0.15, 0, x + 0.15, height_mm) for x in xs.tolist()]
    rings += [rectangle(0, y - 0.15, width_mm, y + 0.15) for y in ys.tolist()]
    return (
        Shape(rings_mm=(rectangle(0, 0, width_mm, height_mm),), colour=colour),
        Shape(rings_mm=tuple(rings), colour=line),
    )
