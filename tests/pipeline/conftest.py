import pytest
from tins import BARE, tin

from cradle.pipeline import make
from cradle.project.reader import read_project


@pytest.fixture
def written(tmp_path):
    def write(text, name="holder.toml"):
        file = tmp_path / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
        return file

    return write


@pytest.fixture(scope="module")
def three(tmp_path_factory):
    file = tmp_path_factory.mktemp("three") / "holder.toml"
    block = f"[block]\nheight = 30\nwall = 4\nfloor = 5\n{BARE}"
    file.write_text(tin(30, extra=f"{block}[row]\ncount = 3\ngap = 6\n"))
    return make(read_project(file))
