"""Bodies and rings whose measures are known in closed form, and sections to loft them from."""

import numpy as np
from stacked import ellipse as ellipse
from stacked import rectangle as rectangle

from cradle.geometry import ring as plane
from cradle.loft.loft import loft
from cradle.matching.rings import match_sections
from cradle.project.section import Between, LoftSpec
from cradle.sections.profiles import Profiles
from cradle.sections.section import Section


def section(height, points, name=None):
    points = np.asarray(points, dtype=np.float64)
    return Section(
        name=name or f"at {height:g}",
        height_mm=float(height),
        points_mm=points,
        traced_mm=plane.size(points),
    )


def superellipse(a, b, exponent, *, points=240):
    """|x/a|^p + |y/b|^p = 1."""
    angle = np.arange(points) * 2 * np.pi / points
    c, s = np.cos(angle), np.sin(angle)
    return np.column_stack(
        [a * np.sign(c) * abs(c) ** (2 / exponent), b * np.sign(s) * abs(s) ** (2 / exponent)]
    )


def pebble(seed, *, points=150, size=30.0, turn=0.0):
    """A lopsided smooth outline without any symmetry."""
    chance = np.random.default_rng(seed)
    angle = np.arange(points) * 2 * np.pi / points + turn
    waves = [(k, chance.normal() * 0.06 * size / k, chance.uniform(0, 2 * np.pi)) for k in range(2, 6)]
    reach = size + sum(height * np.cos(k * angle + phase) for k, height, phase in waves)
    return np.column_stack([reach * np.cos(angle), 0.7 * reach * np.sin(angle)]) + chance.uniform(-2, 2, 2)


def gear(size, *, teeth=16, turn=0.0):
    step = (np.arange(teeth * 4) + 0.5) * 2 * np.pi / (teeth * 4) + turn
    reach = np.where((np.arange(teeth * 4) // 2) % 2 == 0, size, 0.8 * size)
    return np.column_stack([reach * np.cos(step), reach * np.sin(step)])


def keyhole(radius, width, length):
    half = np.arcsin(width / 2 / radius)
    angle = np.linspace(-np.pi / 2 + half, 1.5 * np.pi - half, 90)
    arc = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
    return np.concatenate([arc, [[-width / 2, -radius - length], [width / 2, -radius - length]]])


def bracket(size):
    """An L, off-centre."""
    return size * np.array([[0, 0], [4, 0], [4, 1.5], [1.5, 1.5], [1.5, 4], [0, 4.0]])


def inscribed(points):
    """Area of the regular inscribed polygon over that of its ellipse."""
    return points / (2 * np.pi) * np.sin(2 * np.pi / points)


def prismoid_volume(height, low, middle, high):
    """Prismoidal formula: h/6 (A1 + 4 Am + A2); Kern & Bland, Solid Mensuration, 2nd ed. 1948, section 30."""
    return height / 6 * (low + 4 * middle + high)


def lofted(sections, *, between=Between.AUTO, profiles=None, low=None, high=None, rim=np.inf):
    stack = match_sections(sections)
    return loft(
        stack,
        spec=LoftSpec(between=between),
        profiles=profiles or Profiles(),
        low_mm=float(stack.heights_mm[0]) if low is None else low,
        high_mm=float(stack.heights_mm[-1]) if high is None else high,
        rim_mm=rim,
    )
