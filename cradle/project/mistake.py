"""What is wrong with a value of a project, and values as messages show them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from cradle.noun import record

if TYPE_CHECKING:
    from cradle.project.toml_positions import KeyPath


@record
class Mistake:
    """What is wrong with a value; ``at`` leads to it from where it was found."""

    found: str
    hint: str = ""
    at: KeyPath = ()


class MistakeError(Exception):
    """The mistakes in one value."""

    def __init__(self, *mistakes: Mistake) -> None:
        self.mistakes = mistakes
        super().__init__("; ".join(m.found for m in mistakes))


def wrong(found: str, *, hint: str = "") -> MistakeError:
    """An error with one mistake."""
    return MistakeError(Mistake(found=found, hint=hint))


def shown(value: object) -> str:
    """A value in few words, as in "expected a length, not ..."."""
    match value:
        case bool():
            return str(value).lower()
        case int() if abs(value) > 10**15:
            return "a huge number"
        case int() | float():
            return str(value)
        case str():
            return f"the text {value[:40]!r}" + ("..." if len(value) > 40 else "")
        case Mapping():
            return "a table"
        case Sequence():
            return f"a list of {len(value)}" if value else "an empty list"
    return f"a {type(value).__name__}"


def amount(value: float, unit: str) -> str:
    """A number with its unit, such as ``14.0 mm`` or ``3.0°``."""
    text = f"{value:.10g}"
    plain = text if set(text) & set(".en") else f"{text}.0"
    return f"{plain}°" if unit == "deg" else f"{plain} {unit}".rstrip()
