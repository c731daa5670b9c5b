"""Rows that cannot be, and names that are told apart."""

import re
from pathlib import Path

import pytest
from tins import made_of, tin

from cradle.cli.main import main
from cradle.errors import HolderError, InputError, ProjectError
from cradle.pipeline import model_row
from cradle.project.reader import project_from_text, read_project
from cradle.report.summary import summary_of


def test_a_row_has_no_more_than_it_can(written):
    with pytest.raises(ProjectError, match=r"row.count: found 25, allowed is 1 to 24"):
        read_project(written(tin(30, extra="[row]\ncount = 25\n")))
    named = ", ".join(f'"{k}.toml"' for k in range(13))
    with pytest.raises(ProjectError, match="12"):
        read_project(written(tin(30, extra=f"[row]\nthings = [{named}]\n")))


def test_too_little_between_pockets_is_told_before_any_work(written):
    row = model_row(read_project(written(tin(30, extra="[block]\nlead_in = 2\n[row]\ncount = 2\n"))))
    from cradle.pipeline import build

    with pytest.raises(HolderError, match=r"row.gap: 3 mm between pockets .* leaves a ridge of -1 mm"):
        build(row)


def test_a_thing_whose_file_is_not_there_is_told(written, capsys):
    file = written(tin(30, extra='[row]\nthings = ["gone.toml"]\n'))
    assert main(["make", str(file)]) == 2
    told = "".join(capsys.readouterr().err.splitlines())
    assert re.search(
        rf"{re.escape(str(file))}: line \d+: row.things\[1\]: .*gone.toml: there is no such file", told
    )
    assert "check its name and folder" in told
    assert "cradle start" not in told


def test_all_that_is_wrong_with_the_things_of_a_row_is_told_at_once(written, capsys):
    written(tin(-3), "bad.toml")
    file = written(tin(30, extra='[row]\nthings = ["gone.toml", "bad.toml", "holder.toml", "lost.toml"]\n'))
    assert main(["check", str(file)]) == 2
    lines = [line for line in capsys.readouterr().err.splitlines() if line.startswith("cradle: ")]
    assert len(lines) == 7  # of the bad one width and depth of both sections
    for n, words in (
        (1, "there is no such file"),
        (3, "the project's own file"),
        (4, "there is no such file"),
    ):
        assert any(f"row.things[{n}]: " in line and words in line for line in lines)


def test_a_project_is_not_beside_itself(written):
    file = written(tin(30, extra='[row]\nthings = ["holder.toml"]\n'))
    with pytest.raises(InputError, match=r"row.things\[1\]: found the project's own file; .* row.count"):
        model_row(read_project(file))


def test_a_mistake_in_another_file_names_that_file(written):
    written(tin(-3), "bad.toml")
    file = written(tin(30, extra='[row]\nthings = ["bad.toml"]\n'))
    with pytest.raises(ProjectError, match=r"bad.toml: line \d+: section\[1\].measured.width"):
        model_row(read_project(file))


def test_the_same_file_named_twice_is_read_once(written):
    written(tin(20, name="small"), "small.toml")
    file = written(tin(30, extra='[row]\nthings = ["small.toml", "./small.toml"]\n'))
    row = model_row(read_project(file))
    assert row.order == (0, 1, 1)
    assert len(row.things) == 2


def test_things_of_one_name_are_told_apart(written):
    written(tin(20), "small.toml")
    row = model_row(read_project(written(tin(30, extra='[row]\nthings = ["small.toml"]\n'))))
    assert len(set(row.labels)) == 2
    assert row.slugs == ("tin", "tin-2")


def test_things_of_one_name_in_the_folder_one_stands_in_are_told_by_their_files(
    written, tmp_path, monkeypatch
):
    """Their folder had no name, so that they read as files of the root: tin (/small.toml)."""
    written(tin(20), "small.toml")
    written(tin(30, extra='[row]\nthings = ["small.toml"]\n'))
    monkeypatch.chdir(tmp_path)
    row = model_row(read_project(Path("holder.toml")))
    assert row.labels == ("tin (holder.toml)", "tin (small.toml)")


def test_a_row_reads_back_as_it_was_written(tmp_path):
    from written import project_to_text

    file = tmp_path / "holder.toml"
    project = project_from_text(
        tin(30, extra='[row]\ncount = 2\nthings = ["a.toml", "b.toml"]\ngap = 7.5\n'), file=file
    )
    assert project.row.things == ("a.toml", "b.toml")
    assert project_from_text(project_to_text(project), file=file) == project


@pytest.mark.slow
def test_another_thing_s_own_block_is_not_looked_at(written):
    high = tin(20, name="high", extra="[block]\nheight = 1\nwall = -3\n").replace(
        "height = 0.0", "height = 40.0"
    )
    written(high, "high.toml")
    row = '[row]\nthings = ["high.toml"]\n'
    made = made_of(written, tin(30, extra=f"[block]\nheight = 50\n{row}"))
    assert summary_of(made)["pockets"] == 2
    with pytest.raises(
        ProjectError,
        match=r"high.toml: block.height: the block ends at 30.0 mm, not above the lowest section",
    ):
        made_of(written, tin(30, extra=f"[block]\nheight = 30\n{row}"))


@pytest.mark.slow
def test_alike_things_named_by_one_file_are_told_by_their_pockets(written):
    written(tin(20, name="small"), "small.toml")
    made = made_of(written, tin(30, extra='[row]\nthings = ["small.toml", "small.toml"]\n'))
    (found,) = [f for f in made.findings if f.code == "taken-as-alike"]
    assert found.told == "small: the 2 things in pockets 2 and 3 are taken to be alike"


@pytest.mark.slow
def test_a_thin_plate_is_told_once_for_the_whole_row(written):
    written(tin(30, name="other"), "other.toml")
    plate = '[plate]\nwidth = 140\nthickness = 2.9\nhole = "plain"\nscrew = "M3"\n'
    made = made_of(
        written, tin(30, extra=f'[block]\nwall = 6\nheight = 30\n{plate}[row]\nthings = ["other.toml"]\n')
    )
    assert [f.told for f in made.findings if f.code == "plate-thin"] == [
        "the wall plate is only 2.9 mm thick"
    ]
