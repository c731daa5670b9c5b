"""Points moved in a picture: each takes over what its nearest traced point was corrected by, in little memory."""

import tracemalloc
from types import SimpleNamespace

import numpy as np
import pytest

from cradle.calibration.calibration import from_scale, to_mm
from cradle.page.trace_job import moved_outline


@pytest.mark.slow
def test_thousands_of_points_over_a_fine_outline_take_little_memory():
    calibration = from_scale(0.1, 0.1, height_px=5000, source="by hand")
    turn = np.linspace(0, 2 * np.pi, 20_000, endpoint=False)
    ring_px = np.column_stack([3000 + 2000 * np.cos(turn), 2500 + 2000 * np.sin(turn)])
    inward = np.column_stack([np.cos(turn), -np.sin(turn)]) * 0.25  # y runs up in mm
    piece = SimpleNamespace(ring_px=ring_px, ring_mm=to_mm(calibration, ring_px) - inward)
    points_px = ring_px[::10] + [0.02, 0.01]
    moved_outline(piece, calibration, points_px)  # what is imported does not count
    tracemalloc.start()
    try:
        moved = moved_outline(piece, calibration, points_px)
        most = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert most < 10_000_000  # comparing all with all took 960 MB
    assert np.abs(moved - (to_mm(calibration, points_px) - inward[::10])).max() < 1e-3
