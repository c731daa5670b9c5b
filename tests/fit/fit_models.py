"""Small models of the fit whose answers are known."""

from dataclasses import replace

import numpy as np

from cradle.fit.banded import banded, trimmed
from cradle.fit.chance import chance_of_fit
from cradle.fit.gain import Gains
from cradle.fit.interpolation_error import InterpolationError
from cradle.fit.model import FitModel
from cradle.fit.places import Places
from cradle.fit.sensitivities import Influences
from cradle.fit.uncertainties import Spread
from cradle.geometry.arrays import frozen, frozen_ints
from cradle.geometry.ring import size
from cradle.matching.pooled import pooled
from cradle.matching.ring_stack import RingStack
from cradle.pocket.clearance import clearance_profile
from cradle.sections.section import Section


def round_places(count=24, *, radius=20.0, heights=(0.0, 10.0, 20.0)):
    """Places on an upright cylinder."""
    angle = np.arange(count) * 2 * np.pi / count
    levels = np.repeat(np.arange(len(heights)), count)
    around = np.tile(angle, len(heights))
    z = np.array(heights)[levels]
    return Places(
        points_mm=frozen(np.column_stack([radius * np.cos(around), radius * np.sin(around), z])),
        normals=frozen(np.column_stack([np.cos(around), np.sin(around), 0 * around])),
        along=frozen(around / (2 * np.pi)),
        levels=frozen_ints(levels),
        heights_mm=frozen(heights),
        sizes_mm=frozen(np.full((len(heights), 2), 2 * radius)),
        even_mm=frozen(heights),
        room_mm=frozen(np.zeros(len(levels))),
        under=frozen_ints(np.arange(len(levels))),
        under_mm=frozen(np.zeros(len(levels))),
        round_mm=2 * np.pi * radius,
        lever_mm=radius,
        middle_mm=frozen([0.0, 0.0]),
    )


def nothing_between(count):
    """What lies between sections known exactly, at so many places."""
    none = np.zeros(count)
    return InterpolationError(
        amount_mm=none,
        mean_mm=none,
        gap=np.zeros(count, dtype=np.int64),
        turned=none,
        left_by_another=none + 1,
        tails=np.zeros(1),
    )


def model_of(rows, spreads, *, rectangular=None, mean_mm=0.0, places=None):
    """A model whose quantities move the places by ``rows``, ``(q, j)`` or one number for all places."""
    places = round_places() if places is None else places
    j = len(places.levels)
    matrix = np.array([np.broadcast_to(np.asarray(row, dtype=float), j) for row in rows])
    flat = np.zeros(len(rows), dtype=bool) if rectangular is None else np.array(rectangular)
    knots = places.heights_mm
    hats = np.array([np.interp(knots[places.levels], knots, row) for row in np.eye(len(knots))])
    return FitModel(
        places=places,
        influences=Influences(
            matrix=banded([trimmed(matrix)], width=j),
            mean_mm=frozen(np.full(j, mean_mm)),
            between_mean_mm=frozen(np.zeros(j)),
            points_mean_mm=frozen(np.zeros(j)),
            spreads=tuple(spreads),
            rectangular=flat,
            mixed=frozen_ints(np.full(len(rows), -1)),
            tails=frozen(np.zeros(0)),
            alike=frozen(np.zeros(0)),
            sections=frozen(hats),
        ),
        names=("low", "middle", "high")[: len(knots)],
        section_heights_mm=knots,
        section_sizes_mm=frozen(np.full((len(knots), 2), 40.0)),
    )


def everywhere(*spreads_mm, mean_mm=0.0, rectangular=None):
    """A model in which every quantity makes the thing thicker all round by its spread."""
    return model_of(spreads_mm, [Spread.INSIDE] * len(spreads_mm), mean_mm=mean_mm, rectangular=rectangular)


def guessed(model, *, times):
    """A model whose shape between the sections is so many times less known."""
    influences = model.influences
    wide = np.full(len(influences.mean_mm), times)
    matrix = influences.matrix.scaled(wide, rows=influences.of(Spread.BETWEEN))
    return replace(model, influences=replace(influences, matrix=matrix))


def clearance(mm, model):
    heights = model.section_heights_mm.tolist()
    return clearance_profile(heights, [None] * len(heights), default_mm=mm)


def gains_of(model, mm):
    """What knowing more gains at one clearance everywhere."""
    asked = clearance(mm, model)
    return Gains(model, asked, asked_least_mm=mm, chance=chance_of_fit(model, asked))


def stack_of(heights, rings):
    """Rings whose points belong together, drawn without error."""
    sections = [
        Section(name=f"s{k}", height_mm=height, points_mm=frozen(ring), traced_mm=size(ring))
        for k, (height, ring) in enumerate(zip(heights, rings, strict=True))
    ]
    return RingStack(
        heights_mm=frozen(heights),
        rings_mm=frozen(rings),
        names=tuple(section.name for section in sections),
        unlike_mm=tuple(pooled(sections, trace_mm=0.0).pooling.unlike_mm.tolist()),
    )


def round_stack(heights, radii):
    t = np.arange(120) * 2 * np.pi / 120
    ring = np.column_stack([np.cos(t), np.sin(t)])
    return stack_of(heights, [r * ring for r in radii])


def cone(heights=(0.0, 10.0, 30.0), *, rise=0.3):
    return round_stack(list(heights), [20 + rise * z for z in heights])


def unlike():
    """A circle below a square of the same width, and a third as the second."""
    t = np.arange(240) * 2 * np.pi / 240
    circle = 20 * np.column_stack([np.cos(t), np.sin(t)])
    square = circle / np.maximum(np.abs(np.cos(t)), np.abs(np.sin(t)))[:, None]
    return stack_of([0.0, 10.0, 30.0], [circle, square, square])
