import numpy as np
import pytest
from section_shapes import codes, pebble, polar

from cradle.errors import SectionError
from cradle.geometry.ring import size
from cradle.sections.caliper import girth, likely_cause, reconcile


def box(width, depth):
    return np.array([[0.0, 0], [width, 0], [width, depth], [0, depth]]) + [7, 9]


def test_both_readings_are_met_exactly_and_the_middle_stays():
    ring = pebble()
    width, depth = size(ring)
    result = reconcile(ring, width_mm=width * 1.012, depth_mm=depth * 0.991)
    assert size(result.points_mm) == pytest.approx((width * 1.012, depth * 0.991), abs=1e-9)
    assert result.scale == pytest.approx((1.012, 0.991))
    assert result.traced_mm == (width, depth)
    middle = lambda r: (r.min(axis=0) + r.max(axis=0)) / 2  # noqa: E731
    assert middle(result.points_mm) == pytest.approx(middle(ring))
    assert codes(result.findings) == {"trace-scaled"}
    assert [f.measured for f in result.findings] == pytest.approx([0.012 * width, -0.009 * depth])


@pytest.mark.parametrize("axis", ["width_mm", "depth_mm"])
def test_one_reading_scales_both_axes(axis):
    ring = box(30, 20)
    reading = {"width_mm": 30.6, "depth_mm": 20.4}[axis]
    assert size(reconcile(ring, **{axis: reading}).points_mm) == pytest.approx((30.6, 20.4))


def test_no_reading_changes_nothing_and_is_told():
    ring = box(30, 20)
    result = reconcile(ring)
    assert result.points_mm is ring
    assert codes(result.findings) == {"no-caliper-reading"}


@pytest.mark.parametrize(
    ("share", "code"), [(1.029, "trace-scaled"), (1.031, "trace-off-caliper"), (0.965, "trace-off-caliper")]
)
def test_over_three_percent_is_doubtful(share, code):
    assert codes(reconcile(box(30, 20), width_mm=30 * share, depth_mm=20).findings) == {code}


def test_over_ten_percent_is_refused():
    reconcile(box(30, 20), width_mm=32.9, depth_mm=20)
    with pytest.raises(SectionError, match=r'section "low": width 30\.00 mm traced, 33\.5 mm by caliper'):
        reconcile(box(30, 20), width_mm=33.5, depth_mm=20, where='section "low"')


def test_a_300_dpi_scan_placed_at_72_dpi_needs_24_percent():
    # common practice, no source: 72 / 300 = 24 %
    ring = box(29 * 300 / 72, 35 * 300 / 72)
    with pytest.raises(
        SectionError, match=r"300-dpi scan had been placed at 72 dpi: scale the drawing to 24 %"
    ):
        reconcile(ring, width_mm=29, depth_mm=35)


@pytest.mark.parametrize(
    ("factor", "words"),
    [
        (96 / 300, "300-dpi scan had been placed at 96 dpi"),
        (72 / 96, "96-dpi scan had been placed at 72 dpi"),
        (25.4, "in inches"),
        (1 / 25.4, "calipers read inches"),
        (10.0, "in cm"),
        (0.1, "readings are in cm"),
    ],
)
def test_known_factors_are_named(factor, words):
    assert words in likely_cause((factor * 1.01, factor * 0.995))


def test_exchanged_readings_and_a_missing_half_are_named():
    with pytest.raises(SectionError, match="width and depth are exchanged: set turn = 90"):
        reconcile(box(30, 20), width_mm=20.1, depth_mm=29.9)
    with pytest.raises(SectionError, match="set half = true"):
        reconcile(box(30, 20), width_mm=60.1, depth_mm=20)


def test_an_unknown_factor_names_no_cause():
    assert likely_cause((1.21, 1.21)) == ""


@pytest.mark.parametrize("reading", [0.0, -3.0, float("nan"), float("inf")])
def test_readings_must_be_above_zero(reading):
    with pytest.raises(SectionError, match=r"depth is .* not above 0"):
        reconcile(box(30, 20), depth_mm=reading)


def test_girth_is_the_hulls_perimeter():
    # a star's string runs over its five tips: 5 sides of the regular pentagon, 2 R sin 36 deg each
    star = polar(10, lambda t: np.where(np.arange(10) % 2 == 0, 20.0, 8.0))
    expected = 5 * 2 * 20 * np.sin(np.radians(36))
    assert girth(star) == pytest.approx(expected)
    assert reconcile(star, girth_mm=expected * 1.019).findings[1:] == ()
    assert codes(reconcile(star, girth_mm=expected * 1.03).findings) == {
        "no-caliper-reading",
        "girth-disagrees",
    }


def test_girth_is_compared_after_scaling():
    assert codes(reconcile(box(30, 20), width_mm=31.5, depth_mm=21, girth_mm=105).findings) == {
        "trace-off-caliper"
    }
