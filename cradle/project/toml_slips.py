"""Slips of syntax as people make them, each by what stands about the place where a TOML parser stopped."""

from __future__ import annotations

from typing import Final, NamedTuple

from cradle.project.convert import SLASHES

HERE: Final = "¦"
"""Stands in a line, and in the patterns, where the parser stopped."""


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
        (
            _AFTER,
            r"\d¦[,٫]\d",
            "found a comma in a number",
            _POINT,
        ),
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
        (
            ("Illegal character '\\n'", "Found invalid character '\\n'"),
            "",
            "found no closing quote",
            _QUOTES,
        ),
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
        (
            "Duplicate inline",
            r"(?P<it>[\w-]+)\s*=[^=]*¦",
            "found {it} twice in a table in braces",
            _TWICE,
        ),
        ("Duplicate inline", "", "found a key twice in a table in braces", _TWICE),
        ("Cannot mutate", "", "found a key that adds to a table in braces", "put it inside the braces"),
        ("Invalid date", r"¦(?P<it>.+)", "found {it}, which is no date", "write a date such as 2026-05-17"),
        ("Cannot", "", "found the same key or table again", _TWICE),
        ("", "", "found what has no meaning here", _STATEMENT),
    )
)
"""The first whose message and pattern fit counts; the last fits every line."""
