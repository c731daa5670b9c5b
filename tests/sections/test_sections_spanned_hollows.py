"""Hollows spanned: as a string pulled tight around a section runs, which is along its convex hull (any geometry text)."""

import numpy as np
import pytest
from section_shapes import polar

from cradle.geometry.planar import hull_ring, region, without
from cradle.geometry.region_measures import area_mm2
from cradle.geometry.ring import extents, perimeter
from cradle.sections.hollows import hollows_of
from cradle.sections.section import Section
from cradle.sections.spanned_hollows import hollow_findings, spanned, straight_across


def lobed(lobes, *, deep_mm, radius=30.0, turned=0.3, count=720):
    """A round with hollows between its lobes."""
    return polar(count, lambda t: radius + deep_mm / 2 * np.cos(lobes * (t - turned)))


def section(ring, *, name="low", height_mm=5.0):
    width, depth = np.ptp(ring, axis=0).tolist()
    return Section(name=name, height_mm=height_mm, points_mm=ring, traced_mm=(width, depth))


@pytest.mark.parametrize("lobes", [3, 4, 5, 8])
def test_a_string_pulled_tight_runs_along_what_is_spanned(lobes):
    ring = lobed(lobes, deep_mm=9.0)
    hollows = hollows_of(ring, trace_mm=0.1)
    tight = straight_across(ring, hollows)
    hull = hull_ring(ring)
    assert len(hollows) == lobes
    assert perimeter(tight) == pytest.approx(perimeter(hull), rel=1e-9)
    assert area_mm2(region(tight)) == pytest.approx(area_mm2(region(hull)), rel=1e-9)
    assert area_mm2(without(region(ring), region(tight))) == pytest.approx(0.0, abs=1e-9)
    assert extents(tight) == extents(ring)


def test_what_is_spanned_has_no_hollow_left_and_as_many_points():
    ring = lobed(5, deep_mm=9.0)
    tight = straight_across(ring, hollows_of(ring, trace_mm=0.1))
    assert tight.shape == ring.shape
    assert hollows_of(tight, trace_mm=0.1) == ()
    assert not tight.flags.writeable


def test_points_on_a_span_lie_no_further_apart_than_a_curve_has_them():
    # few points far apart would be taken for a round thing read at few places
    ring = lobed(3, deep_mm=12.0)
    hollows = hollows_of(ring, trace_mm=0.1)
    tight = straight_across(ring, hollows)
    for hollow in hollows:
        steps = np.linalg.norm(np.diff(tight[hollow.points], axis=0), axis=1)
        assert steps.max() == pytest.approx(hollow.width_mm / (len(hollow.points) + 1), rel=1e-6)


def test_a_hollow_that_an_unsteady_hand_may_have_made_is_followed():
    ring = lobed(3, deep_mm=16.0)
    (one, *_) = hollows_of(ring, trace_mm=0.1)
    for trace, spans in ((one.depth_mm / 4 * 0.99, True), (one.depth_mm / 4 * 1.01, False)):
        assert bool(hollows_of(ring, trace_mm=trace)) is spans


def test_a_convex_outline_stays_as_it_is():
    t = np.arange(200) * 2 * np.pi / 200
    ring = np.column_stack([30 * np.cos(t), 20 * np.sin(t)])
    assert hollows_of(ring, trace_mm=0.0) == ()


def test_a_hollow_across_the_ring_s_first_point_is_one_hollow():
    ring = np.roll(lobed(3, deep_mm=9.0, turned=np.pi / 3), 17, axis=0)
    assert len(hollows_of(ring, trace_mm=0.1)) == 3


def test_of_all_sections_the_deepest_hollow_is_told():
    low, high = lobed(3, deep_mm=9.0), lobed(4, deep_mm=16.0)
    across = spanned([section(low), section(high, name="high", height_mm=40.0)], trace_mm=0.1, through=False)
    (told,) = hollow_findings(across)
    assert told.code == "hollows-spanned"
    assert "across hollows, the deepest " in told.message
    assert told.message.endswith('in section "high"')
    assert told.measured == max(hollow.depth_mm for hollow in across.hollows[1])
    x, y, z = told.place_mm
    assert z == 40.0
    assert 20.0 < np.hypot(x, y) < 38.0
    alone = spanned(
        [section(low), section(hull_ring(low), name="high", height_mm=40.0)], trace_mm=0.1, through=False
    )
    (told,) = hollow_findings(alone)
    assert told.message.endswith('in section "low"')


def test_of_sections_without_hollows_nothing_is_told():
    ring = hull_ring(lobed(3, deep_mm=9.0))
    assert not [
        *hollow_findings(spanned([section(ring), section(ring, name="high")], trace_mm=0.1, through=False))
    ]


def test_an_outline_is_kept_as_it_was_where_hollows_of_it_were_spanned():
    grooved, plain = lobed(3, deep_mm=9.0), hull_ring(lobed(3, deep_mm=9.0))
    first, second = spanned(
        [section(grooved), section(plain, name="high")], trace_mm=0.1, through=False
    ).sections
    assert first.drawn_mm is grooved
    assert second.drawn_mm is None
    assert second.points_mm is plain
