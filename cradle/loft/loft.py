"""Rings to a body: straight or smooth between sections, steered by profiles, straight beyond them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from math import inf

import numpy as np

from cradle.errors import LoftError
from cradle.geometry import region_measures
from cradle.geometry.arrays import Bools, Floats, frozen
from cradle.geometry.knots import interval_of
from cradle.geometry.ring import boxes, vertices
from cradle.loft.body import Body
from cradle.loft.columns import Columns, extents_of, segments_of
from cradle.loft.facets import check_facets
from cradle.loft.layers import refined, without_spare
from cradle.loft.loft_findings import extension_findings, unlike_findings
from cradle.loft.pace import paced, paced_levels
from cradle.loft.pieces import Piece, common_rings_of
from cradle.loft.seams import body_mesh
from cradle.loft.steer import Steering, profile_heights
from cradle.loft.unlike import Levels, levels_between
from cradle.matching.ring_stack import RingStack
from cradle.names import section_words
from cradle.noun import noun
from cradle.project.section import Between, LoftSpec
from cradle.sections.profiles import Profiles
from cradle.tolerances import TOLERANCES

_BENT_MM = TOLERANCES.between_mm / 6
"""Layers are first put so close that straight lines between them follow the columns to within this."""
_SPARE_MM = TOLERANCES.between_mm - _BENT_MM
"""Then layers are left out that the others stand for to within this: most of the tolerance is spent here, as that leaves the fewest layers."""
_LOOKED_AT = tuple(k / 16 for k in range(1, 16))
"""Parts of the way up at which straight columns are looked at: they may cross and part again in between."""
_FEW = 64
"""With more layers than this the intervals are so low that it is enough to look half way up."""


def loft(
    stack: RingStack,
    *,
    spec: LoftSpec,
    profiles: Profiles,
    low_mm: float,
    high_mm: float,
    rim_mm: float = inf,
    lower_block_mm: float | None = None,
) -> Body:
    """The watertight body through the rings.

    Parameters
    ----------
    spec : LoftSpec
        Straight or smooth; by itself straight for up to 2 sections.
    low_mm, high_mm : float
        Heights the body has to reach; beyond the sections it is extended straight.
    rim_mm : float
        How far up a holder reaches, or the thing where that ends below: what is extended above that is not told.
    lower_block_mm : float, optional
        The height of a block that ends at the highest section; as high as that lies, unless the thing leans in it.

    Raises
    ------
    LoftError
        If a section crosses itself, opposite profiles meet, or there are too many facets.
    """
    heights = np.asarray(stack.heights_mm)
    below = max(0.0, float(heights[0]) - low_mm)
    above = max(0.0, high_mm - float(heights[-1]))
    smooth = _is_smooth(stack, spec)
    skin = _lofted(
        stack,
        smooth=smooth,
        profiles=profiles,
        low_mm=float(heights[0]) - below,
        high_mm=float(heights[-1]) + above,
    )
    curved = smooth or profiles.given or bool(skin.levelled)
    flat = TOLERANCES.rounding * max(
        float(np.abs(piece.rings_mm).max()) for run in skin.runs for piece in run
    )
    twist = TOLERANCES.between_mm if curved else flat
    check_facets(skin.runs, stack, twist_mm=twist)
    layers, rings = common_rings_of([piece for run in skin.runs for piece in run])
    return Body(
        mesh=body_mesh(skin.runs, twist_mm=twist),
        heights_mm=frozen(layers),
        rings_mm=frozen(rings),
        section_error_mm=_section_error(stack, skin.runs),
        extended_mm=(below, above),
        pace_mm=skin.pace_mm,
        findings=(
            *unlike_findings(stack, levelled=skin.levelled, stepped=skin.stepped),
            *extension_findings(
                stack,
                profiles,
                below=below,
                above=min(above, max(0.0, rim_mm - float(heights[-1]))),
                lower_block_mm=float(heights[-1]) if lower_block_mm is None else lower_block_mm,
            ),
        ),
    )


def _is_smooth(stack: RingStack, spec: LoftSpec) -> bool:
    enough = len(stack.heights_mm) >= 3
    return spec.between is Between.SMOOTH or (spec.between is Between.AUTO and enough)


@noun
class _Skin:
    """The skin as runs of pieces, each piece with columns of its own (`cradle.loft.seams`).

    ``levelled`` are the numbers of the gaps that are led over levels, ``stepped``
    the numbers of those in which a step stands between two runs; ``pace_mm`` is that
    of `cradle.loft.body.Body`.
    """

    runs: tuple[tuple[Piece, ...], ...]
    levelled: tuple[int, ...]
    stepped: tuple[int, ...]
    pace_mm: Floats


def _lofted(stack: RingStack, *, smooth: bool, profiles: Profiles, low_mm: float, high_mm: float) -> _Skin:
    """The skin from the least to the greatest height.

    Gaps in which it crosses itself are led over levels. That changes how columns
    run in the gaps beside them, so all are looked at again until none crosses.
    """
    sections = np.asarray(stack.heights_mm)
    _check_simple(stack)
    plain = segments_of(stack, smooth=smooth, levels={})[0]
    levels: dict[int, Levels] = {}
    while True:
        segments, steering = _steered(
            segments_of(stack, smooth=smooth, levels=levels), profiles, section_heights_mm=sections
        )
        pieces, crossings = [], []
        for number, segment in enumerate(segments):
            low = low_mm if number == 0 else float(segment.heights_mm[0])
            high = high_mm if number == len(segments) - 1 else float(segment.heights_mm[-1])
            piece = _layers(segment, steering, profiles, low_mm=low, high_mm=high)
            pieces.append(piece)
            crossings.append(_crossing(piece, straight=not segment.smooth))
        crossing = np.concatenate(
            [piece.heights_mm[:-1][bad] for piece, bad in zip(pieces, crossings, strict=True)]
        )
        gaps = interval_of(sections, crossing)
        fresh = sorted(set(gaps.tolist()) - set(levels))
        if not fresh:
            runs = _runs(pieces, crossings)
            return _Skin(
                runs=_without_spare(runs, section_heights_mm=sections),
                levelled=tuple(sorted(levels)),
                stepped=tuple(sorted(set(gaps.tolist()))),
                pace_mm=_pace_mm(sections, segments, levels),
            )
        asked = Steering(profiles, extents_of([plain]), section_heights_mm=sections).asked
        for gap in fresh:
            low, high = sections[gap : gap + 2].tolist()
            levels[gap] = paced_levels(
                _levels(stack, gap, plain=plain), low_mm=low, high_mm=high, asked=asked
            )


def _pace_mm(sections: Floats, segments: Sequence[Columns], levels: Mapping[int, Levels]) -> Floats:
    """`cradle.loft.body.Body.pace_mm`: heights and their even heights, ``(p, 2)``, rising."""
    known = [np.column_stack([sections, sections])]
    known += [np.column_stack([s.pace.heights_mm, s.pace.even_mm]) for s in segments if s.pace is not None]
    for gap, own in levels.items():
        even = np.interp(own.parts, [0.0, 1.0], sections[gap : gap + 2])
        known.append(np.column_stack([own.heights_mm, even]))
    every = np.concatenate(known)
    _, first = np.unique(every[:, 0], return_index=True)
    return frozen(every[first])


def _steered(
    segments: list[Columns], profiles: Profiles, *, section_heights_mm: Floats
) -> tuple[list[Columns], Steering]:
    """The segments at the pace that the profiles tell, and the steering that leads them along the profiles."""
    steering = Steering(profiles, extents_of(segments), section_heights_mm=section_heights_mm)
    if not profiles.given:
        return segments, steering
    # the pace follows from what profiles ask for, and that from the skin without a pace
    at_pace = [one if one.slack_mm else paced(one, asked=steering.asked) for one in segments]
    return at_pace, Steering(profiles, extents_of(at_pace), section_heights_mm=section_heights_mm)


def _layers(
    segment: Columns, steering: Steering, profiles: Profiles, *, low_mm: float, high_mm: float
) -> Piece:
    """A segment's layers: at nodes, ends, and where curves and profiles need them."""
    nodes = segment.heights_mm
    fixed = np.union1d(nodes, [low_mm, high_mm])
    needed = profile_heights(profiles, low_mm=low_mm, high_mm=high_mm, within_mm=_BENT_MM)
    near = np.abs(needed[:, None] - fixed[None]).min(axis=1, initial=np.inf) <= TOLERANCES.chord_mm

    def rings_at(at: Floats) -> Floats:
        return steering.applied(segment.at(at), at)

    chord = max(_BENT_MM, segment.slack_mm)
    layers = refined(np.union1d(fixed, needed[~near]), rings_at, chord_mm=chord)
    rings = rings_at(layers)
    given = np.isin(nodes, steering.section_heights_mm)
    rings[np.searchsorted(layers, nodes[given])] = segment.rings_mm[given]
    return Piece(layers, rings)


def _levels(stack: RingStack, gap: int, *, plain: Columns) -> Levels:
    """The levels of one gap, at an even pace."""
    heights = np.asarray(stack.heights_mm)
    run = Columns(heights_mm=heights, rings_mm=boxes(stack.rings_mm), smooth=plain.smooth)
    return levels_between(
        vertices(stack.rings_mm[gap]),
        vertices(stack.rings_mm[gap + 1]),
        low_mm=float(heights[gap]),
        high_mm=float(heights[gap + 1]),
        rings_at=lambda height: plain.at(np.array([height]))[0],
        extents_at=lambda height: run.at(np.array([height]))[0],
    )


def _runs(pieces: Sequence[Piece], crossings: Sequence[Bools]) -> tuple[tuple[Piece, ...], ...]:
    """The pieces as runs, cut wherever the skin crosses itself between two layers; layers that cross themselves are left out."""
    runs: list[list[Piece]] = [[]]
    for (layers, rings), crossing in zip(pieces, crossings, strict=True):
        kept = np.flatnonzero(region_measures.are_simple(rings)) if crossing.any() else np.arange(len(layers))
        start = 0
        for at, (low, high) in enumerate(pairwise(kept.tolist())):
            if crossing[low:high].any():
                runs[-1].append(Piece(layers[kept[start : at + 1]], rings[kept[start : at + 1]]))
                runs.append([])
                start = at + 1
        runs[-1].append(Piece(layers[kept[start:]], rings[kept[start:]]))
    return tuple(tuple(run) for run in runs)


def _without_spare(
    runs: Sequence[Sequence[Piece]], *, section_heights_mm: Floats
) -> tuple[tuple[Piece, ...], ...]:
    """The runs without layers that straight columns between the others hardly leave."""
    return tuple(
        tuple(without_spare(piece, kept_mm=section_heights_mm, within_mm=_SPARE_MM) for piece in run)
        for run in runs
    )


def _crossing(piece: Piece, *, straight: bool) -> Bools:
    """Whether the skin crosses itself in each interval between layers, ``(m − 1,)``.

    Between layers it is looked at where columns are straight; elsewhere
    layers stand so close that their own rings tell.
    """
    rings = piece.rings_mm
    simple = region_measures.are_simple(rings)
    crossing = ~(simple[:-1] & simple[1:])
    if straight:
        there = np.flatnonzero(~crossing)
        low, high = rings[there], rings[there + 1]
        for part in _LOOKED_AT if len(rings) <= _FEW else (0.5,):
            crossing[there] |= ~region_measures.are_simple((1 - part) * low + part * high)
    return np.asarray(crossing)


def _check_simple(stack: RingStack) -> None:
    """Refuse a section that crosses or touches itself, naming it and the place."""
    simple = region_measures.are_simple(stack.rings_mm)
    if simple.all():
        return
    at = int(np.flatnonzero(~simple)[0])
    place = region_measures.crossing(stack.rings_mm[at]) or tuple(stack.rings_mm[at, 0].tolist())
    raise LoftError(
        f"the outline crosses or touches itself near x {place[0]:z.2f}, y {place[1]:z.2f} mm",
        where=section_words(stack.names[at]),
        hint="draw it as one line that meets itself only at its end",
    )


def _section_error(stack: RingStack, runs: Sequence[Sequence[Piece]]) -> float:
    """Largest distance between a section's own points and the layer at its height, mm."""
    outlines = stack.outlines_mm or tuple(stack.rings_mm)
    layers = {
        height: ring
        for run in runs
        for piece in run
        for height, ring in zip(piece.heights_mm.tolist(), piece.rings_mm, strict=True)
    }
    return max(
        region_measures.farthest_apart_mm(outline, layers[height])
        for outline, height in zip(outlines, stack.heights_mm.tolist(), strict=True)
    )
