"""Slips of syntax as people make them: each is told with its line and with what to do."""

import tomllib

import pytest

from cradle.project.toml_mistakes import toml_problem

SLIPS = {
    "width = 30 mm": 'put a number with its unit in quotes, such as "30 mm"',
    "lean = 12 degrees": 'put a number with its unit in quotes, such as "30 mm"',
    "lean = 3°": 'such as "1/2 in" or "3 deg"',
    "width = 1 1/2": "decimals with a point",
    "width = 30 depth = 20": "each key on its own line",
    "width = 30,5": "write decimals with a point, such as 3.5, not with a comma",
    "width = 030": "remove the leading zero",
    "clearance = auto": "put text in straight quotes",
    "name = “Tub”": "put text in straight quotes",
    'name = "Tub': "close the quotes",
    "name = 'Tub": "close the quotes",
    "width 30": "a line is a [table], a key = value",
    "width: 30": "a line is a [table], a key = value",
    '{"section": 1}': "a line is a [table], a key = value",
    "bed = [1, 2": "close the list",
    'hazards = ["sharp" "wet"]': "put a comma between the values",
    "shift = [0, 1.5 mm]": 'put a number with its unit in quotes, such as "30 mm"',
    "measured = { width = 3": "close the table",
    "measured = { width = 3 depth = 4 }": "put a comma between the keys",
    "measured = { width = 7.6 cm }": 'put a number with its unit in quotes, such as "30 mm"',
    "[[section]": "close the table's name as it was opened",
    "[section": "close the table's name as it was opened",
    "a = 1\na = 2": "this key appears twice",
    "m = {a = 1, a = 2}": "this key appears twice",
    "[fit]\n[block]\n[fit]": "a table may appear only once",
    "[section]\nname = 'low'\n[[section]]\nname = 'high'": "write [[section]] in double brackets each time",
    "[section.measured]\nwidth = 3\n[[section]]\nname = 'high'": "and the tables inside it below",
    "a = 1\rb = 2": "with the line ends of Linux or Windows",
    'outline = "a\\mm.svg"': "write paths with /",
}


@pytest.mark.parametrize("text", SLIPS)
@pytest.mark.parametrize("above", [0, 3])
def test_a_slip_is_told_with_its_line_and_what_to_do(text, above):
    whole = "# above\n" * above + text + "\n"
    with pytest.raises(tomllib.TOMLDecodeError) as caught:
        tomllib.loads(whole)
    problem = toml_problem(str(caught.value), text=whole)
    assert SLIPS[text] in problem.hint
    assert above < problem.line <= above + text.count("\n") + 2  # an open bracket is missed at the end
    assert "(at " not in problem.found
    assert "('" not in problem.found  # no Python
