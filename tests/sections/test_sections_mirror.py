import numpy as np
import pytest
from scipy.ndimage import gaussian_filter1d
from scipy.spatial.distance import directed_hausdorff
from section_shapes import jug, pear, pebble, polar

from cradle.geometry.ring import outward, resample, turned
from cradle.sections.mirror import mirror_lines
from cradle.sections.unit_curve import curve_of, distances, divided


def find_mirror_line(ring):
    """The mirror line nearest to vertical of a ring, or None."""
    return next(iter(mirror_lines(curve_of(ring), trace_mm=0.1)), None)


def off_deg(a, b):
    return abs((a - b + 90) % 180 - 90)


@pytest.mark.parametrize("turn", [0, 3, 13.7, -30, 44, 71, 90])
@pytest.mark.parametrize("shape", [pear, jug])
def test_the_line_of_a_symmetric_outline_is_found_however_it_lies(shape, turn):
    shift = np.array([12.5, -7.25])
    line = find_mirror_line(turned(shape(), angle_deg=turn) + shift)
    assert line is not None
    true_deg = turn + (90 if shape is pear else 0)
    assert off_deg(line.angle_deg, true_deg) < 1e-3
    normal = np.array([-np.sin(np.radians(true_deg)), np.cos(np.radians(true_deg))])
    assert abs((line.point_mm - shift) @ normal) < 1e-3
    assert line.asymmetry_mm < 1e-3


def test_start_vertex_and_direction_change_nothing():
    ring = turned(pear(), angle_deg=11)
    base = find_mirror_line(ring)
    for other in (np.roll(ring, 137, axis=0), ring[::-1]):
        line = find_mirror_line(other)
        assert off_deg(line.angle_deg, base.angle_deg) < 1e-3
        assert np.abs(line.point_mm - base.point_mm).max() < 1e-3


def test_uneven_vertices_do_not_pull_the_line():
    # the same curve, with four times as many vertices on its right half
    t = np.concatenate(
        [
            np.linspace(-np.pi / 2, np.pi / 2, 1600, endpoint=False),
            np.linspace(np.pi / 2, 1.5 * np.pi, 400, endpoint=False),
        ]
    )
    r = 25 + 6 * np.cos(2 * t) + 2 * np.sin(t) + 1.5 * np.sin(3 * t)
    line = find_mirror_line(np.column_stack([r * np.cos(t), r * np.sin(t)]))
    assert off_deg(line.angle_deg, 90) < 0.01
    assert abs(line.point_mm[0]) < 0.002


@pytest.mark.parametrize("seed", range(3))
def test_tracing_noise_moves_the_line_little(seed):
    noise = np.random.default_rng(seed).normal(0, 0.05, (600, 2))
    line = find_mirror_line(pear() + noise)
    assert abs(line.point_mm[0]) < 0.02
    assert off_deg(line.angle_deg, 90) < 0.1
    assert 0.05 < line.asymmetry_mm < 0.5  # the noise is seen


@pytest.mark.parametrize("scale", [0.3, 1.0])
@pytest.mark.parametrize("trace_mm", [0.1, 0.25, 0.5])
def test_a_line_is_found_as_long_as_the_unsteadiness_is_stated(scale, trace_mm):
    """Of what is symmetric but for a tracing error that keeps its direction over 12 mm, nine in ten."""
    rng, ring = np.random.default_rng(5), scale * pear()
    step = np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1).mean()
    found = 0
    for _ in range(20):
        error = gaussian_filter1d(rng.standard_normal(len(ring)), 12 / np.sqrt(2) / step, mode="wrap")
        traced = ring + trace_mm * (error / error.std())[:, None] * outward(ring, reach_mm=1.0)
        found += bool(mirror_lines(curve_of(traced), trace_mm=trace_mm))
    assert found >= 18


def test_an_asymmetric_outline_has_none():
    assert find_mirror_line(pebble()) is None


def test_a_small_dent_is_the_asymmetry():
    ring = np.array(divided(np.array([[-15.0, 0], [15, 0], [10, 40], [-10, 40]]), step=0.5))
    dented = ring.copy()
    dented[np.argmin(np.hypot(*(ring - [13.75, 10]).T))] += [-0.4, 0.0]
    line = find_mirror_line(dented)
    assert line.asymmetry_mm == pytest.approx(0.4, abs=0.05)
    assert abs(line.point_mm[0]) < 0.02


@pytest.mark.parametrize("turn", [0.0, 4.0, -20.0])
def test_of_several_lines_the_one_nearest_to_vertical_is_taken(turn):
    square = turned(np.array([[0.0, 0], [30, 0], [30, 30], [0, 30]]), angle_deg=turn)
    lines = mirror_lines(curve_of(square), trace_mm=0.1)
    assert len(lines) == 2
    assert off_deg(lines[0].angle_deg, 90 + turn) < 1e-3
    assert off_deg(lines[1].angle_deg, turn) < 1e-3


def test_a_circle_keeps_its_turn():
    line = find_mirror_line(polar(720, lambda t: 20 + 0 * t) + [3, 4])
    assert line.angle_deg == pytest.approx(90)
    assert line.point_mm == pytest.approx([3, 4], abs=1e-6)


def test_asymmetry_is_the_hausdorff_distance():
    # reference: scipy's directed_hausdorff on dense points of the outline and its mirror image
    ring = pear() + np.random.default_rng(4).normal(0, 0.05, (600, 2))
    line = find_mirror_line(ring)
    u = np.array([-np.sin(np.radians(line.angle_deg)), np.cos(np.radians(line.angle_deg))])
    dense = divided(ring, step=0.02)
    image = dense - 2 * ((dense - line.point_mm) @ u)[:, None] * u
    reference = max(directed_hausdorff(dense, image)[0], directed_hausdorff(image, dense)[0])
    assert reference > 0.05
    assert line.asymmetry_mm == pytest.approx(reference, abs=0.003)


def test_distances_give_the_published_square_and_circle():
    # square +-1 against the circle of radius sqrt 2 through its corners: sqrt 2 - 1, by hand
    square = curve_of(np.array([[-1.0, -1], [1, -1], [1, 1], [-1, 1]]))
    circle = polar(2000, lambda t: np.sqrt(2) + 0 * t)
    assert distances(square, circle / square.size_mm).max() * square.size_mm == pytest.approx(
        0.41421, abs=1e-3
    )


def test_directed_distances_differ():
    # A = {(0,0)}, B = {(0,0),(3,4)}: 0 one way, 5 the other; scipy's definition, relied on above
    a, b = np.array([[0.0, 0]]), np.array([[0.0, 0], [3, 4]])
    assert directed_hausdorff(a, b)[0] == 0
    assert directed_hausdorff(b, a)[0] == 5


def test_distances_are_to_edges_not_vertices():
    curve = curve_of(np.array([[0.0, 0], [100, 0], [100, 1], [0, 1]]))
    inside = (np.array([[33.3, -0.25], [50, 1.5]]) - curve.centroid_mm) / curve.size_mm
    assert distances(curve, inside) * curve.size_mm == pytest.approx([0.25, 0.5])


def test_samples_do_not_depend_on_the_start_vertex():
    ring = pebble()
    assert curve_of(np.roll(ring, 99, axis=0)).samples == pytest.approx(curve_of(ring).samples, abs=1e-9)
    assert len(resample(ring, count=5)) == 5
