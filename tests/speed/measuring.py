"""Timing for the side-by-side measurements: the best of a few runs, and a line to print."""

import sys
import time


def best_s(job, *, runs=5):
    """Shortest time of a few runs, s, and the last result."""
    best, result = float("inf"), None
    for _ in range(runs):
        begin = time.perf_counter()
        result = job()
        best = min(best, time.perf_counter() - begin)
    return best, result


def tell(capsys, *lines):
    """Print past pytest's capture."""
    with capsys.disabled():
        sys.stdout.write("\n" + "".join(f"  {line}\n" for line in lines))
