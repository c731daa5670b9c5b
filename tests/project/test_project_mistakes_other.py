"""Mistakes in test pieces, printer, views and at the top of the file, one by one."""

import pytest
from sound_project import told_once

CASES = [
    # old line, new line, the whole problem as a person reads it
    (
        "clearances = [0.2, 0.3]",
        "clearances = []",
        "line 35: test_pieces.clearances: expected a list with at least one",
    ),
    (
        "clearances = [0.2, 0.3]",
        "clearances = [0.2, 0.2]",
        "line 35: test_pieces.clearances[2]: found 0.2 mm twice",
    ),
    (
        "clearances = [0.2, 0.3]",
        "clearances = [\n0.2,\n-1]",
        "line 37: test_pieces.clearances[2]: found -1.0 mm",
    ),
    ("clearances = [0.2, 0.3]", "thickness = 0", "line 35: test_pieces.thickness: found 0.0 mm"),
    (
        "bed = [220, 220, 250]",
        "bed = [220, 0, 250]",
        "line 37: printer.bed[2]: found 0.0 mm, allowed is 0.01 mm to 2000.0 mm",
    ),
    ("bed = [220, 220, 250]", "line_width = 0", "line 37: printer.line_width: found 0.0 mm"),
    (
        "bed = [220, 220, 250]",
        "line_width = 1e-9",
        "line 37: printer.line_width: found 1e-09 mm, allowed is 0.01 mm to",
    ),
    ("bed = [220, 220, 250]", "layer_height = 1e-9", "line 37: printer.layer_height: found 1e-09 mm"),
    ("bed = [220, 220, 250]", "layer_height = 9", "line 37: printer.layer_height: found 9.0 mm"),
    ("bed = [220, 220, 250]", 'material = ""', "line 37: printer.material: expected the name of a material"),
    ("bed = [220, 220, 250]", "inside_error = 3", "line 37: printer.inside_error: found 3.0 mm"),
    (
        "[test_pieces]",
        '[[view]]\noutline = "a.svg"\n[test_pieces]',
        "line 34: view[1].from: missing; the side it is seen from: front, back, left or right",
    ),
    (
        "[test_pieces]",
        '[[view]]\nfrom = "top"\noutline = "a.svg"\n[test_pieces]',
        "line 35: view[1].from: 'top' is not allowed; use front, back",
    ),
    (
        "[test_pieces]",
        '[[view]]\nfrom = "front"\n[test_pieces]',
        'line 34: view[1]: no outline found; give outline = "FILE" or a table [view.picture]',
    ),
    (
        "[test_pieces]",
        '[[view]]\nfrom = "front"\nmeasured = {}\noutline = "a.svg"\n[test_pieces]',
        "line 36: view[1].measured: unknown key; it belongs in [section]",
    ),
    (
        "[test_pieces]",
        '[[view]]\nfrom = "front"\noutline = "a.svg"\ntop = 5\nbottom = 5\n[test_pieces]',
        "line 37: view[1].top: 5.0 mm is not above the bottom (5.0 mm); both are heights",
    ),
    (
        "[test_pieces]",
        '[[view]]\nfrom = "front"\noutline = "a.svg"\nbottom = "low"\n[test_pieces]',
        "line 37: view[1].bottom: expected a length in mm, not the text 'low'",
    ),
    (
        "[test_pieces]",
        '[[view]]\nfrom = "front"\npicture = { file = "a.png", shape = "cut_out" }\n[test_pieces]',
        "line 36: view[1].picture.shape: found cut_out in a view; a view is a closed outline",
    ),
    (
        "[test_pieces]",
        '[[view]]\nfrom = "front"\npicture = { file = "a.png", distance = 400, from = "left" }\n[test_pieces]',
        "line 36: view[1].picture.from: expected a list of 2",
    ),
    (
        "clearances = [0.2, 0.3]",
        "heights = [12, 300]",
        "line 35: test_pieces.heights: a piece at 300.0 mm lies above the highest section (30.0 mm)",
    ),
    ("[test_pieces]", "[view]\n[test_pieces]", "line 34: view: expected tables [[view]], not a table"),
    ("[test_pieces]", "[test_piece]", "line 34: test_piece: unknown table or key; did you mean test_pieces?"),
    (
        "[test_pieces]",
        '["test_pie ces"]',
        'line 34: "test_pie ces": unknown table or key; did you mean test_pieces?',
    ),
    (
        "[test_pieces]",
        "[[test_pieces]]",
        "line 34: test_pieces: expected one table, not a list of tables; write [test_pieces] once",
    ),
    ("[object]", "[object]\nweight = 3", "line 2: object.weight: unknown key; did you mean mass?"),
    (
        "[printer]",
        "[printer]\nlayer = 0.2",
        "line 37: printer.layer: unknown key; did you mean layer_height?",
    ),
    ("[object]", "wall = 3\n[object]", "line 1: wall: unknown table or key; it belongs in [block]"),
    ("[object]", "side = 3\n[object]", "line 1: side: expected one table, not 3"),
]


@pytest.mark.parametrize(("old", "new", "expected"), CASES, ids=[f"{i}" for i in range(len(CASES))])
def test_one_mistake_is_told_once_with_its_line(old, new, expected):
    told_once(old, new, expected)
