"""Read a project file: all its mistakes are found in one go (`cradle.project.table_reader`)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from cradle.errors import InputError, Problem, ProjectError
from cradle.files.reading import IN_UTF_8, FileKind, text_in
from cradle.names import first_of
from cradle.project import toml_positions as at
from cradle.project.bare_lengths import bare_lengths
from cradle.project.left_out import choose_left_out
from cradle.project.picture import PICTURE_ENDINGS
from cradle.project.project import TABLES, TRIALS_FILE, Project, check_project
from cradle.project.row import OF_THE_HOLDER
from cradle.project.section import DRAWING_ENDINGS
from cradle.project.table_reader import TableReader
from cradle.project.toml_mistakes import toml_problem

if TYPE_CHECKING:
    from pathlib import Path

LARGEST_BYTES: Final = 4_000_000
"""A project file is text written by people; a larger file is something else."""
PROJECT_KIND: Final = FileKind(
    most_bytes=LARGEST_BYTES,
    missing="cradle start DIR writes a new project",
    folder="name the project file in it, such as holder.toml",
    large="name the project's .toml file",
    not_text="save the file as UTF-8 in a text editor",
)
"""What is said of a project file that cannot be read, by commands and by the page alike."""
_ENDING: Final = ".toml"
"""A file of another ending that is no text is no project file in a wrong encoding."""
_BESIDE_KIND: Final = replace(
    PROJECT_KIND,
    missing="check its name and folder: it is looked for from the folder of the file that names it",
)


def read_project(file: Path) -> Project:
    """The project that a file describes.

    Raises
    ------
    ProjectError
        If the file has mistakes; it holds them all, in the order of their lines.
    InputError
        If there is no such file, or it cannot be read as UTF-8 text.
    """
    return project_from_text(project_text(file), file=file)


def project_from_text(text: str, *, file: Path) -> Project:
    r"""The project that a TOML text describes.

    Parameters
    ----------
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
    >>> flat = '[section.measured]\nform = "rectangle"\nwidth = 30\ndepth = 20\n'
    >>> text = "[[section]]\nheight = 0\n" + flat + "[[section]]\nheight = 50\n" + flat
    >>> [section.name for section in project_from_text(text, file=Path("holder.toml")).sections]
    ['section 1', 'section 2']
    """
    data, places = parsed(text, file=file)
    return _project(data, places, file=file)


def read_thing(file: Path, *, block_height_mm: float) -> Project:
    """What a file says of its thing, for a holder of another project.

    Its block, openings, printer and the like are not looked at; its sections
    must suit the block that it comes into.

    Raises
    ------
    ProjectError, InputError
        As for `read_project`.
    """
    data, places = parsed(project_text(file, kind=_BESIDE_KIND), file=file)
    kept = {name: value for name, value in data.items() if name not in OF_THE_HOLDER}
    own = {path: place for path, place in places.items() if not path or path[0] not in OF_THE_HOLDER}
    return _project(kept | {"block": {"height": block_height_mm}}, own, file=file)


def _project(data: Mapping[str, Any], places: Mapping[at.KeyPath, at.Place], *, file: Path) -> Project:
    reader = TableReader(places, file=file)
    drafts = reader.drafts(data, TABLES)
    block = data.get("block")
    choose_left_out(drafts, said=block if isinstance(block, Mapping) else ())
    reader.report((), check_project(drafts))
    reader.report((), bare_lengths(data))
    return Project(file=file, **reader.made(drafts, TABLES))


def project_text(file: Path, *, kind: FileKind = PROJECT_KIND) -> str:
    """The text of a project file; ``kind`` holds the hints for one that cannot be read.

    Raises
    ------
    InputError
        If there is no such file, its name is not a project file's, or it cannot be read as UTF-8 text.
    """
    check_file_name(file)
    if file.suffix.lower() != _ENDING:
        kind = replace(kind, not_text=kind.large)
    if file.is_dir():
        inside = sorted(one.name for one in file.glob(f"*{_ENDING}") if one.name != TRIALS_FILE)
        kind = replace(kind, folder=f"name the project file in it: {first_of(inside)}") if inside else kind
    return text_in(file, where=str(file), kind=kind)


def check_file_name(file: Path) -> None:
    """Raise where a file's name is not a project file's.

    Raises
    ------
    InputError
        If it is no text, or that of a drawing or a picture.
    """
    try:
        file.name.encode()
    except UnicodeEncodeError as error:  # the report and trials.toml could not name it
        where = str(file).encode(errors="replace").decode()
        raise InputError("the file's name is not text", where=where, hint=IN_UTF_8) from error
    if file.suffix.lower() in (*DRAWING_ENDINGS, *PICTURE_ENDINGS):
        raise InputError(
            "this is no project file but a drawing or a picture", where=str(file), hint=PROJECT_KIND.large
        )


def parsed(text: str, *, file: Path) -> tuple[dict[str, Any], dict[at.KeyPath, at.Place]]:
    """The data of a TOML text and where each key of it stands.

    Raises
    ------
    ProjectError
        If the text is no TOML.
    """
    try:
        return at.loaded(text), at.places_in(text)
    except at.OverlongKeyError as error:
        problem = Problem(where="keys", found="a key has too many parts, joined by points", line=error.line)
        raise ProjectError(str(file), (problem,)) from error
    except RecursionError as error:
        opening = [line.count("[") + line.count("{") for line in text.splitlines()]
        most = max(opening)
        problem = Problem(
            where="brackets",
            found=f"lists or tables are nested too deeply: here {most} are opened",
            hint="delete all that are not needed",
            line=opening.index(most) + 1,
        )
        raise ProjectError(str(file), (problem,)) from error
    except ValueError as error:
        raise ProjectError(str(file), (toml_problem(str(error), text=text),)) from error
