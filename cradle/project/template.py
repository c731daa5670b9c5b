"""The commented project that a newcomer starts from: complete, and it can be made as it stands."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any, Final

from cradle.errors import ExportError, InputError
from cradle.files.writing import write_all
from cradle.project.key import Example, Key, Kinds, Occurrence, Table, TopLevelTable
from cradle.project.project import TABLES
from cradle.project.thing import OBJECT
from cradle.project.writer import toml_value

if TYPE_CHECKING:
    from pathlib import Path

_PROJECT_FILE: Final = "holder.toml"
_COMMENT_AT: Final = 32
"""Column at which comments start, so that they line up."""

_TOP: Final = """\
The holder for one thing. Lengths in mm, angles in degrees, masses in g.
A length may also be a text with its unit: "1.5 cm" or "1 3/8 in".
x runs to the right, y away from you, z up from the plane the thing rests on.
This file works as it stands: run   cradle make holder.toml
then put in your own measurements. A # in front of a key leaves it out.

Take care: before you measure, unplug the thing, let it cool, empty it, and tape or sheath a
blade. Cut card templates away from your hand, on a mat, with a sharp blade that you cover
afterwards. A printer's nozzle and bed are hot. Printed plastic burns, softens in heat (PLA from about
55 deg C, so not in a parked car or on a heater) and is not food-safe. Holders for children, for
mains devices, or on a wall above people need more thought than a fit: hazards, below, adds their cautions."""


def project_template(*, name: str) -> str:
    """The text of a commented project for a thing called ``name``.

    Raises
    ------
    InputError
        If the name is blank or longer than one line.
    """
    page = _Page(name=OBJECT.keys["name"].value(name, where="name"))
    return "\n\n".join(["\n".join(_remark(_TOP)), *(page.block(n, top) for n, top in TABLES.items())]) + "\n"


class _Page:
    """A commented project being written, table by table: what a key means stands beside it the first time only."""

    def __init__(self, *, name: str) -> None:
        self.name = name
        self.told: set[tuple[str, ...]] = set()

    def block(self, name: str, top: TopLevelTable) -> str:
        """A table's examples, and above them what it is for."""
        header = f"[[{name}]]" if top.occurrence is Occurrence.MANY else f"[{name}]"
        says = list(_remark(top.table.says)) if "\n" in top.table.says else []
        shown = [self.example(header, top.table, example) for example in top.examples]
        if says and not shown[0].startswith("#"):
            says.append("")
        return "\n".join([*says, "\n\n".join(shown)])

    def example(self, header: str, table: Table | Kinds, example: Example) -> str:
        shows = dict(example.shows)
        if isinstance(table, Kinds):
            by, kind = table.by, str(shows.pop(table.by))
            table = table.tables[kind]
            lines = [header, _beside(f"{by} = {toml_value(kind)}", table.says)]
        else:
            lines = [_beside(header, table.says if "\n" not in table.says else "")]
        lines += self.lines(header.strip("[]"), table, shows, rest=example.rest)
        return "\n".join([*_remark(example.says), *(lines if example.live else _left_out(lines))])

    def lines(self, name: str, table: Table, shows: Mapping[str, Any], *, rest: bool) -> list[str]:
        """The keys of a table, and the tables inside it that are shown."""
        keys = {**(table.drawing.keys if table.drawing is not None else {}), **table.keys}
        names = [n for n in shows if n in keys] + [n for n in keys if rest and n not in shows]
        lines = [line for n in names for line in self.line(name, keys[n], shows.get(n, ...))]
        for inner, source in table.sources.items():
            if inner in shows:
                inside = shows[inner] if isinstance(shows[inner], Mapping) else {}
                says = "" if (name, inner) in self.told else source.says
                self.told.add((name, inner))
                lines += ["", _beside(f"[{name}.{inner}]", says)]
                lines += self.lines(f"{name}.{inner}", source, inside, rest=not inside)
        return lines

    def line(self, name: str, key: Key, value: object) -> Iterator[str]:
        """The line of a key; ``...`` is what the key itself shows."""
        own = value is ...
        if own:
            value = self.name if (name, key.field) == ("object", "name") else key.shown
        if value is None:
            return
        about = (name, key.name, key.says)
        text = f"{key.name} = {toml_value(value)}"
        yield _beside(
            f"# {text}" if own and not key.live else text, "" if about in self.told else key.meaning
        )
        self.told.add(about)


def _remark(text: str) -> Iterator[str]:
    for line in text.splitlines():
        yield f"# {line}".rstrip()


def _beside(text: str, comment: str) -> str:
    return f"{text:<{_COMMENT_AT - 2}}  # {comment}" if comment else text


def _left_out(lines: Iterable[str]) -> Iterator[str]:
    """Lines behind a #, their comments where they were; empty ones go."""
    for line in filter(None, lines):
        text, _, comment = line.partition("  # ")
        text = text.rstrip() if text.startswith("#") else f"# {text.rstrip()}"
        yield _beside(text, comment)


def start_project(folder: Path, *, name: str) -> list[Path]:
    """The files of a new project, written into ``folder``, which is made if need be.

    Nothing is overwritten, and the file appears whole or not at all.

    Raises
    ------
    InputError
        If the folder holds a project already, or is or names a file: choosing
        another one helps.
    ExportError
        If the disk refuses.
    """
    file = folder / _PROJECT_FILE
    text = project_template(name=name)
    try:
        if folder.exists() and not folder.is_dir():
            raise InputError("this is a file, not a folder", where=str(folder), hint="name a new folder")
        if not folder.exists() and folder.suffix.lower() == ".toml":
            raise InputError(
                "this names a file, where the folder of a new project is wanted",
                where=str(folder),
                hint=f"name the folder, such as {folder.parent if folder.name == _PROJECT_FILE else folder.with_suffix('')}: "
                f"its project file is called {_PROJECT_FILE}",
            )
        _check_free(file)
        write_all(
            {file: text.encode()}, hint="name a folder you may write to", permit=lambda: _check_free(file)
        )
    except InputError:
        raise
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        hint = "name a folder you may write to"
        raise ExportError(f"the project cannot be written ({reason})", where=str(file), hint=hint) from error
    return [file]


def _check_free(file: Path) -> None:
    if os.path.lexists(file):
        raise InputError("there is a project already", where=str(file), hint="name another folder")
