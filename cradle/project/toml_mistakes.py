"""Why a text is no TOML, in the words of somebody who writes a project file."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from cradle.errors import Problem
from cradle.project.toml_slips import HERE, SLIPS

_PLACE: Final = re.compile(r"\s*\(at (?:line (?P<line>\d+), column (?P<column>\d+)|end of document)\)$")
_HEADER: Final = re.compile(r"\s*(?P<written>\[+\s*(?P<name>[\w.\-\"']+)\s*\]+)")
_KEY: Final = re.compile(r"\s*(?P<name>[\w.\-\"']+)\s*=")
_NEAR: Final = 300
"""So much of a line before and behind a place is looked at."""
_SHOWN: Final = 40
"""No more of a line than this is said again."""
_AGAIN: Final = ("Cannot overwrite a value", "Cannot declare", "Cannot redefine")
"""How the parser's messages begin where something stands in the text twice."""
_REPEATED: Final = ("section", "view", "opening", "trial")


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
    """What was found and what to do, for a message and the line that it is about."""
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
    """What stands in a line once more, the line where it stood first, and what to do; None for what is in braces."""
    header, key = _HEADER.match(lines[line - 1]), _KEY.match(lines[line - 1])
    above = range(line - 1, 0, -1)
    if header is None:
        if key is None:
            return None
        own = next((n for n in above if _HEADER.match(lines[n - 1])), 0)
        first = next((n for n in above if n > own and _names(_KEY, lines[n - 1], key["name"])), None)
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
