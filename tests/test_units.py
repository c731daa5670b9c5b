"""Lengths and angles in text."""

import pytest

from cradle.errors import UnitError
from cradle.units import exact_mm, parse_angle_deg, parse_length_mm


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("12.5", 12.5),
        (" 12.5 mm ", 12.5),
        ("1.25e1mm", 12.5),
        ("-3 cm", -30.0),
        ("1 m", 1000.0),
        # NIST Special Publication 811, appendix B.8: 1 in = 25.4 mm, 1 ft = 304.8 mm, exactly
        ("1 in", 25.4),
        ('1"', 25.4),
        ("1 ft", 304.8),
        ("1/2 in", 12.7),
        ("1 3/8 in", 34.925),
        ("1-3/8 in", 34.925),
        ("1⅜ in", 34.925),
        ("1 ⅜in", 34.925),
        ("½", 0.5),
        ('2¾"', 69.85),
        # CSS Values and Units Level 3, 5.2: 1 pt = 1/72 in, 1 pc = 1/6 in, 1 px = 1/96 in
        ("72 pt", 25.4),
        ("6 pc", 25.4),
        ("96 px", 25.4),
    ],
)
def test_a_length_is_read_in_its_unit(text, mm):
    assert parse_length_mm(text) == pytest.approx(mm, rel=1e-15)


@pytest.mark.parametrize(
    "text", ["", "mm", "1,5", "1 yd", "1/0 in", "1 1.5/2", "1e999", "nan", "two", "1 2 mm", "1/½", "½½"]
)
def test_what_is_no_length_is_refused_with_what_to_write(text):
    with pytest.raises(UnitError) as caught:
        parse_length_mm(text)
    assert "expected a" in str(caught.value)


@pytest.mark.parametrize(("text", "deg"), [("3", 3.0), ("3°", 3.0), ("-2.5 deg", -2.5), (" 90 ° ", 90.0)])
def test_an_angle_is_in_degrees(text, deg):
    assert parse_angle_deg(text) == deg
    for wrong in ("3 rad", "", "1e999", "°"):
        with pytest.raises(UnitError):
            parse_angle_deg(wrong)


def test_a_length_is_written_with_all_its_decimals():
    assert [exact_mm(v) for v in (0.3, 0.125, 1e-9, -2.5, 0.1 + 0.2)] == [
        "0.30",
        "0.125",
        "0.000000001",
        "-2.50",
        "0.30",
    ]
    assert exact_mm(12.0, decimals=0) == "12"
    assert exact_mm(12.5, decimals=0) == "12.5"
