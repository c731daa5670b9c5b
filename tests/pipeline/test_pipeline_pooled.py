"""Cans drawn at several heights by an unsteady hand (imagined): what is stated of tracing is what averaging their outlines leaves of it."""

import numpy as np
import pytest
import shapely

from cradle.fit.uncertainties import Spread
from cradle.pipeline.modelling import model_thing
from cradle.project.reader import project_from_text

HEIGHTS = (3.0, 16.0, 30.0, 44.0)
TRACE_MM, LENGTH_MM = 0.25, 12.0
WIDE, DEEP = 60.0, 46.0
CANS = 10


def can(count=360):
    """A rounded box's outline, and the way out of it."""
    t = np.arange(count) * 2 * np.pi / count
    round_ = np.column_stack([np.cos(t), np.sin(t)])
    ring = np.sign(round_) * np.abs(round_) ** 0.7 * [WIDE / 2, DEEP / 2]
    step = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)
    return ring, np.column_stack([step[:, 1], -step[:, 0]]) / np.hypot(*step.T)[:, None]


def drawn(rng):
    """It as drawn: off by smooth waves around it, as `cradle.fit.sensitivities` imagines them."""
    ring, out = can()
    at = np.arange(len(ring)) * 2 * np.pi / len(ring)
    waves = np.arange(1, 21)
    length = float(np.hypot(*np.diff(np.vstack([ring, ring[:1]]), axis=0).T).sum())
    share = np.exp(-((2 * np.pi * waves * LENGTH_MM / length) ** 2) / 2)
    amount = TRACE_MM * np.sqrt(2 * share / (1 + 2 * share.sum()))
    sides = rng.standard_normal((2, len(waves))) * amount
    off = TRACE_MM * rng.standard_normal() / np.sqrt(1 + 2 * share.sum())
    off = off + sides[0] @ np.cos(waves[:, None] * at) + sides[1] @ np.sin(waves[:, None] * at)
    return ring + out * off[:, None]


def project(folder, rng):
    lines = ['[object]\nname = "can"\nhazards = []\n[loft]\nalign = "drawing"\n']
    lines.append(f"[spread]\ntrace = {TRACE_MM}\nheights = 0.0\nscale = 0.5\n")
    for number, height in enumerate(HEIGHTS):
        np.savetxt(folder / f"{number}.csv", drawn(rng), delimiter=",", fmt="%.4f")
        lines.append(f'[[section]]\nname = "s{number}"\nheight = {height}\noutline = "{number}.csv"\n')
        lines.append(f"width = {WIDE}\ndepth = {DEEP}\n")
    lines.append("[block]\nheight = 42\n")
    return project_from_text("".join(lines), file=folder / "holder.toml")


@pytest.fixture(scope="module")
def cans(tmp_path_factory):
    """The cans as modelled."""
    rng, folder = np.random.default_rng(8), tmp_path_factory.mktemp("cans")
    return [model_thing(project(folder, rng)) for _ in range(CANS)]


def off_mm(ring):
    """How far a ring lies from the true can, root mean square."""
    true = shapely.Polygon(can()[0]).exterior
    return np.sqrt(np.mean(shapely.distance(shapely.points(ring), true) ** 2))


def test_the_body_lies_nearer_to_the_can_than_what_was_drawn(cans):
    raw = [off_mm(section.drawn_mm) for one in cans for section in one.sections]
    used = [off_mm(section.points_mm) for one in cans for section in one.sections]
    assert np.mean(used) < 0.75 * np.mean(raw)


def test_what_is_stated_of_tracing_is_what_is_left_of_it(cans):
    used = np.sqrt(np.mean([off_mm(section.points_mm) ** 2 for one in cans for section in one.sections]))
    stated = []
    for one in cans:
        fit = one.learned.model
        rows = np.eye(len(fit.influences.spreads))[fit.influences.of(Spread.TRACE)]
        own = np.isin(fit.places.z_mm, HEIGHTS)
        stated.append((fit.influences.matrix.after(rows) ** 2).sum(axis=0)[own].mean())
    assert used < np.sqrt(np.mean(stated)) < 1.35 * used
