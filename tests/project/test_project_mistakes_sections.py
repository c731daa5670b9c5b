"""Mistakes in what is said of the thing and its sections, one by one."""

import pytest
from sound_project import told_once

OUTLINE = 'outline = "low.svg"'
NOTCH = 'picture = { file = "low.png", shape = "cut_out", '

CASES = [
    # old line, new line, the whole problem as a person reads it
    ('name = "low"', 'nmae = "low"', "line 5: section[1].nmae: unknown key; did you mean name?"),
    ('name = "low"', "name = 3", "line 5: section[1].name: expected a name, not 3; put it in quotes"),
    ('name = "low"', 'name = " "', "line 5: section[1].name: expected a name, not an empty text"),
    ('name = "low"', r'name = "a\nb"', "line 5: section[1].name: expected a name in one line"),
    ('name = "low"', 'name = "a\\u202eb"', "line 5: section[1].name: expected a name in one line"),
    (
        'name = "mid"',
        'name = "low"',
        "line 9: section[2].name: 'low' is the name of section[1] already; give",
    ),
    ("height = 4.0", "hieght = 4.0", "line 6: section[1].hieght: unknown key; did you mean height?"),
    ("height = 4.0", "", "line 4: section[1].height: missing; how far above the resting plane"),
    ("height = 4.0", "height_mm = 4.0", "line 6: section[1].height_mm: unknown key; did you mean height?"),
    ("height = 4.0", "Height = 4.0", "line 6: section[1].Height: unknown key; did you mean height?"),
    (
        "height = 4.0",
        "height = -1",
        "line 6: section[1].height: found -1.0 mm, allowed is 0.0 mm to 2000.0 mm",
    ),
    (
        "height = 4.0",
        'height = "58,5"',
        "line 6: section[1].height: expected a length in mm, not the text '58,5'; write decimals with a point, such as 58.5",
    ),
    (
        "height = 4.0",
        'height = "0,15 in"',
        "line 6: section[1].height: expected a length in mm, not the text '0,15 in'; write decimals with a point, such as \"0.15 in\"",
    ),
    (
        "height = 4.0",
        'height = "1,234,5 mm"',
        "line 6: section[1].height: expected a length in mm, not the text '1,234,5 mm'; write decimals with a point, such as 58.5",
    ),
    (
        "height = 80",
        'height = 80\nmass = "310 stone"',
        "line 4: object.mass: expected a mass in g, not the text '310 stone'; write a number with g, kg",
    ),
    ("height = 4.0", "height = true", "line 6: section[1].height: expected a length in mm, not true"),
    ("height = 4.0", "height = nan", "line 6: section[1].height: expected a length in mm, not nan"),
    ("height = 4.0", "height = inf", "line 6: section[1].height: expected a length in mm, not inf"),
    ("height = 4.0", "height = -inf", "line 6: section[1].height: expected a length in mm, not -inf"),
    ("height = 4.0", "height = 1e400", "line 6: section[1].height: expected a length in mm, not inf"),
    ("height = 4.0", "height = [4]", "line 6: section[1].height: expected a length in mm, not a list of 1"),
    ("height = 4.0", "height = {a = 4}", "line 6: section[1].height: expected a length in mm, not a table"),
    ("height = 4.0", "height = 2026-01-02", "line 6: section[1].height: expected a length in mm, not a date"),
    (
        "height = 4.0",
        'height = "4 furlong"',
        "line 6: section[1].height: expected a length in mm, not the text",
    ),
    ("height = 4.0", 'height = "1/0 in"', "line 6: section[1].height: expected a length in mm, not the text"),
    (
        "height = 4.0",
        'height = "1 -3/4 in"',  # not 1/4 in
        "line 6: section[1].height: expected a length in mm, not the text '1 -3/4 in'",
    ),
    ("height = 4.0", 'height = "1 3e0/4 in"', "line 6: section[1].height: expected a length in mm, not the"),
    ("height = 4.0", f'height = "1/{"9" * 5000}"', "line 6: section[1].height: expected a length in mm, not"),
    (
        "height = 4.0",
        f"height = 0x{'f' * 5000}",
        "line 6: section[1].height: expected a length in mm, not a huge",
    ),
    (
        "height = 30.0",
        "height = 15",
        'line 14: section[3].height: section "mid" has the same height, 15.0 mm',
    ),
    (
        "height = 30.0",
        "height = 15.001",
        'line 14: section[3].height: 15.001 mm is less than 0.01 mm from section "mid" (15.0 mm)',
    ),
    (
        "height = 30.0",
        "height = 14.999",
        'line 14: section[3].height: 14.999 mm is less than 0.01 mm from section "mid" (15.0 mm)',
    ),
    (
        "height = 30.0",
        "height = 4",
        'line 14: section[3].height: section "low" has the same height, 4.0 mm',
    ),
    (
        "height = 80",
        "height = 20",
        "line 14: section[3].height: 30.0 mm is above the thing's overall height, 20.0",
    ),
    (
        "height = 80",
        "height = 8",
        "line 3: object.height: found 8.0 mm, but 2 sections lie higher, up to 30.0 mm; measure the thing's "
        'overall height again; or give its unit, such as "8 cm"',
    ),
    (
        "height = 80",
        "height = 1",
        "line 3: object.height: found 1.0 mm, but 3 sections lie higher, up to 30.0 mm; measure the thing's "
        "overall height again",
    ),
    ("height = 80", "mass = 0", "line 3: object.mass: found 0.0 g, allowed is above 0.0 g"),
    (
        "height = 80",
        'mass = "80 mm"',
        "line 3: object.mass: expected a mass in g, not the text '80 mm'; write a number with g",
    ),
    (
        "height = 80",
        "balance = [1, 2]",
        "line 3: object.balance: expected a list of 3: [x, y, z], not a list of 2",
    ),
    ("height = 80", "balance = [1, 2, nan]", "line 3: object.balance[3]: expected a length in mm, not nan"),
    ('outline = "low.svg"', "", "line 4: section[1]: no outline found; give outline"),
    ('outline = "low.svg"', "outline = 3", "line 7: section[1].outline: expected the path of a file, not 3"),
    (
        'outline = "low.svg"',
        'outline = "low.png"',
        "line 7: section[1].outline: found a file ending in '.png' ('low.png'); of a picture write"
        ' picture = { file = "low.png" } in place of outline',
    ),
    (
        'outline = "low.svg"',
        'picture = "low.png"',
        "line 7: section[1].picture: expected one table, not the text 'low.png'; write picture = { file = ... }",
    ),
    (
        'outline = "low.svg"',
        'measured = "ellipse"',
        "line 7: section[1].measured: expected one table, not the text 'ellipse'; write measured = { form = ...,",
    ),
    ('outline = "low.svg"', 'outline = "low"', "line 7: section[1].outline: found a file without an ending"),
    (
        'outline = "low.svg"',
        r'outline = "C:\things\front.svg"',
        "line 7: section[1].outline: expected the path of a file, not the text 'C:\\things\\x0cront.svg'; write",
    ),
    (
        'outline = "low.svg"',
        'outline = ""',
        "line 7: section[1].outline: expected the path of a file, not an empty",
    ),
    (
        'outline = "low.svg"',
        'outline = "a.svg"\nunit = "inch"',
        "line 8: section[1].unit: 'inch' is not allowed; did you mean in? use mm, cm or in",
    ),
    (
        'outline = "low.svg"',
        'outline = "a.svg"\nhalf = 1',
        "line 8: section[1].half: expected true or false, not 1",
    ),
    (
        'outline = "low.svg"',
        'outline = "a.svg"\nwidth = 0',
        "line 8: section[1].width: found 0.0 mm, allowed is 0.0",
    ),
    ('outline = "low.svg"', 'outline = "a.svg"\ngirth = -2', "line 8: section[1].girth: found -2.0 mm"),
    ('outline = "low.svg"', 'outline = "a.svg"\nturn = 400', "line 8: section[1].turn: found 400.0°"),
    (
        'outline = "low.svg"',
        'outline = "a.svg"\nshift = 3',
        "line 8: section[1].shift: expected a list of 2: [x, y]",
    ),
    (
        'outline = "low.svg"',
        'outline = "a.svg"\nclearance = -0.1',
        "line 8: section[1].clearance: found -0.1 mm",
    ),
    (
        'outline = "low.svg"',
        'outline = "a.svg"\nmeasured = 3',
        "line 4: section[1]: found outline and measured",
    ),
    (
        "measured = {",
        'unit = "mm"\nmeasured = {',
        "line 11: section[2].unit: only an outline from a drawing takes this",
    ),
    (
        "measured = {",
        "half = true\nmeasured = {",
        "line 11: section[2].half: a measured section cannot be a half",
    ),
    (
        "measured = {",
        "depth = 1\nmeasured = {",
        "line 11: section[2].depth: found 1.0 mm, but in measured it is 40 x 30 mm",
    ),
    (
        "measured = {",
        "width = 44.6\nmeasured = {",
        "line 11: section[2].width: found 44.6 mm, but in measured it is 40 x 30 mm",
    ),
    (
        "corner = 3",
        "corner = 16",
        "line 11: section[2].measured.corner: found 16.0 mm, allowed is at most 15.0 mm",
    ),
    (
        "corner = 3",
        "diagonal = 3",
        "line 11: section[2].measured.diagonal: the form rectangle has no diagonal",
    ),
    (
        "corner = 3",
        "photograph = 3",
        "line 11: section[2].measured.photograph: unknown key; allowed here are form, width",
    ),
    (
        'form = "superellipse"',
        'form = "elipse"',
        "line 16: section[3].measured.form: 'elipse' is not allowed; did you mean ellipse? use rectangle, e",
    ),
    (
        'form = "superellipse"',
        "",
        "line 15: section[3].measured.form: missing; rectangle, ellipse or superellipse",
    ),
    ("diagonal = 45", "", "line 15: section[3].measured.diagonal: missing; a superellipse needs"),
    (
        "diagonal = 45",
        "diagonal = 56",
        "line 19: section[3].measured.diagonal: found 56.0 mm, allowed is above 27.8",
    ),
    (
        "diagonal = 45",
        "diagonal = 20",
        "line 19: section[3].measured.diagonal: found 20.0 mm, allowed is above 27.8",
    ),
    (
        "diagonal = 45",
        "diagonal = 45\nclearance = 1",
        "line 20: section[3].measured.clearance: unknown key; it bel",
    ),
    (
        OUTLINE,
        f"{NOTCH}point = [8, 9], back = 2 }}",
        "line 7: section[1].picture.point: found point and back in one picture; say by number",
    ),
    (
        OUTLINE,
        f"{NOTCH}pick = 2, back = 2 }}",
        "line 7: section[1].picture.back: found 2, and piece 2 is the front; front and back are two",
    ),
    (
        OUTLINE,
        f"{NOTCH}back = 1 }}",
        "line 7: section[1].picture.back: found 1, and piece 1 is the front, as no pick is given",
    ),
]


@pytest.mark.parametrize(("old", "new", "expected"), CASES, ids=[f"{i}" for i in range(len(CASES))])
def test_one_mistake_is_told_once_with_its_line(old, new, expected):
    told_once(old, new, expected)
