import pytest
from page_window import served


@pytest.fixture
def window(tub):
    with served(tub) as (new_window, _):
        yield new_window()


@pytest.fixture
def empty(tmp_path):
    """A window on a folder with nothing in it."""
    with served(tmp_path / "holder.toml") as (new_window, _):
        yield new_window()
