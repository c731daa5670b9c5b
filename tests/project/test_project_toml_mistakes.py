"""Slips of syntax as people make them: each is told with its line and with what to do."""

import random
import re
import tomllib

import pytest

from cradle.project.toml_mistakes import toml_problem

SOUND = """[object]
name = "tub"
balance = [1.5, 2, "3 mm"]  # as weighed
[[section]]
height = 0
measured = { form = "ellipse", width = 30, depth = 20.5 }
[[section]]
name = 'high \\ wide'
outline = "a.svg"
half = true
[block]
height = "1 in"
"""


class Lines(dict):
    """The numbers of a slip's lines below some others, by their place in it."""

    def __init__(self, above):
        super().__init__(first=above + 1, fourth=above + 4)


SLIPS = {
    "width = 30 mm": ("a unit behind a number", 'in quotes, such as "30 mm"'),
    "lean = 12 degrees": ("a unit behind a number", 'in quotes, such as "30 mm"'),
    "balance = [3 mm, 2]": ("a unit behind a number", 'in quotes, such as "30 mm"'),
    "measured = { width = 7.6 cm }": ("a unit behind a number", 'in quotes, such as "30 mm"'),
    "measured = { width = 7,6 }": ("a comma in a number", "with a point, such as 3.5, not with a comma"),
    "measured = { width = 7,6, depth = 4 }": ("a comma in a number", "with a point, such as 3.5"),
    "measured = { width = 3 depth = 4 }": (
        "'depth = 4 }' in a table in braces",
        "put commas between its keys",
    ),
    'hazards = ["sharp" "wet"]': ("""'"wet"]' in a list""", "with commas between its values"),
    "lean = 3°": ("a unit or a fraction", 'such as "1/2 in" or "3 deg"'),
    "width = 3/8": ("a unit or a fraction", 'such as "1/2 in" or "3 deg"'),
    "width = 1 1/2": ("a second number", 'in quotes, such as "1 1/2 in"'),
    "width = 30,5": ("a comma in a number", "with a point, such as 3.5, not with a comma"),
    "width = 30.": ("a point without a digit", "write 3 or 3.0"),
    "width = .5": ("no digit before the point", "such as 0.5"),
    "width = 030": ("a number that begins with 0", "remove the leading zero"),
    "mass = 1'500": ("a number in parts", "such as 1500"),
    "mass = 1 500": ("a number in parts", "such as 1500"),
    "shift = −3": ("the dash '−'", "write a minus as a plain hyphen"),
    "bed = 1, 2, 3": ("several values", "put a list in brackets"),
    "bed = (1, 2, 3)": ("a list in parentheses", "put a list in brackets"),
    "bed = [1 2 3]": ("'2 3]' in a list", "with commas between its values"),
    "bed = [1; 2; 3]": ("'; 2; 3]' in a list", "with commas between its values"),
    "bed = [1, 2": ("a list that is not closed", "close the list"),
    "clearance = auto": ("'auto' without quotes", "put text in straight quotes"),
    'name = Tub"': ("'Tub\"'", "begin the text with the quote that ends it"),
    'name = "Tub': ("no closing quote", "close the quotes"),
    "name = 'Tub": ("no closing quote", "close the quotes"),
    'name = """Tub': ("no closing quotes", "close the quotes"),
    'name = "3" hose"': ("'hose\"' behind the end of a text", "quotes in those of the other kind"),
    **{
        f"name = {opened}Tub{closed}": (f"the quotation mark '{opened}'", "put text in straight quotes")
        for opened, closed in ("“”", "„“", "‘’", "«»", "``", "″″")
    },
    "half = True": ("'True'", "write true or false"),
    "half = yes": ("'yes'", "write true or false"),
    "mass =": ("no value", "give one, or put a # in front"),
    "mass = # none": ("no value", "give one, or put a # in front"),
    "mass == 3": ("= twice", "write key = value"),
    "= 30": ("no key before =", "write key = value"),
    "width 30": ("'width 30' without =", "a line is a [table], a key = value"),
    "width: 30": (": behind a key", "write key = value"),
    "the width = 30": ("the key 'the width'", "a key is one word"),
    "größe = 30": ("the key 'größe'", "a key is one word"),
    "width = 30 depth = 20": ("a second key", "a line of its own"),
    "width = 30, depth = 20": ("a second key", "a line of its own"),
    "width = 30 // as read": ("'//'", "begin a comment with #"),
    "; as read": ("';'", "begin a comment with #"),
    '{"section": 1}': ("""'{"section": 1}'""", "a line is a [table], a key = value"),
    r"{\rtf1 width = 30}": ("what a word processor writes", "save the file as plain text"),
    "measured = { width = 3": ("a table in braces that is not closed", "close the table"),
    "measured = { width = 3,\ndepth = 2 }": ("goes on in another line", "keep it in one line"),
    "[[section]": ("a table's name that is not closed", "close the table's name as it was opened"),
    "[section": ("a table's name that is not closed", "close the table's name as it was opened"),
    "[section]]": ("more brackets behind", "close the table's name as it was opened"),
    "block]": ("'block]'", "put a table's name in brackets"),
    "[the block]": ("'block]' in a table's name", "close the table's name"),
    "[block] of oak": ("'of oak' behind a table's name", "a table's name has a line of its own"),
    "a = 1\nb = 3\na = 2": ("a again, as in line {first}", "keep one of the two"),
    "[fit]\na = 1\n[block]\na = 1\na = 2": ("a again, as in line {fourth}", "keep one of the two"),
    "a = 1\na.b = 2": ("a.b, which has a value already", "keep one of the two"),
    "a = 1\n[a]": ("[a], but a has a value already", "keep one of the two"),
    "m = {a = 1, a = 2}": ("'a' twice in a table in braces", "keep one of the two"),
    "[fit]\n[block]\n[fit]": ("[fit] again, as in line {first}", "a table may appear only once"),
    "[section]\nname = 'low'\n[[section]]\nname = 'high'": (
        "[[section]] again, as in line {first}",
        "write [[section]] in double brackets each time",
    ),
    "[[section]]\nname = 'low'\n[section]\nname = 'high'": (
        "[section] again, as in line {first}",
        "write [[section]] in double brackets each time",
    ),
    "[section.measured]\nwidth = 3\n[[section]]\nname = 'high'": (
        "[[section]] behind a table inside it",
        "and the tables inside it below",
    ),
    "a = 1\rb = 2": ("line ends of an old kind", "with the line ends of Linux or Windows"),
    "a\u00a0= 1": ("cannot be seen (U+00A0)", "type a plain space"),
    "a = 1\u200b": ("cannot be seen (U+200B)", "delete it"),
    "a = 'b\a'": ("a control character (U+0007)", "delete it"),
    'outline = "a\\mm.svg"': ("'\\m' in a text", "write paths with /"),
    'outline = "C:\\Users\\a.svg"': ("'\\U' in a text", "write paths with /"),
    'outline = "drawings\\"': ("a backslash before the closing quote", "write paths with /"),
}
"""What is found, with the place of its first line as ``first`` and so on, and what to do."""


def is_sound(text):
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return False
    return True


def mistake_of(text):
    with pytest.raises(tomllib.TOMLDecodeError) as caught:
        tomllib.loads(text)
    return toml_problem(str(caught.value), text=text)


@pytest.mark.parametrize("text", SLIPS)
@pytest.mark.parametrize("above", [0, 3])
def test_a_slip_is_told_with_its_line_and_what_to_do(text, above):
    problem = mistake_of("# above\n" * above + text + "\n")
    found, hint = SLIPS[text]
    assert found.format_map(Lines(above)) in problem.found if "{f" in found else found in problem.found
    assert hint in problem.hint
    assert above < problem.line <= above + text.count("\n") + 2  # an open bracket is missed at the end


def test_of_a_line_of_millions_only_what_is_near_is_looked_at():
    problem = mistake_of("a = [" + '"x", ' * 500_000 + "3 mm]")
    assert "a unit behind a number" in problem.found


def test_what_a_random_slip_is_told_as_is_never_the_parsers_own_words():
    """Its words as they stand in CPython's tomllib/_parser.py: they speak of statements and namespaces, not of a project."""
    own = re.compile(
        "statement|document|namespace|initial|unescaped|unterminated|declar|overwrite|invalid|illegal|expected '|array|inline|escape"
    )
    signs = [
        "",
        "\n",
        '"',
        "'",
        "[",
        "]",
        "{",
        "}",
        "=",
        ",",
        ".",
        "-",
        "#",
        " ",
        "\\",
        "é",
        "“",
        "\x07",
        "7",
        "x",
    ]
    rng, told = random.Random(20), set()
    for _ in range(4000):
        text = list(SOUND)
        for _ in range(rng.randint(1, 3)):
            text[rng.randrange(len(text))] = rng.choice(signs)
        if is_sound("".join(text)):
            continue
        problem = mistake_of("".join(text))
        said = re.sub(r"found (['\"]).*\1", "found ''", problem.found)  # what the text itself says is shown
        assert not own.search(said), said
        assert problem.hint, said
        told.add(said)
    assert len(told) > 25
    assert "found what has no meaning here" not in told
