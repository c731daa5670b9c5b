import pytest
from sets_written import OLD, write


@pytest.fixture
def folder(tmp_path):
    write(tmp_path / "out", OLD)
    return tmp_path / "out"
