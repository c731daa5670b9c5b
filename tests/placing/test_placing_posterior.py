"""The stated covariance of the sections' places, against stacks drawn and read with errors of the stated spreads.

A stated spread is true if the share of truths within its quantiles is the
quantiles' own share (Dawid, JRSS A 147, 1984, 278; from memory).
"""

from dataclasses import replace

import numpy as np
import pytest
from section_shapes import MOST, middle, outline, pear, pebble, shares_within, spec
from section_shapes import placed as placed_of

from cradle.geometry.arrays import frozen
from cradle.geometry.ring import extents, resample, turned
from cradle.project.fit import SpreadSpec
from cradle.sections.posterior import PARAMETERS, SCALE_X, SCALE_Y
from cradle.sections.profiles import Profiles
from cradle.sections.reading_spreads import CALIPER_LIMIT_MM, LAID_DEG, PROFILE_MM, combined, rectangular

HEIGHTS = (5.0, 17.0, 29.0)
SIZES = (1.0, 1.15, 0.9)
SPREAD = SpreadSpec(step_mm=0.01, trace_mm=0.0, heights_mm=0.0)


def profiles_of(rings, rng):
    """Each side read at the sections' heights."""
    ends = np.array([extents(ring) for ring in rings])
    reads = ends + PROFILE_MM * rng.standard_normal(ends.shape)
    return Profiles(
        **{
            side: frozen(np.column_stack([HEIGHTS, reads[:, k]]))
            for side, k in (("left", 0), ("front", 1), ("right", 2), ("back", 3))
        }
    )


def off_in_spreads(rng):
    """How far each section's shift along x and y and its turn are off, in stated spreads, ``(3, 3)``."""
    base = pebble(240)
    # the thing's own turn is told by the sheets alone, so that it is each sheet's that is drawn
    true = [size * base + rng.normal(0, 3, 2) for size in SIZES]
    own = CALIPER_LIMIT_MM * rng.uniform(-1, 1)
    hand = combined([SPREAD.calipers_mm, rectangular(SPREAD.step_mm / 2)])
    sheets, specs, turns = [], [], []
    for i, ring in enumerate(true):
        laid = rng.normal(0, LAID_DEG)
        scale = 1 + SPREAD.scale_percent / 100 * rng.standard_normal()
        sheets.append(scale * turned(ring, angle_deg=laid) + rng.normal(0, 20, 2))
        turns.append(-np.radians(laid))
        x0, y0, x1, y1 = extents(ring)
        width, depth = np.array([x1 - x0, y1 - y0]) + own + hand * rng.standard_normal(2)
        specs.append(spec(name=f"s{i}", height_mm=HEIGHTS[i], width_mm=float(width), depth_mm=float(depth)))
    placed = placed_of(
        [outline(sheet) for sheet in sheets], specs=specs, profiles=profiles_of(true, rng), spread=SPREAD
    )
    expected = np.array([[*middle(ring), turn] for ring, turn in zip(true, turns, strict=True)])
    return (placed.posterior.estimate[:, :3] - expected) / placed.posterior.spreads()[:, :3]


def coverage(count, seed):
    """Shares of shifts, and of turns, within the half and the most, ``(2, 2)``."""
    rng = np.random.default_rng(seed)
    off = np.array([off_in_spreads(rng) for _ in range(count)])
    return shares_within(off[..., :2], off[..., 2])


@pytest.mark.slow
def test_the_stated_spreads_are_those_of_drawn_stacks():
    shifts, turns = coverage(12, seed=3)
    # three standard deviations of 72 shifts
    allowed = 3 * np.sqrt([0.25 / 72, 0.95 * 0.05 / 72])
    assert (np.abs(shifts - [0.5, 0.95]) < allowed).all(), shifts
    # sections of one form are more alike than those of things for which the spread of a turn is stated
    assert (turns >= [0.5, 0.9]).all(), turns


def long_tin(count=400):
    """About 100 mm by 24 mm, with rounded corners and long sides that are nearly flat (a superellipse)."""
    t = np.linspace(0, 2 * np.pi, count, endpoint=False)
    unit = np.column_stack([np.cos(t), np.sin(t)])
    return np.sign(unit) * np.abs(unit) ** 0.4 * [50.0, 12.0]


def wavering(ring, rng, *, trace_mm):
    """A ring traced with an error that keeps its direction over 12 mm, with the correlation exp(-d² / 2l²)."""
    ring = resample(ring, count=300)
    edge = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)
    normal = np.column_stack([edge[:, 1], -edge[:, 0]]) / np.hypot(*edge.T)[:, None]
    way = float(np.hypot(*(np.roll(ring, -1, axis=0) - ring).T).sum())
    apart = np.minimum(np.arange(300), 300 - np.arange(300)) * way / 300
    root = np.sqrt(np.maximum(np.fft.fft(np.exp(-0.5 * (apart / 12.0) ** 2)).real, 0.0))
    error = trace_mm * np.fft.ifft(np.fft.fft(rng.standard_normal(300)) * root).real
    return ring + error[:, None] * normal


@pytest.mark.slow
def test_the_sheets_of_a_long_tin_are_turned_back_though_their_outlines_waver():
    rng = np.random.default_rng(4)
    spread = SpreadSpec(trace_mm=0.25, heights_mm=0.0)
    off, stated = [], []
    for _ in range(8):
        true = [size * long_tin() for size in SIZES]
        laid = rng.normal(0, LAID_DEG, len(true))
        sheets = [
            turned(wavering(ring, rng, trace_mm=0.25), angle_deg=turn)
            for ring, turn in zip(true, laid, strict=True)
        ]
        specs = [
            spec(
                name=f"s{i}",
                height_mm=z,
                width_mm=float(np.ptp(ring[:, 0])),
                depth_mm=float(np.ptp(ring[:, 1])),
            )
            for i, (z, ring) in enumerate(zip(HEIGHTS, true, strict=True))
        ]
        placed = placed_of(
            [outline(sheet) for sheet in sheets], specs=specs, profiles=profiles_of(true, rng), spread=spread
        )
        off += list(np.degrees(placed.posterior.estimate[:, 2]) + laid)
        stated += list(np.degrees(placed.posterior.spreads()[:, 2]))
    # four independent errors of 0.25 mm along each side, 23 mm from the middle in the mean, leave 0.3 degrees (by algebra)
    assert np.sqrt(np.mean(np.square(off))) < 0.35
    assert (np.abs(off) < MOST * np.array(stated)).mean() >= 0.9


@pytest.mark.speed
def test_two_thousand_stacks_are_covered_within_two_points():
    shifts, turns = coverage(2000, seed=4)
    assert (np.abs(shifts - [0.5, 0.95]) <= 0.02).all(), shifts
    assert (turns >= [0.5, 0.95]).all(), turns


def test_a_size_is_no_surer_than_the_picture_it_was_traced_in_unless_calipers_tell_it():
    ring = pebble()
    width, depth = np.ptp(ring, axis=0).tolist()
    for share, told, least, most in (
        (0.0, {}, 0.001, 0.003),  # the spread of a drawing's scale, 0.2 %
        (0.03, {}, 0.02, 0.04),
        (0.03, {"width_mm": width, "depth_mm": depth}, 0.0, 0.015),  # its turn is less sure too
    ):
        outlines = [replace(outline(ring), scale_share=share)] * 2
        found = placed_of(outlines, specs=[spec(**told), spec(name="high", height_mm=30.0, **told)])
        scales = np.sqrt(np.diag(found.posterior.covariance)).reshape(2, PARAMETERS)[:, [SCALE_X, SCALE_Y]]
        assert (scales > least).all()
        assert (scales < most).all()


def apart_in_spreads(rng, *, step_mm):
    """How far three unlike sections lie off beside each other, in stated spreads, and these, each ``(2, 2)``.

    The thing's middle runs straight, leaning, but for what it steps aside between
    the lowest and the next; its sides are read every 2 mm.
    """
    z = np.arange(1.0, 36.0, 2.0)  # at the sections too
    forms = [pebble(240), turned(pear(240), angle_deg=90.0), 1.2 * pebble(240)[:, ::-1]]
    middles = np.outer(HEIGHTS, [0.05, -0.02]) + np.outer([0.0, 1.0, 1.0], [step_mm, 0.0])
    true = [form - middle(form) + at for form, at in zip(forms, middles, strict=True)]
    ends = np.array([extents(ring) for ring in true])
    sides = {}
    for side, k in (("left", 0), ("front", 1), ("right", 2), ("back", 3)):
        reach = np.interp(z, HEIGHTS, ends[:, k]) + PROFILE_MM * rng.standard_normal(len(z))
        sides[side] = frozen(np.column_stack([z, reach]))
    placed = placed_of(
        [outline(ring + rng.normal(0, 20, 2)) for ring in true],
        specs=[
            spec(
                name=f"s{i}",
                height_mm=HEIGHTS[i],
                width_mm=float(x1 - x0),
                depth_mm=float(y1 - y0),
                turn_deg=0.0,
            )
            for i, (x0, y0, x1, y1) in enumerate(ends)
        ],
        profiles=Profiles(**sides),
        spread=replace(SPREAD, trace_mm=0.1),
    )
    off = np.diff(placed.posterior.estimate[:, :2] - middles, axis=0)
    own = placed.posterior.covariance.reshape(3, PARAMETERS, 3, PARAMETERS)
    spreads = np.sqrt(
        [
            [own[i, k, i, k] + own[i + 1, k, i + 1, k] - 2 * own[i, k, i + 1, k] for k in (0, 1)]
            for i in (0, 1)
        ]
    )
    return off / spreads, spreads


@pytest.mark.slow
def test_sides_that_run_straight_hold_unlike_sections_on_a_line_and_those_that_step_do_not():
    rng = np.random.default_rng(8)
    straight, stepping = (
        np.array([apart_in_spreads(rng, step_mm=step) for _ in range(30)]) for step in (0.0, 3.0)
    )
    for found in (straight, stepping):
        assert (np.abs(found[:, 0]) <= MOST).mean() > 0.85
    along_x = [(np.prod(found, axis=1)[..., 0], found[:, 1, :, 0]) for found in (straight, stepping)]
    (held_mm, held), (free_mm, free) = along_x
    assert np.sqrt(np.mean(held_mm**2)) < 0.75 * np.sqrt(np.mean(free_mm**2))
    assert held.mean() < 0.95 * free.mean()
