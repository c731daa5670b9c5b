"""Read a project file: all its mistakes are found in one go, each with its dotted key and line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any, Final

from cradle.errors import Problem, ProjectError
from cradle.files import reading
from cradle.files.reading import FileKind, read_file
from cradle.project import schema
from cradle.project import toml_positions as at
from cradle.project.block_keys import check_plate_on_block
from cradle.project.convert import Mistake, MistakeError, nearest, shown
from cradle.project.cross_checks import Values, check_project
from cradle.project.row_keys import OF_THE_HOLDER, check_openings_in_row
from cradle.project.schema import DRAWING, PARTS, SECTION, Part
from cradle.project.spec import Project
from cradle.project.table import Table, Times

if TYPE_CHECKING:
    from pathlib import Path

LARGEST_BYTES: Final = 4_000_000
"""A project file is text written by people; a larger file is something else."""
_KIND: Final = FileKind(
    most_bytes=LARGEST_BYTES,
    missing="cradle start DIR writes a new project",
    folder="name the project file in it, such as holder.toml",
    large="name the project's .toml file",
    not_text="save the file as UTF-8 in a text editor",
)

_PLACE = re.compile(r"\s*\(at (?:line (?P<line>\d+), column (?P<column>\d+)|end of document)\)$")
_SYNTAX_HINTS: Final = {
    "expected newline or end of document": "write decimals with a point (3.5), comments after #",
    "cannot overwrite a value": "the same key stands here twice",
    "cannot declare": "a table stands once; only [[section]], [[view]] and [[opening]] repeat, in double brackets",
    "invalid value": "texts go in quotes, decimals have a point (3.5)",
    "invalid statement": "a line is a [table], a key = value, or a # comment",
}


def read_project(file: Path) -> Project:
    """Return the project that a file describes.

    Raises
    ------
    ProjectError
        If the file has mistakes; it holds them all, in the order of their lines.
    InputError
        If there is no such file, or it cannot be read as UTF-8 text.
    """
    return project_from_text(text_of(file), file=file)


def project_from_text(text: str, *, file: Path) -> Project:
    r"""Return the project that a TOML text describes.

    Parameters
    ----------
    text : str
        The contents of a project file.
    file : Path
        Where it stands: named in messages, and its folder is where relative
        paths start. It is not opened.

    Raises
    ------
    ProjectError
        If the text has mistakes; it holds them all, in the order of their lines.

    Examples
    --------
    >>> from pathlib import Path
    >>> flat = '[section.measured]\nform = "box"\nwidth = 30\ndepth = 20\n'
    >>> text = "[[section]]\nheight = 0\n" + flat + "[[section]]\nheight = 50\n" + flat
    >>> [section.name for section in project_from_text(text, file=Path("holder.toml")).sections]
    ['section 1', 'section 2']
    """
    data, places = _parsed(text, file=file)
    return _project(data, places, file=file)


def read_thing(file: Path, *, block_height_mm: float) -> Project:
    """Return what a file says of its thing, for a holder of another project.

    Its block, openings, printer and the like are not looked at; its sections
    must suit the block that it comes into.

    Raises
    ------
    ProjectError, InputError
        As for `read_project`.
    """
    data, places = _parsed(text_of(file), file=file)
    kept = {name: value for name, value in data.items() if name not in OF_THE_HOLDER}
    own = {path: place for path, place in places.items() if not path or path[0] not in OF_THE_HOLDER}
    return _project(kept | {"block": {"height": block_height_mm}}, own, file=file)


def _project(data: Mapping[str, Any], places: dict[at.Path, at.Place], *, file: Path) -> Project:
    reading = _Reading(places)
    parts = reading.parts(data)
    if reading.problems:
        problems = sorted(reading.problems, key=lambda problem: problem.line or 0)
        raise ProjectError(str(file), tuple(problems))
    return Project(file=file, **parts)


def text_of(file: Path) -> str:
    """Return what stands in a project file.

    Raises
    ------
    InputError
        If there is no such file, or it cannot be read as UTF-8 text.
    """
    data = read_file(file, where=str(file), kind=_KIND)
    return reading.text_of(data, where=str(file), kind=_KIND)


def _parsed(text: str, *, file: Path) -> tuple[dict[str, Any], dict[at.Path, at.Place]]:
    try:
        return tomllib.loads(text), at.places_in(text)
    except RecursionError as error:
        problem = Problem(where="brackets", found="lists or tables are nested too deeply", line=None)
        raise ProjectError(str(file), (problem,)) from error
    except ValueError as error:
        raise ProjectError(str(file), (_syntax_problem(str(error), text=text),)) from error


def _syntax_problem(message: str, *, text: str) -> Problem:
    place = _PLACE.search(message)
    found = message[: place.start()] if place else message
    if "integer string conversion" in found:
        return Problem(where="number", found="found a whole number with thousands of digits")
    found = found[:1].lower() + found[1:]
    hint = next((hint for start, hint in _SYNTAX_HINTS.items() if found.startswith(start)), "")
    lines = text.splitlines() or [""]
    line = int(place["line"]) if place and place["line"] else len(lines)
    column = int(place["column"]) if place and place["column"] else len(lines[-1]) + 1
    return Problem(where=f"column {column}", found=found, hint=hint, line=line)


class _Reading:
    """One walk through a file's data, gathering problems."""

    def __init__(self, places: dict[at.Path, at.Place]) -> None:
        self.places = places
        self.problems: list[Problem] = []

    def report(self, path: at.Path, mistakes: Iterable[Mistake]) -> None:
        for mistake in mistakes:
            full = (*path, *mistake.at)
            self.problems.append(
                Problem(
                    where=at.dotted(full),
                    found=mistake.found,
                    hint=mistake.hint,
                    line=at.line_of(self.places, full),
                )
            )

    def parts(self, data: Mapping[str, Any]) -> Values:
        """Return the specs by field of `Project`: complete only when nothing was reported."""
        self.unknown(data, (), known=PARTS)
        drafts: Values = {}
        made: Values = {}
        for name, part in PARTS.items():
            if part.times is Times.AT_MOST_ONCE and name not in data:
                made[part.field] = None
            elif part.times is not Times.MANY:
                draft = self.table(data.get(name, {}), part.table, (name,))
                drafts[part.field] = draft
                made[part.field] = self.made(part.table, draft)
            else:
                many = self.many(data.get(name, []), name, part)
                if many is not None:
                    drafts[part.field] = many
                    made[part.field] = tuple(self.made(part.table, draft) for draft in many)
        self.report((), check_project(drafts))
        self.report((), check_plate_on_block(drafts.get("block", {}), drafts.get("plate")))
        self.report((), check_openings_in_row(drafts["row"], drafts.get("openings", ())))
        return made

    def made(self, table: Table, draft: Values) -> object:
        return None if self.problems else table.makes(**draft)

    def many(self, data: object, name: str, part: Part) -> list[Values] | None:
        """Return the values of each table of a list; None when it is no list of tables."""
        if not isinstance(data, list):
            found = f"expected tables [[{name}]], not {shown(data)}"
            self.report(
                (name,), [Mistake(found=found, hint=f"write [[{name}]] with double brackets, once for each")]
            )
            return None
        table = part.table
        return [self.outlined(entry, table, (name, index)) for index, entry in enumerate(data)]

    def outlined(self, data: object, table: Table, path: tuple[str, int]) -> Values:
        """Return the values of one table of a list, the source of its outline included where it has one."""
        if table.drawing is None:
            return self.table(data, table, path)
        before = len(self.problems)
        source = self.source(data, table, path) if isinstance(data, Mapping) else None
        sound = len(self.problems) == before
        values = self.table(data, table, path, given={"source": source} if sound else {})
        unnamed = table is SECTION and (not isinstance(data, Mapping) or "name" not in data)
        return {"name": f"section {path[1] + 1}", **values} if unnamed else values

    def source(self, data: Mapping[str, Any], table: Table, path: at.Path) -> object:
        """Return where an outline comes from; None when that was reported as a problem."""
        drawing = table.drawing or DRAWING
        kinds = [key for key in ("outline", *table.sources) if key in data]
        tables = (f"a table [{path[0]}.{key}]" for key in table.sources)
        choices = " or ".join(['outline = "FILE"', *tables])
        if len(kinds) != 1:
            found = f"found {' and '.join(kinds)}, allowed is one of them" if kinds else "no outline found"
            self.report(path, [Mistake(found=found, hint=f"give {choices}")])
            return None
        before = len(self.problems)
        drawn = {key: data[key] for key in drawing.keys if key in data}
        if kinds == ["outline"]:
            chosen = drawing
            values = self.table(drawn, drawing, path)
        else:
            self.report(path, [Mistake(found="only a drawing has it", at=(key,)) for key in drawn])
            chosen = table.sources[kinds[0]]
            values = self.table(data[kinds[0]], chosen, (*path, kinds[0]))
        return chosen.makes(**values) if len(self.problems) == before else None

    def table(self, data: object, table: Table, path: at.Path, *, given: Values | None = None) -> Values:
        """Return a table's values by field, defaults included; what is mistaken is reported and absent.

        ``given`` are values from elsewhere than the table's own keys.
        """
        if not isinstance(data, Mapping):
            what = shown(data) if not isinstance(data, list) else "a list of tables"
            hint = f"write [{path[0]}] once, in single brackets" if len(path) == 1 else ""
            self.report(path, [Mistake(found=f"expected one table, not {what}", hint=hint)])
            return {}
        meant = self.unknown(data, path, known=schema.keys_under(table))
        values = table.defaults() | (given or {})
        for name, key in table.keys.items():
            if name in data:
                try:
                    values[key.field] = key.convert(data[name])
                except MistakeError as error:
                    self.report((*path, name), error.mistakes)
                    values.pop(key.field, None)
            elif key.missing and name not in meant:
                self.report((*path, name), [Mistake(found="missing", hint=key.missing)])
        self.report(path, table.check(values))
        return values

    def unknown(self, data: Mapping[str, Any], path: at.Path, *, known: Mapping[str, object]) -> set[str]:
        """Report the keys that are not known, and return those that were probably meant."""
        strange = [name for name in data if name not in known]
        found = "unknown key" if path else "unknown table or key"
        for name in strange:
            hint = _unknown_hint(name, path, list(known))
            self.report(path, [Mistake(found=found, hint=hint, at=(name,))])
        return {_meant(name, list(known)) for name in strange}


def _meant(name: str, known: list[str]) -> str:
    """Return the known key that a misspelt one stands for, or an empty text; a unit at its end is let go."""
    return nearest(re.sub(r"_(mm|deg|g)$", "", name.lower()), known)


def _unknown_hint(name: str, path: at.Path, known: list[str]) -> str:
    inside = ".".join(part for part in path if isinstance(part, str))
    homes = [home for home, table in schema.tables() if name in schema.keys_under(table)]
    outer = inside.split(".")[0]
    if inside != outer and outer in homes:
        return f"it belongs to the {outer}: write it above [{inside}]"
    meant = _meant(name, known)
    if meant:
        return f"did you mean {meant}?"
    if homes:
        return f"it belongs in {' or '.join(f'[{home}]' for home in homes)}"
    return f"allowed here are {' '.join(known)}"
