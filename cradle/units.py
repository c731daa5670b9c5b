"""Lengths, angles and masses: text to float mm, degrees or g, and back. An inch is 25.4 mm exactly."""

from __future__ import annotations

import math
import re
import unicodedata
from typing import Final

from cradle.errors import UnitError

MM_PER_INCH: Final = 25.4
"""Exact since the international yard and pound agreement of 1959 (NIST SP 811)."""

MM_PER: Final[dict[str, float]] = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "um": 1e-3,
    "µm": 1e-3,
    "in": MM_PER_INCH,
    '"': MM_PER_INCH,
    "ft": 12 * MM_PER_INCH,
    "pt": MM_PER_INCH / 72,
    "pc": MM_PER_INCH / 6,
    "px": MM_PER_INCH / 96,  # the CSS reference pixel, CSS Values and Units Level 3, section 5.2
}
"""Millimetres per unit."""

MISTAKEN_FOR_MM: Final = (("cm", 10.0), ("inches", MM_PER_INCH))
"""What lengths that should be in mm are written in by mistake, in words, and millimetres per unit."""

G_PER: Final[dict[str, float]] = {
    "g": 1.0,
    "kg": 1000.0,
    "oz": 28.349523125,  # a sixteenth of a pound
    "lb": 453.59237,  # exact: yard and pound agreement of 1959, NIST SP 811
}
"""Grams per unit."""

PAPER_MM: Final[dict[str, tuple[float, float]]] = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height of paper: ISO 216:2007 A4; ANSI/ASME Y14.1 size A (Letter), 8.5 × 11 in."""

_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_VULGAR = re.compile(r"(\d?)\s*([¼-¾⅐-⅞])")
"""Fractions of one letter, such as ⅜, and the last digit of a whole number before one."""
_LENGTH = re.compile(
    r"^\s*(?:(?P<whole>\d+)(?:\s+|-)(?=\d+\s*/))?"  # a whole number goes before a plain fraction only
    rf'(?P<number>{_NUMBER})(?:\s*/\s*(?P<below>\d+))?\s*(?P<unit>[a-zµ"]*)\s*$'
)
_MASS = re.compile(rf"^\s*(?P<number>{_NUMBER})\s*(?P<unit>[a-z]*)\s*$")
_ANGLE = re.compile(rf"^\s*(?P<number>{_NUMBER})\s*(?:°|deg)?\s*$")


def parse_length_mm(text: str) -> float:
    """The length that ``text`` states, in mm.

    Parameters
    ----------
    text : str
        Such as ``"12.5"``, ``"12.5 mm"``, ``"1/2 in"`` or ``"1 3/8 in"``, also written 1-3/8 or 1⅜.

    Raises
    ------
    UnitError
        If the text is no length.

    Examples
    --------
    >>> parse_length_mm("1/2 in")
    12.7
    """
    match = _LENGTH.match(spelt_out(text))
    unit = (match["unit"] or "mm") if match else ""
    if match is None or unit not in MM_PER:
        raise UnitError(
            f"expected a length, not {text!r}",
            hint="write a number with mm, cm, m, in or ft, such as 12.5 mm",
        )
    value = float(match["number"])
    if match["below"]:
        if int(match["below"]) == 0:
            raise UnitError(f"expected a length, not {text!r}", hint="a fraction needs a divisor above 0")
        value = value / int(match["below"]) + int(match["whole"] or 0)
    if not math.isfinite(value):
        raise UnitError(f"expected a finite length, not {text!r}")
    return value * MM_PER[unit]


def unit_stated(text: str) -> str:
    """The unit that a length states, as `MM_PER` has it; empty without one, or where the text is no length.

    Examples
    --------
    >>> unit_stated("1 3/8 in"), unit_stated("12.5")
    ('in', '')
    """
    match = _LENGTH.match(spelt_out(text))
    return match["unit"] if match and match["unit"] in MM_PER else ""


def spelt_out(text: str) -> str:
    """The text with fractions of one letter, such as ⅜, as digits.

    Examples
    --------
    >>> spelt_out("1⅜ in")
    '1 3/8 in'
    """
    return _VULGAR.sub(
        lambda found: (
            (found[1] and f"{found[1]} ") + unicodedata.normalize("NFKC", found[2]).replace("\u2044", "/")
        ),
        text,
    )


def parse_angle_deg(text: str) -> float:
    """The angle that ``text`` states (``"3"``, ``"3°"``, ``"3 deg"``), in degrees.

    Raises
    ------
    UnitError
        If the text is no angle.
    """
    match = _ANGLE.match(text)
    if match is None or not math.isfinite(float(match["number"])):
        raise UnitError(f"expected an angle in degrees, not {text!r}", hint="write a number, such as 3 deg")
    return float(match["number"])


def parse_mass_g(text: str) -> float:
    """The mass that ``text`` states (``"310"``, ``"310 g"``, ``"0.31 kg"``), in g.

    Raises
    ------
    UnitError
        If the text is no mass.

    Examples
    --------
    >>> parse_mass_g("0.5 kg")
    500.0
    """
    match = _MASS.match(text)
    unit = (match["unit"] or "g") if match else ""
    if match is None or unit not in G_PER or not math.isfinite(float(match["number"])):
        raise UnitError(
            f"expected a mass, not {text!r}", hint="write a number with g, kg, oz or lb, such as 310 g"
        )
    return float(match["number"]) * G_PER[unit]


def exact_mm(value_mm: float, *, decimals: int = 2) -> str:
    """A length as text with so many decimals, and as many more as it has, down to 1e-9 mm.

    Examples
    --------
    >>> exact_mm(0.3), exact_mm(0.125), exact_mm(12.0, decimals=0), exact_mm(-1e-12)
    ('0.30', '0.125', '12', '0.00')
    """
    whole, _, part = f"{value_mm:z.9f}".rstrip("0").partition(".")
    part = part.ljust(decimals, "0")
    return f"{whole}.{part}" if part else whole


def tenths_up(value_mm: float) -> str:
    """A length that must be reached, in mm rounded up to tenths: rounded to the nearest it might fall short.

    Examples
    --------
    >>> tenths_up(4.05), tenths_up(4.1), tenths_up(0.04)
    ('4.1', '4.1', '0.1')
    """
    return f"{math.ceil(10 * value_mm - 1e-6) / 10:.1f}"
