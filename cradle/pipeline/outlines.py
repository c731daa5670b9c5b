"""The outlines of all sections, and all that is wrong with them at once."""

from __future__ import annotations

from cradle.capture.outline import Outline
from cradle.capture.outline_reader import read_outline
from cradle.errors import InputError, Problem, ProjectError
from cradle.project.project import Project
from cradle.project.reader import text_of
from cradle.project.toml_positions import KeyPath, Place, line_of, places_in


def read_outlines(project: Project) -> tuple[Outline, ...]:
    """An outline for every section.

    Raises
    ------
    InputError
        If one cannot be used.
    ProjectError
        If several cannot: each with the line of its section in the project file.
    """
    outlines: list[Outline] = []
    errors: list[tuple[int, InputError]] = []
    for number, spec in enumerate(project.sections):
        try:
            outlines.append(read_outline(spec, folder=project.folder))
        except InputError as error:
            errors.append((number, error))
    if len(errors) == 1:
        raise errors[0][1]
    if errors:
        places = _places(project)
        raise ProjectError(
            str(project.file),
            tuple(
                Problem(where=e.where, found=e.found, hint=e.hint, line=line_of(places, ("section", number)))
                for number, e in errors
            ),
        )
    return tuple(outlines)


def _places(project: Project) -> dict[KeyPath, Place]:
    """Where the tables of the project file stand; none where it is not to be read, as for a text that is no file yet."""
    try:
        return places_in(text_of(project.file))
    except InputError:
        return {}
