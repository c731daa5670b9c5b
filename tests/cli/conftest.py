import os
from pathlib import Path

import pytest
from tub import TUB
from tub_made import contents, cradle_command

from cradle.cli.main import main
from cradle.pipeline import make
from cradle.project.reader import project_from_text


@pytest.fixture(scope="session")
def first(tmp_path_factory):
    """What a process of its own said when it made the tub's holder, and where that lies."""
    folder = tmp_path_factory.mktemp("first")
    (folder / "holder.toml").write_text(TUB, encoding="utf-8")
    env = os.environ | {"PYTHONHASHSEED": "1"}
    return cradle_command("make", folder / "holder.toml", "-o", folder / "out", env=env), folder / "out"


@pytest.fixture(scope="session")
def made():
    """The tub's holder, for what is told of a finished one."""
    return make(project_from_text(TUB, file=Path("holder.toml")))


@pytest.fixture(scope="session")
def wide(tmp_path_factory):
    """The files of the tub's holder with 0.6 mm per side, by name."""
    folder = tmp_path_factory.mktemp("wide")
    (folder / "holder.toml").write_text(TUB, encoding="utf-8")
    assert main(["make", str(folder / "holder.toml"), "--clearance", "0.6"]) == 0
    return contents(folder / "out")
