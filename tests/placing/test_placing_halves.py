"""Halves whose middle line lies beside the thing's."""

import numpy as np
import pytest
from section_shapes import outline, spec
from section_shapes import placed as placed_of


@pytest.mark.parametrize("across", [0, 1])
def test_halves_whose_mirror_line_was_drawn_aside_are_widened_not_turned(across):
    """Three long halves, each drawn 0.5 mm too narrow: calipers held askew would explain the widths as well."""
    along = np.linspace(-np.pi / 2, np.pi / 2, 41)
    outlines, specs, sizes = [], [], [(43.6, 150.2), (37.9, 146.1), (41.0, 139.6)]
    for n, (wide, long) in enumerate(sizes):
        x, y = (wide / 2 - 0.5) * np.cos(along) ** 0.35, long / 2 * np.sin(along)
        half = np.column_stack([x, y] if across == 0 else [-y, x])
        read = (wide, long) if across == 0 else (long, wide)
        outlines.append(outline(half, open_ends=True))
        specs.append(spec(f"s{n}", 2.0 + 20 * n, half=True, width_mm=read[0], depth_mm=read[1]))
    placed = placed_of(outlines, specs=specs)
    assert not [f for f in placed.findings if "rotated" in f.message]
    for section, (wide, long) in zip(placed.sections, sizes, strict=True):
        ring = section.points_mm if across == 0 else section.points_mm[:, ::-1]
        assert np.ptp(ring, axis=0) == pytest.approx((wide, long), abs=0.1)
        ends = ring[[ring[:, 1].argmin(), ring[:, 1].argmax()], 0]
        assert abs(np.subtract(*ends)) < 0.5  # both ends on the middle line still


def test_a_half_far_off_its_reading_is_to_be_looked_at_where_its_middle_line_lies():
    arc = np.radians(np.linspace(-90, 90, 91))
    half = outline(np.column_stack([18 * np.cos(arc), 30 * np.sin(arc)]), open_ends=True)
    for width, depth, words in (
        (37.5, 60.0, "the half's middle line lies"),
        (36.0, 62.5, "the scale of the scan, picture or drawing"),
    ):
        placed = placed_of([half], specs=[spec("low", 5.0, half=True, width_mm=width, depth_mm=depth)])
        (told,) = (f for f in placed.findings if f.code == "trace-off-caliper")
        assert words in told.advice
