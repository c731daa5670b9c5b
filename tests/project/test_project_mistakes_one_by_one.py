"""Mistakes one by one: each is told once, with its line, what was found, what is allowed and what to do."""

import pytest
from sound_project import SOUND, problems_of

NOTCH = 'picture = { file = "low.png", shape = "cut_out", '

# By a line of the sound project: what stands there instead, and how the problem begins as a person reads it.
THING_AND_SECTIONS = {
    'name = "low"': {
        'nmae = "low"': "line 5: section[1].nmae: unknown key; did you mean name?",
        "name = 3": "line 5: section[1].name: expected a name, not 3; put it in quotes",
        'name = " "': "line 5: section[1].name: expected a name, not an empty text",
        r'name = "a\nb"': "line 5: section[1].name: expected a name in one line",
        'name = "a\\u202eb"': "line 5: section[1].name: expected a name in one line",
    },
    'name = "mid"': {
        'name = "low"': "line 9: section[2].name: 'low' is the name of section[1] already; give",
    },
    "height = 4.0": {
        "hieght = 4.0": "line 6: section[1].hieght: unknown key; did you mean height?",
        "": "line 4: section[1].height: missing; how far above the resting plane",
        "height_mm = 4.0": "line 6: section[1].height_mm: unknown key; did you mean height?",
        "Height = 4.0": "line 6: section[1].Height: unknown key; did you mean height?",
        "height = -1": "line 6: section[1].height: found -1.0 mm, allowed is 0.0 mm to 2000.0 mm",
        'height = "58,5"': "line 6: section[1].height: expected a length in mm, not the text '58,5'; write decimals with a point, such as 58.5",
        'height = "0,15 in"': "line 6: section[1].height: expected a length in mm, not the text '0,15 in'; write decimals with a point, such as \"0.15 in\"",
        'height = "1,234,5 mm"': "line 6: section[1].height: expected a length in mm, not the text '1,234,5 mm'; write decimals with a point, such as 58.5",
        'height = "58.5 mm above the plate"': "line 6: section[1].height: expected a length in mm, not the text '58.5 mm above the plate'; write the number and its unit alone, such as \"58.5 mm\"",
        'height = "2.3 Inches"': "line 6: section[1].height: expected a length in mm, not the text '2.3 Inches'; write the number and its unit alone, such as \"2.3 in\"",
        'height = "1⅜ inches"': "line 6: section[1].height: expected a length in mm, not the text '1⅜ inches'; write the number and its unit alone, such as \"1 3/8 in\"",
        'height = "2 7/16 Inches"': "line 6: section[1].height: expected a length in mm, not the text '2 7/16 Inches'; write the number and its unit alone, such as \"2 7/16 in\"",
        'height = "ca. 58.5"': "line 6: section[1].height: expected a length in mm, not the text 'ca. 58.5'; write the number alone, such as 58.5",
        'height = "4 per side"': "line 6: section[1].height: expected a length in mm, not the text '4 per side'; write the number alone, such as 4",
        'height = "4 mils"': "line 6: section[1].height: expected a length in mm, not the text '4 mils'; write a number with mm, cm, m, in or ft, such as 12.5 mm",
        'height = "4 to 5 mm"': "line 6: section[1].height: expected a length in mm, not the text '4 to 5 mm'; write a number with mm, cm, m, in or ft, such as 12.5 mm",
        "height = true": "line 6: section[1].height: expected a length in mm, not true",
        "height = nan": "line 6: section[1].height: expected a length in mm, not nan",
        "height = inf": "line 6: section[1].height: expected a length in mm, not inf",
        "height = -inf": "line 6: section[1].height: expected a length in mm, not -inf",
        "height = 1e400": "line 6: section[1].height: expected a length in mm, not inf",
        "height = [4]": "line 6: section[1].height: expected a length in mm, not a list of 1",
        "height = {a = 4}": "line 6: section[1].height: expected a length in mm, not a table",
        "height = 2026-01-02": "line 6: section[1].height: expected a length in mm, not a date",
        'height = "4 furlong"': "line 6: section[1].height: expected a length in mm, not the text",
        'height = "1/0 in"': "line 6: section[1].height: expected a length in mm, not the text",
        'height = "1 -3/4 in"': "line 6: section[1].height: expected a length in mm, not the text '1 -3/4 in'",  # not 1/4 in
        'height = "1 3e0/4 in"': "line 6: section[1].height: expected a length in mm, not the",
        f'height = "1/{"9" * 5000}"': "line 6: section[1].height: expected a length in mm, not",
        f"height = 0x{'f' * 5000}": "line 6: section[1].height: expected a length in mm, not a huge",
    },
    "height = 80": {
        'height = 80\nmass = "310 stone"': "line 4: object.mass: expected a mass in g, not the text '310 stone'; write a number with g, kg",
        "height = 20": "line 14: section[3].height: 30.0 mm is above the thing's overall height, 20.0",
        "height = 8": 'line 3: object.height: found 8.0 mm, but 2 sections lie higher, up to 30.0 mm; measure the thing\'s overall height again; or give its unit, such as "8 cm"',
        "height = 1": "line 3: object.height: found 1.0 mm, but 3 sections lie higher, up to 30.0 mm; measure the thing's overall height again",
        "mass = 0": "line 3: object.mass: found 0.0 g, allowed is above 0.0 g",
        'mass = "80 mm"': "line 3: object.mass: expected a mass in g, not the text '80 mm'; write a number with g",
        "balance = [1, 2]": "line 3: object.balance: expected a list of 3: [x, y, z], not a list of 2",
        "balance = [1, 2, nan]": "line 3: object.balance[3]: expected a length in mm, not nan",
    },
    "height = 30.0": {
        "height = 15": 'line 14: section[3].height: section "mid" has the same height, 15.0 mm',
        "height = 15.001": 'line 14: section[3].height: 15.001 mm is less than 0.01 mm from section "mid" (15.0 mm)',
        "height = 14.999": 'line 14: section[3].height: 14.999 mm is less than 0.01 mm from section "mid" (15.0 mm)',
        "height = 4": 'line 14: section[3].height: section "low" has the same height, 4.0 mm',
    },
    'outline = "low.svg"': {
        "": "line 4: section[1]: no outline found; give outline",
        "outline = 3": "line 7: section[1].outline: expected the path of a file, not 3",
        'outline = "low.png"': "line 7: section[1].outline: found a file ending in '.png' ('low.png'); of a picture write picture = { file = \"low.png\" } in place of outline",
        'picture = "low.png"': "line 7: section[1].picture: expected one table, not the text 'low.png'; write picture = { file = \"low.png\" }",
        'measured = "ellipse"': "line 7: section[1].measured: expected one table, not the text 'ellipse'; write measured = { form = ...,",
        'outline = "low"': "line 7: section[1].outline: found a file without an ending",
        r'outline = "C:\things\front.svg"': "line 7: section[1].outline: expected the path of a file, not the text 'C:\\things\\x0cront.svg'; write",
        'outline = ""': "line 7: section[1].outline: expected the path of a file, not an empty",
        'outline = "a.svg"\nunit = "inch"': "line 8: section[1].unit: 'inch' is not allowed; did you mean in? use mm, cm or in",
        'outline = "a.svg"\nhalf = 1': "line 8: section[1].half: expected true or false, not 1",
        'outline = "a.svg"\nwidth = 0': "line 8: section[1].width: found 0.0 mm, allowed is 0.0",
        'outline = "a.svg"\ngirth = -2': "line 8: section[1].girth: found -2.0 mm",
        'outline = "a.svg"\nturn = 400': "line 8: section[1].turn: found 400.0°",
        'outline = "a.svg"\nshift = 3': "line 8: section[1].shift: expected a list of 2: [x, y]",
        'outline = "a.svg"\nclearance = -0.1': "line 8: section[1].clearance: found -0.1 mm",
        'outline = "a.svg"\nmeasured = 3': "line 4: section[1]: found outline and measured",
        f"{NOTCH}point = [8, 9], back = 2 }}": "line 7: section[1].picture.point: found point and back in one picture; say by number",
        f"{NOTCH}pick = 2, back = 2 }}": "line 7: section[1].picture.back: found 2, and piece 2 is the front; front and back are two",
        f"{NOTCH}back = 1 }}": "line 7: section[1].picture.back: found 1, and piece 1 is the front, as no pick is given",
    },
    "measured = {": {
        'unit = "mm"\nmeasured = {': "line 11: section[2].unit: only an outline from a drawing takes this",
        "half = true\nmeasured = {": "line 11: section[2].half: a measured section cannot be a half",
        "depth = 1\nmeasured = {": "line 11: section[2].depth: found 1.0 mm, but in measured it is 40 x 30 mm",
        "width = 44.6\nmeasured = {": "line 11: section[2].width: found 44.6 mm, but in measured it is 40 x 30 mm",
    },
    "corner = 3": {
        "corner = 16": "line 11: section[2].measured.corner: found 16.0 mm, allowed is at most 15.0 mm",
        "diagonal = 3": "line 11: section[2].measured.diagonal: the form rectangle has no diagonal",
        "photograph = 3": "line 11: section[2].measured.photograph: unknown key; allowed here are form, width",
    },
    'form = "superellipse"': {
        'form = "elipse"': "line 16: section[3].measured.form: 'elipse' is not allowed; did you mean ellipse? use rectangle, e",
        "": "line 15: section[3].measured.form: missing; rectangle, ellipse or superellipse",
    },
    "diagonal = 45": {
        "": "line 15: section[3].measured.diagonal: missing; a superellipse needs",
        "diagonal = 56": "line 19: section[3].measured.diagonal: found 56.0 mm, allowed is above 27.80 mm and below 55.61 mm; it must lie between a diamond's (27.80 mm) and a rectangle's (55.61 mm); if it is right, width or depth is not: they are 44.0 mm and 34.0 mm",
        "diagonal = 20": "line 19: section[3].measured.diagonal: found 20.0 mm, allowed is above 27.8",
        "diagonal = 45\nclearance = 1": "line 20: section[3].measured.clearance: unknown key; it bel",
    },
}

FIT_BLOCK_AND_PLATE = {
    "clearance = 0.35": {
        "clearence = 0.35": "line 21: fit.clearence: unknown key; did you mean clearance?",
        "gap = 0.35": "line 21: fit.gap: unknown key; did you mean clearance?",
        "clearance = -0.1": "line 21: fit.clearance: found -0.1 mm, allowed is 0.0 mm to 10.0 mm",
        "clearance = 35": "line 21: fit.clearance: found 35.0 mm, allowed is 0.0 mm to 10.0 mm",
        'clearance = "atuo"': "line 21: fit.clearance: expected a length in mm, not the text 'atuo'; did you mean \"auto\"?",
        'clearance = "0.8 mm on the diameter"': "line 21: fit.clearance: expected a length in mm, not the text '0.8 mm on the diameter'; write a number with mm",
        'chance = "95 %"': "line 21: fit.chance: expected a chance, not the text '95 %'; write it as a part of 1, without quotes: 0.95",
        'chance = "140 %"': "line 21: fit.chance: expected a chance, not the text '140 %'; write the number without quotes",
        "between = -1": "line 21: fit.between: found -1.0 mm",
        "wall = 3": "line 21: fit.wall: unknown key; it belongs in [block]",
    },
    "lift_out = [0, 0, 1]": {
        "lift_out = [0, 0, 0]": "line 22: fit.lift_out: [0, 0, 0] is not a direction",
        "lift_out = [0, 0, -1]": "line 22: fit.lift_out: found 180.0° from straight up",
        "lift_out = [0, 0.6, 1]": "line 22: fit.lift_out: found 31.0° from straight up, a",
        'lift_out = "up"': "line 22: fit.lift_out: expected a list of 3: [x, y, z], not th",
        "lift_out = [0, false, 1]": "line 22: fit.lift_out[2]: expected a number, not false",
    },
    "wall = 3.0": {
        "width = 0": "line 24: block.width: found 0.0 mm, allowed is",
        'form = "oval"\nwidth = 90': 'line 25: block.width: found a width beside the form oval; only form = "box" has one',
        "wall = 0": "line 24: block.wall: found 0.0 mm, allowed is 0.01 mm to 200.0 mm",
        "floor = -1": "line 24: block.floor: found -1.0 mm, allowed is 0.01 mm to",
        "lean = 61": "line 24: block.lean: found 61.0°, allowed is -60.0° to 60.0°",
        'lean = "3 rad"': "line 24: block.lean: expected an angle in degrees, not the text '3 rad'",
        "flare = -1": "line 24: block.flare: found -1.0 mm",
        'form = "hug"\ncorner_form = "cut"': 'line 25: block.corner_form: found "cut" on the form hug; only form = "box" has corners to cut',
        "corner = -1": "line 24: block.corner: found -1.0 mm",
        "chamfer = -1": "line 24: block.chamfer: found -1.0 mm",
        "lead_in = -1": "line 24: block.lead_in: found -1.0 mm",
        'form = "round"': "line 24: block.form: 'round' is not allowed; did you mean oval? use box, oval or hug",
    },
    "height = 25": {
        "height = 25\n[plate]\nscrew = 'M4'": "line 26: plate.width: missing; how wide the wall plate is, in mm",
        'height = 25\n[plate]\nwidth = 90\nscrew = "M7"': "line 28: plate.screw: 'M7' is not allowed; use M2.5, M3, M3.5, M4, M5, M6 or M8; of any other, such as a wood screw, give diameter and head in place of a size",
        'height = 25\n[plate]\nwidth = 90\nscrew = "#8"': "line 28: plate.screw: '#8' is not allowed; use M2.5, M3, M3.5, M4, M5, M6 or M8; of any other, such as a wood screw, give diameter and head",
        'height = 25\n[plate]\nwidth = 90\nhole = "plain"': 'line 26: plate.screw: missing; give the size of the screw, screw = "M4", or its own diameter in mm',
        "height = 25\n[plate]\nwidth = 90": 'line 26: plate.screw: missing; give the size of the screw, screw = "M4", or its own diameter and head in mm',
        "height = 25\n[plate]\nwidth = 90\ndiameter = 4.5": 'line 26: plate.head: missing; give the size of the screw, screw = "M4", or its own head in mm',
        "height = 25\n[plate]\nwidth = 90\ndiameter = 4\nhead = 4": "line 29: plate.head: found 4.0 mm, allowed is more than the diameter, 4.0 mm",
        'height = 25\n[plate]\nwidth = 90\nscrew = "M4"\ncorner = 50': "line 29: plate.corner: found 50.0 mm, allowed is at most 45.0 mm",
        'height = 25\nform = "oval"\n[plate]\nwidth = 90\nscrew = "M4"': 'line 26: block.form: found oval beside a table [plate]; a wall plate needs a flat back: use form = "box"',
        'height = 25\nflare = "auto"\n[plate]\nwidth = 90\nscrew = "M4"': "line 26: block.flare: found auto beside a table [plate]; a wall plate needs an upright back",
        "height = 0": "line 25: block.height: found 0.0 mm, allowed is 0.01 mm to",
        "height = 4": "line 25: block.height: the block ends at 4.0 mm, not above the lowest section (4.0 mm)",
    },
}

OPENINGS = {
    'kind = "drain"': {
        "": "line 26: opening[1].kind: missing; use drain, round, slot",
        'kind = "drian"': "line 27: opening[1].kind: 'drian' is not allowed; did you mean drain? use drain, round",
        'kind = "drain"\nthrough = "back"': "line 28: opening[1].through: 'back' is not allowed; use floor; a drain goes through the fl",
    },
    "diameter = 6": {
        "": "line 26: opening[1].diameter: missing; the opening drain needs its diameter in mm",
        "diameter = 6\nwidth = 3": "line 29: opening[1].width: the opening drain has no width; it takes diameter, through",
    },
    'kind = "drain"\ndiameter = 6': {
        'kind = "label"\nthrough = "front"\ntext = "a"': "line 26: opening[1].height: missing; the opening label needs its height in mm",
        'kind = "label"\nthrough = "front"\nheight = 6': "line 26: opening[1].text: missing; the opening label needs its text",
        'kind = "keyhole"\nthrough = "floor"\nscrew = "M4"': "line 28: opening[1].through: 'floor' is not allowed; use front, back, left or right",
        'kind = "countersunk"\ndiameter = 4': "line 26: opening[1].head: missing; give the size of the screw",
        'kind = "drain"\ndiameter = 6\nhead = 5': "line 29: opening[1].head: the opening drain has no head; it takes diameter",
        'kind = "screw"\nscrew = "M7"': "line 28: opening[1].screw: 'M7' is not allowed; use M2.5, M3, M3.5, M4, M5, M6 or M8",
        'kind = "countersunk"\ndiameter = 6\nhead = 5': "line 29: opening[1].head: found 5.0 mm, allowed is more than the diameter, 6.0 mm",
        'kind = "keyhole"\nthrough = "back"\nscrew = "M4"\ndiameter = 6\nhead = 5': "line 31: opening[1].head: found 5.0 mm, allowed is more than the diameter, 6.0 mm",  # they go before the M4's
        'kind = "notch"\nthrough = "front"\nwidth = 6': "line 26: opening[1].depth: missing; how far the notch reaches below the rim",
        'kind = "notch"\nthrough = "front"\nwidth = 6\ndepth = 9\nat = [0, 20]': "line 30: opening[1].depth: depth and at both say how deep the notch is; give either depth",
        'kind = "window"\nthrough = "front"\nwidth = 6\nheight = 9\ncorner = 4': "line 31: opening[1].corner: found 4.0 mm, allowed is at most 3.0 mm",
    },
    "width = 8": {
        "": "line 29: opening[2].width: missing; the opening slot needs its width in mm",
        "width = 21": "line 32: opening[2].width: found 21.0 mm, allowed is at most the length, 20.0 mm",
        "width = 8\nat = [1, 2, 3]": "line 33: opening[2].at: expected a list of 2",
        "width = 8\nat = 3": "line 33: opening[2].at: expected a list of 2: [along, up], not 3; write it in brackets",
    },
}

VIEWS_TEST_PIECES_AND_PRINTER = {
    "clearances = [0.2, 0.3]": {
        "clearances = []": "line 35: test_pieces.clearances: expected a list with at least one",
        "clearances = [0.2, 0.2]": "line 35: test_pieces.clearances[2]: found 0.2 mm twice",
        "clearances = [\n0.2,\n-1]": "line 37: test_pieces.clearances[2]: found -1.0 mm",
        "thickness = 0": "line 35: test_pieces.thickness: found 0.0 mm",
        "heights = [12, 300]": "line 35: test_pieces.heights: a piece at 300.0 mm lies above the highest section (30.0 mm)",
    },
    "bed = [220, 220, 250]": {
        "bed = [220, 0, 250]": "line 37: printer.bed[2]: found 0.0 mm, allowed is 0.01 mm to 2000.0 mm",
        "line_width = 0": "line 37: printer.line_width: found 0.0 mm",
        "line_width = 1e-9": "line 37: printer.line_width: found 1e-09 mm, allowed is 0.01 mm to",
        "layer_height = 1e-9": "line 37: printer.layer_height: found 1e-09 mm",
        "layer_height = 9": "line 37: printer.layer_height: found 9.0 mm",
        'material = ""': "line 37: printer.material: expected the name of a material",
        "inside_error = 3": "line 37: printer.inside_error: found 3.0 mm",
    },
    "[test_pieces]": {
        '[[view]]\noutline = "a.svg"\n[test_pieces]': "line 34: view[1].from: missing; the side it is seen from: front, back, left or right",
        '[[view]]\nfrom = "top"\noutline = "a.svg"\n[test_pieces]': "line 35: view[1].from: 'top' is not allowed; use front, back",
        '[[view]]\nfrom = "front"\n[test_pieces]': 'line 34: view[1]: no outline found; give outline = "FILE" or a table [view.picture]',
        '[[view]]\nfrom = "front"\nmeasured = {}\noutline = "a.svg"\n[test_pieces]': "line 36: view[1].measured: unknown key; it belongs in [section]",
        '[[view]]\nfrom = "front"\noutline = "a.svg"\ntop = 5\nbottom = 5\n[test_pieces]': "line 37: view[1].top: 5.0 mm is not above the bottom (5.0 mm); both are heights",
        '[[view]]\nfrom = "front"\noutline = "a.svg"\nbottom = "low"\n[test_pieces]': "line 37: view[1].bottom: expected a length in mm, not the text 'low'",
        '[[view]]\nfrom = "front"\npicture = { file = "a.png", shape = "cut_out" }\n[test_pieces]': "line 36: view[1].picture.shape: found cut_out in a view; a view is a closed outline",
        '[[view]]\nfrom = "front"\npicture = { file = "a.png", distance = 400, from = "left" }\n[test_pieces]': "line 36: view[1].picture.from: expected a list of 2",
        "[view]\n[test_pieces]": "line 34: view: expected tables [[view]], not a table",
        "[test_piece]": "line 34: test_piece: unknown table or key; did you mean test_pieces?",
        '["test_pie ces"]': 'line 34: "test_pie ces": unknown table or key; did you mean test_pieces?',
        "[[test_pieces]]": "line 34: test_pieces: expected one table, not a list of tables; write [test_pieces] once",
    },
    "[object]": {
        "[object]\nweight = 3": "line 2: object.weight: unknown key; did you mean mass?",
        "wall = 3\n[object]": "line 1: wall: unknown table or key; it belongs in [block]",
        "side = 3\n[object]": "line 1: side: expected one table, not 3",
    },
    "[printer]": {
        "[printer]\nlayer = 0.2": "line 37: printer.layer: unknown key; did you mean layer_height?",
    },
}

CASES = [
    (old, new, expected)
    for table in (THING_AND_SECTIONS, FIT_BLOCK_AND_PLATE, OPENINGS, VIEWS_TEST_PIECES_AND_PRINTER)
    for old, instead in table.items()
    for new, expected in instead.items()
]


@pytest.mark.parametrize(("old", "new", "expected"), CASES, ids=[f"{i}" for i in range(len(CASES))])
def test_one_mistake_is_told_once_with_its_line(old, new, expected):
    assert SOUND.count(old) >= 1
    (found,) = problems_of(SOUND.replace(old, new, 1))
    assert str(found).startswith(expected)
