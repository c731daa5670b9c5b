"""How finely readings were read, by how they are written."""

import numpy as np
import pytest
from section_shapes import codes, outline, pebble, placed, spec

from cradle.project.fit import SpreadSpec
from cradle.sections.posterior import ReadingKind

HEIGHTS = (5.0, 20.0, 35.0)


def placed_by(read_mm, **spread):
    """Three sections whose widths and depths were read so, ``(3, 2)``, and drawn so large."""
    form = pebble() / np.ptp(pebble(), axis=0)
    return placed(
        [outline(form * size) for size in read_mm],
        specs=[
            spec(name=f"s{i}", height_mm=z, width_mm=float(width), depth_mm=float(depth))
            for i, (z, (width, depth)) in enumerate(zip(HEIGHTS, read_mm, strict=True))
        ],
        spread=SpreadSpec(calipers_mm=0.0, **spread),
    )


def width_spread_mm(found):
    return next(r.own for r in found.posterior.readings if r.kind is ReadingKind.WIDTH)


@pytest.mark.parametrize(
    ("read_mm", "step_mm"),
    [
        ([[50, 41], [55, 44], [61, 47]], 1.0),
        ([[50.5, 41], [55, 44], [61, 47.5]], 0.5),
        (np.round(np.array([[33, 27], [35, 28], [38, 31]]) / 16, 3) * 25.4, 25.4 / 16),
        (np.round(np.array([[67, 54], [70, 56], [76, 62]]) / 32, 3) * 25.4, 25.4 / 32),
        (np.round(np.array([[131, 109], [140, 112], [152, 124]]) / 64, 3) * 25.4, 25.4 / 64),
    ],
)
def test_readings_off_a_rule_are_no_surer_than_its_marks(read_mm, step_mm):
    found = placed_by(read_mm)
    # anywhere within half a step to either side: a/√3, JCGM 101:2008, 6.4.2
    assert width_spread_mm(found) == pytest.approx(step_mm / 2 / np.sqrt(3))
    (told,) = [f for f in found.findings if f.code == "readings-rounded"]
    assert told.measured == step_mm


@pytest.mark.parametrize(
    "read_mm",
    [
        [[50, 41], [55, 44.02], [61, 47]],
        [[50.3, 41.1], [55.2, 44.4], [61.9, 47.7]],
        [[50, 41], [50, 41], [50, 44]],  # too few different ones to tell
    ],
)
def test_others_count_as_read_to_a_hundredth(read_mm):
    found = placed_by(read_mm)
    assert width_spread_mm(found) == pytest.approx(0.005 / np.sqrt(3))
    assert "readings-rounded" not in codes(found.findings)


def test_a_stated_step_counts():
    found = placed_by([[50, 41], [55, 44], [61, 47]], step_mm=0.02)
    assert width_spread_mm(found) == pytest.approx(0.01 / np.sqrt(3))
    assert "readings-rounded" not in codes(found.findings)
