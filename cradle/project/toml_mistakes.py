"""Why a text is no TOML, in the words of somebody who writes a project file.

Slips of syntax as people make them are told by what stands about the place where the parser stopped.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final, NamedTuple

from cradle.errors import Problem
from cradle.project.convert import SLASHES

_PLACE: Final = re.compile(r"\s*\(at (?:line (?P<line>\d+), column (?P<column>\d+)|end of document)\)$")
_HEADER: Final = re.compile(r"\s*(?P<written>\[+\s*(?P<name>[\w.\-\"']+)\s*\]+)")
_OF_KEY: Final = re.compile(r"\s*(?P<name>[\w.\-\"']+)\s*=")
_NEAR: Final = 300
"""So much of a line before and behind a place is looked at."""
_SHOWN: Final = 40
"""No more of a line than this is said again."""
_AGAIN: Final = ("Cannot overwrite a value", "Cannot declare", "Cannot redefine")
"""How the parser's messages begin where something stands in the text twice."""
_REPEATED: Final = ("section", "view", "opening", "trial")
HERE: Final = "¦"
"""Stands in a line, and in the patterns, where the parser stopped."""


def toml_problem(message: str, *, text: str) -> Problem:
    """The mistake that a TOML parser's message tells of, with its place and what to do.

    Parameters
    ----------
    message : str
        As `tomllib` words it.
    text : str
        What was parsed.
    """
    place = _PLACE.search(message)
    if "integer string conversion" in message:
        return Problem(where="number", found="found a whole number with thousands of digits")
    lines = text.removesuffix("\n").split("\n")  # as the parser counts them
    line = int(place["line"]) if place and place["line"] else len(lines)
    column = int(place["column"]) if place and place["column"] else len(lines[-1]) + 1
    told = _twice(lines, line) if message.startswith(_AGAIN) else None
    found, hint = told or _slip(message, lines[line - 1] if line <= len(lines) else "", column=column)
    return Problem(where=f"column {column}", found=found, hint=hint, line=line)


def _slip(message: str, written: str, *, column: int) -> tuple[str, str]:
    """What was found and what to do about it, by the parser's message and the line that it names."""
    plain, here = written.removesuffix("\r").replace(HERE, "|"), column - 1
    marked = plain[max(here - _NEAR, 0) : here] + HERE + plain[here : here + _NEAR]
    for slip in SLIPS:
        match = re.search(slip.pattern, marked) if message.startswith(slip.message) else None
        if match is not None:
            it = match.groupdict().get("it", "").replace(HERE, "").strip(" \t") or " "
            shown = repr(it[:_SHOWN] + ("..." if len(it) > _SHOWN else "")).replace("\\\\", "\\")
            return slip.found.format(it=shown, code=f"U+{ord(it[0]):04X}"), slip.hint
    raise AssertionError("the last slip fits every line")


def _twice(lines: Sequence[str], line: int) -> tuple[str, str] | None:
    """What is defined a second time in a line, where it was first, and what to do; None where it stands in a table in braces."""
    header, key = _HEADER.match(lines[line - 1]), _OF_KEY.match(lines[line - 1])
    above = range(line - 1, 0, -1)
    if header is None:
        if key is None:
            return None
        own = next((n for n in above if _HEADER.match(lines[n - 1])), 0)
        first = next((n for n in above if n > own and _names(_OF_KEY, lines[n - 1], key["name"])), None)
        name = key["name"][:_SHOWN]
        found = f"found {name}, which has a value already" if first is None else f"found {name} again"
        return f"{found}{_since(first)}", "keep one of the two"
    name = header["name"]
    first = next((n for n in above if _names(_HEADER, lines[n - 1], name)), None)
    behind = name in _REPEATED and first is None
    written = header["written"][:_SHOWN]
    found = f"found {written} {'behind a table inside it' if behind else 'again'}{_since(first)}"
    if name in _REPEATED:
        return found, f"write [[{name}]] in double brackets each time, and the tables inside it below"
    if first is None and name.partition(".")[0] not in _REPEATED:
        return f"found {written}, but {name[:_SHOWN]} has a value already", "keep one of the two"
    return found, "put all its keys together: a table may appear only once"


def _names(what: re.Pattern[str], written: str, name: str) -> bool:
    match = what.match(written)
    return match is not None and match["name"] == name


def _since(first: int | None) -> str:
    return "" if first is None else f", as in line {first}"


class _Slip(NamedTuple):
    """A slip: how the parser's message may begin, what the line looks like, what was found, and what to do.

    ``found`` may show what the pattern names ``it``, or its ``code`` where it cannot be seen.
    """

    message: str | tuple[str, ...]
    pattern: str
    found: str
    hint: str


_STATEMENT: Final = "a line is a [table], a key = value, or a # comment"
_TEXT: Final = 'put text in straight quotes ("...")'
_UNIT: Final = "put a number with its unit in quotes, such as"
_NAME: Final = "close the table's name as it was opened: only [[section]], [[view]] and [[opening]] repeat, in double brackets"
_LIST: Final = "put a list in brackets, with commas between its values: [1, 2, 3]"
_COMMENT: Final = "begin a comment with #"
_POINT: Final = "write decimals with a point, such as 3.5, not with a comma"
_QUOTES: Final = "close the quotes in the line where they begin"
_TWICE: Final = "keep one of the two"
_KEY: Final = "a key is one word of the letters a to z, such as mass"
_AFTER, _VALUE, _EQUALS = "Expected newline", "Invalid value", "Expected '='"
_STRAY, _ARRAY, _BRACES = "Invalid statement", "Unclosed array", "Unclosed inline table"

SLIPS: Final = tuple(
    _Slip(*one)
    for one in (
        (
            "",
            r"\r",
            "found line ends of an old kind",
            "save the file again in a text editor, with the line ends of Linux or Windows",
        ),
        (_AFTER, r"\d ?¦[′″]", "found a unit behind a number without quotes", f'{_UNIT} "1/2 in" or "3 deg"'),
        ("", r"¦(?P<it>[“”„‟«»‹›‘’‚‛′″`´])", "found the quotation mark {it}", _TEXT),
        ("", r"¦(?P<it>[−‐‑‒–—])", "found the dash {it}", "write a minus as a plain hyphen, such as -3.5"),
        (
            "",
            r"¦(?P<it>[\u00a0\u00ad\u1680\u2000-\u200f\u2028-\u202f\u205f\u2060\u3000\ufeff])",
            "found a character that cannot be seen ({code})",
            "delete it, and type a plain space where one is wanted",
        ),
        (_AFTER, r"[=\[,]\s*[+-]?0¦\d", "found a number that begins with 0", "remove the leading zero"),
        (_AFTER, r"\d¦[,٫]\d", "found a comma in a number", _POINT),
        (_AFTER, r"¦\.(?!\d)", "found a point without a digit behind it", "write 3 or 3.0"),
        ((_AFTER, _STRAY), r"¦(?P<it>//|;|--|/\*)", "found {it}", _COMMENT),
        (_AFTER, r"\d ?¦'?\d{3}\b", "found a number in parts", "write it without gaps, such as 1500"),
        (
            _AFTER,
            r"¦[,;]?\s*[\w.-]+\s*=",
            "found a second key in a line",
            "put each key in a line of its own",
        ),
        (_AFTER, r"¦,", "found several values", _LIST),
        (
            _AFTER,
            r"[=\[,]\s*[+-]?[\d.]+\s*¦[^\W\d_]",
            "found a unit behind a number without quotes",
            f'{_UNIT} "30 mm"',
        ),
        (
            _AFTER,
            r"[=\[,]\s*[+-]?[\d.]+\s*¦[°\"'/]",
            "found a unit or a fraction without quotes",
            f'{_UNIT} "1/2 in" or "3 deg"',
        ),
        (
            _AFTER,
            r"\d\s+¦\d",
            "found a second number behind the first",
            f'{_UNIT} "1 1/2 in", and a list in brackets, such as [1, 2, 3]',
        ),
        (_AFTER, r"^\s*\[[^\]]*\]+¦\]", "found more brackets behind a table's name than before it", _NAME),
        (
            _AFTER,
            r"^\s*\[[^=]*¦(?P<it>.+)",
            "found {it} behind a table's name",
            f"a table's name has a line of its own; {_COMMENT}",
        ),
        (
            _AFTER,
            r"[\"']\s*¦(?P<it>.+)",
            "found {it} behind the end of a text",
            f"put a text that holds quotes in those of the other kind; {_COMMENT}",
        ),
        (_AFTER, r"¦(?P<it>.+)", "found {it} behind a value", f"a line holds one key = value; {_COMMENT}"),
        (
            _VALUE,
            r"¦\s*(#.*)?$",
            "found no value",
            "give one, or put a # in front of the key to leave it out",
        ),
        (_VALUE, r"¦=", "found = twice", "write key = value"),
        (_VALUE, r"¦[.,]\d", "found no digit before the point", "write one, such as 0.5"),
        (_VALUE, r"¦\(", "found a list in parentheses", _LIST),
        (
            _VALUE,
            r"¦(?P<it>(?i:true|false|yes|no|on|off))\b",
            "found {it}",
            "write true or false, in small letters",
        ),
        (
            _VALUE,
            r"¦(?P<it>[^\s\"']+[\"'])",
            "found {it}",
            f"begin the text with the quote that ends it: {_TEXT}",
        ),
        (_VALUE, r"¦(?P<it>\w[^#,\]}]*)", "found {it} without quotes", _TEXT),
        (
            _VALUE,
            r"¦(?P<it>.+)",
            "found {it} where a value is expected",
            f"{_TEXT}, write decimals with a point (3.5)",
        ),
        (
            _EQUALS,
            r"=\s*[+-]?\d+,\d+[\s¦]*[,}]",
            "found a comma in a number",
            _POINT,
        ),
        (_EQUALS, r"¦:", "found : behind a key", "write key = value"),
        (
            _EQUALS,
            r"^\s*(?P<it>[\w.-]+¦\]+)",
            "found {it}",
            "put a table's name in brackets, such as [block]",
        ),
        (_EQUALS, r"^\s*(?P<it>[^=#{]*¦[^=#{]+)=", "found the key {it}", _KEY),
        (_EQUALS, r"^\s*(?P<it>.*)", "found {it} without =", _STATEMENT),
        (_STRAY, r"¦=", "found no key before =", "write key = value"),
        (_STRAY, r"¦(?P<it>[^\W\d_].*?)\s*=", "found the key {it}", _KEY),
        (_STRAY, r"¦\{\\rtf", "found what a word processor writes", "save the file as plain text"),
        (_STRAY, r"¦(?P<it>.+)", "found {it} at the beginning of a line", _STATEMENT),
        ("Illegal character '\\n'", r"\\[\"']\s*¦?$", "found a backslash before the closing quote", SLASHES),
        (("Illegal character '\\n'", "Found invalid character '\\n'"), "", "found no closing quote", _QUOTES),
        ("Illegal character", r"¦(?P<it>.)", "found a control character ({code})", "delete it"),
        ("Found invalid character", r"¦(?P<it>.)", "found a control character ({code})", "delete it"),
        ("Unterminated", "", "found no closing quotes", "close the quotes"),
        ("Expected \"'", "", "found no closing quote", _QUOTES),
        ("Expected '\"", "", "found no closing quotes", "close the quotes"),
        ("Unescaped", r"(?P<it>\\[^\"\\bfnrt].?)", "found {it} in a text", SLASHES),
        ("Unescaped", "", "found a backslash in a text", SLASHES),
        ("Invalid hex value", r"(?P<it>\\[uUx].?)", "found {it} in a text", SLASHES),
        ("Escaped character", r"(?P<it>\\[uU].?)", "found {it} in a text", SLASHES),
        (
            (_ARRAY, _BRACES),
            r"\d\s*¦(?!\w+\s*=)[^\W\d_]",
            "found a unit behind a number without quotes",
            f'{_UNIT} "30 mm"',
        ),
        (_ARRAY, r"[^\s¦].*¦(?P<it>[^\s#].*)", "found {it} in a list", _LIST),
        (_ARRAY, "", "found a list that is not closed", "close the list with ]"),
        (
            _BRACES,
            r"¦(?P<it>[^\s#].*)",
            "found {it} in a table in braces",
            "put commas between its keys, and close the table with }",
        ),
        (
            _BRACES,
            "",
            "found a table in braces that is not closed",
            "close the table with }, in the same line",
        ),
        (
            "Invalid initial character",
            r"\{[^}]*¦\s*(#.*)?$",
            "found a table in braces that goes on in another line",
            "keep it in one line, or write a [table] of its own",
        ),
        ("Invalid initial character", r"¦(?P<it>.+)", "found {it} where a key is expected", _KEY),
        ("Invalid initial character", "", "found no key", _KEY),
        ("Expected ']", r"¦\]?\s*(#.*)?$", "found a table's name that is not closed as it was opened", _NAME),
        ("Expected ']", r"¦(?P<it>[^\s#].*)", "found {it} in a table's name", _NAME),
        ("Duplicate inline", r"(?P<it>[\w-]+)\s*=[^=]*¦", "found {it} twice in a table in braces", _TWICE),
        ("Duplicate inline", "", "found a key twice in a table in braces", _TWICE),
        ("Cannot mutate", "", "found a key that adds to a table in braces", "put it inside the braces"),
        ("Invalid date", r"¦(?P<it>.+)", "found {it}, which is no date", "write a date such as 2026-05-17"),
        ("Cannot", "", "found the same key or table again", _TWICE),
        ("", "", "found what has no meaning here", _STATEMENT),
    )
)
"""The first whose message and pattern fit counts; the last fits every line."""
