"""Names as they are told: no two alike in one list, and a section's always in the same words."""

from __future__ import annotations

from collections.abc import Sequence


def distinct_names(names: Sequence[str], *, repeat: str = "{name} ({number})") -> tuple[str, ...]:
    """The names in their order, repeated ones numbered: the second of the same gets a 2, the third a 3.

    Parameters
    ----------
    names : sequence of str
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


def section_words(name: str) -> str:
    """A section as messages name it.

    Examples
    --------
    >>> section_words("belly")
    'section "belly"'
    """
    return f'section "{name}"'
