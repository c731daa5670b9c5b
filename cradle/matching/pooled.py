"""Outlines of one form, drawn at several heights, pooled: what an unsteady hand added to each is averaged away.

Two neighbouring outlines, brought to one width and depth, differ for two reasons:
the hand erred in drawing both, and the thing's own *form* changed from one to the
other. Up the stack the form is taken for a random walk that is seen at each
section with the hand's error. Its best estimate is then a weighted mean of all
drawn forms (the smoothed state of the local level model, any text on state space
methods). Where forms differ by much more than the hand explains, each stays as drawn.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from typing import Final, NamedTuple

import numpy as np

from cradle.finding import Finding, in_mm, note
from cradle.geometry import planar, region_measures
from cradle.geometry.arrays import Floats, frozen
from cradle.geometry.ring import arc_positions, box_middle, outward, resample
from cradle.matching.rings import chord_gap_mm
from cradle.names import section_words
from cradle.noun import noun
from cradle.sections.section import Section

_SAMPLES: Final = 128
"""Points around an outline at which it is held against others."""
_UNSURE: Final = 0.1
"""A step of the form is estimated where some ten errors around the outlines are independent: its variance may be larger
than estimated by this part of the hand's."""
_EXACT_MM: Final = 0.01
"""Error of an outline that was not drawn by hand."""
_LEAST: Final = 0.05
"""Drawn forms that would weigh less than this in a mean are left out of it."""
_ODD: Final = 6.0
"""Outlines further apart at a place than this many standard deviations of two tracings are not of one form there."""
_CORNER_MM: Final = 1.5
"""Outward directions are taken over this much of the outline to either side."""


@noun
class Pooling:
    """How the forms of sections were pooled.

    Attributes
    ----------
    weights : (k, k) float64
        Weight of each drawn form (column) in each section's pooled form (row); rows sum to 1.
    steps_mm : (k − 1,) float64
        Standard deviation of the step that the thing's form makes from one section to the next, at the upper one's size.
    unlike_mm : (k − 1,) float64
        Root mean square of what the outlines show of that step.
    sizes_mm : (k,) float64
        Mean of each section's width and depth, by which its form is scaled.
    """

    weights: Floats
    steps_mm: Floats
    unlike_mm: Floats
    sizes_mm: Floats

    @property
    def errors(self) -> Floats:
        """How far each section's pooled outline (row) is off, mm, where one drawn outline (column) is off by 1 mm, ``(k, k)``."""
        return self.weights * self.sizes_mm[:, None] / self.sizes_mm

    @property
    def steps(self) -> Floats:
        """How far each section's pooled outline (row) is off, mm, for a step of the form (column) of one standard deviation, ``(k, k − 1)``."""
        missed = self.weights - np.eye(len(self.weights))
        above = np.cumsum(missed[:, ::-1], axis=1)[:, ::-1][:, 1:]
        return np.asarray(above * (self.steps_mm / self.sizes_mm[1:]) * self.sizes_mm[:, None])


def unpooled(count: int) -> Pooling:
    """The pooling of ``count`` sections in which each outline keeps its own form."""
    still = np.zeros(max(count - 1, 0))
    return Pooling(weights=np.eye(count), steps_mm=still, unlike_mm=still, sizes_mm=np.ones(count))


@noun
class Pooled:
    """Sections with pooled forms, how these were pooled, and how far each outline moved at most, ``(k,)`` mm."""

    sections: tuple[Section, ...]
    pooling: Pooling
    moved_mm: Floats


def pooled(sections: Sequence[Section], *, trace_mm: float) -> Pooled:
    """The sections, each outline brought towards those of its form, its width and depth kept; where ``trace_mm`` is 0 nothing is pooled."""
    rings = [section.points_mm for section in sections]
    sizes = np.array([np.ptp(ring, axis=0).mean() for ring in rings])
    hand = np.array([_EXACT_MM if section.exact else trace_mm for section in sections])
    around = [_Around.of(ring) for ring in rings]

    @cache
    def apart_mm(k: int, j: int) -> Floats:
        """How far outside of outline ``k`` outline ``j`` lies (`_Around.apart_mm`)."""
        return around[k].apart_mm(rings[j])

    unlike = np.array([_unlike_mm(apart_mm(k, k - 1), trace_mm=trace_mm) for k in range(1, len(rings))])
    steps = np.sqrt(unlike**2 + _UNSURE * trace_mm**2)
    weights = np.eye(len(rings))
    if trace_mm > 0:
        weights = _weights(hand / sizes, steps / sizes[1:], apart=_few_points(rings, trace_mm=trace_mm))
    out = []
    for k, section in enumerate(sections):
        others = [(weights[k, j], apart_mm(k, j)) for j in np.flatnonzero(weights[k]).tolist() if j != k]
        ring = _moved(rings[k], others, odd_mm=_ODD * float(np.sqrt(2.0)) * trace_mm)
        if not region_measures.are_simple(ring):
            ring, weights[k] = rings[k], np.eye(len(rings))[k]
        drawn = rings[k] if section.drawn_mm is None else section.drawn_mm
        out.append(section if ring is rings[k] else replace(section, points_mm=frozen(ring), drawn_mm=drawn))
    moved = [np.linalg.norm(one.points_mm - ring, axis=1).max() for one, ring in zip(out, rings, strict=True)]
    return Pooled(
        sections=tuple(out),
        pooling=Pooling(
            weights=frozen(weights), steps_mm=frozen(steps), unlike_mm=frozen(unlike), sizes_mm=frozen(sizes)
        ),
        moved_mm=np.array(moved),
    )


class _Around(NamedTuple):
    """An outline, `_SAMPLES` places around it, and the outward directions there."""

    ring: Floats
    at_mm: Floats
    out: Floats

    @classmethod
    def of(cls, ring: Floats) -> _Around:
        at = resample(ring, count=_SAMPLES)
        return cls(ring=ring, at_mm=at, out=outward(at, reach_mm=_CORNER_MM))

    def apart_mm(self, other: Floats) -> Floats:
        """How far outside of this outline another lies at each place, ``(s,)``, mm, once it is brought to the width, depth and place of this one.

        The place is that of the least-squares fit, not that of the box: the hand strays at the ends of an outline as
        anywhere else.
        """
        ring, own = self.ring, other - other.min(axis=0)
        beside = planar.region(own / np.ptp(other, axis=0) * np.ptp(ring, axis=0) + ring.min(axis=0))
        away = region_measures.depths(self.at_mm, beside)
        return np.asarray(away - self.out @ np.linalg.lstsq(self.out, away, rcond=None)[0])


def _unlike_mm(away: Floats, *, trace_mm: float) -> float:
    """Root mean square of how far two outlines lie apart, mm, with the error of tracing both taken off."""
    return float(np.sqrt(max(float(np.mean(away**2)) - 2.0 * trace_mm**2, 0.0)))


def _few_points(rings: Sequence[Floats], *, trace_mm: float) -> list[int]:
    """The numbers of the gaps beside outlines of few points, whose chords lie further inside the thing than a hand strays."""
    few = [k for k, ring in enumerate(rings) if chord_gap_mm(ring) > trace_mm]
    return [g for g in range(len(rings) - 1) if g in few or g + 1 in few]


def _weights(hand: Floats, steps: Floats, *, apart: Sequence[int]) -> Floats:
    """`Pooling.weights`, by errors of the hand, ``(k,)``, and steps of the form, ``(k − 1,)``, both as parts of the sections' sizes.

    Nothing is pooled across the gaps in ``apart``.
    """
    ties = 1 / steps**2
    ties[list(apart)] = 0.0
    walk = np.diag(np.append(ties, 0.0) + np.append(0.0, ties)) - np.diag(ties, 1) - np.diag(ties, -1)
    sure = np.diag(1 / hand**2)
    weights = np.linalg.solve(sure + walk, sure)
    weights[weights < _LEAST] = 0.0
    return np.asarray(weights / weights.sum(axis=1, keepdims=True))


def _moved(ring: Floats, others: Sequence[tuple[float, Floats]], *, odd_mm: float) -> Floats:
    """A ring brought towards others of its form, each given by its weight and how far outside it lies at `_SAMPLES` places, mm.

    Others count less at a place the further they lie apart there, and not at all from ``odd_mm`` on (Tukey's biweight).
    """
    if not others:
        return ring
    parts = [weight * away * np.clip(1 - (away / odd_mm) ** 2, 0.0, None) ** 2 for weight, away in others]
    move = np.sum(parts, axis=0)
    at = arc_positions(ring)
    here = np.interp(at[:-1], np.arange(_SAMPLES + 1) * at[-1] / _SAMPLES, np.append(move, move[0]))
    out = ring + outward(ring, reach_mm=_CORNER_MM) * here[:, None]
    middle = box_middle(out)
    return (out - middle) * (np.ptp(ring, axis=0) / np.ptp(out, axis=0)) + middle


def pooled_findings(given: Pooled, *, trace_mm: float) -> Iterator[Finding]:
    """That outlines were brought towards each other, where one went further than a hand usually strays."""
    k = int(given.moved_mm.argmax())
    section, moved = given.sections[k], float(given.moved_mm[k])
    if moved > trace_mm:
        yield note(
            "outlines-pooled",
            f"outlines of one form were brought towards each other, to average away what an unsteady hand adds to each,"
            f" by up to {moved:.2f} mm in {section_words(section.name)}",
            f"if they are drawn more exactly than to {trace_mm:g} mm, say how exactly: trace = 0.02 under [spread]",
            where="spread.trace",
            **in_mm(moved),
        )
