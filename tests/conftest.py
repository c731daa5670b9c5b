"""What all tests share: the same examples every time, and other random projects on request."""

import math
import os
import time

import pytest
from hypothesis import HealthCheck, settings
from tub import TUB

# Before numpy is loaded: the workers take the cores, more threads in each would only wait for one another.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

settings.register_profile(
    "steady", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("steady")


def pytest_addoption(parser):
    parser.addoption(
        "--seeds",
        type=_seeds,
        metavar="FIRST:LAST",
        help="random projects to try instead of those of every day, one seed after the other",
    )
    parser.addoption(
        "--minutes",
        type=float,
        metavar="COUNT",
        help="end after so long, between two tests, and tell which test is next; with -n 0",
    )


def pytest_configure(config):
    if config.getoption("minutes") is not None:
        config.pluginmanager.register(_Minutes(config.getoption("minutes")))


class _Minutes:
    """Ends the tests when their time is over; that alone is no failure."""

    def __init__(self, count):
        self.words = f"{count:g} minutes are over"
        self.end_s = time.monotonic() + 60 * count

    def pytest_runtest_teardown(self, item, nextitem):
        if nextitem is not None and time.monotonic() > self.end_s:
            item.session.shouldstop = f"{self.words}; next is {nextitem.name}"

    def pytest_sessionfinish(self, session):
        if str(session.shouldstop).startswith(self.words) and not session.testsfailed:
            session.exitstatus = pytest.ExitCode.OK


@pytest.hookimpl(tryfirst=True)  # before pytest looks at the marks
def pytest_collection_modifyitems(config, items):
    """What is tried of other seeds goes seed by seed, so that each is built once and all kinds get their share of the time.

    Else tests that look at the made demos come first, so that one worker takes them and makes each demo once.
    """
    _slow_but_for_the_first(items)
    if config.getoption("seeds"):
        items.sort(key=_seed)
    else:
        items.sort(key=lambda item: not any(_of_demos(value) for value in vars(item.module).values()))


def _slow_but_for_the_first(items):
    """Marks all cases of a test marked ``first_daily`` but its first daily one as slow."""
    seen = set()
    for item in items:
        if item.get_closest_marker("first_daily") and not item.get_closest_marker("further"):
            claim = item.nodeid.partition("[")[0]
            if claim in seen:
                item.add_marker(pytest.mark.slow)
            seen.add(claim)


def _seed(item):
    """The seed that names a test; tests that none names come behind all others."""
    named = item.callspec.params.items() if hasattr(item, "callspec") else ()
    return next((value for name, value in named if name.endswith("seed")), math.inf)


def _of_demos(value):
    return getattr(value, "__module__", None) == "made_demos"


@pytest.fixture
def tub(tmp_path):
    """The project file of a tub in a folder of its own."""
    file = tmp_path / "holder.toml"
    file.write_text(TUB, encoding="utf-8")
    return file


def _seeds(text):
    first, last = map(int, text.split(":"))
    return range(first, last + 1)
