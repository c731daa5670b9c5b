"""Mistakes in openings, one by one."""

import pytest
from sound_project import told_once

CASES = [
    # old line, new line, the whole problem as a person reads it
    ('kind = "drain"', "", "line 26: opening[1].kind: missing; use drain, round, slot"),
    (
        'kind = "drain"',
        'kind = "drian"',
        "line 27: opening[1].kind: 'drian' is not allowed; did you mean drain? use drain, round",
    ),
    (
        'kind = "drain"',
        'kind = "drain"\nthrough = "back"',
        "line 28: opening[1].through: 'back' is not allowed; a drain goes through the fl",
    ),
    ("diameter = 6", "", "line 26: opening[1].diameter: missing; the opening drain needs its diameter in mm"),
    (
        "diameter = 6",
        "diameter = 6\nwidth = 3",
        "line 29: opening[1].width: the opening drain has no width; it takes diameter, through",
    ),
    (
        'kind = "drain"\ndiameter = 6',
        'kind = "label"\nthrough = "front"\ntext = "a"',
        "line 26: opening[1].height: missing; the opening label needs its height in mm",
    ),
    (
        'kind = "drain"\ndiameter = 6',
        'kind = "label"\nthrough = "front"\nheight = 6',
        "line 26: opening[1].text: missing; the opening label needs its text",
    ),
    (
        'kind = "drain"\ndiameter = 6',
        'kind = "keyhole"\nthrough = "floor"\nscrew = "M4"',
        "line 28: opening[1].through: 'floor' is not allowed; use front, back, left or right",
    ),
    (
        'kind = "drain"\ndiameter = 6',
        'kind = "countersunk"\ndiameter = 4',
        "line 26: opening[1].head: missing; give the size of the screw",
    ),
    (
        'kind = "drain"\ndiameter = 6',
        'kind = "drain"\ndiameter = 6\nhead = 5',
        "line 29: opening[1].head: the opening drain has no head; it takes diameter",
    ),
    (
        'kind = "drain"\ndiameter = 6',
        'kind = "screw"\nscrew = "M7"',
        "line 28: opening[1].screw: 'M7' is not allowed; use M2.5, M3, M3.5, M4, M5, M6 or M8",
    ),
    (
        'kind = "drain"\ndiameter = 6',
        'kind = "countersunk"\ndiameter = 6\nhead = 5',
        "line 29: opening[1].head: found 5.0 mm, allowed is more than the diameter, 6.0 mm",
    ),
    (
        'kind = "drain"\ndiameter = 6',
        'kind = "keyhole"\nthrough = "back"\nscrew = "M4"\ndiameter = 6\nhead = 5',  # they go before the M4's
        "line 31: opening[1].head: found 5.0 mm, allowed is more than the diameter, 6.0 mm",
    ),
    (
        'kind = "drain"\ndiameter = 6',
        'kind = "notch"\nthrough = "front"\nwidth = 6',
        "line 26: opening[1].depth: missing; how far the notch reaches below the rim",
    ),
    (
        'kind = "drain"\ndiameter = 6',
        'kind = "notch"\nthrough = "front"\nwidth = 6\ndepth = 9\nat = [0, 20]',
        "line 30: opening[1].depth: depth and at both say how deep the notch is; give either depth",
    ),
    (
        'kind = "drain"\ndiameter = 6',
        'kind = "window"\nthrough = "front"\nwidth = 6\nheight = 9\ncorner = 4',
        "line 31: opening[1].corner: found 4.0 mm, allowed is at most 3.0 mm",
    ),
    ("width = 8", "", "line 29: opening[2].width: missing; the opening slot needs its width in mm"),
    (
        "width = 8",
        "width = 21",
        "line 32: opening[2].width: found 21.0 mm, allowed is at most the length, 20.0 mm",
    ),
    ("width = 8", "width = 8\nat = [1, 2, 3]", "line 33: opening[2].at: expected a list of 2"),
    (
        "width = 8",
        "width = 8\nat = 3",
        "line 33: opening[2].at: expected a list of 2: [along, up], not 3; write it in brackets",
    ),
]


@pytest.mark.parametrize(("old", "new", "expected"), CASES, ids=[f"{i}" for i in range(len(CASES))])
def test_one_mistake_is_told_once_with_its_line(old, new, expected):
    told_once(old, new, expected)
