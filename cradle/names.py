"""Names as they are told: distinct, always in the same words, settings and commands as they are typed, in letters that show."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Final, TypeVar

from cradle.noun import record

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MOST_TOLD: Final = 12
"""Of many names alike so many are told."""
_NO_NAME: Final = re.compile(r"section \d+")
"""What a section is called that was given no name."""
_FILE_FIRST: Final = re.compile(r"[^:;]+\.\w+:")
_SETTING: Final = re.compile(r'"[^"]*"|\b([a-z_]+) = (?:"([^"]+)"|([\w.+-]+))')
"""A setting as it stands in a project file, in three groups; or a whole text between quotes, in none, so that what a name holds is no setting."""
_Word = TypeVar("_Word")


def distinct_names(names: Sequence[str], *, repeat: str = "{name} ({number})") -> tuple[str, ...]:
    """The names in their order, repeated ones numbered: the second of the same gets a 2, the third a 3.

    Parameters
    ----------
    repeat : str
        How a repeated name is written, with its number.

    Examples
    --------
    >>> distinct_names(["rim", "foot", "rim"])
    ('rim', 'foot', 'rim (2)')
    """
    distinct: list[str] = []
    for name in names:
        number, other = 1, name
        while other in distinct:
            number += 1
            other = repeat.format(name=name, number=number)
        distinct.append(other)
    return tuple(distinct)


def listed(names: Sequence[str], last: str = "and") -> str:
    """The names in a sentence.

    Examples
    --------
    >>> listed(["left"]), listed(["left", "right"]), listed(["box", "oval", "hug"], "or")
    ('left', 'left and right', 'box, oval or hug')
    """
    *most, end = names
    return f"{', '.join(most)} {last} {end}" if most else end


def point_words(point: Sequence[float] | NDArray[np.float64]) -> str:
    """A place in a drawing, mm.

    Examples
    --------
    >>> point_words([3.0, -12.5])
    '(3.00, -12.50)'
    """
    x, y = point
    return f"({x:.2f}, {y:.2f})"


def first_of(names: Sequence[str]) -> str:
    """The first dozen of the names, and how many more there are.

    Examples
    --------
    >>> first_of(["1", "2", "3"]), first_of("123456789abcd")
    ('1, 2, 3', '1, 2, 3, 4, 5, 6, 7, 8, 9, a, b, c and 1 more')
    """
    more = f" and {len(names) - MOST_TOLD} more" if len(names) > MOST_TOLD else ""
    return ", ".join(names[:MOST_TOLD]) + more


def printable(text: str, *, instead: str = "\ufffd") -> str:
    r"""The text with something else for each control character and whatever else does not show.

    Examples
    --------
    >>> printable("rim\x1b\n", instead="?")
    'rim??'
    """
    return "".join(letter if letter.isprintable() else instead for letter in text)


def section_words(name: str) -> str:
    """A section as messages name it.

    Examples
    --------
    >>> section_words("belly"), section_words("section 2")
    ('section "belly"', 'section 2')
    """
    return name if _NO_NAME.fullmatch(name) else f'section "{name}"'


def between_words(lower: str, upper: str) -> str:
    """What lies between two sections, as messages name it.

    Examples
    --------
    >>> between_words("low", "belly"), between_words("section 1", "rim")
    ('between sections "low" and "belly"', 'between section 1 and section "rim"')
    """
    if _NO_NAME.fullmatch(lower) or _NO_NAME.fullmatch(upper):
        return f"between {section_words(lower)} and {section_words(upper)}"
    return f'between sections "{lower}" and "{upper}"'


def typed(text: str) -> str:
    r"""A file or a name as it is typed on a command line, where one can be, in the same way for every shell.

    Examples
    --------
    >>> typed("mug/holder.toml"), typed("my mug\\holder.toml"), typed("5 $ mug")
    ('mug/holder.toml', '"my mug\\holder.toml"', "'5 $ mug'")
    """
    if re.fullmatch(r"[\w./\\:-]+", text):
        return text
    # a backslash between double quotes stands for itself but before these
    plain = re.fullmatch(r'(?:[^"$`!%\\]|\\(?![\\"$`!%]|$))+', text)
    return f'"{text}"' if plain else shlex.quote(text)


@record
class AdvisedSetting:
    """An advised setting: the key, its value, and both as written in a project file."""

    key: str
    value: str
    written: str


def with_settings(text: str, said: Callable[[AdvisedSetting], str]) -> str:
    """A message with the settings that it advises, written in it as in a project file, said in other words.

    Examples
    --------
    >>> with_settings('of a drawn line say shape = "line"', lambda one: f"--{one.key} {one.value}")
    'of a drawn line say --shape line'
    >>> with_settings('section "shape = round" is odd', lambda one: f"--{one.key} {one.value}")
    'section "shape = round" is odd'
    """

    def in_its_words(found: re.Match[str]) -> str:
        return (
            said(AdvisedSetting(key=found[1], value=found[2] or found[3], written=found[0]))
            if found[1]
            else found[0]
        )

    return _SETTING.sub(in_its_words, text)


def command(name: str, file: str, said: Iterable[tuple[str, str]] = ()) -> str:
    """A command on a file as it is typed, with options given as pairs of name and value.

    Examples
    --------
    >>> command("trial", "mug/holder.toml", [("section", "the rim"), ("seen", "tight")])
    'cradle trial mug/holder.toml --section "the rim" --seen tight'
    """
    return " ".join(["cradle", name, typed(file), *(f"--{key} {typed(value)}" for key, value in said)])


def sentence(words: str) -> str:
    """Words with a capital, but for a file's name in front, and a full stop; nothing stays nothing.

    Examples
    --------
    >>> sentence("it is too tight"), sentence("Is it?"), sentence(""), sentence("scans/low rim.png: there is no such file")
    ('It is too tight.', 'Is it?', '', 'scans/low rim.png: there is no such file.')
    """
    if not _FILE_FIRST.match(words):
        words = words[:1].upper() + words[1:]
    return words if not words or words.endswith((".", "!", "?")) else f"{words}."


def counted(count: int, word: str) -> str:
    """So many of what a word names.

    Examples
    --------
    >>> counted(1, "note"), counted(3, "repeated point")
    ('1 note', '3 repeated points')
    """
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def shortened(text: str, most: int) -> str:
    """A text of at most so many letters.

    Examples
    --------
    >>> shortened("ocarina", 7), shortened("an ocarina", 7)
    ('ocarina', 'an oca…')
    """
    return text if len(text) <= most else f"{text[: most - 1]}…"


def wrapped(text: str, *, fits: Callable[[str], bool], indent: str = "") -> list[str]:
    """Lines of whole words that fit, at least one; those after the first begin with an indent.

    Examples
    --------
    >>> wrapped("as wide as it is high", fits=lambda line: len(line) <= 9, indent="  ")
    ['as wide', '  as it', '  is high']
    """

    def said(line: Sequence[str], number: int) -> str:
        return (indent if number else "") + " ".join(line)

    lines = in_lines(text.split() or [""], fits=lambda line, number: fits(said(line, number)))
    return [said(line, number) for number, line in enumerate(lines)]


def in_lines(words: Iterable[_Word], *, fits: Callable[[Sequence[_Word], int], bool]) -> list[list[_Word]]:
    """The words in lines of as many as fit, at least one each.

    Parameters
    ----------
    fits : callable
        Whether words fit into a line, whose number from 0 is told with them.
    """
    lines: list[list[_Word]] = []
    for word in words:
        if lines and fits([*lines[-1], word], len(lines) - 1):
            lines[-1].append(word)
        else:
            lines.append([word])
    return lines
