"""Tables added, taken out and sorted, everything else as it was."""

import random
import tomllib

import pytest
from made_demos import DEMOS

from cradle.errors import InputError
from cradle.project.change_tables import sorted_tables, with_new_table, with_table, without_table
from cradle.project.toml_positions import data_of

TEXTS = {
    path.parent.name + path.stem: path.read_text(encoding="utf-8") for path in sorted(DEMOS.glob("*/*.toml"))
}
SCATTERED = """\
# on top
[[section]]
height = 1
[fit]
clearance = 0.3   # kept
[[section]]   # the second
height = 5
[section.measured]
form = "ellipse"
# before the third
[[section]]
height = 3
"""


def heights(text):
    return [section["height"] for section in tomllib.loads(text)["section"]]


def test_sections_are_sorted_with_their_comments_and_inner_tables():
    text = sorted_tables(SCATTERED, "section", key=lambda section: section["height"])
    assert heights(text) == [1, 3, 5]
    assert tomllib.loads(text)["section"][2]["measured"] == {"form": "ellipse"}
    assert text.index("# before the third") < text.index("height = 3") < text.index("# the second")
    assert "clearance = 0.3   # kept" in text
    assert sorted_tables(text, "section", key=lambda section: section["height"]) == text


@pytest.mark.parametrize("name", TEXTS)
def test_a_table_added_and_taken_out_again_leaves_the_text(name):
    text = TEXTS[name]
    more = with_new_table(text, "section", {"name": "new", "height": 99.0, "measured": {"form": "ellipse"}})
    assert tomllib.loads(more)["section"][-1] == {
        "name": "new",
        "height": 99.0,
        "measured": {"form": "ellipse"},
    }
    assert tomllib.loads(more)["fit"] == tomllib.loads(text)["fit"]
    less = without_table(more, ("section", len(heights(more)) - 1))
    assert less.split() == text.split()
    comments = [line for line in text.splitlines() if line.startswith("#")]
    assert len(comments) > 0
    assert [line for line in more.splitlines() if line.startswith("#")] == comments


@pytest.mark.parametrize("name", TEXTS)
def test_any_order_of_changes_says_what_the_data_say(name):
    text, chance = TEXTS[name], random.Random(name)
    for _ in range(30):
        data = tomllib.loads(text)
        count = len(data["section"])
        what = chance.randrange(4)
        n = chance.randrange(count)
        if what == 0 and count > 1:
            del data["section"][n]
            text = without_table(text, ("section", n))
        elif what == 1:
            data["section"].append({"height": float(chance.randrange(100))})
            text = with_new_table(text, "section", data["section"][-1])
        elif what == 2:
            data["section"][n] = {"height": float(chance.randrange(100)), "picture": {"file": 'a "b".png'}}
            text = with_table(text, ("section", n), data["section"][n])
        else:
            data["section"].sort(key=lambda section: section["height"])
            text = sorted_tables(text, "section", key=lambda section: section["height"])
        assert tomllib.loads(text) == data


def test_a_layout_that_cannot_be_moved_by_lines_is_written_anew():
    text = 'section = [{ height = 5 }, { height = 2, measured = { form = "ellipse" } }]\n'
    after = sorted_tables(text, "section", key=lambda section: section["height"])
    assert heights(after) == [2, 5]
    assert heights(without_table(after, ("section", 0))) == [5]


@pytest.mark.parametrize("path", [("section", 9), ("plate",), ("nothing",), ("fit", 0)])
def test_a_table_that_is_not_there_is_told(path):
    with pytest.raises(InputError, match="no such table"):
        without_table(SCATTERED, path)
    with pytest.raises(InputError, match="no such table"):
        with_table(SCATTERED, path, {})


def test_what_is_no_toml_is_told():
    assert data_of("[") is None
    with pytest.raises(InputError, match="cannot be read"):
        with_new_table("[", "section", {})
