"""Which sheets are said to have lain face down: none whose outline is its own mirror image."""

import numpy as np
import pytest
from section_shapes import codes, outline, pear, polar, spec
from section_shapes import placed as placed_of

from cradle.geometry.ring import size, turned


def hand_drawn(ring, rng, *, size_mm=0.1):
    """A ring with a tracing error that keeps its direction over some tenth of the way round."""
    order = np.fft.rfftfreq(len(ring), 1 / len(ring))
    off = np.fft.irfft(np.fft.rfft(rng.standard_normal(len(ring))) * np.exp(-((order / 10) ** 2)), len(ring))
    along = np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)
    out = np.column_stack([along[:, 1], -along[:, 0]]) / np.linalg.norm(along, axis=1)[:, None]
    return ring + (size_mm * off / off.std())[:, None] * out


@pytest.mark.parametrize("lopsided_mm", [0.0, 0.1, 0.3])
@pytest.mark.parametrize("turns", [(7, -7, 0), (7, -7, 7), (-6, 8, -6), (11, -11, 0)])
def test_sheets_askew_both_ways_are_not_taken_for_face_down_where_both_faces_are_alike(turns, lopsided_mm):
    """One of two that lie 14° apart fits the other when it is mirrored; but of an outline that is its own mirror image that says nothing."""
    rng, reach = np.random.default_rng(4), pear()
    reach = reach * (1 + lopsided_mm / 25 * np.sin(2 * np.arctan2(*reach.T[::-1])))[:, None]
    rings = [
        turned(hand_drawn(reach * f, rng), angle_deg=t) for f, t in zip((1.0, 1.2, 1.1), turns, strict=True)
    ]
    specs = [
        spec(f"s{i}", 18.0 * i, width_mm=size(reach * f)[0], depth_mm=size(reach * f)[1])
        for i, f in enumerate((1.0, 1.2, 1.1))
    ]
    result = placed_of([outline(r) for r in rings], specs=specs)
    sections, findings = result.sections, result.findings
    assert "outline-flipped" not in codes(findings)
    assert [s.turn_deg for s in sections] == pytest.approx([-t for t in turns], abs=2.5)
    told = {f.where: f.message for f in findings if f.code == "section-turned"}
    assert set(told) == {f'section "s{i}"' for i, t in enumerate(turns) if t}


def test_of_a_sheet_that_lay_straight_no_turn_is_told():
    """The two others lie 14° askew, so that this one may be thought to: at last it was turned by nothing."""
    for seed in range(4):
        rng = np.random.default_rng(seed)
        egg = polar(240, lambda t: 24 + 4 * np.cos(2 * t) + 2 * np.sin(t) + np.sin(3 * t))
        grown = [egg * f for f in (1.0, 1.2, 1.1)]
        rings = [turned(hand_drawn(r, rng), angle_deg=t) for r, t in zip(grown, (14, 0, 14), strict=True)]
        specs = [
            spec(f"s{i}", 18.0 * i, width_mm=size(r)[0], depth_mm=size(r)[1]) for i, r in enumerate(grown)
        ]
        findings = placed_of([outline(r) for r in rings], specs=specs).findings
        told = [abs(f.measured) for f in findings if f.code == "section-turned"]
        assert told
        assert min(told) > 0.3
