"""Invented outlines for the tests of the sections room."""

from __future__ import annotations

import numpy as np
from stacked import polar as polar

from cradle.capture.outline import Outline
from cradle.geometry.arrays import frozen
from cradle.geometry.ring import extents, resample
from cradle.placing.place import place_sections
from cradle.placing.to_place import ToPlace
from cradle.project.section import DrawingSource, SectionSpec

HALF, MOST = 0.674490, 1.959964
"""Half of a normal distribution lies within the first, 19 in 20 within the second (ISO 3534-1, any table)."""


def shares_within(*parts):
    """Shares of each part, in standard deviations, within the half and the most, ``(k, 2)``."""
    return np.array([[(np.abs(part) <= q).mean() for q in (HALF, MOST)] for part in parts])


def pebble(count=600):
    """No mirror line at all, about 60 mm across."""
    return polar(
        count,
        lambda t: (
            25 + 6 * np.cos(2 * t + 0.4) + 2 * np.sin(t) + 2.5 * np.sin(3 * t + 1) + 1.5 * np.cos(5 * t)
        ),
    )


def pear(count=600):
    """Symmetric about x = 0, and about no other line."""
    return polar(count, lambda t: 25 + 6 * np.cos(2 * t) + 2 * np.sin(t) + 1.5 * np.sin(3 * t))


def jug(count=600):
    """Symmetric about y = 0 only: a body with a handle on the right."""
    return polar(count, lambda t: 20 + 6 * np.exp(-((np.angle(np.exp(1j * t)) / 0.4) ** 2)) + np.cos(t))


def about_perimeter(ring, factor):
    """The ring scaled about the middle of its line."""
    middle = resample(ring, count=20_000).mean(axis=0)
    return (ring - middle) * factor + middle


def middle(ring):
    """The middle of a ring's width and depth."""
    x0, y0, x1, y1 = extents(ring)
    return np.array([x0 + x1, y0 + y1]) / 2


def outline(points, *, open_ends=False):
    return Outline(points_mm=frozen(points), open_ends=open_ends)


def spec(name="low", height_mm=5.0, **more):
    return SectionSpec(name=name, height_mm=height_mm, source=DrawingSource(path="invented.csv"), **more)


def codes(findings):
    return {f.code for f in findings}


def placed(outlines, *, specs, views=(), **given):
    return place_sections(ToPlace(outlines=tuple(outlines), specs=tuple(specs), views=tuple(views), **given))
