"""Converters: one TOML value to one value of a spec, or a `MistakeError` that says what is allowed.

Each function here returns a converter, a function of one value, so that the
specs read as "key: what it takes". Lengths come back in mm,
angles in degrees. A bool is never a number, and nothing is ever NaN or infinite.
"""

from __future__ import annotations

import datetime
import math
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import PurePosixPath
from typing import Any, Final, Literal, TypeAlias

from cradle.errors import UnitError
from cradle.names import listed
from cradle.noun import record
from cradle.project.mistake import Mistake, MistakeError, amount, shown, wrong
from cradle.project.other_words import likely_meant
from cradle.units import G_PER, MM_PER, parse_angle_deg, parse_length_mm, parse_mass_g, spelt_out

Convert: TypeAlias = Callable[[object], Any]
AUTO: Literal["auto"] = "auto"
"""Marks a value that the program is asked to choose."""
Auto: TypeAlias = Literal["auto"]
Pair: TypeAlias = tuple[float, float]
Triple: TypeAlias = tuple[float, float, float]

LARGEST_MM: Final = 2000.0
"""No length in a project is larger: beyond it a slip of units is certain."""
LEAST_SIZE_MM: Final = 0.01
"""No size is smaller: calipers read no finer, and nothing is printed finer."""
_LONGEST_TEXT: Final = 255
"""Letters of a name or a label: as many as a layer of a DXF file may have in its name."""
_LONGEST_PATH: Final = 1000
MOST_ITEMS: Final = 24
"""Of a list."""
_HEAVIEST_G: Final = 1e5
SLASHES: Final = "write paths with / in place of \\, or put the text in single quotes"
_COMMA: Final = re.compile(r"(?<=\d),(?=\d)")
_ONE_NUMBER: Final = re.compile(
    r"\D*?(?P<number>(?:\d+[ -])?\d+/[1-9]\d*|[+-]?\d+(?:[.,]\d+)?)\s*(?P<words>\D*)"
)
_PERCENT: Final = re.compile(r"\s*(?P<number>\d+(?:\.\d+)?)\s*%\s*")
_PER_SIDE: Final = re.compile(r"[\W\s]*(?:(?:per|each|on|every|a)\b.*)?\bsides?\W*", re.IGNORECASE)
_ACROSS: Final = re.compile(r"dia|rad|Ø|⌀", re.IGNORECASE)
"""Words for a length other than the one that is asked for, perhaps."""
_CONTROL: Final = {"Cc", "Cs", "Zl", "Zp"}
"""Unicode categories; Cs stands for bytes of a command line that are no letters."""
_REORDERS: Final = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}
"""Invisible letters that turn round what stands after them, wherever the text is told (Unicode annex 9, section 2)."""


@record
class _Range:
    """What a number may be, in a unit: from ``least`` on, or above something, up to ``most``."""

    unit: str
    most: float
    least: float | None = None
    above: float | None = None

    @property
    def floor(self) -> float:
        """The least number that is allowed; without ``least`` as far below 0 as ``most`` is above."""
        return -self.most if self.least is None else self.least

    def __str__(self) -> str:
        most = amount(self.most, self.unit)
        if self.above is not None:
            return f"above {amount(self.above, self.unit)}, at most {most}"
        return f"{amount(self.floor, self.unit)} to {most}"

    def __contains__(self, number: float) -> bool:
        return (number >= self.floor if self.above is None else number > self.above) and number <= self.most


def _number(
    expected: str,
    allowed: _Range,
    *,
    hint: str,
    parse: Callable[[str], float] | None,
    units: Iterable[str] = (),
) -> Convert:
    def convert(value: object) -> float:
        unlike = f"expected {expected}, not {shown(value)}"
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise wrong(unlike, hint=hint)
        if isinstance(value, str) and parse is None:
            raise wrong(unlike, hint=_share_meant(value, allowed) or "write the number without quotes")
        try:
            number = parse(value) if isinstance(value, str) and parse is not None else float(value)
        except UnitError as error:
            raise wrong(unlike, hint=_meant(str(value), units) or error.hint or hint) from error
        except (ValueError, OverflowError) as error:
            raise wrong(unlike, hint=hint) from error
        if not math.isfinite(number):
            raise wrong(unlike, hint="give a finite number")
        if number not in allowed:
            raise wrong(f"found {amount(number, allowed.unit)}, allowed is {allowed}", hint=hint)
        return number + 0.0  # no negative zero

    return convert


def _meant(text: str, units: Iterable[str]) -> str:
    """How to write the number that a text holds, with one of these units and a decimal point; empty where it cannot be told."""
    comma = _COMMA.search(text) is not None
    first = "write decimals with a point, such as " if comma else ""
    found = _ONE_NUMBER.fullmatch(spelt_out(text))
    if found is None or _ACROSS.search(text):
        return f"{first}58.5" if comma else ""
    number, words = found["number"].replace(",", "."), found["words"].strip()
    unit = likely_meant(words, tuple(units)) if words else ""
    if unit:
        return (first or "write the number and its unit alone, such as ") + f'"{number} {unit}"'
    if words and not _PER_SIDE.fullmatch(words):
        return f"{first}58.5" if comma else ""
    return (first or "write the number alone, such as ") + number


def _share_meant(text: str, allowed: _Range) -> str:
    """How to write a share that a text tells in percent; empty where it is none that is allowed."""
    found = _PERCENT.fullmatch(text)
    share = float(found["number"]) / 100 if found else math.nan
    return (
        f"write it as a part of 1, without quotes: {share:g}" if share in allowed and not allowed.unit else ""
    )


def length(
    *, above: float | None = None, least: float | None = None, most: float = LARGEST_MM, hint: str = ""
) -> Convert:
    """The converter to mm: a number, or a text with a unit such as ``"1/2 in"``."""
    allowed = _Range(unit="mm", above=above, least=least, most=most)
    return _number("a length in mm", allowed, hint=hint, parse=parse_length_mm, units=MM_PER)


def mass() -> Convert:
    """The converter to g of what weighs more than nothing: a number, or a text with a unit such as ``"0.31 kg"``."""
    allowed = _Range(unit="g", above=0.0, most=_HEAVIEST_G)
    return _number("a mass in g", allowed, hint="", parse=parse_mass_g, units=G_PER)


def angle(*, most: float, hint: str = "") -> Convert:
    """The converter to degrees between ``-most`` and ``most``."""
    allowed = _Range(unit="deg", most=most)
    return _number("an angle in degrees", allowed, hint=hint, parse=parse_angle_deg, units=("deg",))


def number(
    expected: str,
    *,
    unit: str = "",
    above: float | None = None,
    least: float | None = None,
    most: float,
    hint: str = "",
) -> Convert:
    """The converter of plain numbers."""
    allowed = _Range(unit=unit, above=above, least=least, most=most)
    return _number(expected, allowed, hint=hint, parse=None)


def whole_number(expected: str, *, most: int) -> Convert:
    """The converter of whole numbers from 1."""

    def convert(value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int):
            raise wrong(f"expected {expected}, not {shown(value)}")
        if not 1 <= value <= most:
            raise wrong(f"found {shown(value)}, allowed is 1 to {most}")
        return value

    return convert


def text(expected: str, *, most: int = _LONGEST_TEXT) -> Convert:
    """The converter of one line of text that is not blank, of so many letters at most."""

    def convert(value: object) -> str:
        if not isinstance(value, str):
            raise wrong(f"expected {expected}, not {shown(value)}", hint="put it in quotes")
        if not value.strip():
            raise wrong(f"expected {expected}, not an empty text", hint="write one, or leave it out")
        if any(map(_controls, value)):
            raise wrong(
                f"expected {expected} in one line, not {shown(value)}", hint="leave out control characters"
            )
        if len(value) > most:
            found = f"found {shown(value)} of {len(value)} letters, allowed are at most {most}"
            raise wrong(found, hint="make it shorter")
        return value

    return convert


def _controls(letter: str) -> bool:
    return unicodedata.category(letter) in _CONTROL or unicodedata.bidirectional(letter) in _REORDERS


_AS_PATH: Final = text("the path of a file", most=_LONGEST_PATH)


@dataclass(frozen=True, slots=True)
class FilePath:
    """A converter of a file's path with one of ``endings``; the file is not looked for.

    ``elsewhere`` says of other endings where such a file belongs, ``{}`` standing for it.
    """

    endings: Sequence[str]
    elsewhere: Mapping[str, str] = field(default_factory=dict)

    def __call__(self, value: object) -> str:
        """The path, as it is."""
        if isinstance(value, str) and any(map(_controls, value)):
            raise wrong(f"expected the path of a file, not {shown(value)}", hint=SLASHES)
        path = str(_AS_PATH(value))
        ending = PurePosixPath(path.replace("\\", "/")).suffix
        if ending.lower() not in self.endings:
            what = f"a file ending in {ending!r}" if ending else "a file without an ending"
            belongs = self.elsewhere.get(ending.lower(), "")
            hint = belongs.replace("{}", path) or f"use a file ending in {listed(self.endings, 'or')}"
            raise wrong(f"found {what} ({path[:60]!r})", hint=hint)
        return path


@dataclass(frozen=True, slots=True)
class Choice:
    """A converter of one word out of a few: to the member of an enum, or to the word.

    ``options`` are words, or an enum of them; ``hint`` is what to do where none of them will do.
    """

    options: Iterable[str]
    hint: str = ""

    @property
    def words(self) -> tuple[str, ...]:
        """The words it takes."""
        return tuple(str(option) for option in self.options)

    def __call__(self, value: object) -> str:
        """The option that a word names."""
        for option in self.options:
            if isinstance(value, str) and value == str(option):
                return option
        near = likely_meant(value, self.words) if isinstance(value, str) else ""
        meant = f"did you mean {near}? " if near and len(self.words) > 1 else ""
        word = repr(value[:40]) if isinstance(value, str) else shown(value)
        raise wrong(
            f"{word} is not allowed",
            hint=f"{meant}use {listed(self.words, 'or')}{'; ' if self.hint else ''}{self.hint}",
        )


def yes_or_no(value: object) -> bool:
    """A true or false as it is."""
    if not isinstance(value, bool):
        raise wrong(f"expected true or false, not {shown(value)}", hint="write it without quotes")
    return value


def day(value: object) -> datetime.date:
    """A date as it is."""
    if not isinstance(value, datetime.date) or isinstance(value, datetime.datetime):
        raise wrong(f"expected a date such as 2026-05-17, not {shown(value)}")
    return value


def or_word(word: str, convert: Convert) -> Convert:
    """The converter that takes one word as well."""

    def convert_or_word(value: object) -> Any:
        if value == word:
            return word
        try:
            return convert(value)
        except MistakeError as error:
            first, *rest = error.mistakes
            if isinstance(value, str) and likely_meant(value, (word,)):
                raise wrong(first.found, hint=f'did you mean "{word}"?') from error
            hint = f'{first.hint}; "{word}" is allowed too' if first.hint else f'"{word}" is allowed too'
            raise MistakeError(Mistake(found=first.found, hint=hint, at=first.at), *rest) from error

    return convert_or_word


def or_auto(convert: Convert) -> Convert:
    """The converter that takes ``"auto"`` as well."""
    return or_word(AUTO, convert)


def list_of(
    item: Convert, *, names: str = "", hint: str = "", least: int = 1, most: int = MOST_ITEMS
) -> Convert:
    """The converter of a list, to a tuple.

    Parameters
    ----------
    item : Convert
        Takes each item; the mistakes of all items are collected.
    names : str
        One word per item, ``"x y z"``, where their number is fixed.
    least : int
        The fewest items otherwise, 0 or 1.
    most : int
        And the most.
    """
    words = names.split()
    some = "a list with at least one item" if least else "a list"
    expected = f"a list of {len(words)}: [{', '.join(words)}]" if words else some

    def convert(value: object) -> tuple[Any, ...]:
        if not isinstance(value, list) or len(value) < least or (words and len(value) != len(words)):
            what = hint or ("" if isinstance(value, list) else "write it in brackets: [ ... ]")
            raise wrong(f"expected {expected}, not {shown(value)}", hint=what)
        if not words and len(value) > most:
            raise wrong(f"found {shown(value)}, allowed are at most {most}", hint="leave some out")
        items = []
        mistakes: list[Mistake] = []
        for index, entry in enumerate(value):
            try:
                items.append(item(entry))
            except MistakeError as error:
                mistakes += [Mistake(found=m.found, hint=m.hint, at=(index, *m.at)) for m in error.mistakes]
        if mistakes:
            raise MistakeError(*mistakes)
        return tuple(items)

    return convert
