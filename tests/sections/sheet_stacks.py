"""Stacks of four sheets with known forms, their readings and their profiles."""

from __future__ import annotations

import numpy as np
from section_shapes import outline, pebble, polar, spec
from section_shapes import placed as placed_of

from cradle.geometry.arrays import frozen
from cradle.geometry.ring import extents, size
from cradle.sections.profiles import Profiles

HEIGHTS = (5.0, 20.0, 35.0, 50.0)


def box(count=400, width=64.0, depth=40.0):
    t = np.arange(count) * 2 * np.pi / count
    c, s = np.cos(t), np.sin(t)
    return np.column_stack([np.sign(c) * abs(c) ** 0.25 * width / 2, np.sign(s) * abs(s) ** 0.25 * depth / 2])


def egg(count=400):
    return polar(count, lambda t: 24 + 4 * np.cos(2 * t) + 2.5 * np.sin(t))


def boot(count=400):
    """A foot, to the front and 6° aside: hardly off its own mirror image."""
    return polar(
        count, lambda t: 20 + 12 * np.exp(-((np.angle(np.exp(1j * (t + 1.4))) / 0.5) ** 2)) + 2 * np.cos(t)
    )


def shoe(count=400):
    """The same, worn on one side: 1 mm off its own mirror image and more."""
    around = np.arange(count) * 2 * np.pi / count
    return boot(count) * (1 + np.sin(2 * around) / 20)[:, None]


def can(count=400):
    return polar(count, lambda t: 25 + 0 * t)


SHAPES = {"box": box, "egg": egg, "boot": boot, "pebble": pebble}
FACTORS = (0.94, 1.0, 1.05, 1.02)


def truth(shape):
    return [shape() * f for f in FACTORS]


def specs(rings, **changes):
    """Width and depth as calipers read them, for all sections; ``changes`` by index."""
    return [
        spec(
            f"s{i}",
            z,
            **(
                {"width_mm": round(size(r)[0], 2), "depth_mm": round(size(r)[1], 2)}
                | changes.get(f"s{i}", {})
            ),
        )
        for i, (z, r) in enumerate(zip(HEIGHTS, rings, strict=True))
    ]


def placed(rings, given, **more):
    return placed_of([outline(r) for r in rings], specs=given, **more)


def off(sections, rings):
    """Largest distance of any placed point from the true outline, shifted as a whole, mm."""
    shift = np.mean(
        [s.points_mm.mean(axis=0) - r.mean(axis=0) for s, r in zip(sections, rings, strict=True)], axis=0
    )
    return max(
        np.hypot(*(r[None] + shift - p[None].T.swapaxes(0, 1).reshape(-1, 1, 2)).T).min(axis=0).max()
        for s, r in zip(sections, rings, strict=True)
        for p in [s.points_mm]
    )


def sides(rings, *, lean=0.1):
    """All four profiles of a thing that leans, every 3 mm."""
    z = np.arange(0.0, 60.0, 3.0)
    ends = np.array([extents(r) for r in rings])
    at = np.array([np.interp(z, HEIGHTS, e) for e in ends.T]) + np.array([0, lean, 0, lean])[:, None] * z
    return Profiles(
        **{
            n: frozen(np.column_stack([z, v]))
            for n, v in zip(("left", "front", "right", "back"), at, strict=True)
        }
    )


def changed(profiles, **more):
    """The profiles with some in place of others."""
    return Profiles(**({n: getattr(profiles, n) for n in ("left", "right", "front", "back")} | more))
