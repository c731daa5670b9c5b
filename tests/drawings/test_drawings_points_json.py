"""Points from JSON."""

import json

import numpy as np
import pytest

from cradle.drawings.points_json import read_points_json
from cradle.errors import CaptureError

SQUARE = [[0, 0], [40, 0], [40, 30], [0, 30]]


def read(tmp_path, content, **more):
    file = tmp_path / "a.json"
    file.write_text(content if isinstance(content, str) else json.dumps(content), encoding="utf-8")
    return read_points_json(file, where="section[1]", **more)


@pytest.mark.parametrize(
    ("content", "factor"),
    [
        (SQUARE, 1.0),
        ({"points": SQUARE}, 1.0),
        ({"points": SQUARE, "unit": "cm"}, 10.0),
        ({"points": SQUARE, "unit": "in", "closed": True}, 25.4),  # exactly, NIST SP 811
        ([{"x": x, "y": y} for x, y in SQUARE], 1.0),
        ({"points": [{"y": y, "x": x} for x, y in SQUARE], "unit": "cm"}, 10.0),
        ([[x, y, 12.5] for x, y in SQUARE], 1.0),
        ({"points": [{"x": x, "y": y, "z": -3} for x, y in SQUARE]}, 1.0),
    ],
)
def test_points_are_read_in_their_unit(tmp_path, content, factor):
    drawing = read(tmp_path, content)
    (curve,) = drawing.curves
    found = np.asarray(curve.points_mm)
    assert drawing.findings == ()
    assert found.shape == (4, 2)
    assert found == pytest.approx(np.array(SQUARE) * factor)


def test_a_stated_unit_of_the_project_counts(tmp_path):
    (curve,) = read(tmp_path, SQUARE, unit="cm").curves
    assert np.ptp(curve.points_mm, axis=0) == pytest.approx([400, 300])


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("[[0, 0],\n[1 0]]", 'line 2, column 4: "0]]" is not understood here; this is not JSON'),
        ("[[0, 0],\n[1, 0]", "line 2, column 7: the file ends too soon"),
        ("{\n\n]", "line 3"),
        ("[[0, 0]]\n[1, 0]", 'line 2, column 1: "[1, 0]" is not understood here'),
        ('[[0, 0], "a\x01b"]', 'line 1, column 12: "\ufffdb"]" is not understood here'),
        ("[" * 100_000, "brackets too deep"),
        ("[[" + "9" * 5000 + ", 0]]", "number too long"),
        ({"point": SQUARE}, 'did you mean "points"?'),
        ({"colour": 1}, "known are unit, closed, points"),
        ({"units": "mm", "points": SQUARE}, 'the key "units" is not known; did you mean "unit"'),
        ({"points": SQUARE, "unit": 3}, "unit: expected text"),
        ({"points": SQUARE, "unit": "parsec"}, 'the unit "parsec" is not known'),
        ({"points": SQUARE, "closed": "yes"}, "expected true or false"),
        ({"unit": "mm"}, "expected a list of points"),
        *((raw, "expected a list of points") for raw in ("7", '"x"', "null")),
        ([], "the list of points is empty"),
        ([[0, 0], [1, 2, 3]], "points[1]: expected a pair"),
        ([[0], [1, 2]], "points[0]: expected a pair of numbers or x and y, not a list of 1"),
        ([{"a": 0, "b": 1}], "points[0]: expected a pair of numbers or x and y, not an object with a, b"),
        ([{"x": 0, "y": 1}, [1, 2]], "points[1]: expected x and y as in points[0], not a list of 2"),
        ([[0, 0], {"x": 0}], "points[1]: expected a pair of numbers as in points[0], not an object with x"),
        ([{"x": 0, "y": 1}, {"x": 0, "y": None}], "points[1]: expected a finite number, not None"),
        ([[0, 0, 5], [1, 2, 5], [2, 2, 9]], "points[2]: the third number is 9, in points[0] it is 5"),
        (
            [{"x": x, "y": 1, "z": x} for x in (0, 1)],
            "points[1]: the third number is 1, in points[0] it is 0",
        ),
        ([[0, 0], [True, 2]], "points[1]: expected a finite number, not True"),
        ("[[0, 0], [1e999, 2]]", "points[1]: expected a finite number, not inf"),
        ("[[0, 0], [1, NaN]]", "points[1]: expected a finite number"),
        (f"[[0, 0], [1, 1{'0' * 400}]]", "points[1]: expected a finite number"),
        ([[0, 0], ["a" * 99, 2]], "not " + "a" * 30),
    ],
)
def test_what_cannot_be_read_is_told_with_its_place(tmp_path, content, words):
    with pytest.raises(CaptureError) as caught:
        read(tmp_path, content)
    assert words in str(caught.value)
    assert caught.value.hint
    assert str(caught.value).startswith("section[1]")
    assert len(str(caught.value)) < 200


def test_of_a_long_unit_the_beginning_is_told(tmp_path):
    with pytest.raises(CaptureError, match=r'the unit "m{20}" is not known'):
        read(tmp_path, {"points": SQUARE, "unit": "m" * 1000})
