"""What all tests share: the same examples every time, and other random projects on request."""

import os

import pytest
from hypothesis import settings
from tub import TUB

# Before numpy is loaded: the workers take the cores, more threads in each would only wait for one another.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

settings.register_profile("steady", derandomize=True, deadline=None)
settings.load_profile("steady")


def pytest_addoption(parser):
    parser.addoption(
        "--seeds",
        type=_seeds,
        metavar="FIRST:LAST",
        help="random projects to try instead of those of every day",
    )


def pytest_collection_modifyitems(items):
    """Tests that look at the made demos come first, so that one worker takes them and makes each demo once."""
    items.sort(key=lambda item: not any(_of_demos(value) for value in vars(item.module).values()))


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
