"""An error as plain sentences for a maker who looks at a page, not at a file."""

from __future__ import annotations

from cradle.errors import CradleError, ProjectError
from cradle.page.controls import CONTROLS


def sentences(error: CradleError) -> tuple[str, ...]:
    """One sentence for each mistake: where, by the name it has on the page, what was found, what to do.

    Examples
    --------
    >>> from cradle.errors import InputError
    >>> sentences(InputError("found -1 mm", where="block.wall", hint="allowed is more than 0 mm"))
    ('wall: found -1 mm; allowed is more than 0 mm.',)
    """
    if isinstance(error, ProjectError):
        rows = [(problem.where, problem.found, problem.hint) for problem in error.problems]
    else:
        rows = [(error.where, error.found, error.hint)]
    return tuple(_sentence(*row) for row in rows)


def _sentence(where: str, found: str, hint: str) -> str:
    text = " ".join(f"{found}; {hint}".split()) if hint else " ".join(found.split())
    where = CONTROLS[where].words if where in CONTROLS else where
    text = f"{where}: {text}" if where else f"{text[:1].upper()}{text[1:]}"
    return text if text.endswith((".", "?", "!")) else f"{text}."
