"""Names as they are told: no two alike in one list, and a section's always in the same words."""

from __future__ import annotations

from collections.abc import Sequence


def distinct_names(names: Sequence[str], *, repeat: str = "{name} ({number})") -> tuple[str, ...]:
    """The names in their order; the second of the same gets a 2, the third a 3.

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


def listed(names: Sequence[str]) -> str:
    """The names in a sentence.

    Examples
    --------
    >>> listed(["left"]), listed(["left", "right"]), listed(["front", "left", "right"])
    ('left', 'left and right', 'front, left and right')
    """
    *most, last = names
    return f"{', '.join(most)} and {last}" if most else last


def section_words(name: str) -> str:
    """A section as messages name it.

    Examples
    --------
    >>> section_words("belly")
    'section "belly"'
    """
    return f'section "{name}"'
