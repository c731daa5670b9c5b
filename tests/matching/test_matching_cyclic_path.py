"""The cheapest way round two rings, against scipy's shortest paths through the same steps."""

from itertools import pairwise

import numpy as np
import pytest
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra
from section_shapes import pear, pebble

from cradle.matching.cyclic_path import costs, least_paths
from cradle.matching.matching_ring import samples, trace

STEPS = ((1, 1), (1, 2), (2, 1), (1, 3), (3, 1))
STRETCH = 0.002


def cost_of(here, there, count):
    pairs = [samples(trace(ring), count) for ring in (here, there)]
    return costs(np.array([p for p, _ in pairs]), np.array([h for _, h in pairs]))


def price(cost, path):
    """What a closed path costs: of each step the mean cost of its ends times its mean length."""
    count = len(cost)
    closed = np.vstack([path, path[0] + count])
    total = 0.0
    for (r, t), (r2, t2) in pairwise(closed):
        a, b = r2 - r, t2 - t
        total += (a + b) / 4 * (cost[r % count, t % count] + cost[r2 % count, t2 % count])
        total += STRETCH * abs(a - b)
    return total


def least_by_dijkstra(cost, start, *, band=16):
    """From (0, start) to (count, start + count), straying from the even path by no more than a band."""
    count = len(cost)
    width = 2 * band + 1
    rows, columns, weights = [], [], []
    for r in range(count):
        for stray in range(-band, band + 1):
            for a, b in STEPS:
                after = stray + b - a
                if r + a <= count and abs(after) <= band:
                    here = cost[r % count, (r + start + stray) % count]
                    there = cost[(r + a) % count, (r + a + start + after) % count]
                    rows.append(r * width + stray + band)
                    columns.append((r + a) * width + after + band)
                    weights.append((a + b) / 4 * (here + there) + STRETCH * abs(a - b) + 1e-12)
    graph = coo_array(
        (weights, np.array([rows, columns], dtype=np.int32)), shape=((count + 1) * width,) * 2
    ).tocsr()
    return dijkstra(graph, indices=band)[count * width + band]


@pytest.mark.parametrize("turn", [0, 7])
def test_the_path_is_the_shortest_of_all_from_its_start(turn):
    count = 40
    cost = cost_of(pebble(), np.roll(pear(), turn * 15, axis=0), count)
    (path,) = least_paths(cost)
    steps = np.diff(np.vstack([path, path[0] + count]), axis=0)
    assert (steps >= 1).all()
    assert {tuple(step) for step in steps.tolist()} <= set(STEPS)
    start = int(path[0, 1] - path[0, 0])
    found = price(cost[0], path)
    shortest = min(least_by_dijkstra(cost[0], s) for s in range(start - 14, start + 15))
    assert found == pytest.approx(shortest, abs=1e-9)


def test_a_ring_is_matched_with_itself_point_by_point():
    cost = cost_of(pebble(), pebble(), 64)
    (path,) = least_paths(cost)
    assert (path[:, 0] == path[:, 1]).all()
    assert price(cost[0], path) == pytest.approx(0.0, abs=1e-9)


def test_the_way_back_costs_the_same():
    there, back = cost_of(pebble(), pear(), 48), cost_of(pear(), pebble(), 48)
    assert back[0] == pytest.approx(there[0].T)
    assert price(back[0], least_paths(back)[0]) == pytest.approx(
        price(there[0], least_paths(there)[0]), abs=1e-9
    )


def test_many_pairs_are_matched_as_each_alone():
    rings = [pebble(), pear(), np.roll(pebble(), 90, axis=0) * [1.2, 1.0]]
    pairs = [samples(trace(ring), 32) for ring in rings]
    together = least_paths(costs(np.array([p for p, _ in pairs]), np.array([h for _, h in pairs])))
    alone = [least_paths(cost_of(a, b, 32))[0] for a, b in pairwise(rings)]
    assert all(np.array_equal(a, b) for a, b in zip(together, alone, strict=True))
