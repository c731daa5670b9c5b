"""Half outlines: one side of the thing, mirrored about its straight edge."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from cradle.capture.outline import Outline
from cradle.errors import SectionError
from cradle.finding import Finding, Severity, doubt, in_mm, in_unit, note
from cradle.geometry.arrays import Floats, Ints, following
from cradle.geometry.ring import centroid, counter_clockwise, turned
from cradle.geometry.vectors import left_of, lengths
from cradle.names import point_words
from cradle.noun import noun
from cradle.sections.axis_words import AXES
from cradle.tolerances import TOLERANCES

SQUARE_UP_DEG: Final = 10.0
"""A mirror line this near an axis of the drawing is meant to lie on it: more than a sheet lies askew."""
_CLOSE_MM: Final = 8.0
"""Ends nearer together than this tell less of the sheet's turn than does the habit of laying sheets straight within a degree."""
_END_MM: Final = 0.3
"""How much further beside the middle line one end may be drawn than the other (our own choice)."""
_BESIDE_MM: Final = 0.3
_BESIDE_SHARE: Final = 0.3
"""A half that ends further beside zero than the first, and nearer than this part of its reach, is told."""
_CUT_MM: Final = 0.3
"""How far an edge that was cut along a line and traced may lie beside it (common practice, no source)."""
_HINT: Final = "draw the half as an open curve with both ends on the mirror line; of a whole outline leave half = true out"


@noun
class MirroredHalf:
    """A whole ring made from a half.

    Attributes
    ----------
    points_mm : (n, 2) float64
        Counter-clockwise, in the drawing's place.
    line_mm : (2,) float64
        Middle of the straight edge.
    angle_deg : float
        Direction of the mirror line: 90 or 0 when squared up.
    """

    points_mm: Floats
    line_mm: Floats
    angle_deg: float
    findings: tuple[Finding, ...]


def mirror_half(outline: Outline, *, where: str = "half outline") -> MirroredHalf:
    """The whole ring of a half outline, its mirror line squared up to an axis.

    The mirror line of an open half is its chord, of a closed half its longest
    straight edge. When a straight edge at least half as long lies on x = 0 or
    y = 0, that one is taken instead, and a finding says so. The half is turned
    by its lean from the nearer axis, at most `SQUARE_UP_DEG`. A half whose ends
    are close together, as of a trough, is not turned: a tenth of a millimetre at
    one end would be degrees.

    Raises
    ------
    SectionError
        If the edge leans more, or the half crosses or touches the mirror line.
    """
    raw = mirror_half_as_drawn(outline, where=where)
    lean_deg = (raw.angle_deg + 45.0) % 90.0 - 45.0
    axis_deg = 90.0 if 45.0 <= raw.angle_deg % 180.0 < 135.0 else 0.0
    across = 0 if axis_deg == 90.0 else 1
    findings = raw.findings
    if outline.open_ends:
        findings += tuple(_beside_zero(outline.points_mm, across=across, where=where))
    count = len(raw.points_mm) // 2 + 1  # the ring runs: end, half, other end, mirrored half
    chain = _ends_straightened(raw.points_mm[:count], across=across)
    if chain is None:
        if abs(lean_deg) > SQUARE_UP_DEG:
            raise SectionError(
                f"the ends of the straight edge, whose middle is {point_words(raw.line_mm)}, do not lie on one "
                f"vertical or horizontal mirror line: it leans {abs(lean_deg):.1f}°, "
                f"up to {SQUARE_UP_DEG:g}° allowed",
                where=where,
                hint=f"give the section its turn, or {_HINT}",
            )
        chain = turned(raw.points_mm - raw.line_mm, angle_deg=-lean_deg)[:count]
        if abs(lean_deg) > 1e-6:
            findings += (
                note(
                    "half-squared-up",
                    f"the mirror line was {abs(lean_deg):.2f}° askew; the outline was turned to make it straight",
                    where=where,
                    **in_unit("deg", abs(lean_deg), limit=SQUARE_UP_DEG),
                ),
            )
    return MirroredHalf(
        points_mm=counter_clockwise(_with_image(chain, across=across)) + raw.line_mm,
        line_mm=raw.line_mm,
        angle_deg=axis_deg,
        findings=findings,
    )


def _with_image(chain: Floats, *, across: int) -> Floats:
    """The whole ring of a half ``(n, 2)`` about zero of one axis, its ends put there."""
    chain = chain.copy()
    chain[[0, -1], across] = 0.0
    return np.concatenate([chain, chain[-2:0:-1] * np.where(np.arange(2) == across, -1.0, 1.0)])


def _ends_straightened(chain: Floats, *, across: int) -> Floats | None:
    """A half ``(n, 2)`` whose ends are close together, not turned: both ends are put on the line through their middle.

    None where the ends lie far enough apart to tell how the sheet lay, or too
    far beside that line to be meant to lie on it.
    """
    apart, off = np.abs(chain[-1] - chain[0])[[1 - across, across]]
    if apart > _CLOSE_MM or off > _END_MM:
        return None
    straight = chain - (chain[0] + chain[-1]) / 2
    inner = straight[1:-1]
    beside = inner[:, across] * np.sign(inner[:, across].sum()) > 2 * TOLERANCES.chord_mm
    if not beside.any():
        return None
    first, last = np.flatnonzero(beside)[[0, -1]]
    if not beside[first : last + 1].all():
        return None
    return np.concatenate([straight[:1], inner[first : last + 1], straight[-1:]])


def _beside_zero(chain: Floats, *, across: int, where: str) -> Iterator[Finding]:
    """A finding where a half ends a little beside the drawing's zero line, as where the points on the middle line were left out."""
    reach = chain[:, across] * np.sign(chain[:, across].sum())
    ends = np.sort(reach[[0, -1]])
    if reach.min() < -TOLERANCES.gap_mm or not _BESIDE_MM < ends[1] < _BESIDE_SHARE * reach.max():
        return
    words = f"{ends[1]:.1f} mm" if ends[1] - ends[0] < 0.1 else f"{ends[0]:z.1f} and {ends[1]:.1f} mm"
    line = AXES[across].letter
    yield doubt(
        "half-ends-beside-zero",
        f"the half ends {words} beside {line} = 0; it was mirrored about the line through its ends, not about {line} = 0",
        f"if {line} = 0 is the middle line, add the two points where the outline meets it",
        where=where,
        **in_mm(float(ends[1]), limit=_BESIDE_MM),
    )


def mirror_half_as_drawn(outline: Outline, *, where: str) -> MirroredHalf:
    """The whole ring of a half outline about its straight edge as it lies in the drawing.

    Raises
    ------
    SectionError
        If the half crosses or touches the mirror line, or has no straight edge.
    """
    findings: tuple[Finding, ...] = ()
    # a point this near to the line lies on it
    straight_mm = 2 * TOLERANCES.chord_mm if outline.edge_mm is None else _CUT_MM
    if outline.open_ends:
        chain = outline.points_mm
    else:
        chain, findings = _cut_at_straight_edge(outline.points_mm, straight_mm=straight_mm, where=where)
    start, end = chain[0], chain[-1]
    length = float(np.hypot(*(end - start)))
    if len(chain) < 3 or length <= straight_mm:
        raise SectionError("no straight edge was found to mirror the half about", where=where, hint=_HINT)
    along = (end - start) / length
    across = left_of(along)
    first, last = _beside_the_line((chain - start) @ across, chain, straight_mm=straight_mm, where=where)
    middle = chain[first : last + 1]
    image = middle - 2.0 * ((middle - start) @ across)[:, None] * across
    ring = np.concatenate([chain[:1], middle, chain[-1:], image[::-1]])
    angle_deg = float(np.degrees(np.arctan2(along[1], along[0]))) % 180.0
    return MirroredHalf(points_mm=ring, line_mm=(start + end) / 2, angle_deg=angle_deg, findings=findings)


def _beside_the_line(height: Floats, chain: Floats, *, straight_mm: float, where: str) -> tuple[int, int]:
    """The first and the last point of a half that do not lie on its mirror line; ``height`` is how far each lies off it, ``(n,)`` mm.

    Raises
    ------
    SectionError
        If the half crosses or touches the mirror line between its ends, or is that line.
    """
    height = height * np.sign(height[np.argmax(np.abs(height))])
    lowest = int(np.argmin(height[1:-1])) + 1
    if height[lowest] < -straight_mm:
        raise SectionError(
            f"the half outline crosses its mirror line: the point {point_words(chain[lowest])} "
            f"lies {-height[lowest]:.3f} mm on the other side",
            where=where,
            hint=_HINT,
        )
    away = np.flatnonzero(height > straight_mm)
    if not away.size:
        raise SectionError("the half outline is a straight line", where=where, hint=_HINT)
    first, last = int(away[0]), int(away[-1])
    touching = np.flatnonzero(height[first : last + 1] <= straight_mm)
    if touching.size:
        raise SectionError(
            f"the half outline touches its mirror line between its ends, at {point_words(chain[first + int(touching[0])])}",
            where=where,
            hint=_HINT,
        )
    return first, last


def _cut_at_straight_edge(
    ring: Floats, *, straight_mm: float, where: str
) -> tuple[Floats, tuple[Finding, ...]]:
    """The ring opened at the edge to mirror about: from one end of it the long way to the other."""
    away = ring - centroid(ring)
    ring = np.roll(ring, -int(np.argmax((away**2).sum(axis=1))), axis=0)  # begin at a corner, not on an edge
    kept = _straightened(ring, straight_mm=straight_mm)
    a, b = ring[kept], ring[following(kept)]
    length = lengths(b - a)
    on_axis = np.abs([a, b]).max(axis=0).min(axis=1) <= straight_mm
    longest = int(np.argmax(length))
    chosen = int(np.argmax(np.where(on_axis & (length >= length[longest] / 2), length, -1.0)))
    if not on_axis[chosen] or length[chosen] < length[longest] / 2:
        chosen = longest
    rival = float(np.delete(length, chosen).max())
    findings: tuple[Finding, ...] = ()
    if rival >= 0.98 * length[chosen]:
        reason = "lies on an axis of the drawing" if on_axis[chosen] else "is the longest"
        findings = (
            Finding(
                code="half-edge-doubtful",
                severity=Severity.NOTE if on_axis[chosen] else Severity.WARN,
                message=f"mirrored about the edge at {point_words((a[chosen] + b[chosen]) / 2)}, "
                f"{length[chosen]:.2f} mm "
                f"long, because it {reason}; another edge is {rival:.2f} mm long",
                advice=_HINT,
                where=where,
                **in_mm(float(length[chosen]), limit=rival),
            ),
        )
    begin, stop = int(following(kept)[chosen]), int(kept[chosen])
    return np.roll(ring, -begin, axis=0)[: (stop - begin) % len(ring) + 1], findings


def _straightened(ring: Floats, *, straight_mm: float) -> Ints:
    """Indices of the corners left when points within ``straight_mm`` of straight edges are merged.

    Douglas and Peucker, "Algorithms for the reduction of the number of points
    required to represent a digitized line", Cartographica 10 (1973) 112-122,
    on the two chains between the first point and the point farthest from it.
    """
    closed = np.concatenate([ring, ring[:1]])
    far = int(np.argmax(((ring - ring[0]) ** 2).sum(axis=1)))
    kept = {0, far}
    chains = [(0, far), (far, len(ring))]
    while chains:
        i, j = chains.pop()
        if j - i < 2:
            continue
        edge = closed[j] - closed[i]
        length = float(np.hypot(*edge))
        gap = closed[i + 1 : j] - closed[i]
        off = np.abs(gap @ left_of(edge)) / length if length > 0 else lengths(gap)
        worst = int(np.argmax(off))
        if off[worst] > straight_mm:
            at = i + 1 + worst
            kept.add(at)
            chains += [(i, at), (at, j)]
    return np.array(sorted(kept))
