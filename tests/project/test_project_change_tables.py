"""Tables added, replaced and taken out, everything else as it was."""

import random
import tomllib

import pytest
from made_demos import DEMOS

from cradle.errors import InputError
from cradle.project.change import with_new_table, with_table, without_table
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
        what = chance.randrange(3)
        n = chance.randrange(count)
        if what == 0 and count > 1:
            del data["section"][n]
            text = without_table(text, ("section", n))
        elif what == 1:
            data["section"].append({"height": float(chance.randrange(100))})
            text = with_new_table(text, "section", data["section"][-1])
        else:
            data["section"][n] = {"height": float(chance.randrange(100)), "picture": {"file": 'a "b".png'}}
            text = with_table(text, ("section", n), data["section"][n])
        assert tomllib.loads(text) == data


def test_a_layout_that_cannot_be_changed_by_lines_is_written_anew():
    text = 'section = [{ height = 5 }, { height = 2, measured = { form = "ellipse" } }]\n'
    assert heights(without_table(text, ("section", 0))) == [2]
    more = with_new_table(text, "section", {"height": 7})
    assert heights(more) == [5, 2, 7]
    assert tomllib.loads(more)["section"][1]["measured"] == {"form": "ellipse"}


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
