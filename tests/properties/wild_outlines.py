"""Outlines of every kind that a user might draw: usual ones, odd ones, and some that no thing has.

Each is ``(n, 2)`` about the origin with an overall size of about 1.
"""

import numpy as np


def _round(rng):
    count = rng.choice([3, 4, 5, 8, 24, 60, 180])
    return _polar(np.ones(count))


def _polar(radii):
    angles = np.linspace(0, 2 * np.pi, len(radii), endpoint=False)
    return 0.5 * np.column_stack([radii * np.cos(angles), radii * np.sin(angles)])


def _squarish(rng):
    angles = np.linspace(0, 2 * np.pi, rng.choice([16, 48, 96]), endpoint=False)
    power = 2 / rng.uniform(0.7, 8.0)
    wave = np.column_stack([np.cos(angles), np.sin(angles)])
    return 0.5 * np.sign(wave) * np.abs(wave) ** power


def _cloud(rng):
    angles = np.linspace(0, 2 * np.pi, rng.choice([12, 40, 90]), endpoint=False)
    radii = np.ones_like(angles)
    for wave in range(1, 6):
        radii += rng.uniform(-0.25, 0.25) / wave * np.cos(wave * angles + rng.uniform(0, 6.28))
    return _polar(radii)


def _star(rng):
    radii = np.ones(2 * rng.choice([3, 5, 9]))
    radii[1::2] = rng.uniform(0.1, 0.9)
    return _polar(radii)


def _triangle(rng):
    return np.array([[0, 0], [1, rng.uniform(-0.4, 0.4)], [rng.uniform(0, 1), rng.uniform(0.05, 1)]]) - 0.4


def _bar(rng):
    thin = 10 ** rng.uniform(-1.7, -0.3)
    return np.array([[-0.5, 0], [0.5, 0], [0.5, thin], [-0.5, thin]])


def _angle_iron(rng):
    a, b = rng.uniform(0.1, 0.9), rng.uniform(0.1, 0.9)
    return np.array([[0, 0], [1, 0], [1, a], [b, a], [b, 1], [0, 1]]) - 0.5


def _horseshoe(rng):
    thick, gap = rng.uniform(0.05, 0.4), rng.uniform(0.1, 2.0)
    turn = np.linspace(gap / 2, 2 * np.pi - gap / 2, 40)
    arc = np.column_stack([np.cos(turn), np.sin(turn)])
    return np.concatenate([0.5 * arc, (0.5 - thick) * arc[::-1]])


def _spiral(rng):
    turns = rng.uniform(1.1, 2.5)
    t = np.linspace(0, 2 * np.pi * turns, 90)
    pitch = 0.42 / turns
    thick = pitch * rng.uniform(0.3, 0.9)
    out = (0.05 + pitch * t / (2 * np.pi))[:, None] * np.column_stack([np.cos(t), np.sin(t)])
    wide = out * (1 + thick / np.hypot(*out.T))[:, None]
    return np.concatenate([out, wide[::-1]])


def _dumbbell(rng):
    """Two lobes and a neck between them, down to nearly none."""
    neck = 10 ** rng.uniform(-3, -0.5)
    angles = np.linspace(0.15, 2 * np.pi - 0.15, 30)
    lobe = np.column_stack([0.2 * np.cos(angles) - 0.3, 0.2 * np.sin(angles)])
    lobe[[0, -1], 1] = neck / 2, -neck / 2
    return np.concatenate([lobe, -lobe])


def _comb(rng):
    teeth = rng.choice([2, 4, 8])
    x = np.linspace(-0.5, 0.5, 4 * teeth)
    y = np.tile([0.0, 0.4, 0.4, 0.0], teeth) * rng.uniform(0.2, 1.0)
    return np.concatenate([np.column_stack([x, y]), [[0.5, -0.2], [-0.5, -0.2]]])


def _touching(rng):
    """Two lobes that touch in one point, or cross there."""
    angles = np.linspace(0, 2 * np.pi, rng.choice([16, 41]), endpoint=False)
    return np.column_stack([0.5 * np.sin(angles), 0.3 * np.sin(2 * angles + rng.choice([0.0, 0.1]))])


def _with_spike(rng):
    ring = _polar(np.ones(30))
    return np.concatenate([ring[:7], [[0.1, rng.uniform(0.6, 1.5)]], ring[7:]])


def _repeated(rng):
    ring = np.repeat(_cloud(rng), rng.choice([2, 3]), axis=0)
    return ring + np.array([rng.uniform(-1e-5, 1e-5), 0.0])


def _line(rng):
    return np.array([[0, 0], [0.5, rng.choice([0.0, 1e-6])], [1, 0]]) - 0.5


def _rosette(rng):
    """One to five lobes, deep ones."""
    lobes, deep = rng.choice([1, 2, 3, 5]), rng.uniform(0.4, 0.9)
    angles = np.linspace(0, 2 * np.pi, rng.choice([30, 120, 300]), endpoint=False)
    return _polar(1 - deep + deep * np.abs(np.cos(lobes * angles / 2)) ** rng.choice([1, 3]))


def _boot(rng):
    """A shaft on a long foot with a round toe, and a heel."""
    shaft, foot, instep = rng.uniform(0.15, 0.5), rng.uniform(0.15, 0.5), rng.uniform(0.05, 0.4)
    toe = np.linspace(-np.pi / 2, np.pi / 2, rng.choice([5, 24]))
    front = np.column_stack([1 - foot / 2 + foot / 2 * np.cos(toe), foot / 2 + foot / 2 * np.sin(toe)])
    back = [[shaft + instep * (1 - foot / 2 - shaft), foot], [shaft, foot + instep], [shaft, 1.2], [0, 1.2]]
    heel = [[0, -0.1], [0.25, -0.1], [0.25, 0]]
    return np.concatenate([front, back, heel]) - [0.5, 0.5]


def _sheet(rng):
    """As thin as sheet metal, straight or bent at a right angle."""
    thin = rng.uniform(0.012, 0.05)
    if rng.random() < 0.5:
        return np.array([[-0.5, 0], [0.5, 0], [0.5, thin], [-0.5, thin]])
    return np.array([[0, 0], [1, 0], [1, thin], [thin, thin], [thin, 1], [0, 1]]) - 0.4


def _thin_star(rng):
    radii = np.ones(2 * rng.choice([3, 4, 5, 8]))
    radii[1::2] = rng.uniform(0.06, 0.25)
    return _polar(radii)


CALM = (_round, _squarish, _cloud)
ODD = (_star, _triangle, _bar, _angle_iron, _horseshoe, _spiral, _dumbbell, _comb, _with_spike, _repeated)
UNLIKE = (_rosette, _angle_iron, _round, _thin_star, _boot, _sheet, _horseshoe, _dumbbell, _comb, _squarish)
THIN = (_thin_star, _sheet, _bar, _angle_iron)
WRONG = (_touching, _line)


def outline(rng, kinds):
    """One outline of one of the kinds; ``rng`` is a `random.Random`."""
    return rng.choice(kinds)(rng)
