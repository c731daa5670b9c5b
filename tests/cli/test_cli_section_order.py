"""The order of the sections in a file changes nothing of what comes of it; what is wrong is told of the table that is meant."""

import pytest
from tub_made import contents, failing

from cradle.cli.main import main

OWN = '[object]\nname = "tub"\nmass = 100\n[fit]\nclearance = 0.35\n[block]\nheight = 25\n'
LOW = '[[section]]\nname = "low"\nheight = 1\nmeasured = { form = "ellipse", width = 30, depth = 20 }\n'
MID = '[[section]]\nname = "mid"\nheight = 20\noutline = "mid.csv"\nwidth = 33\ndepth = 22\n'
HIGH = '[[section]]\nname = "high"\nheight = 50\nmeasured = { form = "ellipse", width = 36, depth = 24 }\n'


def put(folder, text, *, points="0,0\n33,0\n33,22\n0,22\n"):
    """The project file in a folder made for it, its drawing beside it."""
    folder.mkdir()
    (folder / "mid.csv").write_text(points, encoding="utf-8")
    file = folder / "holder.toml"
    file.write_text(text, encoding="utf-8")
    return file


def all_commands(file, monkeypatch, capsys):
    """What the commands say and write, one after another: the trial of a ring counts for the holder."""
    monkeypatch.chdir(file.parent)
    assert main(["pieces", file.name, "-o", "out"]) == 0
    assert main(["trial", file.name, "--section", "mid", "--clearance", "0.35", "--seen", "tight"]) == 0
    assert main(["make", file.name, "-o", "out"]) in (0, 1)
    return capsys.readouterr(), contents(file.parent / "out"), (file.parent / "trials.toml").read_bytes()


@pytest.mark.slow
def test_any_order_comes_to_the_same_bytes(tmp_path, monkeypatch, capsys):
    sorted_one = put(tmp_path / "sorted", LOW + MID + HIGH + OWN)
    added_later = put(tmp_path / "later", HIGH + LOW + OWN + MID)
    first = all_commands(sorted_one, monkeypatch, capsys)
    assert b"mid" in first[1]["tub-sections.dxf"]
    assert all_commands(added_later, monkeypatch, capsys) == first


@pytest.mark.parametrize(
    ("text", "points", "told"),
    [
        (HIGH + LOW + OWN + MID, "0,0\n33,0\n", "line 19: mid.csv: "),  # its drawing cannot be an outline
        (HIGH + LOW + MID, "0,0\n33,0\n33,32\n0,32\n", 'line 9: section "mid"'),  # nor be what was read
    ],
)
def test_what_is_wrong_with_a_section_has_the_line_of_its_table_or_of_the_file_it_names(
    text, points, told, tmp_path, capsys
):
    code, lines = failing("check", put(tmp_path / "wrong", text, points=points), capsys=capsys)
    assert code == 2
    assert told in lines[0]
