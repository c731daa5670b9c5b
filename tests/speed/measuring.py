"""Timing for the side-by-side measurements: the best of a few runs, whole processes, and a line to print."""

import os
import subprocess
import sys
import time
from typing import NamedTuple

UNAVOIDABLE = "import numpy, shapely, manifold3d"
"""What no program that cuts one solid from another with these libraries can do without."""


class Cost(NamedTuple):
    """Time of all cores together, s, and the most memory, MB, of a process."""

    cpu_s: float
    peak_mb: float


def best_s(job, *, runs=5):
    """Shortest time of a few runs, s, and the last result."""
    best, result = float("inf"), None
    for _ in range(runs):
        begin = time.perf_counter()
        result = job()
        best = min(best, time.perf_counter() - begin)
    return best, result


def cost_of(*arguments, runs=3):
    """The least of what a few runs of Python with these arguments cost."""
    costs = []
    for _ in range(runs):
        process = subprocess.Popen(
            [sys.executable, *arguments], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        assert process.returncode in (0, 1)  # 1: made, but a finding says not to print it
        costs.append(Cost(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024))
    return min(costs)


def tell(capsys, *lines):
    """Print past pytest's capture."""
    with capsys.disabled():
        sys.stdout.write("\n" + "".join(f"  {line}\n" for line in lines))
