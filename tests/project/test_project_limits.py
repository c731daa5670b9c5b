"""How many tables, list items and unknown keys of a project are looked at: each has a stated limit, so that no file costs without bound."""

from pathlib import Path

import pytest
from tub import TUB

from cradle.errors import ProjectError
from cradle.project.mistake import MistakeError
from cradle.project.project import TABLES, tables
from cradle.project.reader import project_from_text
from cradle.project.trial_log import MOST_TRIALS, read_trials

FILE = Path("holder.toml")
TABLE = {
    "section": "[[section]]\nheight = {}\n[section.measured]\nform = 'ellipse'\nwidth = 30\ndepth = 20\n",
    "view": "[[view]]\nfrom = 'front'\noutline = '{}.svg'\n",
    "opening": "[[opening]]\nkind = 'drain'\ndiameter = {}\n",
}
"""One table each that may stand many times; the number makes them differ."""


def text_with(name, count):
    tables = "".join(TABLE[name].format(k + 1) for k in range(count))
    return tables if name == "section" else TUB + tables


def told(text):
    with pytest.raises(ProjectError) as caught:
        project_from_text(text, file=FILE)
    return [str(problem) for problem in caught.value.problems]


def test_every_table_that_may_stand_many_times_is_looked_at():
    assert {name for name, top in TABLES.items() if top.most > 1} == set(TABLE)


@pytest.mark.parametrize("name", TABLE)
def test_as_many_tables_as_allowed_are_read_and_one_more_is_told_once(name):
    most = TABLES[name].most
    project = project_from_text(text_with(name, most), file=FILE)
    assert len(getattr(project, TABLES[name].field)) == most
    (problem,) = told(text_with(name, most + 1))
    assert f"found {most + 1} tables [[{name}]], allowed are at most {most}" in problem


@pytest.mark.parametrize("key", ["clearances", "heights"])
def test_lists_have_a_limit(key):
    values = ", ".join(f"{0.1 + k / 100:.2f}" for k in range(25))
    (problem,) = told(f"{TUB}[test_pieces]\n{key} = [{values}]\n")
    assert f"test_pieces.{key}: found a list of 25, allowed are at most 24" in problem


def test_openings_of_all_pockets_together_have_a_limit():
    (problem,) = told(text_with("opening", 20) + "[row]\ncount = 20\n")
    assert "found 20 openings, 400 in all pockets together, allowed are 300" in problem
    assert project_from_text(text_with("opening", 15) + "[row]\ncount = 20\n", file=FILE).row.count == 20


def test_of_thousands_of_unknown_keys_the_first_are_told_and_the_others_counted():
    *first, last = told(TUB + "".join(f"k{k} = 1\n" for k in range(5000)))
    assert len(first) == 60
    assert all("unknown key" in problem for problem in first)
    assert "4940 more keys from here on are unknown" in last


def test_more_trials_than_are_read_are_refused(tmp_path):
    trial = "[[trial]]\ndate = 2026-03-01\nread = 30.1\nnominal = 30.2\n"
    (tmp_path / "trials.toml").write_text(trial * MOST_TRIALS)
    assert len(read_trials(tmp_path)) == MOST_TRIALS
    (tmp_path / "trials.toml").write_text(trial * (MOST_TRIALS + 1))
    with pytest.raises(ProjectError, match="allowed are at most 150"):
        read_trials(tmp_path)


@pytest.mark.parametrize(
    "text",
    [
        '[object]\nname = "{}"',
        '[printer]\nmaterial = "{}"',
        '[[opening]]\nkind = "label"\nheight = 5\nthrough = "front"\ntext = "{}"',
        '[[section]]\nheight = 90\noutline = "{}.svg"',
        '[[section]]\nheight = 90\noutline = "a.svg"\nlayer = "{}"',
        '[[section]]\nheight = 90\nname = "{}"\noutline = "a.svg"',
        "{} = 1",
        "[{}]",
        "[{0}.{0}]",
        "[fit]\n{} = 1",
        "{0} = 1\n{0} = 2",
        "[{0}]\n[{0}]",
        "{0} = 1\n[{0}]",
        '[object]\n"{}" = 1',
    ],
)
def test_a_text_or_a_key_of_any_length_is_refused_in_a_line_that_can_be_read(text):
    long = told(text_with("section", 2) + text.format("x" * 100_000))
    assert long
    assert all(len(problem) < 400 and "line " in problem for problem in long)


def takes(key, value):
    try:
        key.convert(value)
    except MistakeError:
        return False
    return True


def test_what_cannot_be_nothing_cannot_be_next_to_nothing():
    lengths = [key for _, table in tables() for key in table.keys.values() if "_mm" in f"_{key.field}"]
    sizes = [key for key in lengths if takes(key, 2) and not takes(key, 0)]
    assert {"width", "bed", "layer_height", "mm_per_px"} <= {key.name for key in [*sizes, *lengths]}
    assert len(sizes) > 30
    assert not [key.name for key in sizes if takes(key, 1e-9)]
    beds = [key for key in lengths if takes(key, [2, 2, 2]) and not takes(key, [0, 0, 0])]
    assert [key.name for key in beds] == ["bed"]
    assert not takes(beds[0], [1e-9, 200, 200])
