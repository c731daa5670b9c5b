"""What all tests share: the same examples every time, and other random projects on request."""

from hypothesis import settings

settings.register_profile("steady", derandomize=True, deadline=None)
settings.load_profile("steady")


def pytest_addoption(parser):
    parser.addoption(
        "--seeds",
        type=_seeds,
        metavar="FIRST:LAST",
        help="random projects to try instead of those of every day",
    )


def _seeds(text):
    first, last = map(int, text.split(":"))
    return range(first, last + 1)
