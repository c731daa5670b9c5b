"""Outlines of one form, pooled: the weights are those of the smoothed state of a random walk seen with errors (local level model)."""

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter1d

from cradle.geometry.ring import size
from cradle.matching.pooled import Pooling, pooled, pooled_findings, unpooled
from cradle.sections.section import Section

TRACE_MM = 0.25


def section(ring, *, k=0, exact=False):
    return Section(name=f"s{k}", height_mm=10.0 * k, points_mm=ring, traced_mm=size(ring), exact=exact)


def oval(*, wide=60.0, deep=40.0, power=2.0, count=360):
    """A superellipse, read all around."""
    t = np.arange(count) * 2 * np.pi / count
    round_ = np.column_stack([np.cos(t), np.sin(t)])
    return np.sign(round_) * np.abs(round_) ** (2 / power) * [wide / 2, deep / 2]


def drawn(ring, rng, *, sd=TRACE_MM):
    """A ring as an unsteady hand draws it: off square to it, smooth over a centimetre, its width and depth as they are."""
    step = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)
    out = np.column_stack([step[:, 1], -step[:, 0]]) / np.hypot(*step.T)[:, None]
    wobble = gaussian_filter1d(rng.standard_normal(len(ring)), 16.0, mode="wrap")
    off = ring + out * (sd * wobble / wobble.std())[:, None]
    return (off - off.min(axis=0)) / np.ptp(off, axis=0) * np.ptp(ring, axis=0) + ring.min(axis=0)


def rms_mm(ring, true):
    """How far a ring lies from a true one whose points it has, square to it."""
    step = np.roll(true, -1, axis=0) - np.roll(true, 1, axis=0)
    out = np.column_stack([step[:, 1], -step[:, 0]]) / np.hypot(*step.T)[:, None]
    return float(np.sqrt(np.mean(np.sum((ring - true) * out, axis=1) ** 2)))


def pooling_of(*rings, trace_mm=TRACE_MM):
    return pooled([section(ring, k=k) for k, ring in enumerate(rings)], trace_mm=trace_mm).pooling


def test_the_weights_are_the_mean_of_the_form_given_all_that_was_drawn():
    rng = np.random.default_rng(4)
    rings = [drawn(oval(wide=w, deep=0.7 * w), rng) for w in (50.0, 60.0, 55.0)]
    pooling = pooling_of(*rings)
    # conditioning normal variables (any text on multivariate normal distributions), the first form taken as wholly unknown
    sizes = pooling.sizes_mm
    steps = pooling.steps_mm / sizes[1:]
    walk = np.cumsum(np.vstack([np.zeros(2), np.diag(steps)]), axis=0)
    before = walk @ walk.T + 1e6
    seen = before + np.diag((TRACE_MM / sizes) ** 2)
    assert pooling.weights == pytest.approx(before @ np.linalg.inv(seen), abs=1e-4)


def test_of_many_alike_each_is_nearly_their_mean_and_of_two_the_closed_form_holds():
    ring = oval()
    alike = pooling_of(*[ring] * 4).weights
    assert alike.sum(axis=1) == pytest.approx(1.0)
    assert alike.min() > 0.15
    pair = pooling_of(ring, ring)
    step2 = (pair.steps_mm[0] / TRACE_MM) ** 2
    assert pair.weights[0, 0] == pytest.approx((1 + step2) / (2 + step2))


def test_errors_and_steps_tell_how_far_pooled_forms_are_off():
    """4,000 random walks seen with errors: the spread of what weighting them leaves is the stated one."""
    rng = np.random.default_rng(9)
    sizes, steps = np.array([30.0, 50.0, 45.0, 60.0]), np.array([0.2, 0.6, 0.1])
    weights = rng.uniform(0.0, 1.0, (4, 4))
    pooling = Pooling(
        weights=weights / weights.sum(axis=1, keepdims=True), steps_mm=steps, unlike_mm=steps, sizes_mm=sizes
    )
    form = np.cumsum(np.c_[rng.normal(0, 1, 4000), rng.normal(0, steps / sizes[1:], (4000, 3))], axis=1)
    seen = form - rng.normal(0, TRACE_MM, (4000, 4)) / sizes
    off = (form - seen @ pooling.weights.T) * sizes
    stated = TRACE_MM**2 * pooling.errors @ pooling.errors.T + pooling.steps @ pooling.steps.T
    assert np.cov(off.T) == pytest.approx(stated, rel=0.1, abs=0.002)


@pytest.mark.parametrize("count", [3, 5])
def test_pooled_outlines_lie_nearer_to_the_thing(count):
    """Twelve cans each, drawn at several heights by an unsteady hand (imagined)."""
    rng, raw, better = np.random.default_rng(1), [], []
    for _ in range(12):
        true = oval(power=3.0)
        rings = [drawn(true, rng) for _ in range(count)]
        together = pooled([section(ring, k=k) for k, ring in enumerate(rings)], trace_mm=TRACE_MM)
        raw += [rms_mm(ring, true) for ring in rings]
        better += [rms_mm(one.points_mm, true) for one in together.sections]
    assert np.mean(better) < (0.8 if count == 3 else 0.7) * np.mean(raw)


def test_width_and_depth_stay_nearly_in_place_and_what_was_drawn_is_kept():
    rng = np.random.default_rng(2)
    rings = [drawn(oval(wide=w), rng) for w in (60.0, 64.0)]
    together = pooled([section(ring, k=k) for k, ring in enumerate(rings)], trace_mm=TRACE_MM)
    for one, ring in zip(together.sections, rings, strict=True):
        assert size(one.points_mm) == pytest.approx(size(ring))
        assert one.points_mm.min(axis=0) == pytest.approx(ring.min(axis=0), abs=TRACE_MM)
        assert one.drawn_mm is ring
        assert not one.points_mm.flags.writeable


def test_outlines_of_other_forms_stay_as_drawn():
    round_, square = oval(), oval(power=12.0)
    together = pooled([section(round_), section(square, k=1)], trace_mm=TRACE_MM)
    assert [one.points_mm for one in together.sections] == [round_, square]
    assert np.array_equal(together.pooling.weights, np.eye(2))
    assert together.pooling.unlike_mm[0] > 1.0


def test_forms_that_differ_by_size_and_place_alone_are_not_unlike():
    ring = oval(power=5.0)
    elsewhere = pooling_of(ring, ring * [1.5, 1.2] + [7.0, -4.0], trace_mm=0.0)
    assert elsewhere.unlike_mm == pytest.approx(0.0, abs=1e-6)


def test_what_tracing_makes_two_outlines_of_one_form_differ_by_is_taken_off():
    rng, found = np.random.default_rng(6), []
    for _ in range(40):
        pair = [drawn(oval(), rng) for _ in range(2)]
        found.append([pooling_of(*pair, trace_mm=trace).unlike_mm[0] for trace in (0.0, TRACE_MM)])
    plain, taken_off = np.mean(found, axis=0)
    assert plain > TRACE_MM
    assert taken_off < 0.5 * plain


def test_what_is_drawn_exactly_stays_and_draws_others_near():
    rng = np.random.default_rng(3)
    true = oval()
    unsteady = drawn(true, rng)
    together = pooled([section(true, exact=True), section(unsteady, k=1)], trace_mm=TRACE_MM)
    exact, other = together.sections
    assert exact.points_mm is true
    assert rms_mm(other.points_mm, true) < 0.6 * rms_mm(unsteady, true)
    still = pooled([section(true), section(unsteady, k=1)], trace_mm=0.0)
    assert [one.points_mm for one in still.sections] == [true, unsteady]


def test_a_knob_that_one_outline_has_stays():
    plain, t = oval(), np.arange(360) * 2 * np.pi / 360
    knob = 1 + 0.12 * np.exp(-(((t - np.pi / 4) / 0.12) ** 2))
    together = pooled(
        [section(plain), section(plain * knob[:, None], k=1), section(plain, k=2)], trace_mm=TRACE_MM
    )
    _, middle, _ = together.sections
    top = int(knob.argmax())
    assert middle.points_mm[top] == pytest.approx(plain[top] * 1.12, abs=0.1)


def test_an_outline_of_few_points_on_a_curve_neither_gives_nor_takes():
    many, few = oval(), oval(count=12)
    together = pooled([section(many), section(few, k=1), section(many, k=2)], trace_mm=TRACE_MM)
    assert np.array_equal(together.pooling.weights, np.eye(3))
    assert together.sections[1].points_mm is few


def test_one_section_or_none_pooled_states_what_each_drawing_states():
    (alone,) = pooled([section(oval())], trace_mm=TRACE_MM).sections
    assert alone.drawn_mm is None
    still = unpooled(3)
    assert np.array_equal(still.errors, np.eye(3))
    assert not still.steps.any()


def test_it_is_told_where_an_outline_went_further_than_a_hand_strays():
    rng = np.random.default_rng(5)
    rings = [drawn(oval(), rng) for _ in range(4)]
    together = pooled([section(ring, k=k) for k, ring in enumerate(rings)], trace_mm=TRACE_MM)
    (told,) = pooled_findings(together, trace_mm=TRACE_MM)
    assert told.code == "outlines-pooled"
    assert told.measured == together.moved_mm.max() > TRACE_MM
    assert "trace = 0.02" in told.advice
    assert not [*pooled_findings(together, trace_mm=2 * together.moved_mm.max())]
