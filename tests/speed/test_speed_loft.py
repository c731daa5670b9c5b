"""Growth of matching and lofting with sections and points: time, memory, triangles. run with -m speed."""

import time
import tracemalloc

import numpy as np
import pytest
from bodies import lofted, section
from measuring import tell

from cradle.geometry.mesh import edge_statistics

pytestmark = pytest.mark.speed


def vase(sections, points, *, rough_mm):
    """Sections of a wavy vase, each drawn from another first point."""
    out = []
    for i, height in enumerate(np.linspace(0, 100, sections)):
        angle = (np.arange(points) + 0.37 * i) * 2 * np.pi / points
        reach = 40 + 10 * np.sin(height / 30) + 3 * np.cos(3 * angle + height / 40) + 1.5 * np.cos(5 * angle)
        reach = reach + np.random.default_rng(i).uniform(-rough_mm, rough_mm, points)
        out.append(section(height, np.column_stack([reach * np.cos(angle), 0.7 * reach * np.sin(angle)])))
    return out


def measured(sections, points, *, rough_mm):
    stack = vase(sections, points, rough_mm=rough_mm)
    begin = time.perf_counter()
    body = lofted(stack)
    seconds = time.perf_counter() - begin
    tracemalloc.start()
    lofted(stack)
    peak = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    assert edge_statistics(body.mesh).closed
    assert body.section_error_mm <= 0.01
    return seconds, peak, body


@pytest.mark.parametrize(("rough_mm", "counts"), [(0.0, (64, 500, 2000)), (0.03, (64, 500))])
def test_time_to_loft_grows_evenly_with_the_sections(capsys, rough_mm, counts):
    """200 rough sections of 2,000 points ask for more facets than are made."""
    lofted(vase(3, 50, rough_mm=rough_mm))
    seconds = {}
    table = [f"rough {rough_mm} mm: sections points | columns layers faces | s | peak MB"]
    for points in counts:
        for sections in (2, 10, 50, 200):
            seconds[sections, points], peak, body = measured(sections, points, rough_mm=rough_mm)
            layers, columns, _ = body.rings_mm.shape
            row = f"{sections:5} {points:5} | {columns:5} {layers:5} {len(body.mesh.faces):8}"
            table.append(f"{row} | {seconds[sections, points]:.3f} | {peak:.0f}")
            assert peak < 1000
    tell(capsys, *table)
    for points in counts:  # linear is 4; a quadratic step would show as 16
        assert seconds[200, points] < 10 * seconds[50, points]
