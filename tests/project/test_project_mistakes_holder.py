"""Mistakes in what is said of fit, block and wall plate, one by one."""

import pytest
from sound_project import told_once

CASES = [
    # old line, new line, the whole problem as a person reads it
    ("clearance = 0.35", "clearence = 0.35", "line 21: fit.clearence: unknown key; did you mean clearance?"),
    ("clearance = 0.35", "gap = 0.35", "line 21: fit.gap: unknown key; did you mean clearance?"),
    (
        "clearance = 0.35",
        "clearance = -0.1",
        "line 21: fit.clearance: found -0.1 mm, allowed is 0.0 mm to 10.0 mm",
    ),
    (
        "clearance = 0.35",
        "clearance = 35",
        "line 21: fit.clearance: found 35.0 mm, allowed is 0.0 mm to 10.0 mm",
    ),
    (
        "clearance = 0.35",
        'clearance = "atuo"',
        "line 21: fit.clearance: expected a length in mm, not the text",
    ),
    ("clearance = 0.35", "between = -1", "line 21: fit.between: found -1.0 mm"),
    ("clearance = 0.35", "wall = 3", "line 21: fit.wall: unknown key; it belongs in [block]"),
    (
        "lift_out = [0, 0, 1]",
        "lift_out = [0, 0, 0]",
        "line 22: fit.lift_out: [0, 0, 0] is not a direction",
    ),
    (
        "lift_out = [0, 0, 1]",
        "lift_out = [0, 0, -1]",
        "line 22: fit.lift_out: found 180.0° from straight up",
    ),
    (
        "lift_out = [0, 0, 1]",
        "lift_out = [0, 0.6, 1]",
        "line 22: fit.lift_out: found 31.0° from straight up, a",
    ),
    (
        "lift_out = [0, 0, 1]",
        'lift_out = "up"',
        "line 22: fit.lift_out: expected a list of 3: [x, y, z], not th",
    ),
    (
        "lift_out = [0, 0, 1]",
        "lift_out = [0, false, 1]",
        "line 22: fit.lift_out[2]: expected a number, not false",
    ),
    (
        "wall = 3.0",
        "wall = 0",
        "line 24: block.wall: found 0.0 mm, allowed is 0.01 mm to 200.0 mm",
    ),
    ("wall = 3.0", "floor = -1", "line 24: block.floor: found -1.0 mm, allowed is 0.01 mm to"),
    ("wall = 3.0", "lean = 61", "line 24: block.lean: found 61.0°, allowed is -60.0° to 60.0°"),
    (
        "wall = 3.0",
        'lean = "3 rad"',
        "line 24: block.lean: expected an angle in degrees, not the text '3 rad'",
    ),
    ("wall = 3.0", "flare = -1", "line 24: block.flare: found -1.0 mm"),
    (
        "wall = 3.0",
        'form = "hug"\ncorner_form = "cut"',
        'line 25: block.corner_form: found "cut" on the form hug; only form = "box" has corners to cut',
    ),
    (
        "height = 25",
        "height = 25\n[plate]\nscrew = 'M4'",
        "line 26: plate.width: missing; how wide the wall plate is, in mm",
    ),
    (
        "height = 25",
        'height = 25\n[plate]\nwidth = 90\nscrew = "M7"',
        "line 28: plate.screw: 'M7' is not allowed; use M2.5, M3, M3.5, M4, M5, M6 or M8",
    ),
    (
        "height = 25",
        'height = 25\n[plate]\nwidth = 90\nhole = "plain"',
        'line 26: plate.screw: missing; give the size of the screw, screw = "M4", or its own diameter in mm',
    ),
    (
        "height = 25",
        "height = 25\n[plate]\nwidth = 90",
        'line 26: plate.screw: missing; give the size of the screw, screw = "M4", or its own diameter and head in mm',
    ),
    (
        "height = 25",
        "height = 25\n[plate]\nwidth = 90\ndiameter = 4.5",
        'line 26: plate.head: missing; give the size of the screw, screw = "M4", or its own head in mm',
    ),
    (
        "height = 25",
        "height = 25\n[plate]\nwidth = 90\ndiameter = 4\nhead = 4",
        "line 29: plate.head: found 4.0 mm, allowed is more than the diameter, 4.0 mm",
    ),
    (
        "height = 25",
        'height = 25\n[plate]\nwidth = 90\nscrew = "M4"\ncorner = 50',
        "line 29: plate.corner: found 50.0 mm, allowed is at most 45.0 mm",
    ),
    (
        "height = 25",
        'height = 25\nform = "oval"\n[plate]\nwidth = 90\nscrew = "M4"',
        'line 26: block.form: found oval beside a table [plate]; a wall plate needs a flat back: use form = "box"',
    ),
    (
        "height = 25",
        'height = 25\nflare = "auto"\n[plate]\nwidth = 90\nscrew = "M4"',
        "line 26: block.flare: found auto beside a table [plate]; a wall plate needs an upright back",
    ),
    ("wall = 3.0", "corner = -1", "line 24: block.corner: found -1.0 mm"),
    ("wall = 3.0", "chamfer = -1", "line 24: block.chamfer: found -1.0 mm"),
    ("wall = 3.0", "lead_in = -1", "line 24: block.lead_in: found -1.0 mm"),
    (
        "wall = 3.0",
        'form = "round"',
        "line 24: block.form: 'round' is not allowed; did you mean oval? use box, oval or hug",
    ),
    ("height = 25", "height = 0", "line 25: block.height: found 0.0 mm, allowed is 0.01 mm to"),
    (
        "height = 25",
        "height = 4",
        "line 25: block.height: the block ends at 4.0 mm, not above the lowest section (4.0 mm)",
    ),
]


@pytest.mark.parametrize(("old", "new", "expected"), CASES, ids=[f"{i}" for i in range(len(CASES))])
def test_one_mistake_is_told_once_with_its_line(old, new, expected):
    told_once(old, new, expected)
