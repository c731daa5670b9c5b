import pytest
from page_window import TUB, served


@pytest.fixture
def tub(tmp_path):
    file = tmp_path / "holder.toml"
    file.write_text(TUB, encoding="utf-8")
    return file


@pytest.fixture
def window(tub):
    with served(tub) as (new_window, _):
        yield new_window()


@pytest.fixture
def empty(tmp_path):
    """A window on a folder with nothing in it."""
    with served(tmp_path / "holder.toml") as (new_window, _):
        yield new_window()
