"""Why a text is no TOML, in the words of somebody who writes a project file."""

from __future__ import annotations

import re
from typing import Final

from cradle.errors import Problem
from cradle.project.convert import SLASHES

_PLACE: Final = re.compile(r"\s*\(at (?:line (?P<line>\d+), column (?P<column>\d+)|end of document)\)$")
_HEADER: Final = re.compile(r"\s*(\[+\s*[\w.\-\"']+\s*\]+)")
_TABLE: Final = re.compile(r"cannot declare \((?P<parts>.*)\) twice")
_REPEAT: Final = "only [[section]], [[view]] and [[opening]] repeat, in double brackets"
_STATEMENT: Final = "a line is a [table], a key = value, or a # comment"
_LINE_ENDS: Final = "save the file again in a text editor, with the line ends of Linux or Windows"
_VALUE: Final = 'put text in straight quotes ("..."), write decimals with a point (3.5)'
_HINTS: Final = {
    "expected newline or end of document": "write each key on its own line, decimals with a point (3.5), comments after #",
    "cannot overwrite a value": "this key appears twice",
    "invalid value": _VALUE,
    "invalid date": _VALUE,
    "unescaped": SLASHES,
    "invalid hex value": SLASHES,
    "invalid statement": _STATEMENT,
    "expected '='": _STATEMENT,
    "illegal character '\\n'": "close the quotes in the line where they begin",
    "unterminated string": "close the quotes",
    'expected "\'"': "close the quotes",
    "unclosed array": "put a comma between the values, and close the list with ]",
    "unclosed inline table": "put a comma between the keys, and close the table with }",
    "expected ']": f"close the table's name as it was opened: {_REPEAT}",
    "duplicate inline table key": "this key appears twice",
}
"""What to do, by how the parser's message begins."""
_AFTER_NUMBER: Final = (
    (re.compile(r"=\s*[+-]?0\d"), "remove the leading zero"),
    (re.compile(r"=\s*[+-]?\d+,\d"), "write decimals with a point, such as 3.5, not with a comma"),
    (
        re.compile(r"[=,\[]\s*[+-]?[\d.]+\s*(?!\w+\s*=)[^\W\d_°\"'/]"),
        'put a number with its unit in quotes, such as "30 mm"',
    ),
    (
        re.compile(r"=\s*[+-]?[\d.]+\s*[°\"'/]"),
        'put a number with its unit in quotes, such as "1/2 in" or "3 deg"',
    ),
)
"""What people write behind a number, and what to do about it."""


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
    found = message[: place.start()] if place else message
    if "integer string conversion" in found:
        return Problem(where="number", found="found a whole number with thousands of digits")
    lines = text.removesuffix("\n").split("\n")  # as the parser counts them
    line = int(place["line"]) if place and place["line"] else len(lines)
    column = int(place["column"]) if place and place["column"] else len(lines[-1]) + 1
    written = lines[line - 1] if line <= len(lines) else ""
    found, hint = _told(found[:1].lower() + found[1:], written)
    return Problem(where=f"column {column}", found=found, hint=hint, line=line)


def _told(found: str, written: str) -> tuple[str, str]:
    """What was found and what to do, for a message and the line that it is about."""
    header = _HEADER.match(written)
    if found.startswith("cannot overwrite a value") and header is not None:
        name = header[1].strip("[] ")
        return (
            f"{header[1]} stands behind [{name}] or a table inside it",
            f"write [[{name}]] in double brackets each time, and the tables inside it below"
            if "[[" in header[1]
            else "a table may appear only once",
        )
    twice = _TABLE.match(found)
    if twice is not None:
        name = ".".join(part.strip(" '\"") for part in twice["parts"].split(",") if part.strip())
        return f"cannot declare [{name}] twice", f"a table may appear only once; {_REPEAT}"
    hint = next((hint for start, hint in _HINTS.items() if found.startswith(start)), "")
    if "\r" in written.removesuffix("\r"):
        return found, _LINE_ENDS
    if found.startswith(("expected newline", "expected '='", "unclosed")):
        hint = next((what for pattern, what in _AFTER_NUMBER if pattern.search(written)), hint)
    return found, hint
