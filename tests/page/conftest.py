import pytest
from page_tub import TUB

from cradle.page.worker import Worker


@pytest.fixture(scope="session")
def worker():
    worker = Worker()
    worker.start()
    yield worker
    worker.stop()


@pytest.fixture
def tub(tmp_path):
    file = tmp_path / "holder.toml"
    file.write_text(TUB, encoding="utf-8")
    return file
