"""All that is wrong with the outlines of a project, told at once."""

import pytest

from cradle.cli.main import main
from cradle.errors import CaptureError, ProjectError
from cradle.pipeline.outlines import read_outlines
from cradle.project.reader import read_project

TEXT = """[object]
name = "jug"
mass = 100
[[section]]
name = "low"
height = 2
outline = "low.csv"
[[section]]
name = "middle"
height = 20
outline = "middle.csv"
[[section]]
name = "high"
height = 40
measured = { form = "ellipse", width = 40, depth = 30 }
[block]
height = 30
"""


@pytest.fixture
def jug(tmp_path):
    file = tmp_path / "holder.toml"
    file.write_text(TEXT, encoding="utf-8")
    return file


def test_all_wrong_files_are_told_at_once_each_with_the_line_of_its_section(jug, capsys):
    (jug.parent / "middle.csv").write_text("x,y\n1,2,3,4\n", encoding="utf-8")
    with pytest.raises(ProjectError) as caught:
        read_outlines(read_project(jug))
    assert [problem.line for problem in caught.value.problems] == [4, 8]
    assert main(["check", str(jug)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 2
    assert "line 4: low.csv: there is no such file" in lines[0]
    assert "line 8: middle.csv: " in lines[1]


def test_one_wrong_file_keeps_its_own_kind_of_error(jug):
    (jug.parent / "middle.csv").write_text("x,y\n0,0\n30,0\n30,20\n0,20\n", encoding="utf-8")
    with pytest.raises(CaptureError, match="there is no such file"):
        read_outlines(read_project(jug))
