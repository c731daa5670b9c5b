import pytest
from written import OLD, write


@pytest.fixture
def folder(tmp_path):
    write(tmp_path / "out", OLD)
    return tmp_path / "out"
